"""The whole-life reckoning: identities, metamorphic properties, and the truth where nothing pays back."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.figure import Figure, assumed, defined, in_order
from engine.formula import evaluate
from engine.money.flows import NoRate, OneRate
from engine.money.life_cycle import LifeCycle, life_cycle, life_cycle_cost, monthly_payment, simple_payback
from engine.money.ranges import ranges
from engine.money.study import (
    LaterCost,
    Project,
    in_nominal_money,
    nominal_project,
    real_rate,
    usual_economics,
)
from engine.quantities import decimal
from tests.unit.money.conftest import terms, usd

COSTS = st.integers(10_000, 20_000_000).map(lambda c: str(Decimal(c) / 100))
SAVINGS = st.integers(100, 5_000_000).map(lambda c: str(Decimal(c) / 100))
RATES = st.integers(0, 120).map(lambda r: r / 1000)
GROWTHS = st.integers(-20, 40).map(lambda r: r / 1000)
YEARS = st.integers(1, 30)


def project(cost: str, saved: str, upkeep: str | None = None) -> Project:
    return Project(
        usd("net_cost", cost), usd("energy_saved", saved, "USD/yr"),
        None if upkeep is None else usd("upkeep_saved", upkeep, "USD/yr"),
    )  # fmt: skip


def full_project() -> Project:
    return replace(
        project("3000", "1333.86", "211.50"),
        later=LaterCost(defined("later_year", 8, "yr", "test"), usd("driver_cost", 600)),
        residual=usd("residual", 100),
    )


def test_the_wall_pack_job_by_hand() -> None:
    """12 wall packs: 3,000 net, 1,333.86 a year, 3 % real, 10 years. By hand: UPV 8.530203, NPV 8,378.10."""
    found = life_cycle(project("3000", "1333.86"), terms(0.03, 10))

    assert found.npv.value == Decimal("8378.10")
    assert found.simple_payback.figure is not None
    assert found.simple_payback.figure.value == pytest.approx(3000 / 1333.86)
    assert found.sir is not None
    assert found.sir.value == pytest.approx(3.7927, abs=1e-4)
    assert found.monthly_saving.value == Decimal("111.16")
    # 3000 at 8 % over 60 months: 60.83 (numpy-financial: 15,000 gives 304.15)
    assert found.monthly_payment is not None
    assert found.monthly_payment.value == Decimal("60.83")
    # (1333.86 - 90.00) / 1.03
    assert found.cost_of_waiting.value == Decimal("1207.63")


def test_the_tables_last_discounted_balance_is_the_net_present_value_to_the_cent() -> None:
    found = life_cycle(full_project(), terms(0.03, 15, energy=0.01, maintenance=0.005))

    assert found.table[-1].cumulative_discounted == found.npv.value
    assert [row.year for row in found.table] == list(range(16))
    assert found.table[8].later == Decimal("-600.00")
    assert found.table[15].residual == Decimal("100.00")
    assert found.table[0].net == Decimal("-3000.00")


@pytest.mark.parametrize(
    ("cost", "saved", "simple", "discounted"),
    [
        ("0", "500", "immediate", "immediate"),
        ("-200", "500", "immediate", "immediate"),
        ("-200", "-50", "never", "never"),
        ("1000", "0", "never", "never"),
        ("1000", "-5", "never", "never"),
        ("1000", "10", "years", "beyond_study"),
        ("1000", "500", "years", "years"),
    ],
)
def test_whether_and_when_it_pays_back_is_told_apart(
    cost: str, saved: str, simple: str, discounted: str
) -> None:
    found = life_cycle(project(cost, saved), terms())

    assert found.simple_payback.outcome == simple
    assert found.discounted_payback.outcome == discounted
    assert (found.simple_payback.figure is None) == (simple != "years")
    assert (found.discounted_payback.figure is None) == (discounted != "years")


def test_without_an_outlay_there_is_no_rate_no_ratio_and_no_loan() -> None:
    found = life_cycle(project("-50", "400"), terms())

    assert found.irr == NoRate("no_outlay")
    assert found.irr_figure is None
    assert found.sir is None
    assert found.airr is None
    assert found.monthly_payment is None


def test_a_saving_of_nothing_loses_the_outlay_and_says_so() -> None:
    found = life_cycle(project("1000", "0"), terms())

    assert found.npv.value == Decimal("-1000.00")
    assert found.irr == NoRate("no_return")
    assert found.airr is not None
    assert found.airr.value == -1


def test_a_later_outlay_that_undoes_the_payback_is_told() -> None:
    job = replace(
        project("1000", "600"), later=LaterCost(defined("year", 3, "yr", "test"), usd("driver", 1500))
    )

    found = life_cycle(job, terms())

    assert found.discounted_payback.outcome == "years"
    assert not found.discounted_payback.holds


@pytest.mark.parametrize("years", [0, 61, 7.5])
def test_years_that_are_no_study_are_refused(years: float) -> None:
    economics = replace(terms(), analysis_years=defined("analysis_years", years, "yr", "test"))

    with pytest.raises(ValueError, match="whole years"):
        life_cycle(project("1000", "100"), economics)


@settings(max_examples=60)
@given(COSTS, SAVINGS, SAVINGS, RATES, GROWTHS, YEARS, st.integers(0, 60).map(lambda r: r / 1000))
def test_nominal_money_gives_the_same_present_value_as_real_money(
    cost: str, saved: str, upkeep: str, rate: float, growth: float, years: int, inflation: float
) -> None:
    job = replace(
        project(cost, saved, upkeep),
        later=LaterCost(defined("later_year", max(1, years // 2), "yr", "test"), usd("driver_cost", 321)),
        residual=usd("residual", 55),
    )
    economics = terms(rate, years, growth, 0.0, inflation)

    real = life_cycle(job, economics)
    nominal = life_cycle(nominal_project(job, economics), in_nominal_money(economics))

    # The restated later amounts are kept to the cent, so the two may differ by as much.
    assert nominal.npv.value == pytest.approx(real.npv.value, abs=Decimal("0.03"))
    assert nominal.table[-1].energy >= real.table[-1].energy
    if inflation > 0 and real.table[-1].energy > 100:
        assert nominal.table[-1].energy > real.table[-1].energy


def test_a_nominal_rate_less_inflation_is_the_real_rate() -> None:
    nominal = defined("nominal", 0.0575, "1/yr", "test")
    inflation = defined("inflation", 0.025, "1/yr", "test")

    assert real_rate("real", nominal, inflation).value == pytest.approx(0.0575 / 1.025 - 0.025 / 1.025)


@settings(max_examples=60)
@given(COSTS, SAVINGS, RATES, GROWTHS, YEARS)
def test_net_present_value_ratio_and_rate_agree_on_whether_it_pays(
    cost: str, saved: str, rate: float, growth: float, years: int
) -> None:
    found = life_cycle(project(cost, saved), terms(rate, years, growth))
    assert found.sir is not None
    assert found.airr is not None

    if found.npv.value > Decimal("0.01"):
        assert found.sir.value > 1
        assert found.airr.value > rate
        assert isinstance(found.irr, OneRate)
        assert found.irr.rate > rate
        assert found.discounted_payback.outcome == "years"
    elif found.npv.value < Decimal("-0.01"):
        assert found.sir.value < 1
        assert found.airr.value < rate
        assert found.discounted_payback.outcome == "beyond_study"


@settings(max_examples=60)
@given(COSTS, SAVINGS, SAVINGS, RATES, YEARS)
def test_doubling_everything_doubles_the_money_and_leaves_times_and_rates(
    cost: str, saved: str, upkeep: str, rate: float, years: int
) -> None:
    once = life_cycle(project(cost, saved, upkeep), terms(rate, years))
    twice = life_cycle(
        project(str(2 * Decimal(cost)), str(2 * Decimal(saved)), str(2 * Decimal(upkeep))), terms(rate, years)
    )

    assert twice.npv.value == pytest.approx(2 * once.npv.value, abs=Decimal("0.02"))
    assert once.simple_payback.figure is not None
    assert twice.simple_payback.figure is not None
    assert twice.simple_payback.figure.value == pytest.approx(once.simple_payback.figure.value)
    assert twice.discounted_payback.outcome == once.discounted_payback.outcome
    if isinstance(once.irr, OneRate):
        assert isinstance(twice.irr, OneRate)
        assert twice.irr.rate == pytest.approx(once.irr.rate, abs=1e-9)


@settings(max_examples=60)
@given(COSTS, SAVINGS, st.integers(0, 500_000), RATES, GROWTHS, YEARS)
def test_more_saving_never_makes_anything_worse(
    cost: str, saved: str, more: int, rate: float, growth: float, years: int
) -> None:
    less = life_cycle(project(cost, saved), terms(rate, years, growth))
    better = life_cycle(project(cost, str(Decimal(saved) + Decimal(more) / 100)), terms(rate, years, growth))

    assert better.npv.value >= less.npv.value
    assert value(better.simple_payback) <= value(less.simple_payback)
    assert value(better.discounted_payback) <= value(less.discounted_payback)
    assert better.cost_of_waiting.value >= less.cost_of_waiting.value


@settings(max_examples=60)
@given(COSTS, SAVINGS, RATES, YEARS)
def test_discounting_never_shortens_a_payback_and_a_higher_rate_never_raises_the_value(
    cost: str, saved: str, rate: float, years: int
) -> None:
    low, high = life_cycle(project(cost, saved), terms(rate, years)), life_cycle(
        project(cost, saved), terms(rate + 0.01, years)
    )  # fmt: skip

    assert high.npv.value <= low.npv.value
    assert value(low.discounted_payback) >= value(low.simple_payback) - 1e-9
    assert value(high.discounted_payback) >= value(low.discounted_payback)


def value(payback: object) -> float:
    figure = payback.figure  # type: ignore[attr-defined]
    return float("inf") if figure is None else float(figure.value)


@settings(max_examples=40)
@given(COSTS, SAVINGS, SAVINGS, RATES, GROWTHS, YEARS)
def test_the_difference_of_two_life_cycle_costs_is_the_net_present_value(
    cost: str, before: str, share: str, rate: float, growth: float, years: int
) -> None:
    after = str((Decimal(before) / 3).quantize(Decimal("0.01")))
    saved = str(Decimal(before) - Decimal(after))
    economics = terms(rate, years, growth)

    keeping = life_cycle_cost("keeping", economics, usd("energy_before", before, "USD/yr"))
    changing = life_cycle_cost(
        "changing", economics, usd("energy_after", after, "USD/yr"), first_cost=usd("net_cost", cost)
    )

    npv = life_cycle(project(cost, saved), economics).npv
    assert keeping.value - changing.value == pytest.approx(npv.value, abs=Decimal("0.02"))


def every_figure(found: LifeCycle) -> list[Figure]:
    roots = [
        found.npv, found.irr_figure, found.sir, found.airr, found.monthly_payment, found.monthly_saving,
        found.cost_of_waiting, found.simple_payback.figure, found.discounted_payback.figure,
    ]  # fmt: skip
    return in_order([figure for figure in roots if figure is not None])


def test_every_printed_formula_gives_its_figure_again() -> None:
    checked = 0
    for figure in every_figure(life_cycle(full_project(), terms(0.03, 15, 0.01, 0.002))):
        if figure.formula is None:
            continue
        money = figure.unit.startswith("USD")
        values = {i.name: decimal(i.value) if money else float(i.value) for i in figure.inputs}
        again = evaluate(figure.formula, values)
        assert float(again) == pytest.approx(float(figure.value), abs=0.0051 if money else 1e-12)
        checked += 1

    assert checked >= 9


def test_the_closed_forms_range_as_one() -> None:
    economics = usual_economics(
        assumed("real_discount_rate", 0.03, "1/yr", 0.0, 0.08, "test"),
        assumed("analysis_years", 15, "yr", 10, 20, "test"),
    )
    found = life_cycle(full_project(), economics)
    assert found.irr_figure is not None
    assert found.discounted_payback.figure is not None

    spreads = ranges(
        {"npv": found.npv, "irr": found.irr_figure, "payback": found.discounted_payback.figure}
    ).spreads

    for name, spread in spreads.items():
        assert spread.low < spread.base < spread.high, name


def test_the_loan_is_repaid_by_its_payments() -> None:
    economics = terms()
    payment = monthly_payment(usd("net_cost", 15_000), economics)
    assert payment is not None

    balance = 15_000.0
    for _ in range(60):
        balance = balance * (1 + 0.08 / 12) - float(payment.value)

    assert balance == pytest.approx(0, abs=60 * 0.005 * 1.25)


def test_a_payback_ignores_growth_of_prices() -> None:
    net, saved = usd("net_cost", 900), usd("saved", 450, "USD/yr")

    assert simple_payback(net, saved).figure.value == 2  # type: ignore[union-attr]
