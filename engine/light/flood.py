"""Types of floodlights by their field angle: between the directions that have a tenth of the greatest intensity (NEMA)."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from engine.light.distribution import Distribution
from engine.light.photometry import Floats
from engine.tables import load_tables
from engine.tables.rows import LightClassRow

TENTH: Final = 0.1
_STEP_DEG: Final = 0.25
_FINE_DEG: Final = 0.05
_WIDEST_DEG: Final = 120.0


@dataclass(frozen=True, slots=True)
class FloodType:
    """Field angles through the brightest direction, to the sides and up and down [deg], and their types, as in "6 x 5".

    A field narrower than the narrowest type has none.
    """

    horizontal_deg: float
    vertical_deg: float
    horizontal: str | None
    vertical: str | None

    def __str__(self) -> str:
        return f"{self.horizontal or '-'} x {self.vertical or '-'}"


def flood_type(distribution: Distribution, classes: Sequence[LightClassRow] | None = None) -> FloodType:
    """The type of a floodlight, whatever way its file was measured.

    Args:
        distribution: the luminaire.
        classes: rows of the table; those that come with the program where not given.
    """
    rows = [
        row for row in (load_tables().light_classes if classes is None else classes) if row.kind == "flood"
    ]
    peak = _brightest(distribution)
    # To the sides: square to the beam, and as level as that lets be.
    side = np.array([1.0, 0.0, 0.0]) - peak[0] * peak
    side = side / np.linalg.norm(side) if np.linalg.norm(side) > TENTH else np.array([0.0, 1.0, 0.0])
    side = side - (side @ peak) * peak
    side /= np.linalg.norm(side)
    wide = _field_deg(distribution, peak, side)
    high = _field_deg(distribution, peak, np.cross(peak, side))
    return FloodType(wide, high, _named(rows, wide), _named(rows, high))


def _brightest(distribution: Distribution) -> Floats:
    """The direction of the greatest intensity: to the right, forward, down."""
    gamma = np.arange(0.0, 180.0 + _STEP_DEG / 2, _STEP_DEG)[None, :]
    circle = np.arange(-180.0, 180.0, 1.0)[:, None]
    candela = distribution.candela(gamma, circle)
    plane, at = np.unravel_index(int(candela.argmax()), candela.shape)
    if candela[:, 0].max() >= candela.max():
        return np.array([0.0, 0.0, 1.0])
    down, around = math.radians(float(gamma[0, at])), math.radians(float(circle[plane, 0]))
    return np.array([-math.sin(down) * math.sin(around), math.sin(down) * math.cos(around), math.cos(down)])


def _field_deg(distribution: Distribution, peak: Floats, across: Floats) -> float:
    """The angle from one outermost direction with a tenth of the maximum to the other [deg]."""
    angle = np.arange(-_WIDEST_DEG, _WIDEST_DEG + _FINE_DEG / 2, _FINE_DEG)
    cos, sin = np.cos(np.radians(angle)), np.sin(np.radians(angle))
    right, forward, down = (cos * peak[n] + sin * across[n] for n in range(3))
    candela = distribution.towards(right, forward, down)
    held = np.flatnonzero(candela >= TENTH * float(candela.max()))
    return float(angle[held[-1]] - angle[held[0]])


def _named(rows: Sequence[LightClassRow], field_deg: float) -> str | None:
    for row in rows:
        if field_deg >= row.over and (row.up_to is None or field_deg < row.up_to):
            return row.name
    return None
