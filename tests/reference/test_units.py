"""Unit conversions against pint, and the pairs of units that the tables hold side by side."""

import pytest

from engine import quantities
from engine.tables import load_tables

TABLES = load_tables()


@pytest.fixture(scope="module")
def units():
    import pint  # a second to import, which every worker would pay when it looks for tests

    known = pint.UnitRegistry()
    known.define("footcandle = lumen / foot ** 2 = fc")
    known.define("USD = [money]")
    return known


@pytest.mark.parametrize("value", [0.0, 1.0, 0.5, 8.25, 20.0, 40.0, 120.0, 1000.0])
def test_feet_and_meters_and_footcandles_and_lux_are_those_of_pint(value, units):
    assert quantities.feet_to_metres(value) == pytest.approx(
        units.Quantity(value, "foot").to("meter").magnitude
    )
    assert quantities.metres_to_feet(value) == pytest.approx(
        units.Quantity(value, "meter").to("foot").magnitude
    )
    assert quantities.footcandles_to_lux(value) == pytest.approx(
        units.Quantity(value, "fc").to("lux").magnitude
    )


def test_a_pound_is_that_of_pint(units):
    pound = units.Quantity(1, "pound").to("kilogram").magnitude

    assert pound == pytest.approx(quantities.KG_PER_POUND, rel=1e-12)


def test_hours_and_weeks_of_a_year_are_those_of_a_common_year(units):
    days = units.Quantity(365, "day")

    assert days.to("hour").magnitude == pytest.approx(quantities.HOURS_PER_YEAR)
    assert int(days.to("week").magnitude) == quantities.WEEKS_PER_YEAR


@pytest.mark.parametrize("end", ["_low", "", "_high"])
def test_light_levels_in_footcandles_and_lux_say_the_same(end, units):
    """Standards round: 10 fc is written 100 lx as often as 107.6, so eight percent are allowed, or half a lux."""
    for row in TABLES.light_levels:
        footcandles, lux = getattr(row, f"fc{end}"), getattr(row, f"lux{end}")
        if footcandles is not None:
            exact = units.Quantity(footcandles, "fc").to("lux").magnitude
            assert lux == pytest.approx(exact, rel=0.08, abs=0.5), row


def test_units_written_in_the_sidecars_are_units_that_pint_knows(units):
    spelled = {"fc": "fc", "lx": "lux", "h": "hour", "lm": "lumen", "ft": "foot", "degrees": "degree"}
    written = {
        column.unit
        for table in ("system_watts", "lamps", "families", "light_levels", "electric_rates", "dusk_to_dawn")
        for column in TABLES.sidecar(table).columns
        if column.unit
    }

    assert len(written) >= 8
    for unit in written:
        parts = [spelled.get(part, part) for part in unit.split("/")]
        assert all(units.parse_expression(part) is not None for part in parts), unit
