"""The tables that come with the product keep their own rules, and those that no single row can show."""

import doctest
import re
from decimal import Decimal
from importlib import resources

import pytest

import engine.energy.daylight
import engine.places
import engine.tables.miss
from engine.tables import ROW_TYPES, load_tables
from engine.vocabulary import FAMILIES, LAMP_SOURCES

TABLES = load_tables()
FOLDER = resources.files("engine.tables")


def test_every_packaged_table_passes_its_own_rules():
    TABLES.check()


def test_every_csv_has_a_sidecar_and_every_sidecar_a_csv():
    names = [entry.name for entry in FOLDER.iterdir()]
    csvs = {name[:-4] for name in names if name.endswith(".csv")}
    sidecars = {name[:-5] for name in names if name.endswith(".toml")}

    assert csvs == sidecars
    assert csvs - {"places_zips", "places_cities"} == set(ROW_TYPES)


@pytest.mark.parametrize("table", sorted(ROW_TYPES))
def test_every_table_says_what_it_is_where_from_and_what_each_column_means(table):
    sidecar = TABLES.sidecar(table)

    assert sidecar.title
    assert sidecar.source
    assert sidecar.licence
    assert sidecar.seen in ("opened", "secondary", "memory", "mixed", "computed", "common practice")
    assert [column.name for column in sidecar.columns if not column.meaning] == []
    unbounded = [
        column.name
        for column in sidecar.columns
        if column.type in ("number", "integer", "money") and (column.least is None or column.most is None)
    ]
    assert unbounded == []


@pytest.mark.parametrize("table", sorted(ROW_TYPES))
def test_every_row_says_how_it_was_got_and_from_where(table):
    rows = getattr(TABLES, table)

    assert [row for row in rows if not row.seen or not row.provenance] == []


@pytest.mark.parametrize(
    "table", ["system_watts", "lamps", "families", "led_equivalents", "watts_observations"]
)
def test_keys_of_sources_named_in_a_row_are_in_the_list_of_sources(table):
    known = {row.key for row in TABLES.sources}
    looks_like_key = re.compile(r"\b(?:USC|DOE|TP|CITY|COOP|GW|FEMP|EPA|LBL|PNNL|NREL)-[A-Za-z0-9]+\b")
    named = {key for row in getattr(TABLES, table) for key in looks_like_key.findall(row.provenance)}

    assert named
    assert named - known == set()


def test_no_file_holds_british_spelling_or_a_path_of_a_machine():
    odd = re.compile(
        r"\b(?:centre|labour|colour|programme|theatre|storey|vapour)\b|/home/|/tmp/", re.IGNORECASE
    )
    found = {
        (entry.name, odd.search(text).group())
        for entry in FOLDER.iterdir()
        if entry.name.endswith((".csv", ".toml"))
        and odd.search(text := entry.read_text(encoding="utf-8"))
        and not entry.name.startswith("places_")
    }

    assert found == set()


def test_every_family_of_the_vocabulary_has_a_row_and_usual_lamps():
    assert [row.family for row in TABLES.families] == list(FAMILIES)
    assert {row.family for row in TABLES.usual_lamps} == set(FAMILIES)


def test_every_light_source_has_depreciation_and_a_ratio_of_watts():
    assert {row.lamp_source for row in TABLES.lamp_depreciation} == set(LAMP_SOURCES)
    assert {row.lamp_source for row in TABLES.watts_per_lamp_watt} == set(LAMP_SOURCES)


def test_every_lamp_with_system_watts_has_lumens_and_every_usual_lamp_has_both():
    watts = {(row.lamp_source, row.lamp_watts, row.lamp_feet) for row in TABLES.system_watts}
    lumens = {(row.lamp_source, row.lamp_watts, row.lamp_feet) for row in TABLES.lamps}
    usual = {(row.lamp_source, row.lamp_watts, row.lamp_feet) for row in TABLES.usual_lamps}

    assert watts - lumens == set()
    assert usual - watts == set()


def test_every_ballast_of_a_row_is_among_the_usual_ones_and_has_a_factor():
    used = {(row.lamp_source, row.ballast) for row in TABLES.system_watts}
    usual = {(row.lamp_source, row.ballast) for row in TABLES.usual_ballasts}
    factors = {(row.lamp_source, row.ballast) for row in TABLES.ballast_factor}

    assert used - usual == set()
    assert used - factors == set()


def test_input_watts_are_never_below_lamp_watts_but_on_electronic_or_part_load_ballasts():
    below = [row for row in TABLES.system_watts if row.watts < row.lamp_watts * row.lamps]

    assert {row.lamp_source for row in below} <= {"T8", "T12"}
    assert all("electronic" in row.ballast or "energy-saving" in row.ballast for row in below)


def test_more_lamps_of_a_kind_never_draw_less():
    for row in TABLES.system_watts:
        kin = [
            other
            for other in TABLES.system_watts
            if (other.lamp_source, other.lamp_watts, other.lamp_feet, other.ballast)
            == (row.lamp_source, row.lamp_watts, row.lamp_feet, row.ballast)
            and other.lamps > row.lamps
        ]
        assert all(other.watts > row.watts for other in kin), row


def test_mean_lumens_are_below_initial_lumens():
    assert [row for row in TABLES.lamps if row.mean_lumens >= row.initial_lumens] == []


def test_fifty_states_and_the_district_have_a_price_a_middle_and_a_grid():
    states = {row.state for row in TABLES.states}
    priced = {row.state for row in TABLES.electric_rates if row.commercial_usd_per_kwh is not None}

    assert len(states - {"PR"}) == 51
    assert states - {"PR"} == priced - {"US"}


def test_money_is_exact():
    assert all(isinstance(row.lamp_usd, Decimal) for row in TABLES.maintenance_costs)
    ohio = next(row for row in TABLES.electric_rates if (row.state, row.period) == ("OH", "2023"))
    assert ohio.commercial_usd_per_kwh == Decimal("0.1075")


def test_a_building_type_takes_its_base_from_the_hours_table():
    hours = {(row.kind, row.name, row.annual_hours) for row in TABLES.operating_hours}

    assert [
        row for row in TABLES.building_types if (row.hours_kind, row.hours_row, row.annual_hours) not in hours
    ] == []


def test_the_version_follows_the_content_and_an_own_table_replaces_one_whole(tmp_path):
    own = "key,value_low,value,value_high,unit,seen,provenance,note\nrate_spread,1,1,1,,memory,own,\n"
    (tmp_path / "defaults.csv").write_text(own)

    replaced = load_tables(tmp_path)

    assert replaced.version != TABLES.version
    assert [row.key for row in replaced.defaults] == ["rate_spread"]
    assert replaced.lamps == TABLES.lamps
    assert load_tables(tmp_path).version == replaced.version
    assert re.fullmatch(r"[0-9a-f]{12}", TABLES.version)


def test_packaged_tables_are_loaded_once():
    assert load_tables() is load_tables()


@pytest.mark.parametrize("module", [engine.places, engine.energy.daylight, engine.tables.miss])
def test_examples_in_docstrings_hold(module):
    outcome = doctest.testmod(module)

    assert outcome.attempted > 0
    assert outcome.failed == 0
