"""Illuminance at points from any number of aimed luminaires: E = LLF x I x cos(theta) / r2, added up.

Axes: z is up, the ground is z = 0; a luminaire that faces 0 looks along +y, and +x is to the right of who looks so. Facing
turns counter-clockwise as seen from above: 90 looks along -x. Tilt lifts the aim towards where it faces.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from engine.light.distribution import Distribution
from engine.light.photometry import Floats, LampTilt

CELLS_AT_ONCE: Final = 4_096
"""Points times luminaires, so that memory stays flat however many there are, and the work stays in the processor's cache."""
RIGHT_ANGLE: Final = 90.0


@dataclass(frozen=True, slots=True)
class Placed:
    """A luminaire in its place.

    Attributes:
        distribution: its light.
        x_ft, y_ft, height_ft: of its photometric centre over the ground or the work plane [ft].
        facing_deg: where forward points, counter-clockwise from +y [deg].
        tilt_deg: how far the nadir axis is swung towards forward [deg].
        llf: light-loss factor [1]; 1 for initial light.

    Raises:
        ValueError: a number that is not finite, or a light-loss factor below 0.
    """

    distribution: Distribution
    x_ft: float
    y_ft: float
    height_ft: float
    facing_deg: float = 0.0
    tilt_deg: float = 0.0
    llf: float = 1.0

    def __post_init__(self) -> None:
        numbers = (self.x_ft, self.y_ft, self.height_ft, self.facing_deg, self.tilt_deg, self.llf)
        if not all(map(math.isfinite, numbers)) or self.llf < 0.0:
            raise ValueError(f"a luminaire can't be placed so: {numbers}")


def horizontal_fc(placed: Sequence[Placed], points_ft: Floats) -> Floats:
    """Illuminance on level ground [fc], one value a point.

    Args:
        placed: the luminaires.
        points_ft: shape (N, 2) on the ground, or (N, 3) with the height of each point [ft].
    """
    return _added(placed, points_ft, 0.0, None)


def vertical_fc(
    placed: Sequence[Placed], points_ft: Floats, meter_height_ft: float, facing_deg: float
) -> Floats:
    """Illuminance on an upright meter [fc].

    Args:
        placed: the luminaires.
        points_ft: shape (N, 2); or (N, 3), whose heights are added to that of the meter [ft].
        meter_height_ft: of the meter over the ground [ft].
        facing_deg: where it looks, counter-clockwise from +y: 180 faces a wall at y = 0 from in front of it.
    """
    return _added(placed, points_ft, meter_height_ft, facing_deg)


def _added(
    placed: Sequence[Placed], points_ft: Floats, meter_height_ft: float, facing_deg: float | None
) -> Floats:
    points = np.asarray(points_ft, dtype=np.float64)
    if points.ndim != 2 or points.shape[1] not in (2, 3):
        raise ValueError("points are rows of x, y or of x, y, z")
    out = np.zeros(len(points))
    normal = None if facing_deg is None else (-_sin(facing_deg), _cos(facing_deg))
    at_once = min(max(len(points), 1), CELLS_AT_ONCE)
    alike = [
        group.part(start, CELLS_AT_ONCE // at_once)
        for group in _alike(placed)
        for start in range(0, len(group.x), CELLS_AT_ONCE // at_once)
    ]
    for start in range(0, len(points), at_once):
        part = np.ascontiguousarray(points[start : start + at_once].T)
        if not np.isfinite(part).all():
            raise ValueError("a point is not finite")
        z = part[2] + meter_height_ft if len(part) == 3 else meter_height_ft
        total = out[start : start + at_once]
        for group in alike:
            # One by one, so that a level does not hang on how many points were asked for with it.
            for level in _levels(group, part[0], part[1], z, normal):
                total += level
    return out


@dataclass(frozen=True, slots=True)
class _Alike:
    """Luminaires of one light and one aim: where each hangs [ft], shape (N, 1), and what share of the light counts."""

    distribution: Distribution
    facing_deg: float
    tilt_deg: float
    x: Floats
    y: Floats
    height: Floats
    factor: Floats

    def part(self, start: int, count: int) -> "_Alike":
        if start == 0 and count >= len(self.x):
            return self
        cut = slice(start, start + count)
        return replace(self, x=self.x[cut], y=self.y[cut], height=self.height[cut], factor=self.factor[cut])


def _alike(placed: Sequence[Placed]) -> list[_Alike]:
    groups: dict[tuple[int, float, float], list[Placed]] = {}
    for one in placed:
        groups.setdefault((id(one.distribution), one.facing_deg, one.tilt_deg), []).append(one)
    made = []
    for group in groups.values():
        first = group[0]
        numbers = np.array([(one.x_ft, one.y_ft, one.height_ft, one.llf) for one in group], dtype=np.float64)
        x, y, height, llf = (numbers[:, [n]] for n in range(4))
        factor = llf * lamp_tilt_factor(first.distribution.photometry.tilt, first.tilt_deg)
        made.append(_Alike(first.distribution, first.facing_deg, first.tilt_deg, x, y, height, factor))
    return made


def _levels(
    group: _Alike, x: Floats, y: Floats, z: Floats | float, normal: tuple[float, float] | None
) -> Floats:
    """What each luminaire of a group gives, shape (luminaires, points) [fc]."""
    east, north = x - group.x, y - group.y
    down = group.height - z
    right, forward = _turned(east, north, group.facing_deg)
    if group.tilt_deg != 0.0:
        cos, sin = _cos(group.tilt_deg), _sin(group.tilt_deg)
        candela = group.distribution.towards(right, forward * cos - down * sin, forward * sin + down * cos)
    else:
        candela = group.distribution.towards(right, forward, down)
    squared = east * east
    squared += north * north
    squared += down * down
    cubed = np.sqrt(squared)
    cubed *= squared
    facing = down if normal is None else -(east * normal[0] + north * normal[1])
    candela *= facing * group.factor
    if np.min(facing) > 0.0:
        candela /= cubed
        return candela
    lit = (facing > 0.0) & (cubed > 0.0)
    return np.divide(candela, cubed, out=np.zeros_like(candela), where=lit)


def lamp_tilt_factor(tilt: LampTilt | None, tilt_deg: float) -> float:
    """What the lamp gives at this tilt over what the file states [1].

    A lamp that turns level with its luminaire minds no tilt. A table that ends at 90 degrees holds for a lamp on its head
    too: 120 degrees are as 60 (Radiance, tilt.cal). Beyond its ends a table goes on as it ended.
    """
    if tilt is None:
        return 1.0
    angle = 0.0 if tilt.geometry == 2 else abs((tilt_deg + 180.0) % 360.0 - 180.0)
    if tilt.angles_deg[-1] <= RIGHT_ANGLE and angle > RIGHT_ANGLE:
        angle = 2 * RIGHT_ANGLE - angle
    return float(np.interp(angle, tilt.angles_deg, tilt.factors))


def _turned(east: Floats, north: Floats, facing_deg: float) -> tuple[Floats, Floats]:
    if facing_deg % 360.0 == 0.0:
        return east, north
    cos, sin = _cos(facing_deg), _sin(facing_deg)
    return east * cos + north * sin, north * cos - east * sin


def _cos(degrees: float) -> float:
    return math.cos(math.radians(degrees))


def _sin(degrees: float) -> float:
    return math.sin(math.radians(degrees))
