"""Photometry where a user has it: quoting with a file of what hangs there, printing the generic one, serving a catalogue with files."""

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

from bot.contents import Pieces, add_catalogue, all_pieces, catalogue_at, versions_of
from bot.opening import DEMO_CATALOGUE, open_catalogue, open_tables
from bot.schemas import schema_named
from bot.settings import Settings
from bot.store.catalogue import open_served, read_files
from bot.store.opened import open_store
from engine.errors import ConfigurationError
from engine.quote import NO_TERMS
from tests.system.conftest import Outcome

Run = Callable[..., Outcome]
FIRST = "twelve 250W wallpacks at 20 ft, $0.11/kWh, dusk-to-dawn"
NEW = DEMO_CATALOGUE / "photometry" / "DUNLIN-05P.ies"


def test_the_generic_file_gives_half_a_footcandle_where_the_trade_looks(
    wattclerk: Run, wattclerk_afresh: Run, tmp_path: Path
) -> None:
    """Common practice, no source; maintained: x 0.66 lamp lumen depreciation x 0.90 dirt."""
    printed = wattclerk_afresh("generic-light", "250W metal halide wall pack")
    old = tmp_path / "old.ies"
    old.write_text(printed.out)
    at = ("--height-ft", "20", "--at", "0,40", "--json")

    before = json.loads(wattclerk("light", str(old), "--llf", "0.594", *at).out)
    after = json.loads(wattclerk("light", str(NEW), "--llf", "0.828", *at).out)

    assert "Generic" in printed.out
    assert before["lumens"] == pytest.approx(20_500 * 0.62, rel=0.005)
    assert before["fc"][0] == pytest.approx(0.5, rel=0.05)
    assert after["fc"][0] == pytest.approx(before["fc"][0], rel=0.15)


def test_the_quote_s_json_tells_the_same_levels_as_the_light_command(wattclerk: Run) -> None:
    quote = json.loads(wattclerk("quote", "--json", FIRST).out)
    jsonschema.Draft202012Validator(schema_named("quote")).validate(quote)
    line = quote["lines"][0]
    light = line["light"]
    maintained = light["after"]["lumens"] / line["options"][0]["lumens"]
    file = DEMO_CATALOGUE / "photometry" / light["after"]["name"]
    places = {place["place"]: place for place in light["places"]}

    shown = json.loads(
        wattclerk(
            "light",
            str(file),
            "--height-ft",
            "20",
            "--llf",
            f"{maintained:.6f}",
            "--at",
            "0,40;40,0",
            "--json",
        ).out
    )["fc"]

    assert line["matched_by"] == "light"
    assert light["before"]["generic"] is True
    assert (light["arrangement"], light["height_ft"], light["level_fc"]) == ("wall", 20, 0.5)
    assert [places["ahead"]["after_fc"], places["side"]["after_fc"]] == pytest.approx(shown, rel=2e-3)
    assert light["throws"][0]["direction"] == "ahead"
    assert light["throws"][0]["after_ft"] == pytest.approx(40, abs=1.5)
    assert light["text"].startswith("At 20 ft")


def test_a_file_of_what_hangs_there_takes_the_place_of_the_generic_shape(wattclerk: Run) -> None:
    outcome = wattclerk("quote", "--existing-photometry", str(NEW), FIRST)

    assert outcome.status == 0
    assert "from DUNLIN-05P.ies" in " ".join(outcome.out.split())
    assert "generic shape" not in outcome.out


def test_the_second_line_s_file_is_the_second_line_s(wattclerk: Run) -> None:
    text = "12 250w MH wall packs at 20 ft and 8 400w MH shoeboxes on 25 ft poles"
    quote = json.loads(wattclerk("quote", "--json", "--existing-photometry", f"2={NEW}", text).out)

    assert [line["light"]["before"]["generic"] for line in quote["lines"]] == [True, False]


