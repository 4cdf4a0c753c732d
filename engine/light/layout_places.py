"""Where luminaires stand: so many in even rows over a rectangle, so many heads on a pole, so many along a run."""

import math
from dataclasses import dataclass
from typing import Final

MOST_ROWS: Final = 400
LONGEST_BAY: Final = math.log(1.6)
"""A bay may be so much longer than wide (as a logarithm) before equal rows stop being worth more luminaires."""
MOST_ADDED: Final = 12


@dataclass(frozen=True, slots=True)
class Rows:
    """Luminaires or poles in rows along the length of a rectangle, every row evenly spread.

    Attributes:
        counts: how many stand in each row.
        length_ft, width_ft: of the rectangle; rows run along its length [ft].
    """

    counts: tuple[int, ...]
    length_ft: float
    width_ft: float

    @property
    def count(self) -> int:
        """How many in all."""
        return sum(self.counts)

    @property
    def along_ft(self) -> float:
        """Between neighbours in the fullest row [ft]."""
        return self.length_ft / max(self.counts)

    @property
    def across_ft(self) -> float:
        """Between rows [ft]."""
        return self.width_ft / len(self.counts)

    @property
    def places_ft(self) -> tuple[tuple[float, float], ...]:
        """Places, x along the length and y across it from a corner; half a spacing in from the edges [ft]."""
        out = []
        for row, count in enumerate(self.counts):
            y = (row + 0.5) * self.across_ft
            out += [((n + 0.5) * self.length_ft / count, y) for n in range(count)]
        return tuple(out)


def rows_of(count: int, length_ft: float, width_ft: float, rows: int | None = None) -> Rows:
    """``count`` places in rows whose bays come as near to squares as they can.

    Args:
        count: at least 1.
        length_ft: of the rectangle; the longer side is taken as its length.
        width_ft: likewise.
        rows: how many rows where that is settled.
    """
    long, short = max(length_ft, width_ft), min(length_ft, width_ft)
    tried = [rows] if rows is not None else range(1, min(count, MOST_ROWS) + 1)
    best = min(tried, key=lambda r: (_unevenness(count, r, long, short), r))
    whole, left = divmod(count, best)
    # what is left over goes to the middle rows first, so that the picture stays even
    order = sorted(range(best), key=lambda r: abs(r - (best - 1) / 2))
    counts = [whole] * best
    for row in order[:left]:
        counts[row] += 1
    return Rows(tuple(counts), long, short)


def full_rows_of(least: int, length_ft: float, width_ft: float) -> Rows:
    """The fewest places from ``least`` on that stand in equal rows with bays not much longer than wide."""
    long, short = max(length_ft, width_ft), min(length_ft, width_ft)
    count = least
    while True:
        for rows in range(1, min(count, MOST_ROWS) + 1):
            if count % rows == 0 and abs(math.log((long * rows / count) / (short / rows))) <= LONGEST_BAY:
                return rows_of(count, long, short, _squarest(count, long, short))
        if count <= 2 or count == least + MOST_ADDED:
            return rows_of(least, long, short)
        count += 1


def _squarest(count: int, long: float, short: float) -> int:
    whole = [rows for rows in range(1, min(count, MOST_ROWS) + 1) if count % rows == 0]
    return min(whole, key=lambda rows: (_unevenness(count, rows, long, short), rows))


def _unevenness(count: int, rows: int, long: float, short: float) -> float:
    """How far a bay is from a square, and how unequal the rows are."""
    in_row = math.ceil(count / rows)
    bay = abs(math.log((long / in_row) / (short / rows)))
    missing = in_row * rows - count
    return round(bay + missing / count, 9)


def headings_deg(heads: int, towards_deg: float = 0.0) -> tuple[float, ...]:
    """Where the heads of a pole look: one as it is turned, more evenly round the pole [deg, counter-clockwise from +y]."""
    return tuple((towards_deg + 360.0 * n / heads) % 360.0 for n in range(heads))
