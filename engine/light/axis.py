"""One axis of a table of intensities: rising angles, looked up by division where they are evenly spaced, else by search."""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine.light.photometry import Floats

HUNDREDTHS: Final = 100
LEAST_STEP_DEG: Final = 0.1
"""Angles that no larger step meets are left as they are and searched."""
_EXACT: Final = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Axis:
    """Rising angles [deg].

    Attributes:
        degrees: of the rows or columns.
        step_deg: between any two neighbours; ``None`` where they differ.
    """

    degrees: Floats
    step_deg: float | None

    @property
    def count(self) -> int:
        """How many angles there are."""
        return len(self.degrees)

    @property
    def first_deg(self) -> float:
        """The lowest angle [deg]."""
        return float(self.degrees[0])

    @property
    def last_deg(self) -> float:
        """The highest angle [deg]."""
        return float(self.degrees[-1])

    def places(self, radians: Floats) -> Floats:
        """Where angles lie among the rows, counted from 0: 2.25 is a quarter of the way from the third to the fourth.

        Angles are in radians, for that is how arcs come; the array is used up. Even axes count on beyond their ends, uneven
        ones stop there.
        """
        if self.step_deg is None:
            degrees = np.degrees(radians)
            found: Floats = np.interp(degrees, self.degrees, np.arange(self.count, dtype=np.float64))
            return found
        radians *= math.degrees(1.0) / self.step_deg
        if self.first_deg != 0.0:
            radians -= self.first_deg / self.step_deg
        return radians

    def outside(self, radians: Floats) -> NDArray[np.bool_]:
        """Which angles lie beyond either end, by more than rounding."""
        low, high = math.radians(self.first_deg) - 1e-11, math.radians(self.last_deg) + 1e-11
        found: NDArray[np.bool_] = (radians < low) | (radians > high)
        return found


def even_axis(degrees: Floats) -> Axis:
    """The fewest evenly spaced angles that meet all of ``degrees``; where there are none, ``degrees`` themselves."""
    step = _common_step_deg(degrees)
    if step is None:
        return Axis(degrees, None)
    count = round((float(degrees[-1]) - float(degrees[0])) / step) + 1
    return Axis(degrees[0] + step * np.arange(count, dtype=np.float64), step)


def _common_step_deg(degrees: Floats) -> float | None:
    """The largest step that meets every angle, in hundredths."""
    offsets = (degrees - degrees[0]) * HUNDREDTHS
    whole = np.rint(offsets)
    if float(np.abs(offsets - whole).max()) > _EXACT:
        return None
    step = math.gcd(*whole.astype(int).tolist()) / HUNDREDTHS
    return step if step >= LEAST_STEP_DEG else None


def resampled(at: Floats, degrees: Floats, table: Floats) -> Floats:
    """The columns of ``table``, given at ``degrees``, taken at other angles: linear between neighbours."""
    upper = np.clip(np.searchsorted(degrees, at, side="left"), 1, len(degrees) - 1)
    share = np.clip((at - degrees[upper - 1]) / (degrees[upper] - degrees[upper - 1]), 0.0, 1.0)
    out: Floats = table[:, upper - 1] * (1.0 - share) + table[:, upper] * share
    return out