@pytest.mark.parametrize(
    ("arguments", "status", "words"),
    [
        (("--existing-photometry", "missing.ies"), 1, "missing.ies can't be read"),
        (("--existing-photometry", f"3={NEW}"), 1, "the job has 1 line"),
        (("--existing-photometry", f"0={NEW}"), 1, "one file for each line"),
        (
            ("--existing-photometry", str(NEW), "--existing-photometry", f"1={NEW}"),
            1,
            "one file for each line",
        ),
        (("--existing-photometry", str(NEW), "--save"), 2, "leave --save out"),
    ],
)
def test_a_file_that_can_t_be_used_gets_one_plain_line(
    wattclerk: Run, arguments: tuple[str, ...], status: int, words: str
) -> None:
    outcome = wattclerk("quote", *arguments, FIRST)

    assert (outcome.status, outcome.out) == (status, "")
    assert len(outcome.error_lines) == 1
    assert words in outcome.err


def test_a_faulty_file_of_what_hangs_there_is_named_with_its_line(wattclerk: Run, tmp_path: Path) -> None:
    bad = tmp_path / "bad.ies"
    bad.write_text(NEW.read_text().replace("TILT=NONE", "TILT=NONE\n1 2 x"))

    outcome = wattclerk("quote", "--existing-photometry", str(bad), FIRST)

    assert outcome.status == 1
    assert "bad.ies, line " in outcome.err


@pytest.mark.parametrize("text", ["exit signs, 12 of them", "what do you sell?"])
def test_there_is_no_generic_file_of_what_is_not_known(wattclerk: Run, text: str) -> None:
    outcome = wattclerk("generic-light", text)

    assert (outcome.status, outcome.out) == (1, "")
    assert len(outcome.error_lines) == 1


def test_a_catalogue_s_faulty_file_stops_the_answer_with_file_and_line(
    wattclerk: Run, tmp_path: Path
) -> None:
    shop = tmp_path / "shop"
    shutil.copytree(DEMO_CATALOGUE, shop)
    file = shop / "photometry" / "DUNLIN-05P.ies"
    file.write_text(file.read_text().replace("0 15 30 45", "0 15 15 45"))

    outcome = wattclerk("ask", "--catalogue", str(shop), FIRST)

    assert (outcome.status, outcome.out) == (1, "")
    assert "photometry/DUNLIN-05P.ies, line " in outcome.err


def test_a_kept_catalogue_keeps_its_light_and_one_kept_before_has_none() -> None:
    catalogue, pieces = open_catalogue(), Pieces()
    root = add_catalogue(catalogue, pieces)
    versions = versions_of(root, open_tables(), NO_TERMS, None, pieces)

    again = catalogue_at(root, all_pieces(versions, pieces.by_hash.__getitem__).__getitem__)
    old_root = json.loads(pieces.by_hash[root])
    del old_root["light"]
    before = catalogue_at(pieces.add_json(old_root), pieces.by_hash.__getitem__)

    assert again == catalogue
    assert again.light == catalogue.light
    assert before.light == {}
    assert len(before.products) == len(catalogue.products)


def test_a_served_catalogue_carries_its_light_and_follows_its_files(
    make_settings: Callable[..., Settings], tmp_path: Path
) -> None:
    shop = tmp_path / "shop"
    shutil.copytree(DEMO_CATALOGUE, shop)
    settings = make_settings(catalogue=shop)
    store = open_store(settings)
    written = read_files(settings)
    file = shop / "photometry" / "DUNLIN-05P.ies"

    first = open_served(settings, written, store).assistant.catalogue
    file.write_bytes(file.read_bytes().replace(b"[TEST] HB79", b"[TEST] HB80"))
    second = open_served(settings, written, store).assistant.catalogue
    file.write_bytes(file.read_bytes().replace(b"0 15 30 45", b"0 15 15 45"))

    assert first.photometry_of(first.by_part_number["DUNLIN/05P"]) is not None
    assert second.light["photometry/DUNLIN-05P.ies"] != first.light["photometry/DUNLIN-05P.ies"]
    with pytest.raises(ConfigurationError, match=r"photometry/DUNLIN-05P.ies, line \d+"):
        open_served(settings, written, store)
