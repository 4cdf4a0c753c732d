"""Where a quote's figures are: paths such as "totals.simple_payback_years" or "lines.0.input_watts_before", and back.

A path's last word may name any figure below that place, so "lines.0.rate_per_kwh" finds the rate behind the line's money.
"""

from collections.abc import Iterator, Mapping
from typing import Final

from bot.replies.describe import line_title
from bot.replies.words import Words
from engine.figure import Figure, in_order
from engine.proposal import Quote, QuoteLine

MOST_PATH: Final = 120
LIGHT: Final = "light"
"""How the paths of figures of a layout begin: "light.0.average_fc_after"."""


def named_figures(quote: Quote) -> Iterator[tuple[str, Figure]]:
    """Every figure that the quote names, with its path: what was asked of light, totals, hours, lines."""
    for number, layout in enumerate(quote.layouts):
        for name, figure in layout.figures.items():
            yield f"{LIGHT}.{number}.{name}", figure
    for name, figure in quote.totals.items():
        yield f"totals.{name}", figure
    if quote.hours_per_year is not None:
        yield "hours_per_year", quote.hours_per_year
    for line in quote.lines:
        for name, figure in line.figures.items():
            yield f"lines.{line.index}.{name}", figure


def figure_at(quote: Quote, path: str) -> Figure | None:
    """The figure at ``path``, or ``None`` where the quote has none of that name there."""
    if len(path) > MOST_PATH:
        return None
    parts = path.split(".")
    name = parts[-1]
    places = _places(quote, parts[:-1])
    if not places and name == "hours_per_year":
        return quote.hours_per_year
    for figures in places:
        if name in figures:
            return figures[name]
    everything = (figure for figures in places for figure in in_order(figures.values()))
    return next((figure for figure in everything if figure.name == name), None)


def lines_of_figures(quote: Quote, words: Words) -> dict[int, str]:
    """Which line a figure belongs to, by the figure's ``id``: "line 2, 8 x 400 W metal halide area light".

    Nothing for a quote of one line, nor for a figure that several lines share.
    """
    if len(quote.lines) < 2:
        return {}
    out: dict[int, str] = {}
    shared: set[int] = set()
    for line in quote.lines:
        where = f"{words.say('line', number=str(line.index + 1))}, {line_title(line.stated, words)}"
        for each in {id(figure) for figure in line.figures.values()}:
            if each in out:
                shared.add(each)
            out[each] = where
    return {each: where for each, where in out.items() if each not in shared}


def _places(quote: Quote, parts: list[str]) -> list[Mapping[str, Figure]]:
    if parts == ["totals"]:
        return [quote.totals]
    if parts[:1] == [LIGHT] and len(parts) == 2:
        at = _number(parts[1])
        return [quote.layouts[at].figures] if at is not None and at < len(quote.layouts) else []
    if len(parts) not in {2, 3, 4} or parts[0] != "lines":
        return []
    index = _number(parts[1])
    line = next((each for each in quote.lines if each.index == index), None)
    if line is None:
        return []
    if len(parts) == 2:
        return [line.figures, _existing(line)]
    if len(parts) == 3:
        return [_existing(line)] if parts[2] == "existing" else []
    number = _number(parts[3])
    if parts[2] != "options" or number is None or number >= len(line.options):
        return []
    option = line.options[number]
    ratio = {} if option.light_ratio is None else {"light_ratio": option.light_ratio}
    return [option.figures, ratio]


def _existing(line: QuoteLine) -> dict[str, Figure]:
    """What is known of the present luminaire, under the names of its slots and of its figures."""
    existing = line.existing
    if existing is None:
        return {}
    pairs = (
        ("input_watts", existing.input_watts),
        ("delivered_lumens", existing.delivered_lumens),
        ("input_watts_before", existing.input_watts),
        ("delivered_lumens_before", existing.delivered_lumens),
    )
    return {name: figure for name, figure in pairs if figure is not None}


def _number(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 7 else None
