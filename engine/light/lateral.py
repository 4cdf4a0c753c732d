"""Lateral and longitudinal classes of roadway and area light: where the half-maximum line and the peak fall on the ground.

The road runs along x, forward is across it; distances are in mounting heights (MH).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal, cast

import numpy as np
from numpy.typing import NDArray

from engine.light.distribution import Distribution
from engine.light.photometry import Floats
from engine.tables import load_tables
from engine.tables.rows import LightClassRow

Lateral = Literal["I", "II", "III", "IV", "V", "VS"]
Longitudinal = Literal["very_short", "short", "medium", "long", "very_long"]

EVEN: Final = 0.15
"""Part of the maximum by which planes may differ and still count as alike. Our own decision."""
_GAMMA: Final = np.arange(0.0, 85.25, 0.25)
_CIRCLE: Final = np.arange(0.0, 360.0, 2.5)
_QUARTERS: Final = 4


@dataclass(frozen=True, slots=True, eq=False)
class _Ground:
    """Intensities below level, shape (planes, verticals) [cd], and where each direction lands [MH]."""

    candela: Floats
    along: Floats
    across: Floats


def longitudinal_class(
    distribution: Distribution, classes: Sequence[LightClassRow] | None = None
) -> Longitudinal:
    """By where the greatest intensity lands along the road.

    Args:
        distribution: the luminaire, level.
        classes: rows of the table; those that come with the program where not given.
    """
    ground = _ground(distribution)
    return cast(Longitudinal, _row(_rows("longitudinal", classes), _peak_along(ground)).name)


def lateral_class(distribution: Distribution, classes: Sequence[LightClassRow] | None = None) -> Lateral:
    """By how far across the road the line of half the greatest intensity reaches, within the longitudinal range of the peak.

    V where all planes are alike, VS where only the quarters are. Arguments as for `longitudinal_class`.
    """
    ground = _ground(distribution)
    candela = ground.candela
    most = float(candela.max())
    if float(np.ptp(candela, axis=0).max()) <= EVEN * most:
        return "V"
    quarters = candela.reshape(_QUARTERS, len(_CIRCLE) // _QUARTERS, -1)
    if float(np.abs(quarters - quarters.mean(axis=0)).max()) <= EVEN * most:
        return "VS"
    range_of_peak = _row(_rows("longitudinal", classes), _peak_along(ground))
    high = math.inf if range_of_peak.up_to is None else range_of_peak.up_to
    bright: NDArray[np.bool_] = candela >= most / 2
    held = bright & (ground.along >= range_of_peak.over) & (ground.along <= high)
    if not held.any():
        held = bright
    street, house = float(ground.across[held].max()), float(-ground.across[held].min())
    rows = _rows("lateral", classes)
    first = rows[0]
    if first.up_to is not None and max(street, house) <= first.up_to:
        return cast(Lateral, first.name)
    return cast(Lateral, _row(rows[1:], street).name)


def _rows(kind: str, classes: Sequence[LightClassRow] | None) -> list[LightClassRow]:
    rows = load_tables().light_classes if classes is None else classes
    return sorted((row for row in rows if row.kind == kind), key=lambda row: row.over)


def _row(rows: Sequence[LightClassRow], value: float) -> LightClassRow:
    """The first class that does not end before ``value``."""
    return next((row for row in rows if row.up_to is None or value <= row.up_to), rows[-1])


def _ground(distribution: Distribution) -> _Ground:
    candela = distribution.candela(_GAMMA[None, :], _CIRCLE[:, None])
    radius, around = np.tan(np.radians(_GAMMA))[None, :], np.radians(_CIRCLE)[:, None]
    return _Ground(candela, np.abs(radius * np.sin(around)), radius * np.cos(around))


def _peak_along(ground: _Ground) -> float:
    return float(ground.along.ravel()[int(ground.candela.argmax())])
