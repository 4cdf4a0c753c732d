"""Shows the working of a figure: its formula in words and in numbers, and below it where every number came from."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final

from bot.replies import shown
from bot.replies.assumed import small_start
from bot.replies.figure_names import figure_name
from bot.replies.figures_at import figure_at, lines_of_figures
from bot.replies.heard import Language
from bot.replies.sources import names_documents, short_source, sources_in_full, table_row
from bot.replies.words import Words, words_in
from engine.figure import SUM, Figure, Origin
from engine.proposal import Quote, Spread
from engine.tables import Tables

MOST_LINES: Final = 90
SET_IN_TERMS: Final = "terms."
"""How the reference of a figure begins that the seller set and the writer did not say."""
MOST_ADDENDS: Final = 8
_NAME: Final = re.compile(r"[A-Za-z_][A-Za-z0-9_]{0,80}")
_OPERATORS: Final = ((" * ", " x "), ("**", "^"))


@dataclass(slots=True)
class _Page:
    """The lines written so far, and the figures already shown."""

    words: Words
    depth: int
    tables: Tables | None = None
    where: Mapping[int, str] = field(default_factory=dict)
    lines: list[str] = field(default_factory=list)
    seen: set[int] = field(default_factory=set)

    def write(self, level: int, text: str) -> None:
        self.lines.append("  " * level + text)

    @property
    def is_full(self) -> bool:
        return len(self.lines) >= MOST_LINES


def explain(
    quote: Quote, figure_path: str, language: Language, depth: int = 12, tables: Tables | None = None
) -> str:
    """The working of the figure at ``figure_path``, as indented lines.

    Args:
        quote: the quote that holds it.
        figure_path: "totals.simple_payback_years", "lines.0.input_watts_before", "hours_per_year", ...
        language: of the words; names of documents stay as published.
        depth: how many steps back to go; 1 gives one step with sources in a few words.
        tables: the tables that the sources' keys are of; the program's own where not given.
    """
    figure = figure_at(quote, figure_path)
    if figure is None:
        return str(words_in(language).of("trace", "not_found"))
    spread = quote.spreads.get(figure.name) if figure_path.startswith("totals.") else None
    where = lines_of_figures(quote, words_in(language))
    return explain_figure(figure, language, spread, depth, tables, where)


def explain_figure(
    figure: Figure,
    language: Language,
    spread: Spread | None = None,
    depth: int = 12,
    tables: Tables | None = None,
    where: Mapping[int, str] | None = None,
) -> str:
    """The working of one figure, as `explain` shows it; for a figure kept without its quote.

    ``where`` says by ``id`` which line of the job a figure belongs to.
    """
    words = words_in(language)
    page = _Page(words, depth, tables, where or {})
    _walk(figure, 0, page)
    if spread is not None and spread.low != spread.high:
        low, high = (shown.amount(v, figure.unit, words) for v in (spread.low, spread.high))
        page.lines.insert(1, "  " + words.of("trace", "spread").format_map({"low": low, "high": high}))
    if depth <= 1:
        return "\n".join(line if line.endswith((".", "?", ":")) else f"{line}." for line in page.lines)
    return "\n".join(page.lines)


def _walk(figure: Figure, level: int, page: _Page, where: str = "") -> None:
    words = page.words
    if figure.formula == SUM and len(figure.inputs) == 1:
        _walk(figure.inputs[0], level, page)
        return
    value = shown.working(figure, words)
    name = figure_name(figure, words)
    if where:
        name = f"{where[:1].upper()}{where[1:]}: {small_start(name)}"
    heading = words.of("trace", "heading")
    if figure.origin is not None and (id(figure) not in page.seen or figure.origin.kind == "stated"):
        page.seen.add(id(figure))
        _write_leaf(figure, figure.origin, name, level, page)
        return
    if id(figure) in page.seen:
        again = words.of("trace", "above").format_map({"value": value})
        page.write(level, heading.format_map({"name": name, "value": again}))
        return
    page.seen.add(id(figure))
    page.write(level, heading.format_map({"name": name, "value": value}))
    if page.is_full or level >= page.depth:
        if page.depth > 1:
            page.write(level + 1, words.of("trace", "deeper"))
        return
    if figure.formula == SUM:
        page.write(level + 1, "= " + words.of("trace", "sum").format_map({"count": str(len(figure.inputs))}))
        for each in figure.inputs[:MOST_ADDENDS]:
            _walk(each, level + 1, page, page.where.get(id(each), ""))
        if len(figure.inputs) > MOST_ADDENDS:
            page.write(level + 1, words.say("cut_rest", count=str(len(figure.inputs) - MOST_ADDENDS)))
        return
    formula = plain_formula(figure)
    names = {f.name: small_start(figure_name(f, words)) for f in figure.inputs}
    numbers = {f.name: _number(f, words) for f in figure.inputs}
    functions = {name: f"{said} " for name, said in words.table("functions").items()}
    if page.depth > 1:
        page.write(level + 1, f"= {_put_in(formula, names | functions)}")
    page.write(level + 1, f"= {_put_in(formula, numbers | functions)}")
    for each in figure.inputs:
        _walk(each, level + 1, page)


def _write_leaf(figure: Figure, origin: Origin, name: str, level: int, page: _Page) -> None:
    """What was said, looked up or assumed, with its documents: one on the same line, several below it."""
    words = page.words
    value = shown.working(figure, words)
    sources = (
        (short_source(origin.source, words),)
        if page.depth <= 1
        else sources_in_full(origin.source, words, page.tables)
    )
    row = table_row(origin.reference, words)
    kind: str = "given" if origin.kind == "table" and not row else origin.kind
    if kind == "stated" and origin.reference.startswith(SET_IN_TERMS):
        kind = "set"
    said = words.of("trace", kind).format_map(
        {
            "value": value,
            "row": row,
            "range": leaf_range(figure, words),
            "how": "" if origin.source == "you said" else f" ({'; '.join(sources)})",
            "source": "; ".join(sources),
        }
    )
    if kind in ("stated", "set", "catalogue", "definition"):
        page.write(level, f"{name}: {said}")
    elif len(sources) == 1:
        source = words.of("trace", "source").format_map({"source": sources[0].rstrip(".")})
        page.write(level, f"{name}: {said} {source}")
    else:
        page.write(level, f"{name}: {said} {words.of('trace', 'sources')}")
        for source in sources:
            page.write(level + 1, f"- {source}")


def leaf_range(figure: Figure, words: Words) -> str:
    """How far a leaf could be off: "; could be 285 to 304 W"; "" where it is not in question."""
    origin = figure.origin
    if origin is None or not figure.is_ranged:
        return ""
    low, high = (shown.working_value(v, figure.unit, words) for v in (origin.low, origin.high))
    if low.partition(" ")[2] == high.partition(" ")[2]:
        low = low.partition(" ")[0]
    frame = "table_range" if origin.kind == "table" and names_documents(origin.source) else "range"
    return str(words.of("trace", frame).format_map({"low": low, "high": high}))


def _number(figure: Figure, words: Words) -> str:
    if figure.unit in {"USD", "USD/yr", "USD/month"}:
        return shown.price(figure.value)
    if figure.unit.startswith("USD/"):
        return shown.rate(figure.value)
    return shown.exact(figure.value)


def plain_formula(figure: Figure) -> str:
    """The formula without its guards against figures below zero, where the figures are not: "net_cost / saved_per_year"."""
    formula = figure.formula or ""
    for each in figure.inputs:
        if isinstance(each.value, int | float | Decimal) and each.value >= 0:
            formula = formula.replace(f"greatest({each.name}, 0)", each.name)
    return formula


def _put_in(formula: str, values: dict[str, str]) -> str:
    text = _NAME.sub(lambda m: values.get(m.group(), m.group()), formula)
    for written, for_people in _OPERATORS:
        text = text.replace(written, for_people)
    return text
