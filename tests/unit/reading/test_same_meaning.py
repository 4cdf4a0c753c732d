"""Specimen and verdict: a message that is written otherwise, without meaning anything else, is read the same.

No gold is needed: the tuning part of the corpus gives the messages, and what was read of the one is asked of the other.
"""

import re
from collections.abc import Callable
from functools import cache
from typing import Any

import pytest

from bot.reading import read_first
from bot.reading.words import lexicon
from tests.corpus.records import part_of, records

SAMPLE = 40
"""Messages a change is tried on, spread evenly over those it changes."""

# name, pattern, what stands instead, the least share that must read the same (1 where no cause is known to differ)
CHANGES: list[tuple[str, str, str, float]] = [
    ("and as a sign", r" and ", " & ", 0.98),
    ("watts apart", r"(\d)w\b", r"\1 w", 1.0),
    ("watts as a word", r"(\d) ?w\b", r"\1 watt", 1.0),
    ("volts as a word", r"(\d) ?v\b", r"\1 volt", 1.0),
    ("feet as a word", r"(\d) ?ft\b", r"\1 foot", 0.95),
    ("a hyphen before feet", r"(\d) ?ft\b", r"\1-ft", 0.98),
    ("wall packs", r"\bwall ?packs\b", "wall paks", 1.0),
    ("high bays", r"\bhigh ?bays\b", "hi-bays", 1.0),
    ("high pressure sodium", r"\bhps\b", "high pressure sodium", 0.98),
    ("halide as a code", r"\b(?:metal )?halides?\b", "MH", 0.98),
    ("a greeting before", r"\A", "Good morning,\n\n", 0.95),
    ("so before", r"\A", "ok so ", 0.95),
    ("thanks behind", r"\s*\Z", " - appreciate it", 0.98),
    ("a name below", r"\s*\Z", "\n\nThanks,\nR. Ames\nPlant Manager\n555-0142", 0.95),
    ("a plus for and", r" and (?=\d)", " + ", 0.95),
    ("x behind the count", r"\A(\d{1,3}) (?=[a-z])", r"\1 x ", 0.85),
    ("two blanks for one", r" ", "  ", 0.97),
    ("lights as the trade shortens them", r"\blights\b", "lts", 1.0),
    ("lites", r"\blights\b", "lites", 1.0),
    ("cobras", r"\bcobra ?heads\b", "cobras", 1.0),
    ("lay-ins", r"\btroffers\b", "lay-ins", 1.0),
    ("bronze cut short", r"\bbronze\b", "brz", 1.0),
    ("an eye for a photocell", r"\bphotocells?\b", "photo eye", 0.98),
    ("metal halide as one word", r"\bmetal halide\b", "metalhalide", 0.98),
    ("watts stuck to the lamp", r"\b(\d+) ?w (mh|hps|halide)\b", r"\1w\2", 0.97),
    ("the sign for cents", r"(\d) ?cents\b", r"\1¢", 1.0),
    ("kelvin as a word", r"\b(\d)000 ?k\b", r"\g<1>000 kelvin", 0.95),
    ("the mark for feet", r"(\d) ?ft\b", r"\1'", 1.0),
    ("vatios", r"\b(\d+) ?(?:w|watts)\b(?=.*\b(?:de|para|con)\b)", r"\1 vatios", 1.0),
    ("a friend spoken to", r"\A", "hey bud, ", 0.97),
    ("hola before", r"\A", "hola buenas tardes, ", 0.97),
    ("let me know behind", r"\s*\Z", " lmk", 0.97),
    ("a semicolon for a comma", r", ", "; ", 0.93),
    ("a quote for", r"\A(?=\d)", "quote for ", 0.95),
    ("a price on", r"\A(?=\d)", "can i get a price on ", 0.95),
    ("a label of requests", r"\A(?=\d)", "RFQ: ", 0.95),
    ("a question of the rebate behind", r"[ .]*\Z", " and whats the rebate", 0.93),
    ("and cut short", r" and (?=\d)", " an ", 0.95),
    ("ands of a list as commas", r"(?<=[a-z]) and (?=\d+ [a-z])", ", ", 0.9),
    (
        "commas of a list as line ends",
        r", (?=\d+ [a-z0-9 -]*(?:packs?|lights?|floods?|bays?|cans|troffers?|strips?|wraps?|heads?)\b)",
        "\n",
        0.9,
    ),
    ("a point behind the watts", r"(\d) ?w (?=mh|hps|halide|metal|sodium|merc)", r"\1w. ", 0.95),
    ("sodium cut short", r"\bhps\b", "hp sodium", 0.97),
    ("at as a sign", r" at (?=\d+ ?(?:ft|'|feet))", " @ ", 0.97),
    ("blanks around commas", r", ", " , ", 0.95),
    ("dots for commas", r", ", "... ", 0.85),
    ("a courtesy between sentences", r"(?<=[a-z]{3}\. )(?=[A-Z])", "Appreciate your help on this. ", 0.9),
    ("a remark between sentences", r"(?<=[a-z]{3}\. )(?=[A-Z])", "Boss wants numbers by lunch. ", 0.9),
    ("a remark in brackets", r"\b(wall ?packs|floods|high ?bays|shoeboxes)(?=,)", r"\1 (see pics)", 0.93),
    ("a telephone behind", r"[ .]*\Z", ". 555-0142", 0.95),
    ("a telephone to call behind", r"[ .]*\Z", ". Call me at 555-0142", 0.93),
    ("a street before", r"\A(?=[a-z0-9])", "1420 Mill St: ", 0.95),
    ("a time before", r"\A(?=\d)", "10:42 AM ", 0.95),
    ("asap behind", r"[ .]*\Z", " asap", 0.93),
    ("a sign of prayer behind", r"[ .]*\Z", " \N{PERSON WITH FOLDED HANDS}", 0.95),
    ("what is owned", r"\A(?=\d)", "we got ", 0.95),
    ("what is looked for", r"\A(?=\d)", "looking to replace ", 0.95),
    ("a question of the payback behind", r"[ .]*\Z", " - whats the payback", 0.93),
]


