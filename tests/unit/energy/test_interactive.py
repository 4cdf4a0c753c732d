"""Heating and cooling: nothing outdoors, a range where the heat is not known."""

import pytest

from engine.energy.interactive import fuel_saved, interactive, net_kwh_saved
from engine.figure import defined
from engine.tables import load_tables

TABLES = load_tables()
KWH = defined("kwh_saved", 1000.0, "kWh/yr", "test")


def test_outdoors_nothing_changes_and_that_is_no_assumption() -> None:
    factors = interactive(TABLES, "Warehouse", "electric", conditioned=False)

    assert net_kwh_saved(KWH, factors).value == 1000
    assert not factors.electric_factor.is_ranged
    assert fuel_saved(KWH, factors) is None


def test_unknown_heat_takes_fuel_and_reaches_over_the_kinds() -> None:
    factor = interactive(TABLES, "Other commercial", None, conditioned=True).electric_factor

    assert factor.value == pytest.approx(1.03)
    assert factor.origin is not None
    assert (factor.origin.low, factor.origin.high) == (0.87, 1.03)


def test_an_unknown_building_counts_as_other_commercial() -> None:
    known = interactive(TABLES, "Other commercial", "fuel", conditioned=True)
    unknown = interactive(TABLES, "Observatory", "fuel", conditioned=True)

    assert unknown.electric_factor.value == known.electric_factor.value


def test_electric_heat_burns_no_fuel() -> None:
    assert fuel_saved(KWH, interactive(TABLES, None, "electric", conditioned=True)) is None


def test_every_building_of_the_table_has_every_kind_of_heat() -> None:
    buildings = {row.building for row in TABLES.interactive_effects if row.hvac == "heat pump"}

    assert len(buildings) == 20
    for building in buildings:
        for heating in ("electric", "heat_pump", "fuel", "refrigerated"):
            assert interactive(TABLES, building, heating, conditioned=True).electric_factor.value > 0
