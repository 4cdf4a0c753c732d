"""How far light reaches: the largest distance at which a level is held, ahead, sideways, or on any bearing.

The largest, and not the first at which it fails: a batwing dips below itself under its own mounting.
"""

import math
from collections.abc import Callable, Sequence
from typing import Final

import numpy as np

from engine.light.illuminance import Placed, horizontal_fc
from engine.light.photometry import Floats

STEPS: Final = 600
_HALVINGS: Final = 40


def reach_ft(
    placed: Sequence[Placed],
    level_fc: float,
    bearing_deg: float = 0.0,
    start_ft: tuple[float, float] = (0.0, 0.0),
) -> float | None:
    """The largest distance from ``start_ft`` along ``bearing_deg`` at which the ground has ``level_fc`` [ft].

    Args:
        placed: the luminaires, near the start.
        level_fc: above 0.
        bearing_deg: counter-clockwise from +y.
        start_ft: where the distance is counted from.

    Returns:
        ``None`` where the level is reached nowhere on that ray.
    """
    along = (-math.sin(math.radians(bearing_deg)), math.cos(math.radians(bearing_deg)))

    def level(distance: Floats) -> Floats:
        return horizontal_fc(
            placed,
            np.column_stack([start_ft[0] + along[0] * distance, start_ft[1] + along[1] * distance]),
        )

    return _last_at_least(level, level_fc, farthest_ft(placed, level_fc, start_ft))


def farthest_ft(placed: Sequence[Placed], level_fc: float, start_ft: tuple[float, float]) -> float:
    """Beyond this no ray can have ``level_fc`` [ft]: all luminaires' brightest intensity in one place, E = I H / r3."""
    strength = sum(float(one.distribution.table.max()) * one.llf * max(one.height_ft, 0.0) for one in placed)
    away = max(math.hypot(one.x_ft - start_ft[0], one.y_ft - start_ft[1]) for one in placed)
    return float(away + max((strength / level_fc) ** (1 / 3), 1.0))


def widest_half_width_ft(placed: Placed, level_fc: float) -> float | None:
    """The largest distance sideways of the axis at which the level is held anywhere in front or behind [ft].

    ``None`` where the level is reached nowhere.
    """
    most = farthest_ft([placed], level_fc, (placed.x_ft, placed.y_ft))
    side = np.linspace(0.0, most, 161)
    ahead = np.linspace(-most, most, 321)
    x, y = np.meshgrid(side, ahead)
    forward = math.radians(placed.facing_deg)
    cos, sin = math.cos(forward), math.sin(forward)

    def levels(right: Floats, front: Floats) -> Floats:
        return horizontal_fc(
            [placed],
            np.column_stack(
                [placed.x_ft + right * cos - front * sin, placed.y_ft + right * sin + front * cos]
            ),
        )

    best = None
    for sign in (1.0, -1.0):
        held = levels(sign * x.ravel(), y.ravel()).reshape(x.shape) >= level_fc
        if not held.any():
            continue
        row = int(np.argmax(np.where(held, x, -1.0).max(axis=1)))
        low, high = ahead[max(row - 1, 0)], ahead[min(row + 1, len(ahead) - 1)]
        for front in np.linspace(low, high, 9):
            found = _last_at_least(
                lambda d, front=front, sign=sign: levels(sign * d, np.full_like(d, front)),  # type: ignore[misc]
                level_fc,
                most,
            )
            if found is not None and (best is None or found > best):
                best = found
    return best


def _last_at_least(level: Callable[[Floats], Floats], wanted: float, most: float) -> float | None:
    at = np.linspace(0.0, most, STEPS + 1)
    held = np.flatnonzero(level(at) >= wanted)
    if held.size == 0:
        return None
    last = int(held[-1])
    if last == STEPS:
        return most
    inside, outside = float(at[last]), float(at[last + 1])
    # A row of points at a time: each pass narrows the gap sixteenfold.
    for _ in range(_HALVINGS // 4):
        row = np.linspace(inside, outside, 17)
        good = np.flatnonzero(level(row) >= wanted)
        last = int(good[-1]) if good.size else 0
        if last == 16:
            return float(row[16])
        inside, outside = float(row[last]), float(row[last + 1])
        if outside - inside < 1e-9 * max(1.0, outside):
            break
    return inside
