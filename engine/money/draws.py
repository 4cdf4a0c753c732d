"""The draws that ranges are made of: a fixed lattice of them, and what lies between their ends."""

from functools import lru_cache
from typing import Final

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

DRAWS: Final = 1031
"""A prime, so that every column of the lattice visits each of its levels once."""
_GENERATOR: Final = 349
"""Korobov generator for `DRAWS` points, the best by the weighted P2 criterion over 24 dimensions."""
MOST_KEPT: Final = 1024
"""Rows of a leaf's values that are kept, of 9 kB each."""
LOW_SHARE: Final = 0.1
HIGH_SHARE: Final = 0.9
_LOW: Final = int(LOW_SHARE * DRAWS)
_HIGH: Final = int(HIGH_SHARE * DRAWS)
"""Which of the draws in order those shares lie below: actual draws, so that ``inf`` stays honest."""
_PART: Final = 256
"""Rows up to so long numpy sorts within the processor's registers, in a tenth of the time a value that longer ones take."""
_PARTS: Final = DRAWS // _PART
_FEW: Final = (_PART - DRAWS % _PART) // _PARTS
"""So many of each part's lowest, with what the parts leave over, are such a row again."""


@lru_cache(maxsize=64)
def _unit_column(column: int) -> Array:
    """[DRAWS] points strictly inside 0..1: one column of a rank-1 lattice shifted by half a step.

    Counted from the second power on, else the draws of the first leaf would stand in order, and all the lowest in one part.
    """
    factor = pow(_GENERATOR, column + 1, DRAWS)
    points: Array = (factor * np.arange(DRAWS, dtype=np.int64) % DRAWS + 0.5) / DRAWS
    return points


def _drawn(column: int, low: float, base: float, high: float) -> Array:
    """The draws of a leaf: the inverse distribution function of a triangle over low..high with its top at base."""
    u = _unit_column(column)
    width = high - low
    rising = u < (base - low) / width
    from_end = np.sqrt(np.where(rising, u * width * (base - low), (1 - u) * width * (high - base)))
    return np.where(rising, low + from_end, high - from_end)


@lru_cache(maxsize=MOST_KEPT)
def leaf_row(column: int, columns: int, low: float, base: float, high: float) -> Array:
    """A leaf's values: base, the draws, then its own low and high in its column's place, base in those of the others.

    Kept, since most leaves are rows of tables and stand in the same column of the next quote.
    """
    out = np.full(1 + DRAWS + 2 * columns, base)
    out[1 : 1 + DRAWS] = _drawn(column, low, base, high)
    out[1 + DRAWS + 2 * column : 3 + DRAWS + 2 * column] = low, high
    out.setflags(write=False)
    return out


def ends_of(drawn: Array) -> list[tuple[float, float]]:
    """Of each row of draws the values that `LOW_SHARE` and `HIGH_SHARE` of them lie below.

    Args:
        drawn: [rows, DRAWS]; left in another order.
    """
    rows, most = len(drawn), _PARTS * _FEW
    parts = drawn[:, : _PARTS * _PART].reshape(rows, _PARTS, _PART)
    parts.sort(axis=2)
    outer = np.empty((2, rows, most + DRAWS - _PARTS * _PART))
    of_parts = outer[:, :, :most].reshape(2, rows, _PARTS, _FEW)
    of_parts[0] = parts[:, :, :_FEW]
    of_parts[1] = parts[:, :, -_FEW:]
    outer[:, :, most:] = drawn[:, _PARTS * _PART :]
    outer.sort(axis=2)
    low, high = outer[0, :, _LOW], outer[1, :, _HIGH - DRAWS]
    # nothing that was left out may lie beyond what was found, as it would where one part held most of the lowest; nor be nan
    if not ((low <= parts[:, :, _FEW - 1].T).all() and (high >= parts[:, :, -_FEW].T).all()):
        drawn.partition((_LOW, _HIGH), axis=1)
        low, high = drawn[:, _LOW], drawn[:, _HIGH]
    return list(zip(low.tolist(), high.tolist(), strict=True))
