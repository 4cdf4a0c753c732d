"""Light distributions from few numbers: where the beam looks, how wide it is, what it sends back and up.

A shape is no measurement. It is the sum of a body (a cosine power about straight down) and a lobe (a bell about the angle of
the maximum, which may lie elsewhere to the side than ahead), weighed by a pattern round the circle, faded out at a cut-off,
with a share of the lumens sent up. Our own form, no published one: it serves to stand for luminaires of which no file is at hand.
"""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from engine.light.photometry import Floats
from engine.light.planes import cell_lumens

ShapeSymmetry = Literal["axial", "quarter", "half"]

FADE_DEG: Final = 10.0
"""Over so many degrees below its cut-off a shape fades out."""
_LEVEL: Final = 90.0


@dataclass(frozen=True, slots=True)
class Shape:
    """The numbers of one distribution. Ahead is C = 0, to the side C = 90; linear luminaires have their lamps along C = 0.

    Attributes:
        symmetry: round; alike in four quarters; or alike left and right of ahead.
        peak_deg, side_peak_deg: vertical angle of the lobe's maximum ahead and to the side [degrees from straight down].
        spread_deg, spread_above_deg: standard deviation of the lobe below and above its maximum [degrees].
        lateral_deg, lateral_spread_deg: where round the circle the lobe is strongest, and its standard deviation [degrees];
            only ``half`` looks at them.
        house_share: light straight back over light where the lobe is strongest [1]; only ``half`` looks at it.
        nadir_share: the body's intensity straight down over the lobe's maximum [1].
        body_exponent, side_body_exponent: power of the cosine that the body follows, ahead and to the side.
        cutoff_deg, side_cutoff_deg: from here up nothing shines, ahead and to the side [degrees]; 90 at most unless it has uplight.
        uplight_share: lumens above level over all lumens [1].
    """

    symmetry: ShapeSymmetry
    peak_deg: float
    side_peak_deg: float
    spread_deg: float
    spread_above_deg: float
    lateral_deg: float
    lateral_spread_deg: float
    house_share: float
    nadir_share: float
    body_exponent: float
    side_body_exponent: float
    cutoff_deg: float
    side_cutoff_deg: float
    uplight_share: float

    @property
    def circle_deg(self) -> float:
        """The last horizontal angle that a table of it needs: 0, 90 or 180."""
        return {"axial": 0.0, "quarter": 90.0, "half": 180.0}[self.symmetry]


def candela_per_lumen(shape: Shape, vertical_deg: Floats, horizontal_deg: Floats) -> Floats:
    """The table of ``shape``, of one lumen in all (by the exact integral of the bilinear table).

    Args:
        shape: its numbers.
        vertical_deg: rising from 0, to 90 or to 180 where it has uplight; 90 is among them.
        horizontal_deg: rising from 0 to ``shape.circle_deg``.

    Returns:
        Intensities [cd/lm], shape (horizontals, verticals).
    """
    gamma = vertical_deg[np.newaxis, :]
    azimuth = horizontal_deg[:, np.newaxis]
    down = _downward(shape, gamma, azimuth)
    down = np.where(gamma < _LEVEL, down, 0.0) if shape.uplight_share == 0 else down
    down[:, gamma[0] == 0] = down[0, 0]
    if shape.uplight_share > 0:
        above = gamma > _LEVEL
        up = np.where(above, np.sin(np.radians(2 * (gamma - _LEVEL))), 0.0) * _body_pattern(shape, azimuth, 1)
        up = np.maximum(up, 0.0) + 0 * down
        level = int(np.searchsorted(vertical_deg, _LEVEL))
        lit_above = lumens_of(down[:, level:], vertical_deg[level:], horizontal_deg)
        wanted = lumens_of(down, vertical_deg, horizontal_deg) - lit_above
        wanted *= shape.uplight_share / (1 - shape.uplight_share)
        added = (wanted - lit_above) / lumens_of(up, vertical_deg, horizontal_deg)
        down = down + max(added, 0.0) * up
    return np.asarray(down / lumens_of(down, vertical_deg, horizontal_deg), dtype=np.float64)


def _downward(shape: Shape, gamma: Floats, azimuth: Floats) -> Floats:
    """Body and lobe with their fade, unscaled, shape (horizontals, verticals)."""
    sideways = np.sin(np.radians(azimuth)) ** 2
    peak = shape.peak_deg + (shape.side_peak_deg - shape.peak_deg) * sideways
    cutoff = shape.cutoff_deg + (shape.side_cutoff_deg - shape.cutoff_deg) * sideways
    power = shape.body_exponent + (shape.side_body_exponent - shape.body_exponent) * sideways
    spread = np.where(gamma < peak, shape.spread_deg, shape.spread_above_deg)
    lobe = np.exp(-0.5 * ((gamma - peak) / spread) ** 2)
    cosine = np.maximum(np.cos(np.radians(np.minimum(gamma, _LEVEL))), 0.0)
    # straight down there is one intensity whatever the plane: what sets the planes apart grows with the sine
    out = np.sin(np.radians(np.minimum(gamma, _LEVEL)))
    body = shape.nadir_share * cosine**power * _body_pattern(shape, azimuth, out)
    fade = 0.5 * (1 + np.cos(np.pi * np.clip((gamma - (cutoff - FADE_DEG)) / FADE_DEG, 0.0, 1.0)))
    return np.asarray((body + lobe * _lobe_pattern(shape, azimuth) * out) * fade)


def _lobe_pattern(shape: Shape, azimuth: Floats) -> Floats:
    if shape.symmetry != "half":
        return np.ones_like(azimuth)
    bell = np.exp(-0.5 * ((azimuth - shape.lateral_deg) / shape.lateral_spread_deg) ** 2)
    return np.asarray(shape.house_share + (1 - shape.house_share) * bell)


def _body_pattern(shape: Shape, azimuth: Floats, out: Floats | int) -> Floats:
    """How the body weakens towards the house side: not at all straight down, most at level."""
    if shape.symmetry != "half":
        return np.ones_like(azimuth)
    behind = (1 - np.cos(np.radians(azimuth))) / 2
    return np.asarray(1 - (1 - shape.house_share) * behind * out)


def lumens_of(candela: Floats, vertical_deg: Floats, horizontal_deg: Floats) -> float:
    """Lumens of a bilinear table [lm]; its planes stand for the whole circle: one of them, a quarter, a half or all of it."""
    if len(horizontal_deg) == 1:
        horizontal_deg, candela = np.array([0.0, 360.0]), np.vstack((candela, candela))
    stored = cell_lumens(horizontal_deg, vertical_deg, candela).sum()
    return float(stored * 360.0 / (horizontal_deg[-1] - horizontal_deg[0]))
