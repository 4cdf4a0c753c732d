"""How far a result could move: all ranged leaves together (a fixed lattice of draws), and one at a time.

The whole graph of figures is evaluated once on arrays: base, the draws, then each ranged leaf at its low and its high.
A leaf that stands for the same uncertainty on several lines (the same table row, the same assumption) moves as one.
"""

from collections.abc import Mapping, Sequence
from dataclasses import field
from functools import partial
from typing import Any

import numpy as np

from engine.figure import SUM, Figure, in_order, leaf_key
from engine.formula import working
from engine.later import LaterRows
from engine.money.draws import DRAWS, Array, ends_of, leaf_row
from engine.proposal import Spread, Swing
from engine.record import record


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


def ranges(results: Mapping[str, Figure]) -> Ranges:
    """Evaluate ``results`` over all that is uncertain below them.

    A payback result is ``inf`` where the saving is not above zero.
    """
    order = in_order(results.values())
    columns: dict[str, Figure] = {}
    key_of: dict[Figure, str] = {}
    for figure in order:
        if figure.origin is not None and figure.is_ranged:
            key_of[figure] = key = figure.key or leaf_key(figure)
            columns.setdefault(key, figure)
    count = len(columns)
    rows = {key: leaf_row(n, count, *_bounds(leaf)) for n, (key, leaf) in enumerate(columns.items())}
    found = _evaluate(order, {figure: rows[key] for figure, key in key_of.items()})
    values: dict[str, Array] = {}
    drawn = np.empty((len(results), DRAWS))
    for n, (name, figure) in enumerate(results.items()):
        column = found.get(figure)
        if column is None:
            column = np.full(1 + DRAWS + 2 * count, float(figure.value))
        values[name] = column
        drawn[n] = column[1 : 1 + DRAWS]
    spreads: dict[str, Spread] = {}
    for (name, figure), (least, most) in zip(results.items(), ends_of(drawn), strict=True):
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
    drawn = saved * np.arange(years + 1.0)[:, None]
    drawn -= cost
    ends = enumerate(ends_of(drawn))
    return tuple([Spread(base_saved * year - base_cost, low, high) for year, (low, high) in ends])


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
