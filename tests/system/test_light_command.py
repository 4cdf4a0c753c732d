"""`wattclerk light`: footcandles from a photometric file, as outside checkers call it.

Expected figures are the worked examples of the trade notes on photometry (closed forms, and Radiance 6 where the table decides;
formula and Radiance agree there to 1.6 parts in 10,000).
"""

import json
import math
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

from bot.light_lines import NOTES as WORDS
from bot.schemas import schema_named
from engine.light.file_text import MAX_BYTES
from engine.light.note_keys import NOTES
from tests.system.conftest import Outcome

Run = Callable[..., Outcome]
FILES = Path(__file__).parents[1] / "unit" / "light" / "files"
WORKED = FILES / "sound" / "edition_2002.ies"


def cosine_file(folder: Path, peak: float, power: int, step: int) -> Path:
    """I = peak x cos^power, the same all round."""
    angles = range(0, 91, step)
    candela = [peak * max(0.0, math.cos(math.radians(a))) ** power for a in angles]
    file = folder / f"cos{power}.ies"
    file.write_text(
        f"IESNA:LM-63-2002\n[MANUFAC] Plover Hollow Lighting\nTILT=NONE\n1 -1 1 {len(angles)} 1 1 1 0 0 0\n1 1 50\n"
        + " ".join(map(str, angles))
        + "\n0\n"
        + "\n".join(f"{value:.9f}" for value in candela)
    )
    return file


def levels(outcome: Outcome) -> list[float]:
    assert (outcome.status, outcome.err) == (0, "")
    shown = json.loads(outcome.out)
    jsonschema.validate(shown, schema_named("light"))
    found: list[float] = shown["fc"]
    return found


def test_the_answer_is_one_json_object_of_lumens_and_footcandles(
    wattclerk: Run, wattclerk_afresh: Run
) -> None:
    outcome = wattclerk_afresh("light", str(WORKED), "--height-ft", "20", "--at", "0,0;0,20", "--json")
    shown = json.loads(outcome.out)

    assert shown["lumens"] == pytest.approx(7189.41, abs=0.01)
    assert shown["fc"] == pytest.approx([3.0, 2.6075], abs=5e-5)
    assert (shown["form"], shown["notes"]) == ("LM-63-2002", ["absolute"])
    assert (
        wattclerk("light", str(WORKED), "--height-ft", "20", "--at", "0,0;0,20", "--json").out == outcome.out
    )


@pytest.mark.parametrize(
    ("options", "points", "expected"),
    [
        ([], "20,10;0,0;0,10;0,20;0,30;0,40;0,-10", [1.6286, 3.0, 2.7802, 2.6075, 1.6661, 0.8470, 1.3546]),
        ([], "-20,10", [1.6286]),
        ([], "0,37.91;0,47.15;0,60.52;25.76,0;33.83,0;-43.28,0", [1.0, 0.5, 0.2, 1.0, 0.5, 0.2]),
        (["--tilt-deg", "15"], "0,20;0,30;0,40", [1.4142, 1.1170, 0.7288]),
        (["--llf", "0.7"], "0,20", [0.7 * 2.6075]),
        (["--spin-deg", "180"], "0,10", [1.3546]),
    ],
    ids=["level", "mirrored", "throw", "tilted", "light loss", "turned about"],
)
def test_worked_examples(refusal_of: Run, options: list[str], points: str, expected: list[float]) -> None:
    outcome = refusal_of("light", str(WORKED), "--height-ft", "20", *options, "--at", points, "--json")

    assert levels(outcome) == pytest.approx(expected, rel=1e-4, abs=3e-4)


@pytest.mark.parametrize(
    ("peak", "power", "step", "height", "points", "expected"),
    [
        (3000, 1, 1, "20", "0,0;0,20;15,20", [7.5, 1.875, 1.14214]),
        (3000, 1, 1, "20", "0,33.899", [0.5]),
        (12000, 12, 5, "20", "0,0;0,20", [30.0, 0.1657]),
        (1000, 1, 5, "20", "0,0", [2.5]),
        (1000, 1, 5, "40", "0,0", [0.625]),
    ],
)
def test_closed_forms(
    refusal_of: Run, tmp_path: Path, peak: float, power: int, step: int, height: str, points: str, expected: list[float]
) -> None:  # fmt: skip
    file = cosine_file(tmp_path, peak, power, step)
    outcome = refusal_of("light", str(file), "--height-ft", height, "--at", points, "--json")

    assert levels(outcome) == pytest.approx(expected, rel=2e-4)


