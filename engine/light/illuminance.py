"""Illuminance at points from any number of aimed luminaires: E = LLF x I x cos(theta) / r2, added up.

Axes: z is up, the ground is z = 0; a luminaire that faces 0 looks along +y, and +x is to the right of who looks so. Facing
turns counter-clockwise as seen from above: 90 looks along -x. Tilt lifts the aim towards where it faces.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from engine.light.distribution import Distribution
from engine.light.photometry import Floats, LampTilt

POINTS_AT_ONCE: Final = 8_192
"""So that memory stays flat however many points there are, and the work stays in the processor's cache."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A luminaire in its place.

    Attributes:
        distribution: its light.
        x_ft, y_ft, height_ft: of its photometric centre over the ground or the work plane [ft].
        facing_deg: where forward points, counter-clockwise from +y [deg].
        tilt_deg: how far the nadir axis is swung towards forward [deg].
        llf: light-loss factor [1]; 1 for initial light.
    """

    distribution: Distribution
    x_ft: float
    y_ft: float
    height_ft: float
    facing_deg: float = 0.0
    tilt_deg: float = 0.0
    llf: float = 1.0


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
    for start in range(0, len(points), POINTS_AT_ONCE):
        part = points[start : start + POINTS_AT_ONCE]
        x, y = part[:, 0], part[:, 1]
        z = part[:, 2] + meter_height_ft if part.shape[1] == 3 else meter_height_ft
        total = out[start : start + POINTS_AT_ONCE]
        for one in placed:
            total += _of_one(one, x, y, z, normal)
    return out


def _of_one(
    one: Placed, x: Floats, y: Floats, z: Floats | float, normal: tuple[float, float] | None
) -> Floats:
    east, north = x - one.x_ft, y - one.y_ft
    down = one.height_ft - z
    level_out = east * east
    level_out += north * north
    right, forward = _turned(east, north, one.facing_deg)
    if one.tilt_deg != 0.0:
        cos, sin = _cos(one.tilt_deg), _sin(one.tilt_deg)
        candela = one.distribution.towards(right, forward * cos - down * sin, -forward * sin - down * cos)
    elif one.distribution.type == "C":
        candela = one.distribution.below(np.sqrt(level_out), right, forward, down)
    else:
        candela = one.distribution.towards(right, forward, -down + np.zeros_like(right))
    factor = one.llf * lamp_tilt_factor(one.distribution.photometry.tilt, one.tilt_deg)
    level_out += down * down
    distance = np.sqrt(level_out)
    distance *= level_out
    if normal is None and isinstance(down, float):
        # The usual case: level ground under a luminaire.
        if down <= 0.0:
            return np.zeros_like(east)
        candela *= factor * down
        candela /= distance
        return candela
    facing = down if normal is None else -(east * normal[0] + north * normal[1])
    lit = (facing > 0.0) & (distance > 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(lit, factor * candela * facing / distance, 0.0)


def lamp_tilt_factor(tilt: LampTilt | None, tilt_deg: float) -> float:
    """What the lamp gives at this tilt over what the file states [1]: a lamp that turns level with its luminaire minds no tilt."""
    if tilt is None:
        return 1.0
    angle = 0.0 if tilt.geometry == 2 else abs(tilt_deg)
    return float(np.interp(angle, tilt.angles_deg, tilt.factors))


def _turned(east: Floats, north: Floats, facing_deg: float) -> tuple[Floats, Floats]:
    if facing_deg % 360.0 == 0.0:
        return east, north
    cos, sin = _cos(facing_deg), _sin(facing_deg)
    return east * cos + north * sin, north * cos - east * sin


def _cos(degrees: float) -> float:
    return float(np.cos(np.radians(degrees)))


def _sin(degrees: float) -> float:
    return float(np.sin(np.radians(degrees)))
