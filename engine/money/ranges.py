"""How far a result could move: all ranged leaves together (a fixed lattice of draws), and one at a time.

The whole graph of figures is evaluated once on arrays: base, the draws, then each ranged leaf at its low and its high.
A leaf that stands for the same uncertainty on several lines (the same table row, the same assumption) moves as one.
"""

from collections.abc import Mapping, Sequence
from dataclasses import field
from functools import lru_cache, partial
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from engine.figure import SUM, Figure, in_order
from engine.formula import working
from engine.later import LaterRows
from engine.proposal import Spread, Swing
from engine.record import record

Array = npt.NDArray[np.float64]

DRAWS: Final = 1031
"""A prime, so that every column of the lattice visits each of its levels once."""
_GENERATOR: Final = 349
"""Korobov generator for `DRAWS` points, the best by the weighted P2 criterion over 24 dimensions."""
MOST_KEPT: Final = 1024
"""Rows of a leaf's values that are kept, of 9 kB each."""
LOW_SHARE: Final = 0.1
HIGH_SHARE: Final = 0.9
_ENDS: Final = (int(LOW_SHARE * DRAWS), int(HIGH_SHARE * DRAWS))
"""Which of the draws in order those shares lie below: actual draws, so that ``inf`` stays honest."""


@record
class Ranges:
    """Spreads by result name, and all the values behind them.

    Attributes:
        leaves: every uncertain leaf by its key, in the order of its columns.
        values: by result name: the base, the draws, then the result at each leaf's low and high.
    """

    spreads: Mapping[str, Spread]
    leaves: Mapping[str, Figure]
    values: Mapping[str, Array]
    _swings: dict[str, tuple[Swing, ...]] = field(default_factory=dict, compare=False, repr=False)

    def draws(self, name: str) -> Array:
        """The draws of a result."""
        return self.values[name][1 : 1 + DRAWS]

    def swings(self, name: str) -> tuple[Swing, ...]:
        """Each leaf's own effect on a result, in the order of the leaves; empty where there is no such result."""
        found = self._swings.get(name)
        if found is None:
            column = self.values.get(name)
            ends = [] if column is None else column[1 + DRAWS :].tolist()
            pairs = zip(self.leaves.items(), ends[::2], ends[1::2], strict=column is not None)
            found = self._swings[name] = tuple(
                [Swing(key, leaf, low, high) for (key, leaf), low, high in pairs]
            )
        return found


def leaf_key(figure: Figure) -> str:
    """What makes two leaves the same uncertainty: the row or slot they refer to, and what they are."""
    origin = figure.origin
    if origin is not None and origin.reference:
        return f"{figure.name} @ {origin.reference}"
    return figure.name


@lru_cache(maxsize=64)
def _unit_column(column: int) -> Array:
    """[DRAWS] points strictly inside 0..1: one column of a rank-1 lattice shifted by half a step."""
    factor = pow(_GENERATOR, column, DRAWS)
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
def _row(column: int, columns: int, low: float, base: float, high: float) -> Array:
    """A leaf's values: base, the draws, then its own low and high in its column's place, base in those of the others.

    Kept, since most leaves are rows of tables and stand in the same column of the next quote.
    """
    out = np.full(1 + DRAWS + 2 * columns, base)
    out[1 : 1 + DRAWS] = _drawn(column, low, base, high)
    out[1 + DRAWS + 2 * column : 3 + DRAWS + 2 * column] = low, high
    out.setflags(write=False)
    return out


