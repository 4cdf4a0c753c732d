"""Lateral and longitudinal classes of roadway and area light: where the half-maximum line and the peak fall on the ground.

Lateral: the public explanation of the IES classes. Longitudinal: short from it, the others from memory.
"""

import math
from typing import Final, Literal

import numpy as np

from engine.light.distribution import Distribution

Lateral = Literal["I", "II", "III", "IV", "V", "VS"]
Longitudinal = Literal["very_short", "short", "medium", "long", "very_long"]

LATERAL_MH: Final[tuple[tuple[float, Lateral], ...]] = (
    (1.0, "I"),
    (1.75, "II"),
    (2.75, "III"),
    (math.inf, "IV"),
)
LONGITUDINAL_MH: Final[tuple[tuple[float, Longitudinal], ...]] = (
    (1.0, "very_short"),
    (2.25, "short"),
    (3.75, "medium"),
    (6.0, "long"),
    (math.inf, "very_long"),
)
_EVEN: Final = 0.15
_GAMMA: Final = np.arange(0.0, 85.25, 0.25)


def longitudinal_class(distribution: Distribution) -> Longitudinal:
    """By where the greatest intensity lands along the road, in mounting heights."""
    across, _ = _peak_mh(distribution)
    return next(name for most, name in LONGITUDINAL_MH if across <= most)


def lateral_class(distribution: Distribution) -> Lateral:
    """By how far across the road the line of half the greatest intensity reaches, in mounting heights.

    The road runs along x, forward is across it. The line is looked for within the longitudinal range of the peak.
    """
    c = np.arange(0.0, 360.0, 2.5)
    gamma, around = np.meshgrid(_GAMMA, c)
    candela = distribution.candela(gamma.ravel(), around.ravel()).reshape(gamma.shape)
    peaks = candela.max(axis=1)
    if float(np.ptp(peaks)) <= _EVEN * float(peaks.max()):
        return "V"
    quarters = candela.reshape(4, len(c) // 4, -1)
    if float(np.abs(quarters - quarters.mean(axis=0)).max()) <= _EVEN * float(candela.max()):
        return "VS"
    radius = np.tan(np.radians(gamma))
    along = np.abs(radius * np.sin(np.radians(around)))
    across = radius * np.cos(np.radians(around))
    peak, _ = _peak_mh(distribution)
    low, high = _range_of(peak)
    held = (candela >= candela.max() / 2) & (along >= low) & (along <= high)
    if not held.any():
        held = candela >= candela.max() / 2
    street, house = float(across[held].max()), float(-across[held].min())
    if street <= 1.0 and house <= 1.0:
        return "I"
    return next(name for most, name in LATERAL_MH[1:] if street <= most)


def _range_of(peak_mh: float) -> tuple[float, float]:
    low = 0.0
    for most, _ in LONGITUDINAL_MH:
        if peak_mh <= most:
            return low, most
        low = most
    raise AssertionError("the last range has no end")


def _peak_mh(distribution: Distribution) -> tuple[float, float]:
    """Where the greatest intensity below the horizontal lands: along and across the road [mounting heights]."""
    c = np.arange(0.0, 360.0, 2.5)
    gamma, around = np.meshgrid(_GAMMA, c)
    candela = distribution.candela(gamma.ravel(), around.ravel())
    at = int(candela.argmax())
    radius = math.tan(math.radians(float(gamma.ravel()[at])))
    angle = math.radians(float(around.ravel()[at]))
    return abs(radius * math.sin(angle)), radius * math.cos(angle)
