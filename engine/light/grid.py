"""Levels over an area: points at cell centres, their mean, least, most and ratios."""

from dataclasses import dataclass

import numpy as np

from engine.light.photometry import Floats


@dataclass(frozen=True, slots=True)
class Levels:
    """What a grid of points comes to [fc]. A ratio is ``None`` where the least is 0: no number says it."""

    average_fc: float
    least_fc: float
    most_fc: float

    @property
    def average_to_least(self) -> float | None:
        """Average over minimum [1]."""
        return self.average_fc / self.least_fc if self.least_fc > 0.0 else None

    @property
    def most_to_least(self) -> float | None:
        """Maximum over minimum [1]."""
        return self.most_fc / self.least_fc if self.least_fc > 0.0 else None


def cell_centres(x_ft: tuple[float, float], y_ft: tuple[float, float], columns: int, rows: int) -> Floats:
    """Centres of even cells over a rectangle, row by row: shape (rows x columns, 2) [ft]."""
    x = _centres(x_ft, columns)
    y = _centres(y_ft, rows)
    across, along = np.meshgrid(x, y)
    return np.column_stack([across.ravel(), along.ravel()])


def levels_of(values_fc: Floats) -> Levels:
    """The plain mean, the least and the most of ``values_fc``."""
    return Levels(float(values_fc.mean()), float(values_fc.min()), float(values_fc.max()))


def _centres(between: tuple[float, float], count: int) -> Floats:
    low, high = between
    cell = (high - low) / count
    return low + cell * (np.arange(count, dtype=np.float64) + 0.5)
