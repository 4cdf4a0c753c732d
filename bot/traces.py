"""The working of a figure, as clients and the command line show it: every step once, inputs before what they feed."""

import re
from collections.abc import Iterator
from typing import Any, Final

from bot.replies import shown
from bot.replies.heard import Language
from bot.replies.trace import figure_name
from bot.replies.words import Words, words_in
from engine.figure import Figure, in_order

_WORD: Final = re.compile(r"[A-Za-z_][A-Za-z0-9_]{0,80}")

_KINDS: Final = {
    "en": {
        "stated": "you said",
        "assumed": "assumed",
        "table": "from a table",
        "catalogue": "from the catalog",
        "definition": "by definition",
    },
    "es": {
        "stated": "usted lo dijo",
        "assumed": "supuesto",
        "table": "de una tabla",
        "catalogue": "del catálogo",
        "definition": "por definición",
    },
}


def trace_json(figure: Figure, language: Language) -> dict[str, Any]:
    """The graph below ``figure``: ``{"root": n, "steps": [...]}``, a step's ``inputs`` being numbers of steps."""
    words = words_in(language)
    figures = in_order([figure])
    number = {id(f): i for i, f in enumerate(figures)}
    return {"root": number[id(figure)], "steps": [_step(f, number, words) for f in figures]}


def trace_lines(figure: Figure, language: Language) -> Iterator[str]:
    """The same as indented lines of text; a step met again is not opened again."""
    words = words_in(language)
    seen: set[int] = set()
    stack = [(figure, 0)]
    while stack:
        f, depth = stack.pop()
        line = f"{'  ' * depth}{_name(f, words)}: {shown.working(f, words)}"
        if f.origin is not None:
            yield f"{line}   ({_origin_words(f, words)})"
            continue
        if id(f) in seen:
            yield f"{line}   (↑)"
            continue
        seen.add(id(f))
        yield f"{line}   = {formula_words(f, words)}"
        stack.extend((i, depth + 1) for i in reversed(f.inputs))


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
    functions: dict[str, str] = dict(words.table("functions"))
    names = functions | values
    text = _WORD.sub(lambda m: names.get(m.group(), m.group()), figure.formula or "")
    return text.replace(" ** ", "^").replace("**", "^").replace(" * ", " × ").replace(" / ", " ÷ ")


def _number(figure: Figure, words: Words) -> str:
    if figure.unit.startswith("USD"):
        return shown.working(figure, words).partition(" ")[0]
    return shown.exact(figure.value)


def _small(name: str) -> str:
    """The first letter small, unless the word is an abbreviation: "LED watts" stays."""
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]


def _step(figure: Figure, number: dict[int, int], words: Words) -> dict[str, Any]:
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
            "kind_words": _KINDS[words.language][origin.kind],
            "source": origin.source,
            "reference": origin.reference,
            "range": shown.amount_range(origin.low, origin.high, figure.unit, words)
            if figure.is_ranged
            else "",
        }
    }


def _origin_words(figure: Figure, words: Words) -> str:
    origin = figure.origin
    assert origin is not None  # noqa: S101  the caller looked
    said = _KINDS[words.language][origin.kind]
    if origin.kind == "stated":
        return said
    low_high = shown.amount_range(origin.low, origin.high, figure.unit, words) if figure.is_ranged else ""
    return f"{said}{f', {low_high}' if low_high else ''}: {origin.source}"


def _name(figure: Figure, words: Words) -> str:
    return figure_name(figure, words)
