"""Lamp codes and lamp shorthand against published tables; every row of the data names its document, year and how it was seen.

`seen` is "document" (the text itself), "excerpt" or "title" (a part of it), or "from memory" (the document is named, not opened).
"""

import csv
from pathlib import Path
from typing import Any

import pytest

from bot.reading import read_first

DATA = Path(__file__).parent / "data"
SEEN = {"document", "excerpt", "title", "from memory"}


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file, strict=True))


CODES = rows("lamp_codes.csv")
SHORTHAND = rows("lamp_shorthand.csv")


def stated(row: dict[str, str]) -> dict[str, Any]:
    """What the row's code states: source, watts and length; a slot it does not state is None."""
    return {
        "source": row["source"],
        "watts": float(row["watts"]) if row["watts"] else None,
        "lamp_feet": float(row["lamp_feet"]) if row["lamp_feet"] else None,
    }


def read(text: str) -> dict[str, Any]:
    reading = read_first(text)
    assert len(reading.lines) == 1, [line.stated() for line in reading.lines]
    line = reading.lines[0]
    return {"source": line.source, "watts": line.watts, "lamp_feet": line.lamp_feet}


@pytest.mark.parametrize("row", CODES, ids=lambda row: row["code"])
@pytest.mark.parametrize(
    "message",
    [
        "12 wall packs with {} lamps",
        "qty 12 {} high bays",
        "it says {} on the lamp, 12 of them",
        "need 12 {lower} fixtures",
    ],
)
def test_a_published_lamp_code_gives_source_watts_and_length(row: dict[str, str], message: str) -> None:
    text = message.format(row["code"], lower=row["code"].lower())

    assert read(text) == stated(row), (text, row["document"], row["year"], row["seen"])


@pytest.mark.parametrize("row", SHORTHAND, ids=lambda row: row["shorthand"])
@pytest.mark.parametrize("message", ["12 {} fixtures", "{} x 12", "fixture has a {} lamp, 12 of those"])
def test_lamp_shorthand_gives_source_watts_and_length(row: dict[str, str], message: str) -> None:
    text = message.format(row["shorthand"])

    assert read(text) == stated(row), (text, row["document"])


@pytest.mark.parametrize("code", ["M58", "S51", "H33", "F32T8"])
def test_the_count_beside_a_code_is_the_count(code: str) -> None:
    assert read_first(f"12 {code} fixtures").lines[0].qty == 12
    assert read_first(f"{code} fixtures, qty 58").lines[0].qty == 58


@pytest.mark.parametrize("code", ["PAR38", "BR30", "A19", "MR16", "ED28", "BT37", "T4", "G25"])
def test_a_bulb_shape_states_no_watts(code: str) -> None:
    """A bulb letter is followed by the diameter in eighths of an inch (ANSI C79.1, from memory)."""
    assert all(line.watts is None for line in read_first(f"12 fixtures with {code} lamps").lines)


@pytest.mark.parametrize("code", ["M999", "S999", "H999", "M5"])
def test_an_unknown_ballast_number_is_not_guessed(code: str) -> None:
    assert all(
        line.watts is None and line.source is None
        for line in read_first(f"12 wall packs with {code} ballasts").lines
    )


def test_every_row_says_where_it_is_from() -> None:
    assert all(row["document"] and row["year"].isdigit() and row["seen"] in SEEN for row in CODES)
    assert all(row["document"] for row in SHORTHAND)
    assert len({row["code"] for row in CODES}) == len(CODES)
