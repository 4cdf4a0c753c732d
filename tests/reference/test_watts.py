"""Input watts against what opened sources state, measured or bill, and against what federal statute allows.

The observations are ``watts_observations.csv`` (each row names its document in ``sources.csv``);
the statutory ceilings are ``watts_ceilings.csv`` beside this file.
"""

import csv
from pathlib import Path

import pytest

from engine.tables import lamp, load_tables, system_watts

TABLES = load_tables()
CEILINGS = list(
    csv.DictReader((Path(__file__).parent / "watts_ceilings.csv").read_text(encoding="utf-8").splitlines())
)
STATED_OR_MEASURED = [
    row for row in TABLES.watts_observations if row.used and not row.provenance.startswith("USC")
]
SOURCES = {row.key: row.document for row in TABLES.sources}


def _name(row):
    return f"{row.lamp_source} {row.lamp_watts:g} x{row.lamps} {row.provenance} {row.watts_low:g}"


def test_at_least_twenty_five_outside_figures_are_compared_each_with_its_document():
    assert len(STATED_OR_MEASURED) >= 60
    assert len(CEILINGS) >= 20
    assert {row.provenance for row in TABLES.watts_observations} <= SOURCES.keys()
    assert all(row["source"] for row in CEILINGS)


@pytest.mark.parametrize("row", STATED_OR_MEASURED, ids=_name)
def test_an_observation_lies_in_the_range_and_near_the_base(row):
    found = system_watts(TABLES, row.lamp_source, row.lamp_watts, row.lamps, row.lamp_feet, row.ballast)

    assert found.how == "row"
    assert found.low * 0.995 <= row.watts_low
    assert row.watts_high <= found.high * 1.005
    middle = (row.watts_low + row.watts_high) / 2
    assert found.watts == pytest.approx(middle, rel=0.16)


@pytest.mark.parametrize(
    "row", CEILINGS, ids=lambda row: f"{row['lamp_source']} {row['lamp_watts']} x{row['lamps']}"
)
def test_watts_do_not_pass_what_statute_allows(row):
    """Magnetic pulse-start fixtures made before 2009 draw more: for them only the low end must reach the ceiling."""
    feet = float(row["lamp_feet"]) if row["lamp_feet"] else None
    found = system_watts(
        TABLES, row["lamp_source"], float(row["lamp_watts"]), int(row["lamps"]), feet, row["ballast"]
    )
    ceiling = float(row["numerator"]) / float(row["efficiency"])

    assert found.how == "row"
    checked = found.low if row["applies_to"] == "low" else found.watts
    assert checked <= ceiling
    assert found.watts <= ceiling * 1.10


@pytest.mark.parametrize(
    ("source", "watts", "feet", "floor"),
    [
        ("T12", 40, 4, 75.0),
        ("T12", 34, 4, 75.0),
        ("T12", 75, 8, 80.0),
        ("T12", 60, 8, 80.0),
        ("T12", 110, 8, 80.0),
    ],
)
def test_fluorescent_lumens_reach_the_floor_of_42_usc_6295_i(source, watts, feet, floor):
    """Floors of 42 USC 6295(i)(1)(B), 1992: 75 lm/W for 4 ft, 80 lm/W for 8 ft slimline and high output."""
    found = lamp(TABLES, source, watts, feet)

    assert found.initial_lumens >= floor * watts


@pytest.mark.parametrize(
    ("source", "published", "spread"),
    [
        ("T12", 74, 0.2),
        ("T8", 94.1, 0.1),
        ("T5", 103.5, 0.1),
        ("MH", 90.2, 0.15),
        ("MV", 43, 0.2),
        ("CFL", 66, 0.2),
    ],
)
def test_lumens_per_lamp_watt_agree_with_the_lighting_market_characterization(source, published, spread):
    """US DOE, 2015 US Lighting Market Characterization, table C3: average source lm/W.

    Middle of our lamps of that source, initial lumens over lamp watts; the survey weighs by what is installed.
    """
    ratios = sorted(row.initial_lumens / row.lamp_watts for row in TABLES.lamps if row.lamp_source == source)

    assert ratios[len(ratios) // 2] == pytest.approx(published, rel=spread)


@pytest.mark.parametrize(
    ("source", "watts", "low", "high"),
    [
        ("HPS", 150, 8000, 13000),
        ("HPS", 250, 12000, 18000),
        ("HPS", 400, 25000, 40000),
        ("MH", 150, 6000, 10000),
        ("MH", 250, 11000, 18000),
        ("MH", 400, 20000, 32000),
    ],
)
def test_light_out_of_an_area_luminaire_is_what_lighting_facts_measured(source, watts, low, high):
    """US DOE, LED Lighting Facts, commercial product performance scale 1.0 (c. 2012): lumens out of new luminaires."""
    area = next(row for row in TABLES.families if row.family == "area")
    found = lamp(TABLES, source, watts)

    assert found.initial_lumens * area.efficiency_low <= high
    assert found.initial_lumens * area.efficiency_high >= low
    assert low * 0.9 <= found.initial_lumens * area.efficiency <= high * 1.1


def test_the_worked_check_of_a_250_watt_wall_pack_comes_out():
    """20,500 lm x 0.66 x 0.62 x 0.90 = 7,550 lm delivered and maintained (worked by hand in the trade's notes)."""
    pack = next(row for row in TABLES.families if row.family == "wall_pack")
    dirt = next(
        row for row in TABLES.dirt_depreciation if (row.environment, row.light) == ("exterior", "legacy")
    )
    found = lamp(TABLES, "MH", 250)

    assert found.mean_lumens * pack.efficiency * dirt.ldd == pytest.approx(7550, rel=0.01)
