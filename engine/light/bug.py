"""Backlight, uplight and glare ratings by zone lumens, and their letters (IES TM-15).

B and U: as a public implementation of TM-15 has them; U2 and U3 also by the IDA-IES Model Lighting Ordinance. The G rows are
from memory (TM-15-11, addendum A), and that implementation has others: a G rating is unverified until a copy is read.
"""

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

BH: Final = (110.0, 500.0, 1000.0, 2500.0, 5000.0)
BM: Final = (220.0, 1000.0, 2500.0, 5000.0, 8500.0)
BL: Final = (110.0, 500.0, 1000.0, 2500.0, 5000.0)
UPLIGHT: Final = (0.0, 10.0, 50.0, 500.0, 1000.0)
GLARE_VERY_HIGH: Final = (10.0, 100.0, 225.0, 500.0, 750.0)
GLARE_FORWARD_HIGH: Final = (660.0, 1800.0, 5000.0, 7500.0, 12000.0)
GLARE_BACK_HIGH: Final = (110.0, 500.0, 1000.0, 2500.0, 5000.0)
"""Most lumens for the ratings 0 to 4; more is 5. The last row is for asymmetric types I to IV."""
NO_LIGHT: Final = 0.5
"""Less than this rounds to no lumen [lm]."""


@dataclass(frozen=True, slots=True)
class Bug:
    """The three letters; ``uplight`` is ``None`` where the file does not say what goes up."""

    backlight: int
    uplight: int | None
    glare: int

    def __str__(self) -> str:
        up = "?" if self.uplight is None else self.uplight
        return f"B{self.backlight}-U{up}-G{self.glare}"


def bug_rating(zones: Mapping[str, float], *, round_type: bool, uplight_known: bool = True) -> Bug:
    """The rating of ``zones``; each letter is that of its worst zone.

    Args:
        zones: as `engine.light.lumens.outdoor_zones` gives them [lm].
        round_type: type V and V square, whose backward high zone may hold as much as the forward one.
        uplight_known: False where the file ends at the horizontal with light there.
    """
    backlight = max(_of(zones["BH"], BH), _of(zones["BM"], BM), _of(zones["BL"], BL))
    uplight = max(_of(zones[name] if zones[name] >= NO_LIGHT else 0.0, UPLIGHT) for name in ("UL", "UH"))
    back = GLARE_FORWARD_HIGH if round_type else GLARE_BACK_HIGH
    glare = max(
        _of(zones["FVH"], GLARE_VERY_HIGH),
        _of(zones["BVH"], GLARE_VERY_HIGH),
        _of(zones["FH"], GLARE_FORWARD_HIGH),
        _of(zones["BH"], back),
    )
    return Bug(backlight, uplight if uplight_known else None, glare)


def _of(lumens: float, most: tuple[float, ...]) -> int:
    return bisect_left(most, lumens)
