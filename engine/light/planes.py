"""Planes of intensities over the whole circle, whatever part of it a file stores, and the lumens of their cells."""

import math
from typing import Final

import numpy as np

from engine.light.axis import resampled
from engine.light.photometry import Floats, Photometry

_TYPE_B_STEP_DEG: Final = 0.5


def whole_circle(photometry: Photometry) -> tuple[Floats, Floats]:
    """Type C planes over the whole circle, 0 and 360 both there: angles [deg] and candela (planes, verticals)."""
    at, table = photometry.horizontal_deg, photometry.candela
    match photometry.symmetry:
        case "axial":
            return np.array([0.0, 360.0]), np.vstack([table[:1], table[:1]])
        case "quarter":
            at, table = np.concatenate([at, 180.0 - at[-2::-1]]), np.vstack([table, table[-2::-1]])
            return np.concatenate([at, 360.0 - at[-2::-1]]), np.vstack([table, table[-2::-1]])
        case "half":
            return np.concatenate([at, 360.0 - at[-2::-1]]), np.vstack([table, table[-2::-1]])
        case "half_sideways":
            # Stored 90 to 270; the other half mirrors about that plane: C and 180 - C are alike.
            around = np.concatenate([at, 540.0 - at[-2::-1]])
            rows = np.vstack([table, table[-2::-1]])
            return turned(around - 90.0, rows, 270.0)
        case _:
            return at, table


def turned(horizontal: Floats, candela: Floats, start_deg: float) -> tuple[Floats, Floats]:
    """Planes from 0 to 360 counted from ``start_deg``; a plane is put there where the file has none."""
    if start_deg == 0.0:
        return horizontal, candela
    at = int(np.searchsorted(horizontal, start_deg))
    if horizontal[at] != start_deg:
        share = (start_deg - horizontal[at - 1]) / (horizontal[at] - horizontal[at - 1])
        between = candela[at - 1] + share * (candela[at] - candela[at - 1])
        horizontal = np.insert(horizontal, at, start_deg)
        candela = np.insert(candela, at, between, axis=0)
    around = np.concatenate([horizontal[at:] - start_deg, horizontal[1 : at + 1] + 360.0 - start_deg])
    return around, np.vstack([candela[at:], candela[1 : at + 1]])


def mirrored(degrees: Floats, candela: Floats, axis: int) -> tuple[Floats, Floats]:
    """Types A and B: angles from 0 mean both sides."""
    if degrees[0] < 0.0:
        return degrees, candela
    rest = np.flip(candela, axis=axis)
    rest = rest[:-1] if axis == 0 else rest[:, :-1]
    return np.concatenate([-degrees[:0:-1], degrees]), np.concatenate([rest, candela], axis=axis)


def cell_lumens(horizontal: Floats, vertical: Floats, candela: Floats) -> Floats:
    """Lumens of each cell of a type C table, shape (planes - 1, verticals - 1) [lm].

    Exact for a table that is linear in both angles: I = p + q gamma gives [-I cos gamma + q sin gamma] between two verticals,
    and the mean of two planes over the angle between them.
    """
    g = np.radians(vertical)
    slope = np.diff(candela, axis=1) / np.diff(g)
    rings = candela[:, :-1] * np.cos(g[:-1]) - candela[:, 1:] * np.cos(g[1:]) + slope * np.diff(np.sin(g))
    cells: Floats = (rings[:-1] + rings[1:]) / 2 * np.radians(np.diff(horizontal))[:, None]
    return cells


def table_lumens(horizontal: Floats, vertical: Floats, candela: Floats) -> float:
    """Lumens of a type C table [lm]."""
    return float(cell_lumens(horizontal, vertical, candela).sum())


def type_b_lumens(horizontal: Floats, vertical: Floats, candela: Floats) -> float:
    """By equal steps of both angles [lm]: with both projected, a direction is (tan h, tan v, 1), which has no closed form.

    A step of both takes up sec2 h sec2 v / (1 + tan2 h + tan2 v)^1.5 of the sphere.
    """
    h = _middles(horizontal)
    v = _middles(vertical)
    table = resampled(h, horizontal, resampled(v, vertical, candela).T).T
    tan_h, tan_v = np.tan(np.radians(h))[:, None] ** 2, np.tan(np.radians(v))[None, :] ** 2
    length = 1 + tan_h + tan_v
    solid = (1 + tan_h) * (1 + tan_v) / (length * np.sqrt(length))
    step = math.radians(float(h[1] - h[0])) * math.radians(float(v[1] - v[0]))
    return float((table * solid).sum()) * step


def _middles(degrees: Floats) -> Floats:
    span = float(degrees[-1] - degrees[0])
    count = math.ceil(span / _TYPE_B_STEP_DEG)
    middles: Floats = float(degrees[0]) + span / count * (np.arange(count, dtype=np.float64) + 0.5)
    return middles
