"""How far light reaches: the largest distance at which a level is held, ahead, sideways, or on any bearing.

The largest, and not the first at which it fails: a batwing dips below itself under its own mounting.
"""

import math
from collections.abc import Callable, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine.light.illuminance import Placed, horizontal_fc, lamp_tilt_factor
from engine.light.photometry import Floats

STEPS: Final = 480
"""Of a ray that is searched; a narrow peak between two of them is found where its flanks come close to the level."""
_CLOSER: Final = 17
_TIMES: Final = 5
_NEAR: Final = 0.8
_PEAKS: Final = 3
_BEARINGS: Final = 91
_BEARING_STEPS: Final = 160


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
    along = np.radians(np.array([[bearing_deg]]))
    found = farthest_held(
        lambda distance: _levels(placed, start_ft, along, distance),
        level_fc,
        farthest_ft(placed, level_fc, start_ft),
    )
    return None if math.isnan(found[0]) else float(found[0])


def widest_half_width_ft(placed: Placed, level_fc: float, *, behind: bool = False) -> float | None:
    """The largest distance to the side of a luminaire's axis at which the ground has ``level_fc`` [ft].

    Args:
        placed: the luminaire.
        level_fc: above 0.
        behind: whether the ground behind it counts, which a luminaire on a wall has none of.

    Returns:
        The half width of the contour where it is widest, on whichever side is wider; ``None`` where the level is reached nowhere.
    """
    start = (placed.x_ft, placed.y_ft)
    most = farthest_ft([placed], level_fc, start)

    def wide(from_ahead: Floats) -> Floats:
        """How far to the side the level reaches on each bearing."""
        along = np.radians(placed.facing_deg + from_ahead)[:, None]
        held = farthest_held(
            lambda distance: _levels([placed], start, along, distance),
            level_fc,
            most,
            len(from_ahead),
            _BEARING_STEPS,
        )
        return np.nan_to_num(held * np.abs(np.sin(np.radians(from_ahead))), nan=-1.0)

    half = 180.0 if behind else 90.0
    bearings = np.linspace(-half, half, _BEARINGS * 2 - 1 if behind else _BEARINGS)
    gap = float(bearings[1] - bearings[0])
    widths = wide(bearings)
    if widths.max() < 0.0:
        return None
    best = float(bearings[int(widths.argmax())])
    for _ in range(3):
        bearings = np.clip(np.linspace(best - gap, best + gap, 9), -half, half)
        widths = wide(bearings)
        best, gap = float(bearings[int(widths.argmax())]), gap / 4
    return float(widths.max())


def farthest_ft(placed: Sequence[Placed], level_fc: float, start_ft: tuple[float, float]) -> float:
    """Beyond this no ray can have ``level_fc`` [ft]: all luminaires' brightest intensity in one place, E = I H / r3."""
    strength = sum(
        float(one.distribution.table.max())
        * one.llf
        * lamp_tilt_factor(one.distribution.photometry.tilt, one.tilt_deg)
        * max(one.height_ft, 0.0)
        for one in placed
    )
    away = max(math.hypot(one.x_ft - start_ft[0], one.y_ft - start_ft[1]) for one in placed)
    return float(away + max((strength / level_fc) ** (1 / 3), 1.0))


def farthest_held(
    level: Callable[[Floats], Floats], wanted: float, most: float, rays: int = 1, steps: int = STEPS
) -> Floats:
    """The largest argument, up to ``most``, at which a level is at least ``wanted``, on each of several rays.

    Args:
        level: takes and gives arrays of shape (rays, any number).
        wanted: the level.
        most: where the search ends; the level should be lower there.
        rays: how many.
        steps: each ray is tried at so many even steps first.

    Returns:
        Shape (rays,); NaN where the level is nowhere held.
    """
    at = np.broadcast_to(np.linspace(0.0, most, steps + 1), (rays, steps + 1))
    values = level(at)
    held = values >= wanted
    last = np.where(held.any(axis=1), _last(held), -1)
    ray = np.arange(rays)
    inside = np.where(last < 0, np.nan, at[ray, np.maximum(last, 0)])
    outside = at[ray, np.minimum(last + 1, steps)]
    inside, outside = _with_peaks_between(
        level, wanted, at, _peaks_between(values, wanted, last), inside, outside
    )
    share = np.linspace(0.0, 1.0, _CLOSER)
    for _ in range(_TIMES):
        low = np.where(np.isnan(inside), 0.0, inside)
        tries = low[:, None] + (outside - low)[:, None] * share
        good = level(tries) >= wanted
        good[:, 0] = True  # held by the pass before
        last = _last(good)
        inside = np.where(np.isnan(inside), np.nan, tries[ray, last])
        outside = tries[ray, np.minimum(last + 1, _CLOSER - 1)]
    return inside


def _last(held: NDArray[np.bool_]) -> NDArray[np.intp]:
    """Of each row, the last column that holds."""
    columns: NDArray[np.intp] = held.shape[1] - 1 - np.argmax(held[:, ::-1], axis=1)
    return columns


def _peaks_between(values: Floats, wanted: float, last: NDArray[np.intp]) -> NDArray[np.bool_]:
    """Where, beyond the last place that is bright enough, the level comes near to being so; of the shape of ``values``."""
    near = np.zeros(values.shape, dtype=np.bool_)
    middle = values[:, 1:-1]
    near[:, 1:-1] = (middle >= values[:, :-2]) & (middle >= values[:, 2:])
    near &= (values >= _NEAR * wanted) & (values < wanted)
    near &= np.arange(values.shape[1]) > last[:, None]
    return near


def _with_peaks_between(
    level: Callable[[Floats], Floats],
    wanted: float,
    at: Floats,
    near: NDArray[np.bool_],
    inside: Floats,
    outside: Floats,
) -> tuple[Floats, Floats]:
    """The last places inside and outside, once the farthest few peaks between two steps have been looked at; uses up ``near``."""
    ray = np.arange(len(at))
    for _ in range(_PEAKS):
        some = near.any(axis=1)
        if not some.any():
            break
        peak = _last(near)
        low, high = at[ray, np.where(some, peak - 1, 0)], at[ray, np.where(some, peak + 1, 0)]
        tries = low[:, None] + (high - low)[:, None] * np.linspace(0.0, 1.0, 4 * _CLOSER)
        bright: NDArray[np.bool_] = level(tries) >= wanted
        bright[~some] = False
        best, found = _last(bright), bright.any(axis=1)
        inside = np.where(found, tries[ray, best], inside)
        outside = np.where(found, tries[ray, np.minimum(best + 1, tries.shape[1] - 1)], outside)
        near[found] = False
        near[ray[some], peak[some]] = False
    return inside, outside


def _levels(
    placed: Sequence[Placed], start_ft: tuple[float, float], along: Floats, distance: Floats
) -> Floats:
    """On the ground at distances from the start; ``along`` is a column of bearings [radians]."""
    x = start_ft[0] - np.sin(along) * distance
    y = start_ft[1] + np.cos(along) * distance
    return horizontal_fc(placed, np.column_stack([x.ravel(), y.ravel()])).reshape(x.shape)
