"""Rows of alike luminaires along a wall, a path or a street: the level in the darkest place between two, and how far apart they may be.

The darkest place is looked for in a middle bay, over the width that is lit; luminaires further than `NEIGHBOURS` bays off are
left out, each of which gives under a hundredth of what the nearest do.
"""

import math
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from engine.light.grid import Levels, levels_of
from engine.light.illuminance import Placed, horizontal_fc
from engine.light.photometry import Floats

NEIGHBOURS: Final = 3
"""Luminaires on either side of a bay that count."""
_ALONG: Final = 21
_ACROSS: Final = 9
_TRIES: Final = 48
_CLOSER: Final = 3
"""Times that the gap between a spacing that does and one that does not is cut into `_TRIES` parts."""
SHORT_FT: Final = 10.0
_WIDEST_MH: Final = 14.0
"""No row is spaced further, in mounting heights."""


@dataclass(frozen=True, slots=True)
class Strip:
    """What a row lights: the ground from ``near_ft`` to ``far_ft`` in front of it; a line where they are one."""

    near_ft: float
    far_ft: float

    @property
    def across(self) -> Floats:
        """Distances in front of the row at which levels are taken [ft]."""
        if self.near_ft == self.far_ft:
            return np.array([self.near_ft])
        step = (self.far_ft - self.near_ft) / _ACROSS
        return self.near_ft + step * (np.arange(_ACROSS, dtype=np.float64) + 0.5)


@dataclass(frozen=True, slots=True)
class RowLight:
    """Levels in a middle bay of a row.

    Attributes:
        spacing_ft: between neighbours.
        levels: over the strip [fc].
        darkest_ft: along the row from a luminaire, and out from it.
    """

    spacing_ft: float
    levels: Levels
    darkest_ft: tuple[float, float]


def row_light(one: Placed, spacing_ft: float, strip: Strip) -> RowLight:
    """Levels between two luminaires of a long row.

    Args:
        one: any of them, its height that over the ground; they look across the strip.
        spacing_ft: between neighbours.
        strip: what is lit.
    """
    values = _bays(one, np.array([spacing_ft]), strip)[0]
    at = np.unravel_index(int(values.argmin()), values.shape)
    x = np.linspace(0.0, spacing_ft, _ALONG)[at[0]]
    # ends of the bay are shared with its neighbours: each counts half
    weights = np.full(_ALONG, 1.0)
    weights[[0, -1]] = 0.5
    average = float((values * weights[:, None]).sum() / weights.sum() / values.shape[1])
    found = levels_of(values)
    return RowLight(
        spacing_ft,
        Levels(average, found.least_fc, found.most_fc),
        (float(x), float(strip.across[at[1]])),
    )


def row_placed(one: Placed, spacing_ft: float) -> tuple[Placed, ...]:
    """The luminaires that count for the bay from 0 to ``spacing_ft``."""
    return tuple(
        replace(one, x_ft=spacing_ft * (n + 1 - NEIGHBOURS), y_ft=0.0, facing_deg=0.0)
        for n in range(2 * NEIGHBOURS)
    )


def widest_spacing_ft(one: Placed, level_fc: float, strip: Strip) -> float | None:
    """The largest spacing at which the darkest place of a bay still has ``level_fc`` [ft].

    Arguments as for `row_light`. ``None`` where even luminaires side by side do not reach it.
    """
    low, high = one.height_ft / 20, _WIDEST_MH * one.height_ft
    answer = None
    for _ in range(_CLOSER):
        tries = np.linspace(low, high, _TRIES)
        least = _bays(one, tries, strip).min(axis=(1, 2))
        held = np.flatnonzero(least >= level_fc)
        if held.size == 0:
            return answer
        last = int(held[-1])
        answer = float(tries[last])
        if last == len(tries) - 1:
            return answer
        low, high = float(tries[last]), float(tries[last + 1])
    return answer


def _bays(one: Placed, spacings: Floats, strip: Strip) -> Floats:
    """Levels, shape (spacings, places along the bay, places across the strip) [fc]."""
    shares = np.linspace(0.0, 1.0, _ALONG)
    bays = np.arange(1 - NEIGHBOURS, 1 + NEIGHBOURS)
    along = spacings[:, None, None, None] * (shares[None, :, None, None] - bays[None, None, None, :])
    across = strip.across[None, None, :, None]
    x, y = np.broadcast_arrays(along, across)
    here = replace(one, x_ft=0.0, y_ft=0.0, facing_deg=0.0)
    levels = horizontal_fc([here], np.column_stack([x.ravel(), y.ravel()]))
    return np.asarray(levels.reshape(x.shape).sum(axis=3), dtype=np.float64)


def handy_ft(spacing_ft: float) -> float:
    """A spacing as somebody would lay it out: down to the whole foot, to the half below ten."""
    step = 1.0 if spacing_ft >= SHORT_FT else 0.5
    return max(step, math.floor(spacing_ft / step) * step)
