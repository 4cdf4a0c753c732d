"""Backlight, uplight and glare ratings by zone lumens (IES TM-15): each letter is that of its worst zone.

Which limits are from memory stands in the table, and a rating tells which of its letters rest on such.
"""

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from engine.tables import load_tables
from engine.tables.rows import BugLimitRow

NO_LIGHT: Final = 0.5
"""Less than this rounds to no lumen [lm]."""
_FROM_MEMORY: Final = "memory"


@dataclass(frozen=True, slots=True)
class Bug:
    """The three letters.

    Attributes:
        backlight, glare: 0 to 5.
        uplight: 0 to 5; ``None`` where the file does not say what goes up.
        unverified: letters whose limits are from memory.
    """

    backlight: int
    uplight: int | None
    glare: int
    unverified: tuple[str, ...] = ()

    def __str__(self) -> str:
        up = "?" if self.uplight is None else self.uplight
        return f"B{self.backlight}-U{up}-G{self.glare}"


def bug_rating(
    zones: Mapping[str, float],
    *,
    round_type: bool,
    uplight_known: bool = True,
    limits: Sequence[BugLimitRow] | None = None,
) -> Bug:
    """The rating of ``zones``.

    Args:
        zones: as `engine.light.lumens.outdoor_zones` gives them [lm].
        round_type: type V and V square, whose backward high zone may hold as much as the forward one.
        uplight_known: False where the file ends at the horizontal with light there.
        limits: rows of the table; those that come with the program where not given.
    """
    types = ("any", "round" if round_type else "asymmetric")
    rows = [row for row in (load_tables().bug_limits if limits is None else limits) if row.types in types]

    def worst(letter: str) -> int:
        return max(_rated(zones[row.zone], row) for row in rows if row.letter == letter)

    return Bug(
        backlight=worst("B"),
        uplight=worst("U") if uplight_known else None,
        glare=worst("G"),
        unverified=tuple(sorted({row.letter for row in rows if row.seen == _FROM_MEMORY})),
    )


def _rated(lumens: float, row: BugLimitRow) -> int:
    most = (row.to_0, row.to_1, row.to_2, row.to_3, row.to_4)
    return bisect_left(most, lumens if lumens >= NO_LIGHT else 0.0)