def test_two_luminaires_add_up(refusal_of: Run, tmp_path: Path) -> None:
    file = cosine_file(tmp_path, 1000, 1, 1)
    outcome = refusal_of("light", str(file), "--height-ft", "20", "--at", "-20,0;20,0", "--json")

    assert sum(levels(outcome)) == pytest.approx(1.25, rel=1e-4)


@pytest.mark.parametrize(
    ("name", "ahead", "behind"), [("symmetry_3.ldt", 6, 2), ("mirrored_about_90_270.ies", 50, 10)]
)
def test_a_file_that_mirrors_about_90_270_looks_ahead_along_90(
    refusal_of: Run, name: str, ahead: float, behind: float
) -> None:
    """At 60 degrees down the stored planes of 90 and 270 tell ahead from behind: E = I cos3 / H2."""
    reach = str(20 * math.tan(math.radians(60)))
    outcome = refusal_of(
        "light", str(FILES / "sound" / name), "--height-ft", "20", "--at", f"0,{reach};0,-{reach}", "--json"
    )

    assert levels(outcome) == pytest.approx([ahead * 0.125 / 400, behind * 0.125 / 400], rel=1e-6)


def test_a_tilt_file_beside_dims_the_tilted_luminaire(refusal_of: Run) -> None:
    call = ("--height-ft", "20", "--at", "0,20", "--json", "--tilt-deg", "45")
    dimmed = refusal_of("light", str(FILES / "sound" / "tilt_in_a_file_once_in_a_folder.ies"), *call)
    plain = refusal_of("light", str(WORKED), *call)

    assert levels(dimmed)[0] == pytest.approx(0.9 * levels(plain)[0])


def test_people_get_a_table_with_what_the_file_says_and_the_caution(wattclerk: Run) -> None:
    outcome = wattclerk("light", str(WORKED), "--height-ft", "20", "--at", "0,20; -10,0")

    assert outcome.status == 0
    assert (
        outcome.out.splitlines()[0] == "edition_2002.ies: LM-63-2002, type C, mirrored about the 0-180 plane"
    )
    assert "7,189 lm, 60 W, brightest 4,200 cd; ahead is C 0" in outcome.out
    assert "         0        20      2.6075" in outcome.out
    assert "Not a lighting design" in outcome.out


def test_people_get_reach_zones_and_classes(wattclerk: Run) -> None:
    outcome = wattclerk("light", str(WORKED), "--height-ft", "20", "--at", "0,0")
    rows = [line.split() for line in outcome.out.splitlines()]

    assert ["0.5", "47.1", "33.8", "33.8", "35.5"] in rows
    assert "Lumens from straight down: 1,052 to 30, 4,896 to 60, 7,189 to 90 degrees, 0 above" in outcome.out
    assert "Rating, hung level: B2-U0-G2 (limits of G unverified); lateral type" in outcome.out


def test_a_level_that_is_nowhere_reached_and_uplight_that_nobody_knows(wattclerk: Run) -> None:
    file = FILES / "sound" / "light_at_90.ies"
    outcome = wattclerk("light", str(file), "--height-ft", "200", "--at", "0,0")

    assert ["1.0", "-", "-", "-", "-"] in [line.split() for line in outcome.out.splitlines()]
    assert "above unknown" in outcome.out
    assert "U?" in outcome.out


def test_a_floodlight_of_type_b_gets_its_field(wattclerk: Run) -> None:
    outcome = wattclerk("light", str(FILES / "sound" / "type_b.ies"), "--height-ft", "20", "--at", "0,0")

    assert outcome.status == 0
    assert "floodlight type" in outcome.out
    assert "Rating" not in outcome.out


def test_every_note_has_words() -> None:
    assert set(WORDS) == set(NOTES)


@pytest.mark.parametrize(
    "name",
    [
        "candela_nan.ies",
        "tilt_file_missing.ies",
        "utf_16.ies",
        "empty.ies",
        "count_of_a_billion.ies",
        "flux_0.ldt",
    ],
)
def test_a_file_that_can_not_be_trusted_gets_one_plain_line_with_the_line(wattclerk: Run, name: str) -> None:
    outcome = wattclerk("light", str(FILES / "broken" / name), "--height-ft", "20", "--at", "0,0", "--json")

    assert (outcome.status, outcome.out) == (1, "")
    assert len(outcome.error_lines) == 1
    assert outcome.err.startswith(f"wattclerk: {name}, line ")


