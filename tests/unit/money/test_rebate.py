"""Rebates: bases, who decides, caps, and what is always said."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.figure import defined
from engine.money.rebate import REBATE_KEYS, Rebate, RebateLine, RebateProgram, job_rebate, line_rebate
from tests.unit.money.conftest import usd

ALWAYS = ["rebate_approval_first", "rebate_tax_not_considered"]


def line(
    qty: int = 12, cost: str = "2520", kw: float | None = 2.82, kwh: float | None = 12126.0, listed: bool = True,
    lm_per_w: float = 130.0,
) -> RebateLine:  # fmt: skip
    return RebateLine(
        qty=defined("qty", qty, "1", "test"),
        cost=usd("product_cost", cost),
        kw_saved=None if kw is None else defined("kw_saved", kw, "kW", "test"),
        kwh_saved=None if kwh is None else defined("kwh_saved_per_year", kwh, "kWh/yr", "test"),
        listed=listed,
        lm_per_w=lm_per_w,
    )


def program(basis: str = "per_luminaire", amount: str = "60", **terms: object) -> RebateProgram:
    units = {"per_luminaire": "USD", "per_watt_reduced": "USD/W", "per_kwh": "USD/kWh", "custom": "USD"}
    return RebateProgram(basis, usd("rebate_amount", amount, units[basis]), **terms)  # type: ignore[arg-type]


def keys(rebate: Rebate) -> list[str]:
    return [reason.key for reason in rebate.reasons]


@pytest.mark.parametrize(
    ("basis", "amount", "paid"),
    [
        ("per_luminaire", "60", "720.00"),
        ("per_watt_reduced", "0.35", "987.00"),
        ("per_kwh", "0.08", "970.08"),
    ],
)
def test_each_basis_pays_what_it_says(basis: str, amount: str, paid: str) -> None:
    """12 pieces; 2,820 W less; 12,126 kWh less."""
    found = line_rebate(program(basis, amount), line())

    assert found.figure.value == Decimal(paid)
    assert found.eligible
    assert keys(found) == ALWAYS


def test_a_product_that_is_not_listed_gets_nothing_and_the_reason() -> None:
    found = line_rebate(program(), line(listed=False))

    assert found.figure.value == 0
    assert not found.eligible
    assert keys(found) == ["rebate_not_listed"]


def test_a_program_may_take_products_that_are_not_listed() -> None:
    assert line_rebate(program(listed_only=False), line(listed=False)).figure.value == Decimal("720.00")


def test_efficacy_decides_and_both_numbers_are_given() -> None:
    found = line_rebate(program(least_lm_per_w=140.0), line())

    assert found.reasons[0].key == "rebate_low_efficacy"
    assert found.reasons[0].values == {"efficacy": 130.0, "least": 140.0}
    assert line_rebate(program(least_lm_per_w=130.0), line()).eligible


def test_all_that_stands_against_it_is_said_at_once() -> None:
    found = line_rebate(program("per_kwh", "0.1", least_lm_per_w=140.0), line(listed=False, kwh=-5.0))

    assert keys(found) == ["rebate_not_listed", "rebate_low_efficacy", "rebate_nothing_saved"]


@pytest.mark.parametrize("basis", ["per_watt_reduced", "per_kwh"])
def test_a_program_that_pays_for_savings_needs_the_present_light(basis: str) -> None:
    assert keys(line_rebate(program(basis, "0.1"), line(kw=None, kwh=None))) == ["rebate_needs_present_light"]


def test_a_rebate_above_cost_is_cut_to_the_cost_and_said() -> None:
    found = line_rebate(program(amount="400"), line())

    assert found.figure.value == Decimal("2520.00")
    assert found.reasons[0].key == "rebate_above_cost"
    assert found.reasons[0].values == {"rebate": Decimal("4800.00"), "cost": Decimal("2520")}


def test_a_share_of_cost_caps_it_and_said() -> None:
    half = defined("share_of_cost", 0.5, "1", "test")

    found = line_rebate(program(amount="200", share_of_cost=half), line())

    assert found.figure.value == Decimal("1260.00")
    assert keys(found) == ["rebate_share_capped", *ALWAYS]


def test_an_account_has_a_cap_for_the_whole_job() -> None:
    terms = program(per_account=usd("per_account", 1000))
    lines = [line_rebate(terms, line()), line_rebate(terms, line())]

    found = job_rebate(terms, lines, usd("project_cost", 6000))

    assert found.figure.value == Decimal("1000.00")
    assert keys(found) == ["rebate_account_capped", *ALWAYS]


def test_below_the_cap_the_job_gets_the_sum_of_its_lines() -> None:
    terms = program(per_account=usd("per_account", 10_000))
    lines = [line_rebate(terms, line()), line_rebate(terms, line(listed=False))]

    found = job_rebate(terms, lines, usd("project_cost", 6000))

    assert found.figure.value == Decimal("720.00")
    assert found.eligible
    assert keys(found) == ALWAYS


def test_a_custom_amount_is_paid_once_for_the_job_and_not_above_its_cost() -> None:
    terms = program("custom", "5000")
    qualifying = [Rebate(usd("rebate", 0), True, ())]

    assert job_rebate(terms, qualifying, usd("project_cost", 6000)).figure.value == Decimal("5000.00")
    capped = job_rebate(terms, qualifying, usd("project_cost", 3000))
    assert capped.figure.value == Decimal("3000.00")
    assert keys(capped) == ["rebate_above_cost", *ALWAYS]
    with pytest.raises(ValueError, match="not by line"):
        line_rebate(terms, line())


def test_a_custom_program_pays_nothing_where_no_line_qualifies_and_says_why() -> None:
    refused = line_rebate(program(least_lm_per_w=140.0), line())

    found = job_rebate(program("custom", "5000"), [refused], usd("project_cost", 6000))

    assert found.figure.value == 0
    assert found.reasons == refused.reasons


def test_a_job_without_lines_gets_nothing() -> None:
    assert not job_rebate(program(), [], usd("project_cost", 1)).eligible


@given(st.integers(1, 500), st.integers(0, 100_000), st.integers(1, 10_000_000))
def test_a_rebate_is_never_negative_nor_above_cost_and_its_keys_are_known(
    qty: int, amount: int, cost: int
) -> None:
    found = line_rebate(
        program(amount=str(Decimal(amount) / 100)), line(qty=qty, cost=str(Decimal(cost) / 100))
    )

    assert 0 <= found.figure.value <= Decimal(cost) / 100
    assert set(keys(found)) <= set(REBATE_KEYS)
