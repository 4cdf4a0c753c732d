"""Shows the working of a figure: its formula in words and in numbers, and below it where every number came from."""

import re
from dataclasses import dataclass, field
from typing import Final

from bot.replies import shown
from bot.replies.assumed import plain_source, small_start
from bot.replies.clean import one_line
from bot.replies.figure_names import figure_name
from bot.replies.figures_at import figure_at
from bot.replies.heard import Language
from bot.replies.words import Words, words_in
from engine.figure import SUM, Figure, Origin
from engine.proposal import Quote, Spread

MOST_LINES: Final = 90
MOST_ADDENDS: Final = 8
SOURCE_CHARACTERS: Final = 160
_NAME: Final = re.compile(r"[A-Za-z_][A-Za-z0-9_]{0,80}")
_OPERATORS: Final = ((" * ", " x "), ("**", "^"))


@dataclass(slots=True)
class _Page:
    """The lines written so far, and the figures already shown."""

    words: Words
    depth: int
    lines: list[str] = field(default_factory=list)
    seen: set[int] = field(default_factory=set)

    def write(self, level: int, text: str) -> None:
        self.lines.append("  " * level + text)

    @property
    def is_full(self) -> bool:
        return len(self.lines) >= MOST_LINES


def explain(quote: Quote, figure_path: str, language: Language, depth: int = 12) -> str:
    """The working of the figure at ``figure_path``, as indented lines.

    Args:
        quote: the quote that holds it.
        figure_path: "totals.simple_payback_years", "lines.0.input_watts_before", "hours_per_year", ...
        language: of the words; sources stay as published.
        depth: how many steps back to go.
    """
    figure = figure_at(quote, figure_path)
    if figure is None:
        return str(words_in(language).of("trace", "not_found"))
    spread = quote.spreads.get(figure.name) if figure_path.startswith("totals.") else None
    return explain_figure(figure, language, spread, depth)


def explain_figure(figure: Figure, language: Language, spread: Spread | None = None, depth: int = 12) -> str:
    """The working of one figure, as `explain` shows it; for a figure kept without its quote."""
    words = words_in(language)
    page = _Page(words, depth)
    _walk(figure, 0, page)
    if spread is not None and spread.low != spread.high:
        low, high = (shown.amount(v, figure.unit, words) for v in (spread.low, spread.high))
        page.lines.insert(1, "  " + words.of("trace", "spread").format_map({"low": low, "high": high}))
    return "\n".join(page.lines)


def _walk(figure: Figure, level: int, page: _Page) -> None:
    words = page.words
    if figure.formula == SUM and len(figure.inputs) == 1:
        _walk(figure.inputs[0], level, page)
        return
    value = shown.working(figure, words)
    name = figure_name(figure, words)
    heading = words.of("trace", "heading")
    if figure.origin is not None and (id(figure) not in page.seen or figure.origin.kind == "stated"):
        page.seen.add(id(figure))
        page.write(level, f"{name}: {_leaf(figure, figure.origin, words)}")
        return
    if id(figure) in page.seen:
        again = words.of("trace", "above").format_map({"value": value})
        page.write(level, heading.format_map({"name": name, "value": again}))
        return
    page.seen.add(id(figure))
    page.write(level, heading.format_map({"name": name, "value": value}))
    if page.is_full or level >= page.depth:
        page.write(level + 1, words.of("trace", "deeper"))
        return
    if figure.formula == SUM:
        page.write(level + 1, "= " + words.of("trace", "sum").format_map({"count": str(len(figure.inputs))}))
        for each in figure.inputs[:MOST_ADDENDS]:
            _walk(each, level + 1, page)
        if len(figure.inputs) > MOST_ADDENDS:
            page.write(level + 1, words.say("cut_rest", count=str(len(figure.inputs) - MOST_ADDENDS)))
        return
    formula = figure.formula or ""
    names = {f.name: small_start(figure_name(f, words)) for f in figure.inputs}
    numbers = {f.name: _number(f, words) for f in figure.inputs}
    functions: dict[str, str] = dict(words.table("functions"))
    if page.depth > 1:
        page.write(level + 1, f"= {_put_in(formula, names | functions)}")
    page.write(level + 1, f"= {_put_in(formula, numbers | functions)}")
    for each in figure.inputs:
        _walk(each, level + 1, page)


def _leaf(figure: Figure, origin: Origin, words: Words) -> str:
    value = shown.working(figure, words)
    if origin.kind == "stated":
        how = "" if origin.source == "you said" else plain_source(origin.source, words, SOURCE_CHARACTERS)
        return str(
            words.of("trace", "stated").format_map({"value": value, "how": f" ({how})" if how else ""})
        )
    spread = ""
    if figure.is_ranged:
        low, high = (shown.working_value(v, figure.unit, words) for v in (origin.low, origin.high))
        frame = words.of("trace", "table_range" if origin.kind == "table" else "range")
        spread = frame.format_map({"low": low.split(" ")[0], "high": high})
    source = plain_source(origin.source, words, SOURCE_CHARACTERS)
    reference = f" {one_line(origin.reference.replace('.csv', ''), 80)}" if origin.reference else ""
    frame = words.of("trace", origin.kind)
    return str(frame.format_map({"value": value, "source": source, "range": spread, "reference": reference}))


def _number(figure: Figure, words: Words) -> str:
    if figure.unit in {"USD", "USD/yr", "USD/month"}:
        return shown.price(figure.value)
    if figure.unit.startswith("USD/"):
        return shown.rate(figure.value)
    return shown.exact(figure.value)


def _put_in(formula: str, values: dict[str, str]) -> str:
    text = _NAME.sub(lambda m: values.get(m.group(), m.group()), formula)
    for written, for_people in _OPERATORS:
        text = text.replace(written, for_people)
    return text