def test_a_file_that_is_too_long_is_refused(refusal_of: Run, tmp_path: Path) -> None:
    file = tmp_path / "long.ies"
    file.write_bytes(b"IESNA91\n" + b"x" * MAX_BYTES)
    outcome = refusal_of("light", str(file), "--height-ft", "20", "--at", "0,0")

    assert outcome.status == 1
    assert "long.ies, line 2" in outcome.err


@pytest.mark.parametrize("name", ["nowhere.ies", ".", "a\0b.ies"])
def test_a_file_that_can_not_be_opened_gets_one_plain_line(refusal_of: Run, name: str) -> None:
    outcome = refusal_of("light", name, "--height-ft", "20", "--at", "0,0")

    assert (outcome.status, outcome.out, len(outcome.error_lines)) == (1, "", 1)
    assert "can't be read" in outcome.err


def test_spin_means_nothing_where_the_angles_say_where_it_looks(refusal_of: Run) -> None:
    call = (str(FILES / "sound" / "type_b.ies"), "--height-ft", "20", "--at", "0,0")

    assert refusal_of("light", *call).status == 0
    assert "--spin-deg" in refusal_of("light", *call, "--spin-deg", "90").err


@pytest.mark.parametrize(
    ("option", "word"),
    [
        (["--at", ""], "no point"),
        (["--at", "5"], "5"),
        (["--at", "0,0;x,1"], "x,1"),
        (["--at", "0,0;;1,1"], "point"),
        (["--at", "0,nan"], "nan"),
        (["--at", "inf,0"], "inf"),
        (["--at", "0,1,2"], "0,1,2"),
        (["--at", "1e9,0"], "far"),
        (["--at", ";".join(["0,0"] * 10_001)], "10,000"),
        (["--at", "-x,1"], "--at"),
        (["--height-ft", "0"], "height"),
        (["--height-ft", "-20"], "height"),
        (["--height-ft", "nan"], "height"),
        (["--height-ft", "high"], "height"),
        (["--tilt-deg", "999"], "tilt"),
        (["--tilt-deg", "1_5"], "tilt"),
        (["--llf", "0"], "light-loss"),
        (["--llf", "-1"], "light-loss"),
        (["--llf", "70"], "light-loss"),
        (["--spin-deg", "inf"], "spin"),
    ],
)
def test_words_of_the_call_that_are_off_exit_2(refusal_of: Run, option: list[str], word: str) -> None:
    usual = {"--height-ft": "20", "--at": "0,0"} | {option[0]: option[1]}
    outcome = refusal_of("light", str(WORKED), *(part for pair in usual.items() for part in pair))

    assert (outcome.status, outcome.out, len(outcome.error_lines)) == (2, "", 1)
    assert word in outcome.err
    assert "--help" in outcome.err
    assert len(outcome.err) < 400


@pytest.mark.parametrize("lost", ["--height-ft", "--at"])
def test_height_and_points_must_be_said(refusal_of: Run, lost: str) -> None:
    usual = {"--height-ft": "20", "--at": "0,0"}
    del usual[lost]
    outcome = refusal_of("light", str(WORKED), *(part for pair in usual.items() for part in pair))

    assert outcome.status == 2
    assert lost in outcome.err


@pytest.mark.parametrize("points", ["-10,20", "-.5,-3;4,5", " -10 , 20 ", "0,1;", "1e1,-2E0"])
def test_points_may_start_with_a_minus_or_hold_blanks(refusal_of: Run, points: str) -> None:
    assert refusal_of("light", str(WORKED), "--height-ft", "20", "--at", points, "--json").status == 0
    assert refusal_of("light", str(WORKED), "--height-ft", "20", f"--at={points}", "--json").status == 0


def test_ten_thousand_points_are_answered(refusal_of: Run) -> None:
    points = ";".join(f"{n % 100},{n // 100}" for n in range(10_000))

    assert (
        len(levels(refusal_of("light", str(WORKED), "--height-ft", "20", "--at", points, "--json"))) == 10_000
    )
