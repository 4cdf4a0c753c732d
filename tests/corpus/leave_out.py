"""Makes the reader err as it errs on messages that it was never tuned on: parts of it are left out, words are spoilt, asides put in.

The reader has been tuned on the tuning part, so its own errors there are too few to learn from. What it does where one of
its rules is missing is what it does where nobody has thought of a rule yet; gold stays the same.
"""

import random  # noqa: TID251 seeded by the record's id: the same corpus gives the same draws
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import bot.reading.lines as lines
import bot.reading.reader as reader

ASIDES = tuple(
    line
    for line in Path(__file__).with_name("asides.txt").read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("#")
)
"""Sentences with a number that is none of our business."""
UNKNOWN = ("zorb", "flimp", "blicks", "tarn", "things", "regular", "old", "kinda")
"""What stands in for a word of the trade that the lexicon does not have."""


def _as_given(_: Any, given: Any, *more: Any) -> Any:
    return given


def _unchanged(given: Any, *more: Any) -> Any:
    return given


def _nothing(*_: Any) -> None:
    return None


def _none(*_: Any) -> list[Any]:
    return []


PARTS: tuple[tuple[Any, str, Callable[..., Any]], ...] = (
    (reader, "partitions", _none), (reader, "tallies", _none), (reader, "strangers", _none), (reader, "find_tables", _none),
    (reader, "set_aside", _nothing), (reader, "number_list", _nothing), (reader, "read_payback", _nothing),
    (reader, "read_parties", _nothing), (reader, "read_needed_by", _nothing), (reader, "read_money", _nothing),
    (reader, "read_hours", _nothing), (reader, "prepare", _nothing), (reader, "in_turn", _nothing),
    (reader, "amend", _as_given), (reader, "only_asked", _as_given), (reader, "refer", _as_given), (reader, "spread", _as_given),
    (reader, "taken_back", _as_given), (reader, "part_stops", _unchanged), (reader, "own_words", _unchanged),
    (reader, "share", _unchanged), (lines, "join_uncounted", _unchanged), (lines, "merge_counts", _unchanged),
    (lines, "drop_orphans", _unchanged), (lines, "drop_totals", _nothing), (lines, "_mend", _nothing), (lines, "hand_out", _nothing),
)  # fmt: skip
"""Parts of the reader that it can do without, as (module, name, what stands in)."""


@contextmanager
def left_out(numbers: list[int]) -> Iterator[None]:
    """The reader without these of `PARTS`."""
    kept = [(module, name, getattr(module, name)) for module, name, _ in (PARTS[n] for n in numbers)]
    for number in numbers:
        module, name, stand_in = PARTS[number]
        setattr(module, name, stand_in)
    try:
        yield
    finally:
        for module, name, was in kept:
            setattr(module, name, was)


def spoilt(rng: random.Random, text: str) -> str:
    """The text with a slip of the pen, an unknown word, a dropped word or an aside; or as it was."""
    words = text.split(" ")
    fate = rng.random()
    if fate < 0.3:
        for _ in range(rng.choice((1, 1, 2))):
            at = rng.randrange(len(words))
            word = words[at]
            if len(word) > 3 and word.isalpha():
                words[at] = (
                    rng.choice(UNKNOWN) if rng.random() < 0.5 else word[0] + word[2] + word[1] + word[3:]
                )
    elif fate < 0.55:
        ends = [n + 1 for n, word in enumerate(words) if word.endswith((".", ";", "!", "?"))]
        at = rng.choice([0, len(words), *ends])
        if at == len(words) and not words[-1].endswith("."):
            words[-1] += "." if rng.random() < 0.7 else ","
        words[at:at] = [rng.choice(ASIDES) + "."]
    elif fate < 0.65 and len(words) > 3:
        at = rng.randrange(len(words))
        if words[at].isalpha():
            del words[at]
    return " ".join(words)


def parts(rng: random.Random) -> list[int]:
    """Which parts are left out this time: none in one of four."""
    if rng.random() < 0.25:
        return []
    return rng.sample(range(len(PARTS)), rng.choice((1, 2, 3, 5)))
