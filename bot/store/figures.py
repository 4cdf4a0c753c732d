"""A quote's figures as JSON and back: the whole graph, so that a kept quote can be explained long after.

A Decimal is kept as text, a float or a count as a number; that tells them apart again.

Figures are kept as rows, ``[name, value, unit, words, formula, [inputs]]`` or ``[name, value, unit, words, kind, source,
reference, low, high]``: ``{"rows": [...], "public": n, "roots": {path: row}}``. The first ``n`` are the figures of the public
quote, in its order, so that they need not be kept in its form too. Versions before kept ``{"figures": [{...}], "roots": ...}``.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from bot.replies.figure_graph import FigureGraph
from engine.figure import Figure, Origin, in_order
from engine.proposal import Quote


@dataclass(frozen=True, slots=True)
class Traces:
    """The figures of a quote by path: ``totals.net_cost``, ``lines.0.kw_saved``, ``lines.0.options.1.unit_price``, ``light.0.average_fc_after``."""

    roots: Mapping[str, Figure]

    @classmethod
    def of(cls, quote: Quote) -> "Traces":
        """The figures of ``quote``."""
        return cls(_roots(quote))

    def find(self, path: str) -> Figure | None:
        """The figure at ``path``.

        A bare name ("net_cost") is looked for among the totals, then among the first line's figures, then among all
        that feed them; ``totals.net_cost/project_cost`` steps into the inputs.
        """
        head, *steps = path.split("/")
        figure = self.roots.get(head) or self.roots.get(f"totals.{head}") or self.roots.get(f"lines.0.{head}")
        if figure is None:
            figure = next((f for f in in_order(self.roots.values()) if f.name == head), None)
        for step in steps:
            if figure is None:
                return None
            figure = next((f for f in figure.inputs if f.name == step), None)
        return figure

    def as_json(self) -> dict[str, Any]:
        """Figures once each, inputs before what they feed, and the roots by number, as they were kept before they were rows."""
        figures = in_order(self.roots.values())
        number = {id(figure): i for i, figure in enumerate(figures)}
        return {
            "figures": [_figure_json(figure, number) for figure in figures],
            "roots": {path: number[id(figure)] for path, figure in self.roots.items()},
        }

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> "Traces":
        """What `kept_figures` or `as_json` gave."""
        figures = figures_of(kept)
        return cls({path: figures[i] for path, i in kept["roots"].items()})


def kept_figures(quote: Quote, graph: FigureGraph | None) -> dict[str, Any]:
    """The figures of ``quote`` as they are kept; ``graph``: those that its public form tells of, where it does."""
    roots = _roots(quote)
    figures = [] if graph is None else graph.figures.copy()
    place = {} if graph is None else graph.place.copy()
    count = len(figures)
    for figure in in_order(roots.values(), set(place)):
        place[figure] = len(figures)
        figures.append(figure)
    rows: list[list[Any]] = []
    at = place.__getitem__
    for f in figures:
        value, origin = f.value, f.origin
        if type(value) is not float:
            value = _kept(value)
        if origin is None:
            rows.append([f.name, value, f.unit, f.words, f.formula, list(map(at, f.inputs))])
            continue
        low, high = origin.low, origin.high
        if low is not None and type(low) is not float:
            low = _kept(low)
        if high is not None and type(high) is not float:
            high = _kept(high)
        rows.append([f.name, value, f.unit, f.words, origin.kind, origin.source, origin.reference, low, high])
    return {
        "rows": rows,
        "public": count,
        "roots": {path: place[figure] for path, figure in roots.items()},
    }


def figures_of(kept: Mapping[str, Any]) -> list[Figure]:
    """All kept figures, inputs before what they feed."""
    figures: list[Figure] = []
    for row in kept.get("rows", ()):
        figures.append(_figure_of_row(row, figures))
    for node in kept.get("figures", ()):
        figures.append(_figure(node, figures))
    return figures


def _figure_of_row(row: list[Any], earlier: list[Figure]) -> Figure:
    name, value, unit, words, *rest = row
    if len(rest) == 2:
        formula, inputs = rest
        return Figure(
            name,
            _number(value),
            unit,
            formula=formula,
            inputs=tuple([earlier[i] for i in inputs]),
            words=words,
        )
    kind, source, reference, low, high = rest
    return Figure(
        name,
        _number(value),
        unit,
        Origin(kind, source, reference, _number(low), _number(high)),
        words=words,
    )


def _roots(quote: Quote) -> dict[str, Figure]:
    roots: dict[str, Figure] = {}

    def add(path: str, figures: Mapping[str, Figure]) -> None:
        roots.update({f"{path}.{name}": figure for name, figure in figures.items()})

    for n, layout in enumerate(quote.layouts):
        add(f"light.{n}", layout.figures)
    add("totals", quote.totals)
    if quote.hours_per_year is not None:
        roots["hours_per_year"] = quote.hours_per_year
    for line in quote.lines:
        path = f"lines.{line.index}"
        add(path, line.figures)
        if line.existing is not None:
            if line.existing.input_watts is not None:
                roots[f"{path}.existing.input_watts"] = line.existing.input_watts
            if line.existing.delivered_lumens is not None:
                roots[f"{path}.existing.delivered_lumens"] = line.existing.delivered_lumens
        for i, option in enumerate(line.options):
            add(f"{path}.options.{i}", option.figures)
            if option.light_ratio is not None:
                roots[f"{path}.options.{i}.light_ratio"] = option.light_ratio
    return roots


def _figure_json(figure: Figure, number: Mapping[int, int]) -> dict[str, Any]:
    node: dict[str, Any] = {"name": figure.name, "value": _kept(figure.value), "unit": figure.unit}
    if figure.words:
        node["words"] = figure.words
    if figure.origin is not None:
        o = figure.origin
        node["origin"] = {"kind": o.kind, "source": o.source, "reference": o.reference}
        if o.low is not None or o.high is not None:
            node["origin"] |= {"low": _kept(o.low), "high": _kept(o.high)}
    else:
        node["formula"] = figure.formula
        node["inputs"] = [number[id(i)] for i in figure.inputs]
    return node


def _figure(node: Mapping[str, Any], earlier: list[Figure]) -> Figure:
    origin = None
    if "origin" in node:
        o = node["origin"]
        origin = Origin(o["kind"], o["source"], o["reference"], _number(o.get("low")), _number(o.get("high")))
    return Figure(
        name=node["name"],
        value=_number(node["value"]),
        unit=node["unit"],
        origin=origin,
        formula=node.get("formula"),
        inputs=tuple(earlier[i] for i in node.get("inputs", ())),
        words=node.get("words", ""),
    )


def _kept(value: Any) -> Any:
    if isinstance(value, Decimal):
        return str(value)
    # numpy's floats and integers are not JSON's.
    return value if value is None or isinstance(value, bool | int) else float(value)


def _number(value: Any) -> Any:
    return Decimal(value) if isinstance(value, str) else value
