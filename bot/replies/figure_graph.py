"""The figures of a quote as a list, inputs before what they feed, each told by its place in it."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from bot.replies.public_values import public_value
from engine.figure import Figure, in_order
from engine.proposal import Quote


class FigureGraph:
    """Every figure of a quote once.

    Attributes:
        figures: inputs before what they feed.
        place: of each in that list.
    """

    def __init__(self, quote: Quote) -> None:
        self.place: dict[Figure, int] = {}
        self.figures: list[Figure] = in_order(_roots(quote), self.place)

    def places(self, figures: Mapping[str, Figure]) -> dict[str, int]:
        """Name -> place in the list."""
        place = self.place
        return {name: place[figure] for name, figure in figures.items()}

    def nodes(self) -> list[dict[str, Any]]:
        """The list in its public form."""
        place = self.place
        return [figure_node(figure, [place[i] for i in figure.inputs]) for figure in self.figures]


def _roots(quote: Quote) -> list[Figure]:
    roots = list(quote.totals.values())
    for layout in quote.layouts:
        roots.extend(layout.figures.values())
    if quote.hours_per_year is not None:
        roots.append(quote.hours_per_year)
    for line in quote.lines:
        roots.extend(line.figures.values())
        if line.existing is not None:
            roots.extend(
                f for f in (line.existing.input_watts, line.existing.delivered_lumens) if f is not None
            )
        for option in line.options:
            roots.extend(option.figures.values())
    return roots


def public_nodes(figures: Iterable[Figure]) -> list[dict[str, Any]]:
    """Figures, each after what feeds it, in the form of a public quote."""
    place: dict[Figure, int] = {}
    nodes = []
    for n, figure in enumerate(figures):
        place[figure] = n
        nodes.append(figure_node(figure, [place[i] for i in figure.inputs]))
    return nodes


def figure_node(figure: Figure, inputs: Sequence[int]) -> dict[str, Any]:
    """A figure in its public form; ``inputs`` are the places of what feeds it."""
    node: dict[str, Any] = {
        "name": figure.name,
        "value": public_value(figure.value, figure.unit),
        "unit": figure.unit,
    }
    origin = figure.origin
    if origin is None:
        node["formula"] = figure.formula
        node["inputs"] = list(inputs)
        return node
    node["origin"] = {"kind": origin.kind, "source": origin.source, "reference": origin.reference}
    if origin.low is not None or origin.high is not None:
        node["origin"]["low"] = public_value(origin.low, figure.unit)
        node["origin"]["high"] = public_value(origin.high, figure.unit)
    return node