def ranges(results: Mapping[str, Figure]) -> Ranges:
    """Evaluate ``results`` over all that is uncertain below them.

    A payback result is ``inf`` where the saving is not above zero.
    """
    order = in_order(results.values())
    columns: dict[str, Figure] = {}
    key_of: dict[Figure, str] = {}
    for figure in order:
        if figure.origin is not None and figure.is_ranged:
            key_of[figure] = key = leaf_key(figure)
            columns.setdefault(key, figure)
    count = len(columns)
    rows = {key: _row(n, count, *_bounds(leaf)) for n, (key, leaf) in enumerate(columns.items())}
    found = _evaluate(order, {figure: rows[key] for figure, key in key_of.items()})
    values: dict[str, Array] = {}
    drawn = np.empty((len(results), DRAWS))
    for n, (name, figure) in enumerate(results.items()):
        column = found.get(figure)
        if column is None:
            column = np.full(1 + DRAWS + 2 * count, float(figure.value))
        values[name] = column
        drawn[n] = column[1 : 1 + DRAWS]
    drawn.partition(_ENDS, axis=1)
    ends = zip(drawn[:, _ENDS[0]].tolist(), drawn[:, _ENDS[1]].tolist(), strict=True)
    spreads: dict[str, Spread] = {}
    for (name, figure), (least, most) in zip(results.items(), ends, strict=True):
        answer = float(figure.value)
        # Where what was assumed is itself an end of its range, the answer may lie beyond nine draws in ten: a range that
        # leaves out the answer it is said of would confuse.
        spreads[name] = Spread(answer, min(answer, least), max(answer, most))
    return Ranges(spreads, columns, values)


def cumulative_band(found: Ranges, years: int) -> Sequence[Spread]:
    """Cumulative cash of a project, undiscounted and at today's prices, for years 0 to ``years`` [USD].

    Empty where cost and saving are not both among the results; worked out when it is looked at.
    """
    if "net_cost" not in found.values or "saved_per_year" not in found.values:
        return ()
    # copies, so that not all the draws are kept as long as the quote is
    cost, saved = found.draws("net_cost").copy(), found.draws("saved_per_year").copy()
    bases = found.spreads["net_cost"].base, found.spreads["saved_per_year"].base
    return LaterRows(years + 1, partial(_band, cost, saved, *bases, years))


def _band(cost: Array, saved: Array, base_cost: float, base_saved: float, years: int) -> tuple[Spread, ...]:
    drawn = np.partition(saved * np.arange(years + 1.0)[:, None] - cost, _ENDS, axis=1)
    ends = zip(drawn[:, _ENDS[0]].tolist(), drawn[:, _ENDS[1]].tolist(), strict=True)
    return tuple([Spread(base_saved * year - base_cost, low, high) for year, (low, high) in enumerate(ends)])


def _bounds(leaf: Figure) -> tuple[float, float, float]:
    origin = leaf.origin
    if origin is None or origin.low is None or origin.high is None:
        raise ValueError(f"figure {leaf.name} has no range")
    return float(origin.low), float(leaf.value), float(origin.high)


def _evaluate(order: list[Figure], leaves: Mapping[Figure, Array]) -> dict[Figure, Array]:
    """The values of every figure that moves: of ``leaves``, and of all that something of them is below."""
    values: dict[Figure, Array] = dict(leaves)
    moving = values.keys()
    with np.errstate(divide="ignore", invalid="ignore"):
        for figure in order:
            inputs = figure.inputs
            if not inputs or moving.isdisjoint(inputs):
                continue
            formula = figure.formula
            parts = [values[i] if i in values else float(i.value) for i in inputs]
            if formula is None or formula == SUM:
                values[figure] = _summed(parts)
                continue
            work = working(formula, tuple([i.name for i in inputs]))
            if work is None:
                raise ValueError(f"figure {figure.name}: its formula is not of its inputs")
            values[figure] = work(*parts)
    return values


def _summed(parts: list[Any]) -> Array:
    if len(parts) == 1:
        return parts[0]  # type: ignore[no-any-return]  # it moves, so it is an array
    constant = 0.0
    moving: list[Array] = []
    for part in parts:
        if isinstance(part, np.ndarray):
            moving.append(part)
        else:
            constant += part
    out = moving[0] + constant if len(moving) == 1 else moving[0] + moving[1]
    if len(moving) > 1:
        for part in moving[2:]:
            out += part
        out += constant
    return out
