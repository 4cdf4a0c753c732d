"""Carbon: by state or country."""

import pytest

from engine.energy.carbon import carbon_rate, carbon_saved, in_kilograms
from engine.figure import defined
from engine.tables import load_tables

TABLES = load_tables()


def test_a_place_that_is_no_state_has_the_countrys_average() -> None:
    assert carbon_rate(TABLES, "ZZ").value == carbon_rate(TABLES, None).value


def test_the_range_takes_in_region_state_and_country() -> None:
    rate = carbon_rate(TABLES, "CA")

    assert rate.origin is not None
    assert rate.origin.low <= rate.value <= rate.origin.high
    assert rate.origin.high >= carbon_rate(TABLES, None).value


def test_using_more_gives_off_more() -> None:
    more = carbon_saved(defined("kwh_saved", -500.0, "kWh/yr", "test"), carbon_rate(TABLES, None))

    assert more.value < 0


def test_pounds_and_kilograms_are_the_same_carbon() -> None:
    pounds = carbon_saved(defined("kwh_saved", 1234.5, "kWh/yr", "test"), carbon_rate(TABLES, "OH"))

    assert in_kilograms(pounds).value / 0.45359237 == pytest.approx(pounds.value)


@pytest.mark.parametrize("state", [row.state for row in TABLES.states])
def test_every_state_has_a_rate(state: str) -> None:
    assert 1 < carbon_rate(TABLES, state).value < 3000
