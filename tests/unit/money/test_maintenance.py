"""Upkeep: relamping by hours, access by height, disposal, the LED allowance."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.figure import Figure, defined, in_order
from engine.formula import evaluate
from engine.job import default_figure
from engine.money.allowances import allowance
from engine.money.maintenance import (
    LampUpkeep,
    Practice,
    UpkeepOfJob,
    UpkeepRates,
    access,
    ballasts_in,
    relamps_per_year,
    upkeep_after,
    upkeep_before,
    upkeep_saved,
)
from engine.quantities import decimal
from engine.tables import NoSuchRow, lamp, load_tables
from tests.unit.money.conftest import usd

TABLES = load_tables()


def default(key: str, unit: str) -> Figure:
    return default_figure(TABLES, key, key, unit)


RATES = UpkeepRates(
    default("labor_usd_per_hour", "USD/h"),
    default("lift_usd_per_day", "USD/day"),
    default("recycling_usd_per_lamp", "USD"),
    default("lift_from_height_ft", "ft"),
)
QTY = defined("qty", 12, "1", "test")
HOURS = defined("hours_per_year", 4300.0, "h/yr", "test")


def upkeep(source: str = "MH", watts: float = 250, lamps: int = 1, feet: float | None = None, ballast: str = "CWA",
           height: float = 12, practice: Practice = "spot") -> LampUpkeep:  # fmt: skip
    found = UpkeepOfJob(TABLES, RATES, practice).of(source, watts, lamps, feet, ballast, height)  # type: ignore[arg-type]
    assert isinstance(found, LampUpkeep)
    return found


def test_one_lamp_on_a_ladder_by_hand() -> None:
    """250 W metal halide: 28 lamp + 30 min at 95 an hour = 47.50 + 1 recycling = 76.50."""
    assert upkeep().relamp_cost.value == Decimal("76.50")


def test_one_lamp_from_a_lift_shares_its_day_with_three_others() -> None:
    """350 a day over 4 lamps = 87.50 more."""
    assert upkeep(height=20).relamp_cost.value == Decimal("164.00")


def test_a_year_of_a_dozen_wall_packs_by_hand() -> None:
    """10,000 h lamps and 50,000 h ballasts at 4,300 h: 5.16 lamps at 76.50, 1.032 ballasts at 60 + 71.25... a year."""
    found = upkeep()
    life = lamp(TABLES, "MH", 250)
    assert not isinstance(life, NoSuchRow)
    assert found.reballast_cost is not None

    year = upkeep_before(found, QTY, HOURS)

    lamps = 12 * 4300 / life.rated_life_hours
    ballasts = 12 * 4300 / 50_000
    by_hand = lamps * 76.50 + ballasts * float(found.reballast_cost.value)
    assert relamps_per_year(found, QTY, HOURS).value == pytest.approx(lamps)
    assert float(year.value) == pytest.approx(by_hand, abs=0.01)


def test_lamps_without_mercury_need_no_recycling() -> None:
    names = {figure.name for figure in in_order([upkeep("HAL", 500, ballast="").relamp_cost])}

    assert "recycling_usd_per_lamp" not in names
    assert "recycling_usd_per_lamp" in {figure.name for figure in in_order([upkeep().relamp_cost])}


def test_lamps_without_a_ballast_have_no_ballast_to_replace() -> None:
    assert upkeep("INC", 100, ballast="").reballast_cost is None


def test_group_relamping_costs_less_a_lamp_where_a_lift_is_needed() -> None:
    assert (
        upkeep(height=25, practice="group").relamp_cost.value
        < upkeep(height=25, practice="spot").relamp_cost.value
    )


def test_group_relamping_replaces_lamps_before_their_end() -> None:
    group, spot = upkeep(practice="group"), upkeep(practice="spot")

    assert group.relamps_per_burn_hour.value == pytest.approx(spot.relamps_per_burn_hour.value / 0.7)


@pytest.mark.parametrize(
    ("height", "reach"), [(0, "ladder"), (14, "ladder"), (14.1, "lift"), (40, "lift"), (40.1, "high_lift")]
)
def test_height_decides_what_it_takes_to_reach(height: float, reach: str) -> None:
    assert access(height, RATES.lift_from_height_ft) == reach


@pytest.mark.parametrize(
    ("source", "lamps", "ballast", "count"),
    [("MH", 2, "CWA", 2), ("T12", 4, "magnetic", 2), ("T12", 3, "energy-saving magnetic", 2), ("T8", 4, "electronic", 1),
     ("T8", 6, "electronic", 2), ("CFL", 2, "magnetic", 1)],
)  # fmt: skip
def test_ballasts_are_counted_as_they_are_usually_wired(
    source: str, lamps: int, ballast: str, count: int
) -> None:
    assert ballasts_in(source, lamps, ballast) == count  # type: ignore[arg-type]


def test_a_lamp_that_no_table_knows_has_no_upkeep() -> None:
    assert isinstance(UpkeepOfJob(TABLES, RATES).of("LED", 60, 1, None, "", 12), NoSuchRow)


def test_a_kind_of_luminaire_is_worked_out_once() -> None:
    job = UpkeepOfJob(TABLES, RATES)

    assert job.of("MH", 250, 1, None, "CWA", 12) is job.of("MH", 250, 1, None, "CWA", 9)
    assert job.of("MH", 250, 1, None, "CWA", 12) is not job.of("MH", 250, 1, None, "CWA", 20)


def led(qty: Figure = QTY, warranty: float = 5, years: int = 15, price: float = 210) -> Figure:
    return upkeep_after(
        qty, usd("unit_price", price), defined("labor_minutes", 25.0, "min", "test"), RATES.labor_usd_per_hour,
        default("led_maintenance_share", "1/yr"), defined("analysis_years", years, "yr", "test"),
        defined("warranty_years", warranty, "yr", "test"),
    )  # fmt: skip


def test_the_led_allowance_by_hand() -> None:
    """12 x 1 % x (25 min at 95 = 39.5833, + half of 210 for 10 years of 15 = 70) = 13.15."""
    assert led().value == Decimal("13.15")


def test_a_warranty_as_long_as_the_study_leaves_only_labor() -> None:
    assert led(warranty=15).value == led(warranty=40).value == Decimal("4.75")


def test_upkeep_saved_may_be_a_loss() -> None:
    before = usd("maintenance_before_per_year", "5.00", "USD/yr")

    assert upkeep_saved(before, led()).value == Decimal("-8.15")


@given(st.integers(1, 500), st.floats(10, 8760), st.floats(6, 60))
def test_upkeep_grows_with_number_and_hours_and_never_falls_with_height(
    qty: int, hours: float, height: float
) -> None:
    found, higher = upkeep(height=height), upkeep(height=height + 20)
    count, double = defined("qty", qty, "1", "test"), defined("qty", 2 * qty, "1", "test")
    burn, more = (
        defined("hours_per_year", hours, "h/yr", "test"),
        defined("hours_per_year", hours + 10, "h/yr", "test"),
    )

    year = upkeep_before(found, count, burn).value
    assert abs(upkeep_before(found, double, burn).value - 2 * year) <= Decimal("0.02")
    assert upkeep_before(found, count, more).value >= year
    assert upkeep_before(higher, count, burn).value >= year


def test_every_lamp_of_the_table_has_an_upkeep_with_a_range() -> None:
    job = UpkeepOfJob(TABLES, RATES)
    for row in TABLES.lamps:
        found = job.of(row.lamp_source, row.lamp_watts, 1, row.lamp_feet, "", 12)
        assert isinstance(found, LampUpkeep), row
        assert found.per_burn_hour.value > 0
        assert any(figure.is_ranged for figure in in_order([found.per_burn_hour]))


@pytest.mark.parametrize("practice", ["spot", "group"])
@pytest.mark.parametrize("height", [10, 20, 50])
def test_every_printed_formula_gives_its_figure_again(practice: Practice, height: float) -> None:
    found = upkeep("T8", 32, 4, 4, "electronic", height, practice)
    for figure in in_order([upkeep_before(found, QTY, HOURS), relamps_per_year(found, QTY, HOURS), led()]):
        if figure.formula is None:
            continue
        money = figure.unit.startswith("USD")
        again = evaluate(
            figure.formula, {i.name: decimal(i.value) if money else float(i.value) for i in figure.inputs}
        )
        assert float(again) == pytest.approx(float(figure.value), abs=0.0051 if money else 1e-12)


def test_an_allowance_is_one_and_the_same_figure_and_unknown_ones_are_refused() -> None:
    assert allowance("warranty_years") is allowance("warranty_years")
    assert "allowances.csv" in allowance("warranty_years").origin.source  # type: ignore[union-attr]
    with pytest.raises(KeyError):
        allowance("no such allowance")
