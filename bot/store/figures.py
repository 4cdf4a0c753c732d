"""A quote's figures as JSON and back: the whole graph, so that a kept quote can be explained long after.

A Decimal is kept as text, a float or a count as a number; that tells them apart again.

Figures are kept as rows, ``[name, value, unit, words, kind, source, reference, low, high]`` for a leaf and ``[formula, value, input,
input, ...]`` for what was derived: ``{"formulas": [[name, unit, words, formula], ...], "rows": [...], "public": n, "roots": {path:
row}}``. A formula is told by its place among the formulas, since options share them; an input by its row. The first ``n`` rows are
the figures of the public quote, in its order, so that they need not be kept in its form too; nor are the paths kept that the
public quote tells.

Read back they are ``{"rows": [...], "public": n, "roots": {...}}`` with every path, and with rows ``[name, value, unit, words, formula,
[inputs]]``: as the version before kept them. Older ones kept ``{"figures": [{...}], "roots": ...}``.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from math import isfinite
from typing import Any, TypeVar

from orjson import Fragment, dumps

from bot.json_bytes import json_bytes
from bot.replies.figure_graph import FigureGraph
from engine.figure import Figure, Origin, in_order
from engine.proposal import Quote

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class Traces:
    """The figures of a quote by path: ``totals.net_cost``, ``lines.0.kw_saved``, ``lines.0.options.1.unit_price``, ``light.0.average_fc_after``."""

    roots: Mapping[str, Figure]

    @classmethod
    def of(cls, quote: Quote) -> "Traces":
        """The figures of ``quote``."""
        return cls(_named_by(quote))

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


def kept_figures(quote: Quote, graph: FigureGraph | None) -> bytes:
    """The figures of ``quote`` as they are kept; ``graph``: those that its public form tells of, where it does.

    Raises:
        ValueError: the value of a figure is no number.
    """
    # what the public form tells is in the graph, with all that is below it
    roots = _named_by(quote) if graph is None else _named_beside(quote)
    place = {} if graph is None else graph.place.copy()
    count = len(place)
    in_order(roots.values(), place)
    formulas: dict[tuple[str, str, str, str | None], int] = {}
    rows: list[list[Any] | Fragment] = []
    at = place.__getitem__
    for f in place:
        if f.origin is not None:
            if f.written is None:
                f.written = _leaf(f)
            rows.append(f.written)
            continue
        value = f.value
        if type(value) is not float:
            value = _kept(value)
        elif not isfinite(value):
            raise ValueError(f"figure {f.name}: {value} can't be kept")
        number = formulas.setdefault((f.name, f.unit, f.words, f.formula), len(formulas))
        rows.append([number, value, *map(at, f.inputs)])
    return dumps(
        {
            "formulas": list(formulas),
            "rows": rows,
            "public": count,
            "roots": {path: place[figure] for path, figure in roots.items()},
        }
    )


def _leaf(f: Figure) -> Fragment:
    """The row of a leaf, written; kept with it, since most are of tables and the catalogue, the same ones from quote to quote."""
    o = f.origin
    assert o is not None  # noqa: S101  the caller looked
    row = [
        f.name,
        _kept(f.value),
        f.unit,
        f.words,
        o.kind,
        o.source,
        o.reference,
        _kept(o.low),
        _kept(o.high),
    ]
    return Fragment(json_bytes(row))


def figures_told(kept: Mapping[str, Any], public: Mapping[str, Any]) -> Mapping[str, Any]:
    """Kept figures in the form in which they are read, with the paths that ``public``, the quote that they are of, tells."""
    if "formulas" not in kept:
        return kept
    paths = kept["roots"]
    if kept["public"]:
        paths = _by_path(
            [layout["figures"] for layout in public["asked_light"]],
            public["total_figures"],
            [
                (line["figures"], [option["figures"] for option in line["options"]])
                for line in public["lines"]
            ],
            paths,
        )
    return _in_form_of_before(kept, paths)


def as_kept_before(quote: Quote, graph: FigureGraph | None) -> dict[str, Any]:
    """The figures of ``quote`` as the version before kept them: the digests of its quotes are of that form."""
    kept: dict[str, Any] = json.loads(kept_figures(quote, graph))
    paths = kept["roots"]
    if graph is not None:
        paths = {
            path: paths[path] if path in paths else graph.place[figure]
            for path, figure in _named_by(quote).items()
        }
    return _in_form_of_before(kept, paths)


def _in_form_of_before(kept: Mapping[str, Any], paths: Mapping[str, int]) -> dict[str, Any]:
    rows = []
    for row in kept["rows"]:
        if isinstance(row[0], int):
            number, value, *inputs = row
            name, unit, words, formula = kept["formulas"][number]
            row = [name, value, unit, words, formula, inputs]
        rows.append(row)
    return {"rows": rows, "public": kept["public"], "roots": paths}


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


def _named_by(quote: Quote) -> dict[str, Figure]:
    """The figures that a quote names, by path."""
    return _by_path(
        [layout.figures for layout in quote.layouts],
        quote.totals,
        [(line.figures, [option.figures for option in line.options]) for line in quote.lines],
        _named_beside(quote),
    )


def _named_beside(quote: Quote) -> dict[str, Figure]:
    """Of those the ones that its public form tells no place of."""
    out = {"hours_per_year": quote.hours_per_year}
    for line in quote.lines:
        path = f"lines.{line.index}"
        if line.existing is not None:
            out[f"{path}.existing.input_watts"] = line.existing.input_watts
            out[f"{path}.existing.delivered_lumens"] = line.existing.delivered_lumens
        for i, option in enumerate(line.options):
            out[f"{path}.options.{i}.light_ratio"] = option.light_ratio
    return {path: figure for path, figure in out.items() if figure is not None}


def _by_path(
    layouts: Sequence[Mapping[str, T]],
    totals: Mapping[str, T],
    lines: Sequence[tuple[Mapping[str, T], Sequence[Mapping[str, T]]]],
    beside: Mapping[str, T],
) -> dict[str, T]:
    """What is told of each figure that a quote names, by path, always in the same order.

    Args:
        layouts: by name, of each layout.
        totals: by name.
        lines: of each line, by name, and of each of its options, by name.
        beside: by path, what has no name there.
    """
    out: dict[str, T] = {}

    def add(path: str, named: Mapping[str, T]) -> None:
        out.update({f"{path}.{name}": told for name, told in named.items()})

    def add_beside(*paths: str) -> None:
        out.update({path: beside[path] for path in paths if path in beside})

    for n, layout in enumerate(layouts):
        add(f"light.{n}", layout)
    add("totals", totals)
    add_beside("hours_per_year")
    for n, (line, options) in enumerate(lines):
        path = f"lines.{n}"
        add(path, line)
        add_beside(f"{path}.existing.input_watts", f"{path}.existing.delivered_lumens")
        for i, option in enumerate(options):
            add(f"{path}.options.{i}", option)
            add_beside(f"{path}.options.{i}.light_ratio")
    return out


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
