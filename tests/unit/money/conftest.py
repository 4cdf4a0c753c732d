"""Figures to reckon with."""

from decimal import Decimal

import pytest

from engine.figure import Figure, defined, stated
from engine.money.study import Economics, usual_economics


def usd(name: str, amount: float | str, unit: str = "USD") -> Figure:
    """An amount of money as a stated figure."""
    return stated(name, Decimal(str(amount)), unit, "test")


def terms(
    discount: float = 0.03,
    years: int = 15,
    energy: float = 0.0,
    maintenance: float = 0.0,
    inflation: float = 0.025,
) -> Economics:
    """Terms of a study without any range."""
    usual = usual_economics(
        defined("real_discount_rate", discount, "1/yr", "test"),
        defined("analysis_years", years, "yr", "test"),
    )
    return Economics(
        discount_rate=usual.discount_rate,
        energy_escalation=defined("energy_escalation", energy, "1/yr", "test"),
        maintenance_escalation=defined("maintenance_escalation", maintenance, "1/yr", "test"),
        analysis_years=usual.analysis_years,
        inflation=defined("inflation", inflation, "1/yr", "test"),
        loan_rate=defined("loan_rate", 0.08, "1/yr", "test"),
        loan_months=usual.loan_months,
    )


@pytest.fixture(name="usd")
def _usd():
    return usd


@pytest.fixture(name="terms")
def _terms():
    return terms
