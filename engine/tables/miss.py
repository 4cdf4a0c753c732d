"""The answer of a look-up that finds nothing: what was asked, and the rows that come nearest."""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class NoSuchRow:
    """No row, and none may be made up.

    Attributes:
        table: file that was looked in.
        asked: what was asked for, in words.
        nearest: references of the nearest rows, nearest first; empty where nothing is near.
    """

    table: str
    asked: str
    nearest: tuple[str, ...] = ()


def plain(value: float) -> str:
    """A number as people write it: 250, 2.5.

    >>> plain(250.0), plain(2.5)
    ('250', '2.5')
    """
    return f"{value:g}" if value < 1e6 else f"{value:.0f}"


def nearest(asked: float, rows: Iterable[tuple[float, str]], count: int = 3) -> tuple[str, ...]:
    """References of the ``count`` rows whose number is nearest to ``asked``, ties by the smaller, then by text."""
    ranked = sorted((abs(value - asked), value, reference) for value, reference in rows)
    return tuple(dict.fromkeys(reference for _, _, reference in ranked))[:count]
