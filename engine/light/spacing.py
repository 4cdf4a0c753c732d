"""How far apart a row may stand: the largest spacing at which the worst point of a middle bay still has a level."""

import math
from typing import Final

import numpy as np

from engine.light.illuminance import Placed, horizontal_fc
from engine.light.photometry import Floats
from engine.light.throw import farthest_ft, farthest_held

IN_A_ROW: Final = 6
"""The middle bay of six has three luminaires on either side of it."""
LEAST_IN_A_ROW: Final = 5
_POINTS: Final = 61
_TRIES: Final = 240


def worst_in_bay_fc(one: Placed, spacings_ft: Floats, line_ft: float, luminaires: int = IN_A_ROW) -> Floats:
    """The least level on a line in front of a row, between two neighbours in its middle, one value a spacing [fc].

    Args:
        one: any luminaire of the row; they are alike and stand along x.
        spacings_ft: those that are tried.
        line_ft: distance of the line in front of the row.
        luminaires: in the row.
    """
    spacing = np.asarray(spacings_ft, dtype=np.float64)
    share = np.linspace(0.0, 1.0, _POINTS)
    place = np.arange(luminaires) - (luminaires - 1) // 2
    # What a row gives at one point is what one luminaire gives at as many points.
    x = (spacing[..., None, None] * (share[:, None] - place)).ravel()
    points = np.column_stack([one.x_ft + x, np.full_like(x, one.y_ft + line_ft)])
    levels = horizontal_fc([one], points).reshape(*spacing.shape, _POINTS, luminaires)
    worst: Floats = levels.sum(axis=-1).min(axis=-1)
    return worst


def largest_spacing_ft(
    one: Placed, level_fc: float, line_ft: float | None = None, luminaires: int = IN_A_ROW
) -> float | None:
    """The largest spacing at which the middle bay of a row has at least ``level_fc`` everywhere on a line [ft].

    Args:
        one: any luminaire of the row; they are alike and stand along x.
        level_fc: above 0.
        line_ft: distance of the line in front of the row; one mounting height where not given.
        luminaires: in the row, 5 or more.

    Returns:
        ``None`` where even neighbours that touch do not reach it.

    Raises:
        ValueError: a row of fewer than five has no bay that is as good as in a long one.
    """
    if luminaires < LEAST_IN_A_ROW:
        raise ValueError(f"a row has {LEAST_IN_A_ROW} luminaires or more")
    line = one.height_ft if line_ft is None else line_ft
    # Midway between two, each of the row is half a spacing off or more.
    most = 2.0 * farthest_ft([one] * luminaires, level_fc, (one.x_ft, one.y_ft))
    found = farthest_held(
        lambda spacings: worst_in_bay_fc(one, spacings, line, luminaires), level_fc, most, steps=_TRIES
    )
    return None if math.isnan(found[0]) else float(found[0])
