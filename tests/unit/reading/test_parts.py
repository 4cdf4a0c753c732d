"""The parts of the reader, each by itself."""

import json
from pathlib import Path

import pytest

from bot.reading import NotText, TextTooLong, read_message
from bot.reading.build_places import lines as built_lines
from bot.reading.codes import lamp_code
from bot.reading.numerals import split
from bot.reading.spelling import respelt
from bot.reading.strangers import strangers
from bot.reading.table import find_tables
from bot.reading.text import fold, mend_digits
from bot.reading.tokens import tokenise
from bot.reading.words import FOLDER

HERE = Path(__file__).parent


@pytest.mark.parametrize(
    "text", ["Él pidió 12 “wallpacks” – 25′", "İstanbul ß æ", "½ x ５", "👋 10 wallpacks", "a\r\nb"]
)
def test_folding_keeps_every_offset(text: str) -> None:
    assert len(fold(text)) == len(text)
    assert len(mend_digits(fold(text))) == len(text)


def test_tokens_remember_where_they_stood() -> None:
    text = fold("(3) F32T8, 25' & x14")
    assert [text[token.start : token.end] for token in tokenise(text)] == [
        "(",
        "3",
        ")",
        "f32t8",
        ",",
        "25",
        "'",
        "&",
        "x14",
    ]


@pytest.mark.parametrize(
    ("words", "values"),
    [
        ("forty five", [45]),
        ("a hundred and twenty".replace("a ", ""), [120]),
        ("two fifty", [250]),
        ("forty two four hundred", [42, 400]),
        ("one thousand", [1000]),
        ("two oh eight", [208]),
        ("treinta y dos", [32]),
        ("doscientos cincuenta", [250]),
        ("dos mil", [2000]),
    ],
)
def test_number_words(words: str, values: list[int]) -> None:
    assert [number.value for number in split(words.split())[0]] == values


@pytest.mark.parametrize(
    ("code", "slots"),
    [
        ("f32t8", {"source": "T8", "watts": 32, "lamp_feet": 4}),
        ("f96t12ho", {"source": "T12", "lamp_feet": 8}),
        ("f54t5ho", {"source": "T5HO", "watts": 54, "lamp_feet": 4}),
        ("mh250/u", {"source": "MH", "watts": 250}),
        ("lu250", {"source": "HPS", "watts": 250}),
        ("m58", {"source": "MH", "watts": 250}),
        ("m131", {"source": "PSMH", "watts": 350}),
        ("s50", {"source": "HPS", "watts": 250}),
        ("h39", {"source": "MV", "watts": 175}),
        ("cf26", {"source": "CFL", "watts": 26}),
        ("par38", None),
        ("zz99", None),
    ],
)
def test_lamp_codes(code: str, slots: dict[str, object] | None) -> None:
    assert lamp_code(code) == slots


@pytest.mark.parametrize(
    ("slip", "word"),
    [
        ("incandesscent", "incandescent"),
        ("fluoresecnt", "fluorescent"),
        ("kitchen", None),
        ("light", None),
        ("elephant", None),
    ],
)
def test_spelling_mends_trade_words_only(slip: str, word: str | None) -> None:
    assert respelt(slip) == word


@pytest.mark.parametrize(
    "case",
    [json.loads(line) for line in (HERE / "strangers.jsonl").read_text(encoding="utf-8").splitlines()],
    ids=lambda c: c["text"],
)
def test_numbers_that_are_none_of_our_business_are_masked(case: dict[str, str | None]) -> None:
    text = case["text"] or ""
    assert [text[start:end] for start, end, _ in strangers(text)] == (
        [case["takes"]] if case["takes"] else []
    )


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("qty\ttype\n12\twall pack\n6\tflood", 2),
        ("| qty | fixture |\n|---|---|\n| 12 | wall pack |", 1),
        ("fixture,lamp,qty\nflood,MH,12\nstrip,T8,40", 2),
        ("hello, we have 12 wallpacks, 6 floods\nthanks, Bob, bye", 0),
    ],
)
def test_tables_are_found(text: str, rows: int) -> None:
    assert sum(len(table.rows) for table in find_tables(text)) == rows


def test_a_text_over_the_bound_is_refused_by_type() -> None:
    with pytest.raises(TextTooLong, match="65536"):
        read_message("a" * 65_537)
    assert read_message("a " * 40_000, max_bytes=None).intent == "other"


@pytest.mark.parametrize("text", ["12 wall\0packs", "\ud800 12", "\x01\x02\x03\x04 a"])
def test_what_is_no_text_is_refused_by_type(text: str) -> None:
    with pytest.raises(NotText):
        read_message(text)


def test_the_list_of_places_is_what_the_builder_makes() -> None:
    assert (FOLDER / "places.txt").read_text(encoding="utf-8").splitlines() == built_lines()
