"""The places where a luminaire's light counts, in heights: two out and to the side of a wall, midway between poles, a work plane."""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final, Literal

import numpy as np

from engine.light.photometry import Floats, Photometry
from engine.light.toward import candela_toward, lumens_below, total_lumens

Arrangement = Literal["wall", "pole", "aim", "grid"]
SpotKey = Literal["ahead", "side", "midway", "aim", "edge", "average", "between"]

OUT_HEIGHTS: Final = 2.0
"""Two mounting heights out: where a wall pack's light is judged (common practice, no source)."""
_ROWS: Final = 4
"""Luminaires of a grid that are summed to each side of a place midway between four: what is further off gives under 1 %."""


@dataclass(frozen=True, slots=True)
class Layout:
    """How luminaires of a family hang, everything in heights over the plane that is lit.

    Attributes:
        spacing: between neighbours; only poles and grids look at it.
        line: how far out from a row of poles the place midway lies.
    """

    arrangement: Arrangement
    spacing: float
    line: float = 0.0


@dataclass(frozen=True, slots=True)
class Spot:
    """One place.

    Attributes:
        key: what place it is.
        x, y: from one luminaire, to the right and ahead, in heights; 0, 0 for an average.
    """

    key: SpotKey
    x: float
    y: float


def distance_ft(spot: Spot, above_ft: float) -> float:
    """How far from the luminaire's foot a place lies [ft]; 0 for an average."""
    return float(np.hypot(spot.x, spot.y)) * above_ft


def spots_of(layout: Layout) -> tuple[Spot, ...]:
    """The places that count in ``layout``."""
    match layout.arrangement:
        case "wall":
            return (Spot("ahead", 0.0, OUT_HEIGHTS), Spot("side", OUT_HEIGHTS, 0.0))
        case "pole":
            return (Spot("midway", layout.spacing / 2, layout.line),)
        case "aim":
            return (Spot("aim", 0.0, OUT_HEIGHTS), Spot("edge", 1.0, OUT_HEIGHTS))
        case "grid":
            half = layout.spacing / 2
            return (Spot("average", 0.0, 0.0), Spot("between", half, half))


MOST_LIGHTS: Final = 4096


@lru_cache(maxsize=16384)
def light_there(photometry: Photometry, layout: Layout, spot: Spot) -> float:
    """What one lumen out of such a luminaire gives at a spot, at one foot of height [fc ft2/lm, which is cd/lm].

    Multiplied by the luminaire's maintained lumens and divided by the height squared [ft2] it is the level there [fc].
    Direct light only; a grid is taken to go on without end, and its luminaires to be alike.

    Args:
        photometry: type C.
        layout: how the luminaires hang.
        spot: one of ``spots_of(layout)``.
    """
    if spot.key == "average":
        return lumens_below(photometry) / total_lumens(photometry) / layout.spacing**2
    x, y = _places(layout, spot)
    tilt_deg = float(np.degrees(np.arctan(OUT_HEIGHTS))) if layout.arrangement == "aim" else 0.0
    return float(unit_level(photometry, x, y, tilt_deg).sum()) / total_lumens(photometry)


@lru_cache(maxsize=256)
def unit_levels(layout: Layout, spots: tuple[Spot, ...]) -> "LevelsByLight":
    """`light_there` at several spots, by photometry: one look-up a product where a catalogue is searched."""
    return LevelsByLight(layout, spots)


class LevelsByLight(dict[Photometry, tuple[float, ...]]):
    """What one lumen of each photometry gives at the spots of a layout, worked out when first asked for."""

    def __init__(self, layout: Layout, spots: tuple[Spot, ...]) -> None:
        self._layout, self._spots = layout, spots

    def __missing__(self, photometry: Photometry) -> tuple[float, ...]:
        found = tuple([light_there(photometry, self._layout, spot) for spot in self._spots])
        if len(self) >= MOST_LIGHTS:
            self.clear()
        self[photometry] = found
        return found


def _places(layout: Layout, spot: Spot) -> tuple[Floats, Floats]:
    """The spot as every luminaire that lights it sees it: to its right, and ahead."""
    if layout.arrangement == "pole":
        return np.array([spot.x, -spot.x]), np.array([spot.y, spot.y])
    if layout.arrangement == "grid":
        steps = layout.spacing * (np.arange(-_ROWS, _ROWS) + 0.5)
        x, y = np.meshgrid(steps, steps)
        return x.ravel(), y.ravel()
    return np.array([spot.x]), np.array([spot.y])


def unit_level(photometry: Photometry, x: Floats, y: Floats, tilt_deg: float = 0.0) -> Floats:
    """Level on a plane one foot below, at ``x`` to the right and ``y`` ahead [ft], of the file as it stands [fc].

    The turn by ``tilt_deg`` about the x axis, upward ahead, is that of ``wattclerk light``.
    """
    tilt = np.radians(tilt_deg)
    ahead = y * np.cos(tilt) - np.sin(tilt)
    down = y * np.sin(tilt) + np.cos(tilt)
    gamma = np.degrees(np.arctan2(np.hypot(x, ahead), down))
    circle = np.degrees(np.arctan2(-x, ahead)) + photometry.forward_deg
    distance = np.sqrt(x**2 + y**2 + 1.0)
    return np.asarray(candela_toward(photometry, gamma, circle) / distance**3)
