"""A long schedule as the kinds of luminaire in it: rows that say the same are one line of the quote, their counts added."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from bot.reading.shape import Doubt, Reading, Span

MOST_LINES_APART: Final = 150
"""Lines up to which every row is a line of the quote of its own."""
MOST_KINDS: Final = 400
"""Kinds that are quoted in one go: each takes its milliseconds, and a page holds some twenty."""


@dataclass(frozen=True, slots=True)
class Kinds:
    """A reading by kinds.

    Attributes:
        reading: its lines are kinds; spans and doubts are those of the first row of each.
        kind_of: number of a line of the whole reading -> number of its kind.
        share: number of a line -> its part of the kind's count.
        left: numbers of lines whose kind is one too many; those with the fewest luminaires.
    """

    reading: Reading
    kind_of: Mapping[int, int]
    share: Mapping[int, float]
    left: frozenset[int] = frozenset()


def by_kinds(reading: Reading) -> Kinds:
    """The reading with like lines put together where there are many; each for itself otherwise."""
    held: Any = reading.__dict__["given_lines"]
    plain = [dict(line if isinstance(line, Mapping) else line.stated()) for line in held]
    if len(plain) <= MOST_LINES_APART:
        same = {index: index for index in range(len(plain))}
        return Kinds(reading, same, dict.fromkeys(same, 1.0))
    kinds: dict[str, int] = {}
    lines: list[dict[str, Any]] = []
    firsts: dict[int, int] = {}
    kind_of: dict[int, int] = {}
    for index, line in enumerate(plain):
        count = line.get("qty")
        key = (
            repr(sorted((slot, repr(value)) for slot, value in line.items() if slot != "qty"))
            if count is not None
            else f"{index} without a count"
        )
        kind = kinds.get(key)
        if kind is None:
            kind = kinds[key] = len(lines)
            lines.append(line)
            firsts[index] = kind
        else:
            lines[kind] = {**lines[kind], "qty": lines[kind]["qty"] + count}
        kind_of[index] = kind
    kind_of, lines, left = _most_luminaires(kind_of, lines)
    firsts = {index: kind_of[index] for index in firsts if index in kind_of}
    share = {
        index: (plain[index]["qty"] / lines[kind]["qty"] if plain[index].get("qty") else 1.0)
        for index, kind in kind_of.items()
    }
    spans: dict[str, Span] = {}
    for path, span in reading.spans.items():
        moved = _moved(path, firsts)
        if moved is not None:
            spans[moved] = span
    doubts: list[Doubt] = []
    for doubt in reading.doubts:
        moved = _moved(doubt.path, firsts)
        if moved is not None:
            doubts.append(replace(doubt, path=moved))
    together = replace(reading, lines=tuple(lines), spans=spans, doubts=tuple(doubts))
    return Kinds(together, kind_of, share, left)


def _most_luminaires(
    kind_of: dict[int, int], lines: list[dict[str, Any]]
) -> tuple[dict[int, int], list[dict[str, Any]], frozenset[int]]:
    """The kinds that are quoted, in their order, and the numbers of the lines that are not."""
    if len(lines) <= MOST_KINDS:
        return kind_of, lines, frozenset()
    biggest = sorted(range(len(lines)), key=lambda kind: (-(lines[kind].get("qty") or 1), kind))[:MOST_KINDS]
    kept = {kind: number for number, kind in enumerate(sorted(biggest))}
    return (
        {index: kept[kind] for index, kind in kind_of.items() if kind in kept},
        [lines[kind] for kind in kept],
        frozenset(index for index, kind in kind_of.items() if kind not in kept),
    )


def _moved(path: str, firsts: Mapping[int, int]) -> str | None:
    """The path with the kind's number for the line's; ``None`` where the line is not the first of its kind."""
    kind, _, rest = path.partition(".")
    if kind != "lines":
        return path
    index, _, slot = rest.partition(".")
    return f"lines.{firsts[int(index)]}.{slot}" if int(index) in firsts else None
