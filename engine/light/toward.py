"""A few intensities straight from a stored table: choosing among products asks each file for two or three directions only.

Whole grids are `engine.light.distribution`'s business, which resamples a file first; these look-ups need no such preparation.
Interpolation is the same: linear in degrees both ways, nothing outside the file's vertical range.
"""

import math
from dataclasses import replace
from functools import lru_cache
from typing import Final

import numpy as np

from engine.light.distribution import distribution
from engine.light.photometry import Floats, Photometry
from engine.light.shapes import lumens_of

FINE_DEG: Final = 0.25
"""Step at which a ray is searched for the farthest place that a level reaches; narrower beams than this are not seen."""


def candela_toward(photometry: Photometry, gamma_deg: Floats, circle_deg: Floats) -> Floats:
    """Intensities of type C photometry [cd], same shape as the angles.

    Args:
        photometry: as stored.
        gamma_deg: from straight down.
        circle_deg: C as in the file, any number of turns; add ``photometry.forward_deg`` to an angle from ahead.
    """
    vertical, horizontal, table = photometry.vertical_deg, photometry.horizontal_deg, photometry.candela
    row = np.clip(np.searchsorted(vertical, gamma_deg, side="right") - 1, 0, len(vertical) - 2)
    along = (gamma_deg - vertical[row]) / (vertical[row + 1] - vertical[row])
    inside = (gamma_deg >= vertical[0]) & (gamma_deg <= vertical[-1])
    if len(horizontal) == 1:
        out = table[0, row] * (1 - along) + table[0, row + 1] * along
        return np.where(inside, out, 0.0)
    folded = folded_deg(photometry, circle_deg)
    plane = np.clip(np.searchsorted(horizontal, folded, side="right") - 1, 0, len(horizontal) - 2)
    across = (folded - horizontal[plane]) / (horizontal[plane + 1] - horizontal[plane])
    near = table[plane, row] * (1 - along) + table[plane, row + 1] * along
    far = table[plane + 1, row] * (1 - along) + table[plane + 1, row + 1] * along
    return np.where(inside, near * (1 - across) + far * across, 0.0)


def folded_deg(photometry: Photometry, circle_deg: Floats) -> Floats:
    """Horizontal angles brought into the stored range by the file's symmetry [degrees]."""
    turned = np.mod(circle_deg, 360.0)
    match photometry.symmetry:
        case "axial":
            return np.zeros_like(turned)
        case "quarter":
            half = np.where(turned > 180.0, 360.0 - turned, turned)
            return np.where(half > 90.0, 180.0 - half, half)
        case "half":
            return np.where(turned > 180.0, 360.0 - turned, turned)
        case "half_sideways":
            front = np.where(turned < 90.0, 180.0 - turned, turned)
            return np.where(front > 270.0, 540.0 - front, front)
        case "none":
            return turned


@lru_cache(maxsize=4096)
def total_lumens(photometry: Photometry) -> float:
    """Lumens of type C photometry, by the exact integral of the stored table [lm]."""
    return lumens_of(photometry.candela, photometry.vertical_deg, photometry.horizontal_deg)


@lru_cache(maxsize=4096)
def lumens_below(photometry: Photometry) -> float:
    """Lumens below level of type C photometry [lm]; a cell that level cuts is counted by its part."""
    vertical = photometry.vertical_deg
    if vertical[-1] <= 90.0:
        return total_lumens(photometry)
    down = np.append(vertical[vertical < 90.0], 90.0)
    if len(down) < 2:
        return 0.0
    level = np.array([np.interp(90.0, vertical, plane) for plane in photometry.candela])
    table = np.column_stack((photometry.candela[:, : len(down) - 1], level))
    return lumens_of(table, down, photometry.horizontal_deg)


@lru_cache(maxsize=4096)
def _ray(photometry: Photometry, circle_deg: float) -> tuple[Floats, Floats, Floats]:
    """Along one direction on the ground: angles, intensities [cd], and both put together as candela times cosine cubed."""
    fine = np.arange(0.0, 90.0, FINE_DEG)
    stored = photometry.vertical_deg
    gamma = np.unique(np.concatenate((fine, stored[(stored >= 0) & (stored < 90.0)])))
    candela = candela_toward(photometry, gamma, np.full_like(gamma, circle_deg))
    return gamma, candela, candela * np.cos(np.radians(gamma)) ** 3


@lru_cache(maxsize=16384)
def reach_in_heights(photometry: Photometry, circle_deg: float, candela: float) -> float | None:
    """How far along one direction a level reaches on the ground, in mounting heights: the farthest place, not the first.

    Args:
        photometry: type C, not tilted.
        circle_deg: C of the direction.
        candela: the level times the height squared, divided by the share of the file's light that counts [fc ft2 = cd].

    Returns:
        ``None`` where the level is nowhere reached in that direction.
    """
    gamma, intensity, lit = _ray(photometry, circle_deg)
    enough = np.flatnonzero(lit >= candela)
    if not len(enough):
        return None
    last = int(enough[-1])
    if last == len(gamma) - 1:
        return float(np.tan(np.radians(gamma[last])))
    low, high = float(gamma[last]), float(gamma[last + 1])
    # between neighbours the intensity is a straight line, so that the crossing can be closed in upon
    start, slope = float(intensity[last]), float(intensity[last + 1] - intensity[last]) / (high - low)
    first = low
    for _ in range(30):
        middle = (low + high) / 2
        value = (start + slope * (middle - first)) * math.cos(math.radians(middle)) ** 3
        low, high = (middle, high) if value >= candela else (low, middle)
    return float(np.tan(np.radians(low)))


def as_type_c(photometry: Photometry) -> Photometry:
    """The same light as type C, forward at C = 0: types A and B are looked up every degree."""
    if photometry.type == "C":
        return photometry
    vertical, horizontal = np.arange(0.0, 180.5, 1.0), np.arange(0.0, 360.5, 1.0)
    gamma, circle = np.meshgrid(vertical, horizontal)
    candela = distribution(photometry).candela(gamma, circle)
    return replace(
        photometry,
        type="C",
        symmetry="none",
        vertical_deg=vertical,
        horizontal_deg=horizontal,
        candela=candela,
        forward_deg=0.0,
    )
