"""Specimen and verdict: a message that is written otherwise, without meaning anything else, is read the same.

No gold is needed: the tuning part of the corpus gives the messages, and what was read of the one is asked of the other.
"""

import re
from functools import cache
from typing import Any

import pytest

from bot.reading import read_first
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
    ("x behind the count", r"\A(\d{1,3}) (?=[a-z])", r"\1 x ", 0.9),
    ("two blanks for one", r" ", "  ", 0.97),
    ("a semicolon for a comma", r", ", "; ", 0.93),
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
