"""Sources in words: no keys, no file names, the stock phrases in the reader's language."""

import re

import pytest

from bot.replies.sources import short_source, sources_in_full, table_row
from bot.replies.words import LANGUAGES, words_in
from engine.tables import load_tables

ROWS = (
    "watts_observations", "system_watts", "lamps", "families", "defaults", "allowances", "maintenance_costs",
    "ballast_factor", "dirt_depreciation", "lamp_depreciation", "optics_factor", "usual_control_savings",
    "electric_rates", "emission_factors", "operating_hours", "interactive_effects", "usual_lamps",
)  # fmt: skip


@pytest.fixture(params=LANGUAGES)
def words(request):
    return words_in(request.param)


def test_documents_are_written_out_one_by_one():
    full = sources_in_full("sources: RT, TP-W, CITY-1; rest memory", words_in("en"))

    assert full[0].startswith("fixture wattage table of a utility rebate form")
    assert full[2].startswith("City of Columbus (Ohio), codified ordinance 1163.12")
    assert full[3] == "rest from memory"


def test_a_list_says_only_the_kind_of_source(words):
    phrases = words.table("source_phrases")

    assert short_source("sources: RT, TP-W, CITY-1", words) == phrases["many_published"].format(count=3)
    assert short_source("sources: TP-L; rest memory", words) == phrases["one_published"]
    assert short_source("memory, base; -30 % and +60 % for the ends", words) == phrases["memory"]
    assert (
        short_source("common practice, no source: productive hours (defaults.csv: x)", words)
        == (phrases["common practice, no source"])
    )
    assert (
        short_source("dusk to dawn, place unknown (defaults.csv: dusk_to_dawn_hours)", words)
        == (phrases["dusk to dawn, place unknown"])
    )
    assert short_source("defaults.csv: rate", words) == phrases["our_tables"]


def test_the_stock_phrases_are_spanish_and_the_documents_stay():
    spanish = words_in("es")

    assert sources_in_full("memory: rental of a small boom or scissor lift, about 2023", spanish) == (
        "de memoria: renta de una plataforma pequeña, hacia 2023",
    )
    full = " ".join(sources_in_full("base: PNNL-LSM 0.74 high bay; ends memory", spanish))
    assert "ASHRAE/IES 90.1 lighting subcommittee model" in full
    assert "los extremos de memoria" in full
    assert "memory" not in full


def test_a_sentence_with_places_is_translated_whole():
    spanish, english = words_in("es"), words_in("en")
    night = "assumed: dusk to dawn: sunset to sunrise computed for latitude 41.7; low: civil twilight"
    rate = "OH average commercial rate, 2025-04: EIA Electric Power Monthly Table 5.6.A, April 2025"
    recalled = "US average commercial rate, 2023: industrial: a statistics portal (Mar 2024); others memory"

    assert short_source(night, spanish).startswith(
        "del anochecer al amanecer, calculado para la latitud 41.7; el"
    )
    assert "low:" not in short_source(night, english)
    assert short_source(rate, spanish).startswith(
        "tarifa comercial promedio (OH), 2025-04, EIA Electric Power"
    )
    assert short_source(recalled, spanish) == "tarifa comercial promedio (US), 2023, de memoria"
    assert short_source(recalled, english) == "US average commercial rate, 2023, from memory"


def test_no_source_in_the_tables_shows_a_key_or_a_file(words):
    tables = load_tables()
    keys = {row.key for row in tables.sources}
    seen = 0
    for name in ROWS:
        for row in getattr(tables, name):
            provenance = getattr(row, "provenance", "")
            if not provenance:
                continue
            seen += 1
            for text in (short_source(provenance, words), *sources_in_full(provenance, words)):
                assert not re.search(r"[a-z]_[a-z]|\.csv|\.toml", text), text
                assert not set(re.findall(r"[A-Z][A-Z0-9]{1,5}-[A-Za-z0-9]{1,4}", text)) & keys, text
                assert text
    assert seen > 200


def test_a_row_of_a_table_is_named_in_words():
    english = words_in("en")

    assert table_row("system_watts.csv: MH 250 W 1 lamp CWA", english) == (
        "fixture watts, metal halide 250 W 1 lamp CWA"
    )
    assert table_row("families.csv: wall_pack", words_in("es")) == "tipos de luminaria, wall pack"
    assert table_row("maintenance_costs.csv: metal_halide_medium", english) == (
        "upkeep prices and times, metal halide medium"
    )
    assert table_row("flat.toml: all year, energy", english) == ""
    assert table_row("job.schedule", english) == ""


def test_a_long_or_odd_source_is_bounded(words):
    for text in ("x" * 100_000, "(" * 5000 + "memory.csv", "sources: " + "RT, " * 3000, ""):
        assert len(short_source(text, words)) <= 110
        assert sum(len(part) for part in sources_in_full(text, words)) < 400_000
