"""Iso-illuminance lines: where the ground has just one level."""

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
from contourpy import FillType, LineType, SerialContourGenerator, ZInterp

from engine.light.illuminance import Placed, horizontal_fc
from engine.light.photometry import Floats

ACROSS: Final = 121
_PLAINLY: Final[dict[str, Any]] = {
    "corner_mask": True,
    "line_type": LineType.Separate,
    "fill_type": FillType.OuterCode,
    "quad_as_tri": False,
    "z_interp": ZInterp.Linear,
    "x_chunk_size": 0,
    "y_chunk_size": 0,
}


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
    # The generator itself: what the library puts around it looks for masks and gaps, which levels of light have none of,
    # and takes ten times as long.
    generator = SerialContourGenerator(across, along, values, None, **_PLAINLY)  # type: ignore[arg-type]  # its stub
    found = generator.lines(level_fc)
    return tuple(np.asarray(line, dtype=np.float64) for line in found)