@cache
def messages() -> tuple[str, ...]:
    """The single messages of the tuning part, tables and mails aside: their lines and blanks mean something."""
    return tuple(
        record["turns"][0]["text"]
        for record in records()
        if len(record["turns"]) == 1
        and "asked" not in record["turns"][0]
        and record["kind"] not in ("tables", "mail", "long")
        and part_of(record["id"]) == "tuning"
    )


@cache
def meaning(text: str) -> tuple[str, dict[str, Any], list[dict[str, Any]]]:
    reading = read_first(text).as_json()
    return reading["intent"], reading["job"], reading["lines"]


def changed(pattern: str, instead: str) -> list[tuple[str, str]]:
    """(as sent, written otherwise) of the messages that a change touches."""
    found = [
        (text, other)
        for text in messages()
        if (other := re.sub(pattern, instead, text, flags=re.IGNORECASE)) != text
    ]
    step = max(1, len(found) // SAMPLE)
    return found[::step][:SAMPLE]


@pytest.mark.parametrize(
    ("pattern", "instead", "floor"), [c[1:] for c in CHANGES], ids=[c[0] for c in CHANGES]
)
def test_written_otherwise_it_reads_the_same(pattern: str, instead: str, floor: float) -> None:
    pairs = changed(pattern, instead)
    assert len(pairs) > 20
    other = [pair for pair in pairs if meaning(pair[0]) != meaning(pair[1])]
    assert len(other) <= (1 - floor) * len(pairs), other


@pytest.mark.parametrize("recase", [str.upper, str.lower])
def test_case_says_nothing(recase: Any) -> None:
    # names are given as written, so those of customers and sites differ
    for text in messages()[::20]:
        _, job, lines = meaning(text)
        if not {"customer", "site", "po"} & job.keys():
            assert meaning(recase(text)) == (_, job, lines)


@pytest.mark.parametrize("count", [3, 14, 37, 61, 96])
def test_another_count_changes_the_count_alone(count: int) -> None:
    seen = 0
    for text in messages()[::3]:
        _, job, lines = meaning(text)
        if len(lines) != 1 or not re.match(rf"{lines[0].get('qty', 'none')} (?=[a-z])(?!to |or )", text):
            continue
        if len(re.findall(r"\d+", text)) != len(set(re.findall(r"\d+", text)) - {str(count)}):
            continue
        seen += 1
        said = re.sub(r"\A\d+", str(count), text)
        assert meaning(said) == (_, job, [{**lines[0], "qty": count}]), said
    assert seen > 5


_ITEM = re.compile(r"(?P<a>\d+ [^,.;:\n()]+?)(?: and |, )(?P<b>\d+ [^,.;:\n()]+?)\.?")
_POINTS = re.compile(
    r"(?<![a-z])(?:all|both|same|each|of|more|are|ones|no|not|just|have|total|altogether)(?![a-z])|: | - "
)


def test_items_that_share_nothing_may_change_places() -> None:
    seen = 0
    for text in messages():
        item = _ITEM.fullmatch(text)
        if item is None or _POINTS.search(text.lower()):
            continue
        intent, job, lines = meaning(text)
        if len(lines) == 2 and not job and all({"qty", "family", "watts"} <= line.keys() for line in lines):
            seen += 1
            swapped = f"{item['b']} and {item['a']}"
            assert meaning(swapped) == (intent, job, lines[::-1]), swapped
    assert seen > 5


BEHIND = ["{x}, {n} of them", "{x} x{n}", "{x} ({n})", "{x} qty {n}", "({n}) {x}", "{n} ea {x}", "{n}x {x}"]


@pytest.mark.parametrize("form", BEHIND)
def test_a_count_may_stand_before_its_type_or_behind(form: str) -> None:
    pairs = []
    for text in messages():
        whole = re.fullmatch(r"(?P<n>\d{1,3}) (?P<x>[a-z][a-z ]+?)(?P<rest>[,.] [^;:]*)", text)
        if whole is None:
            continue
        _, _, lines = meaning(text)
        if len(lines) == 1 and str(lines[0].get("qty")) == whole["n"] and "family" in lines[0]:
            pairs.append((text, form.format(n=whole["n"], x=whole["x"]) + whole["rest"]))
    pairs = pairs[:: max(1, len(pairs) // SAMPLE)][:SAMPLE]
    other = [pair for pair in pairs if meaning(pair[0]) != meaning(pair[1])]
    assert len(pairs) > 20
    assert len(other) <= len(pairs) // 20, other


NUMBERS = {
    "english": ("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"),
    "spanish": ("dos", "tres", "cuatro", "cinco", "seis", "siete", "ocho", "nueve", "diez", "once", "doce"),
}


@pytest.mark.parametrize("names", NUMBERS.values(), ids=NUMBERS)
def test_a_count_in_words_is_that_count(names: tuple[str, ...]) -> None:
    pairs = []
    for text in messages():
        _, _, lines = meaning(text)
        first = re.match(r"\d+(?= [a-z])", text)
        if (
            first is not None
            and lines
            and str(lines[0].get("qty")) == first.group()
            and 1 < int(first.group()) <= 12
        ):
            pairs.append((text, names[int(first.group()) - 2] + text[first.end() :]))
    pairs = pairs[:: max(1, len(pairs) // SAMPLE)][:SAMPLE]
    other = [pair for pair in pairs if meaning(pair[0]) != meaning(pair[1])]
    assert len(pairs) > 20
    assert len(other) <= len(pairs) // 20, other


SLIPS: dict[str, Callable[[str], str]] = {
    "two letters swapped": lambda word: word[:2] + word[3] + word[2] + word[4:],
    "a letter left out": lambda word: word[:3] + word[4:],
    "a letter doubled": lambda word: word[:3] + word[2] + word[3:],
    "two letters swapped near the end": lambda word: word[:-3] + word[-2] + word[-3] + word[-1],
}


def longest_name(text: str) -> re.Match[str] | None:
    """The longest word of a message that names something of the trade by itself."""
    phrases = lexicon().phrases
    names = {"family", "source", "finish", "mount", "controls"}
    found = [
        match
        for match in re.finditer(r"[A-Za-z]{6,}", text)
        if any(not rest and names & mean.keys() for rest, mean in phrases.get(match.group().lower(), ()))
    ]
    return max(found, key=lambda match: len(match.group()), default=None)


@pytest.mark.parametrize("slip", SLIPS.values(), ids=SLIPS)
def test_a_slip_of_the_pen_in_a_name_changes_nothing(slip: Callable[[str], str]) -> None:
    pairs = []
    for text in messages():
        name = longest_name(text)
        if name is not None and (wrong := slip(name.group())) != name.group():
            pairs.append((text, text[: name.start()] + wrong + text[name.end() :]))
    pairs = pairs[:: max(1, len(pairs) // SAMPLE)][:SAMPLE]
    other = [pair for pair in pairs if meaning(pair[0]) != meaning(pair[1])]
    assert len(pairs) > 20
    assert len(other) <= len(pairs) // 20, other


@pytest.mark.parametrize(
    ("heard", "meant"),
    [
        ("I need to hundred fifty watt wall packs for of them", "I need two hundred fifty watt wall packs four of them"),
        ("twenty for hi bays four hundred watt halide", "twenty four high bays four hundred watt halide"),
        ("ate wall pax one fifty halide", "eight wall packs one fifty halide"),
        ("forty two by fours with for tubes tee eight", "forty two by fours with four tubes T8"),
        ("thirty low bays, we run to shifts five days a week", "thirty low bays, we run two shifts five days a week"),
        ("eleven hi bays at a twenty too foot ceiling", "eleven high bays at a twenty two foot ceiling"),
        ("for teen wall packs, power is ten point to sense", "fourteen wall packs, power is ten point two cents"),
        ("six floods on for eighty volts, won seventy five halide", "six floods on four eighty volts, one seventy five halide"),
    ],
)  # fmt: skip
def test_numbers_heard_as_other_words_are_numbers(heard: str, meant: str) -> None:
    assert meaning(heard) == meaning(meant)


@pytest.mark.parametrize(
    "text",
    [
        "need a quote for wall packs",
        "go down to fifty watt led wall packs",
        "twenty to thirty floods",
        "looking for high bays for the gym",
        "we won the bid for flood lights",
    ],
)
def test_small_words_in_their_own_place_count_nothing(text: str) -> None:
    _, _, lines = meaning(text)
    assert lines
    assert lines[0].get("qty") in (None, 20)
