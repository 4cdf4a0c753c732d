"""How far apart a row may stand: the largest spacing at which the worst point of a middle bay still has a level."""

from typing import Final

import numpy as np

from engine.light.distribution import Distribution
from engine.light.illuminance import Placed, horizontal_fc
from engine.light.throw import farthest_ft

IN_A_ROW: Final = 6
"""The middle bay of six has three luminaires on either side of it."""
_POINTS: Final = 41
_TRIES: Final = 240


def row_of(
    distribution: Distribution,
    spacing_ft: float,
    height_ft: float,
    facing_deg: float = 0.0,
    tilt_deg: float = 0.0,
    llf: float = 1.0,
) -> tuple[Placed, ...]:
    """Six alike along the x axis, the middle bay from 0 to ``spacing_ft``."""
    return tuple(
        Placed(distribution, spacing_ft * n, 0.0, height_ft, facing_deg, tilt_deg, llf)
        for n in range(1 - IN_A_ROW // 2, 1 + IN_A_ROW // 2)
    )


def worst_in_bay_fc(row: tuple[Placed, ...], spacing_ft: float, line_ft: float) -> float:
    """The least level on the line ``line_ft`` in front of the row, between two neighbours [fc]."""
    x = np.linspace(0.0, spacing_ft, _POINTS)
    return float(horizontal_fc(row, np.column_stack([x, np.full_like(x, line_ft)])).min())


def largest_spacing_ft(
    distribution: Distribution,
    level_fc: float,
    height_ft: float,
    line_ft: float | None = None,
    facing_deg: float = 0.0,
    tilt_deg: float = 0.0,
    llf: float = 1.0,
) -> float | None:
    """The largest spacing whose middle bay has at least ``level_fc`` everywhere on a line [ft].

    Args:
        distribution: of each luminaire.
        level_fc: above 0.
        height_ft: of each.
        line_ft: distance of the line in front of the row; one mounting height where not given.
        facing_deg: as in `engine.light.illuminance.Placed`.
        tilt_deg: likewise.
        llf: likewise.

    Returns:
        ``None`` where even neighbours that touch do not reach it.
    """
    line = height_ft if line_ft is None else line_ft

    def holds(spacing: float) -> bool:
        row = row_of(distribution, spacing, height_ft, facing_deg, tilt_deg, llf)
        return worst_in_bay_fc(row, spacing, line) >= level_fc

    one = row_of(distribution, 1.0, height_ft, facing_deg, tilt_deg, llf)[:1]
    most = 2.0 * farthest_ft(one * IN_A_ROW, level_fc, (one[0].x_ft, 0.0))
    tries = np.linspace(most, most / _TRIES, _TRIES)
    for n, spacing in enumerate(tries):
        if holds(float(spacing)):
            low, high = float(spacing), float(tries[n - 1]) if n else most
            for _ in range(40):
                middle = (low + high) / 2
                low, high = (middle, high) if holds(middle) else (low, middle)
            return low
    return None
