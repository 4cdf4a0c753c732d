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
    last = steps - np.argmax(held[:, ::-1], axis=1)
    none = ~held.any(axis=1)
    last[none] = -1
    row = np.arange(rays)
    inside: Floats = at[row, np.maximum(last, 0)].astype(np.float64)
    outside: Floats = at[row, np.minimum(last + 1, steps)].astype(np.float64)
    inside[none] = np.nan
    for ray, peak in _peaks_between(values, wanted, last):
        near = np.linspace(at[ray, peak - 1], at[ray, peak + 1], 4 * _CLOSER)
        everywhere = np.broadcast_to(near, (rays, len(near)))
        bright = np.flatnonzero(level(everywhere)[ray] >= wanted)
        if bright.size and bright[-1] + 1 < len(near):
            inside[ray], outside[ray] = near[bright[-1]], near[bright[-1] + 1]
    share = np.linspace(0.0, 1.0, _CLOSER)
    for _ in range(_TIMES):
        tries = np.nan_to_num(inside)[:, None] + (outside - np.nan_to_num(inside))[:, None] * share
        good = level(tries) >= wanted
        good[:, 0] = True  # held by the pass before
        last = _CLOSER - 1 - np.argmax(good[:, ::-1], axis=1)
        inside = np.where(np.isnan(inside), np.nan, tries[row, last])
        outside = tries[row, np.minimum(last + 1, _CLOSER - 1)]
    return inside


def _peaks_between(values: Floats, wanted: float, last: NDArray[np.intp]) -> list[tuple[int, int]]:
    """Where, beyond the last place that is bright enough, the level comes near to being so: by ray, from near to far."""
    middle = values[:, 1:-1]
    peak = (
        (middle >= values[:, :-2])
        & (middle >= values[:, 2:])
        & (middle >= _NEAR * wanted)
        & (middle < wanted)
    )
    rays, places = np.nonzero(peak)
    return [
        (int(ray), int(place) + 1) for ray, place in zip(rays, places, strict=True) if place + 1 > last[ray]
    ]


def _levels(
    placed: Sequence[Placed], start_ft: tuple[float, float], along: Floats, distance: Floats
) -> Floats:
    """On the ground at distances from the start; ``along`` is a column of bearings [radians]."""
    x = start_ft[0] - np.sin(along) * distance
    y = start_ft[1] + np.cos(along) * distance
    return horizontal_fc(placed, np.column_stack([x.ravel(), y.ravel()])).reshape(x.shape)
