"""Iso-illuminance lines: where the ground has just one level."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from contourpy import LineType, contour_generator

from engine.light.illuminance import Placed, horizontal_fc
from engine.light.photometry import Floats

ACROSS: Final = 121


def iso_lines(
    placed: Sequence[Placed],
    level_fc: float,
    x_ft: tuple[float, float],
    y_ft: tuple[float, float],
    points_across: int = ACROSS,
) -> tuple[Floats, ...]:
    """The lines of ``level_fc`` within a rectangle, each an array of shape (N, 2) [ft].

    Args:
        placed: the luminaires.
        level_fc: above 0.
        x_ft: the rectangle from left to right.
        y_ft: from house side to street side.
        points_across: of the grid under it, on its longer side.
    """
    wide, deep = x_ft[1] - x_ft[0], y_ft[1] - y_ft[0]
    step = max(wide, deep) / (points_across - 1)
    x = np.linspace(*x_ft, max(2, round(wide / step) + 1))
    y = np.linspace(*y_ft, max(2, round(deep / step) + 1))
    across, along = np.meshgrid(x, y)
    values = horizontal_fc(placed, np.column_stack([across.ravel(), along.ravel()])).reshape(across.shape)
    found = contour_generator(x, y, values, line_type=LineType.Separate).lines(level_fc)
    return tuple(np.asarray(line, dtype=np.float64) for line in found)
