"""The working of a figure, as clients show it: every step once, inputs before what they feed."""

import math
import re
from collections.abc import Mapping
from typing import Any, Final

from bot.replies import shown
from bot.replies.figure_names import figure_name
from bot.replies.heard import Language
from bot.replies.sources import sources_in_full, table_row
from bot.replies.trace import SET_IN_TERMS, plain_formula
from bot.replies.words import Words, words_in
from bot.store.figures import Traces
from bot.store.records import KeptQuote
from engine.figure import Figure, in_order
from engine.proposal import Spread
from engine.tables import Tables

_WORD: Final = re.compile(r"[A-Za-z_][A-Za-z0-9_]{0,80}")

_KINDS: Final = {
    "en": {
        "stated": "you said",
        "set": "set in the terms",
        "assumed": "assumed",
        "table": "from a table",
        "catalogue": "from the catalog",
        "definition": "by definition",
    },
    "es": {
        "stated": "usted lo dijo",
        "set": "fijado en las condiciones",
        "assumed": "supuesto",
        "table": "de una tabla",
        "catalogue": "del catálogo",
        "definition": "por definición",
    },
}


def trace_json(
    figure: Figure,
    language: Language,
    tables: Tables | None = None,
    where: Mapping[int, str] | None = None,
) -> dict[str, Any]:
    """The graph below ``figure``: ``{"root": n, "steps": [...]}``, a step's ``inputs`` being numbers of steps.

    ``tables`` are those that the sources' keys are of; ``where`` says by ``id`` which line of the job a figure is of.
    """
    words = words_in(language)
    figures = in_order([figure])
    number = {id(f): i for i, f in enumerate(figures)}
    steps = [_step(f, number, words, tables) for f in figures]
    for f, step in zip(figures, steps, strict=True):
        if where and (line := where.get(id(f))):
            step["words"] = f"{step['words']} ({line})"
    return {"root": number[id(figure)], "steps": steps}


def lines_of_kept(kept: KeptQuote, traces: Traces) -> dict[int, str]:
    """Which line each figure of a kept quote is of, by the figure's ``id``: "line 2, 8 x 400 W metal halide area light".

    Nothing for a quote of one line, nor for a figure that several lines share.
    """
    lines = kept.quote["lines"]
    if len(lines) < 2:
        return {}
    words = words_in(kept.language)
    found: dict[int, set[int]] = {}
    for path, figure in traces.roots.items():
        parts = path.split(".")
        if parts[0] == "lines" and len(parts) == 3:
            found.setdefault(id(figure), set()).add(int(parts[1]))
    return {
        each: f"{words.say('line', number=str(n + 1))}, {lines[n]['title']}"
        for each, of in found.items()
        if len(of) == 1
        for n in of
    }


def spread_of_kept(kept: KeptQuote, total: Figure) -> Spread | None:
    """How far a total of a kept quote could move; ``None`` where that was not reckoned. An end that is null is endless."""
    row = kept.quote["spreads"].get(total.name)
    if row is None:
        return None
    base, low, high = (math.inf if row[end] is None else float(row[end]) for end in ("base", "low", "high"))
    return Spread(base, low, high)


def formula_words(figure: Figure, words: Words) -> str:
    """The formula with its signs as people write them: "kw saved × hours per year"."""
    if figure.formula == "sum":
        return " + ".join(shown.working(i, words) for i in figure.inputs)
    return _put_in(figure, {i.name: _small(_name(i, words)) for i in figure.inputs}, words)


def formula_numbers(figure: Figure, words: Words) -> str:
    """The formula with the numbers that went in: "2.916 × 4,300"; "" where they are shown already."""
    if figure.formula == "sum":
        return ""
    return _put_in(figure, {i.name: _number(i, words) for i in figure.inputs}, words)


def _put_in(figure: Figure, values: dict[str, str], words: Words) -> str:
    functions = {name: f"{said} " for name, said in words.table("functions").items()}
    names = functions | values
    text = _WORD.sub(lambda m: names.get(m.group(), m.group()), plain_formula(figure))
    return text.replace(" ** ", "^").replace("**", "^").replace(" * ", " × ").replace(" / ", " ÷ ")


def _number(figure: Figure, words: Words) -> str:
    if figure.unit.startswith("USD"):
        return shown.working(figure, words).partition(" ")[0]
    return shown.exact(figure.value)


def _small(name: str) -> str:
    """The first letter small, unless the word is an abbreviation: "LED watts" stays."""
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]


def _step(figure: Figure, number: dict[int, int], words: Words, tables: Tables | None) -> dict[str, Any]:
    value = figure.value
    step: dict[str, Any] = {
        "name": figure.name,
        "words": _name(figure, words),
        "value": value if isinstance(value, int) else str(value) if not isinstance(value, float) else value,
        "unit": figure.unit,
        "shown": shown.working(figure, words),
    }
    if figure.origin is None:
        return step | {
            "formula": figure.formula,
            "formula_words": formula_words(figure, words),
            "formula_numbers": formula_numbers(figure, words),
            "inputs": [number[id(i)] for i in figure.inputs],
        }
    origin = figure.origin
    return step | {
        "origin": {
            "kind": origin.kind,
            "kind_words": _KINDS[words.language][
                "set" if origin.reference.startswith(SET_IN_TERMS) else origin.kind
            ],
            "source": "; ".join(sources_in_full(origin.source, words, tables)),
            "reference": table_row(origin.reference, words),
            "range": shown.amount_range(origin.low, origin.high, figure.unit, words)
            if figure.is_ranged
            else "",
        }
    }


def _name(figure: Figure, words: Words) -> str:
    return figure_name(figure, words)
