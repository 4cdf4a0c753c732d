"""A quote as plain JSON values: the public names, and beside them what serves people (texts, ranges, traces).

Money is a decimal string with two places; power, energy and light are floats in the unit that the name says. A figure
that the quote does not have is null, never zero.

It is written as bytes first: what quotes share is kept written, and put in as it is.
"""

import json
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any, Final

from orjson import Fragment, dumps

from bot.replies.asked import choice_words, question_text
from bot.replies.assumed import assumed_key
from bot.replies.describe import line_title
from bot.replies.figure_graph import FigureGraph
from bot.replies.figure_names import name_of_key
from bot.replies.heard import Heard, Language
from bot.replies.layout_json import layout_json
from bot.replies.light_json import light_json
from bot.replies.public_values import public_money, public_number, public_value
from bot.replies.reasoned import Table, passed_over_text, problem_text, reason_text
from bot.replies.words import Words, words_in
from engine.by_object import ByObject
from engine.figure import Figure, is_amount
from engine.proposal import (
    Assumption,
    Existing,
    Option,
    PassedOver,
    Question,
    Quote,
    QuoteLine,
    Reason,
    Spread,
)

TOTAL_FLOATS: Final = ("kwh_before_per_year", "kwh_after_per_year", "kwh_saved_per_year", "kw_saved", "simple_payback_years", "irr")  # fmt: skip
TOTAL_MONEY: Final = (
    "energy_cost_saved_per_year",
    "maintenance_saved_per_year",
    "project_cost",
    "rebate",
    "npv",
)
MOST_LINES_IN_FULL: Final = 100
"""A longer audit leaves out traces, what the options that are not chosen would save, and each product passed over."""


def quote_json(
    quote: Quote, reading: Heard | None = None, language: Language | None = None
) -> dict[str, Any]:
    """The quote as values that ``json.dumps(..., allow_nan=False)`` takes.

    Args:
        quote: what to show.
        reading: what it was made from; its language is used where ``language`` is not given.
        language: of the texts; sources stay as published.
    """
    told, graph = quote_told(quote, reading, language)
    public: dict[str, Any] = json.loads(told)
    return public | {"figures": graph.nodes() if graph is not None else []}


def quote_told(
    quote: Quote, reading: Heard | None = None, language: Language | None = None
) -> tuple[bytes, FigureGraph | None]:
    """As `quote_json`, written: all of it but ``figures``, and what those are made of; ``None`` where it has none."""
    words = words_in(language or (reading.language if reading is not None else "en"))
    in_full = len(quote.lines) <= MOST_LINES_IN_FULL
    graph = FigureGraph(quote) if in_full else None
    public = {
        "lines": [_line(line, words, graph, bool(quote.request.job.metric)) for line in quote.lines],
        "asked_light": [
            layout_json(
                layout,
                words,
                bool(quote.request.job.metric),
                graph.places(layout.figures) if graph is not None else {},
            )
            for layout in quote.layouts
        ],
        "totals": _totals(quote),
        "hours_per_year": None if quote.hours_per_year is None else public_number(quote.hours_per_year.value),
        "assumptions": [Fragment(_assumption(a, words)) for a in quote.assumptions],
        "questions": [_question(q, quote, words) for q in quote.questions],
        "cautions": [words.of("cautions", c.key) for c in quote.cautions],
        "catalog_version": quote.catalog_version,
        "tables_version": quote.tables_version,
        "caution_keys": [{"key": c.key, "lines": list(c.lines)} for c in quote.cautions],
        "spreads": {name: _spread(name, s, quote.totals) for name, s in quote.spreads.items()},
        "stop": _stop(quote.stop, words),
        "request": quote.request.stated(),
        "language": words.language,
        "total_figures": graph.places(quote.totals) if graph is not None else {},
    }
    return dumps(public), graph


def _line(line: QuoteLine, words: Words, graph: FigureGraph | None, metric: bool) -> dict[str, Any]:
    out: dict[str, Any] = {
        "title": line_title(line.stated, words),
        "stated": line.stated.stated(),
        "existing": None if line.existing is None else _existing(line.existing),
        "options": [
            _option(option, words, graph, option.figures if graph or n == line.chosen else {})
            for n, option in enumerate(line.options)
        ],
        "chosen": line.chosen,
        "problem": None
        if line.problem is None
        else {"key": line.problem.key, "text": problem_text(line.problem, words)},
        "matched_by": line.matched_by,
        "light": None if line.light is None else Fragment(_light(line, words, metric)),
        "passed_over_count": len(line.passed_over),
        "figures": graph.places(line.figures) if graph is not None else {},
    }
    if graph is not None:
        out["passed_over"] = Fragment(_passed_over(line.passed_over, words))
    return out


_written_lights: Final = ByObject[bytes](256)
_written_assumptions: Final = ByObject[bytes](2048)
_written_passed: Final = ByObject[bytes](128)


def _light(line: QuoteLine, words: Words, metric: bool) -> bytes:
    """Lines of quotes share their light where they differ in nothing but their counts."""
    how = (line.matched_by, words.language, metric)
    return _written_lights.get(line.light, how, lambda: dumps(light_json(line, words, metric)))


def _passed_over(passed: Sequence[PassedOver], words: Words) -> bytes:
    return _written_passed.get(passed, words.language, _write_passed_over, passed, words)


def _write_passed_over(passed: Sequence[PassedOver], words: Words) -> bytes:
    return dumps(
        [
            {"part_number": p.part_number, "key": p.reason.key, "text": passed_over_text(p.reason, words)}
            for p in passed
        ]
    )


def _existing(existing: Existing) -> dict[str, Any]:
    watts, light = existing.input_watts, existing.delivered_lumens
    return {
        "input_watts": None if watts is None else public_number(watts.value),
        "source": existing.source,
        "source_is_assumed": existing.source_is_assumed,
        "family": existing.family,
        "watts": existing.lamp_watts,
        "lamps": existing.lamps,
        "lamp_feet": existing.lamp_feet,
        "ballast": existing.ballast,
        "delivered_lumens": None if light is None else public_number(light.value),
    }


def _option(
    option: Option, words: Words, graph: FigureGraph | None, figures: Mapping[str, Figure]
) -> dict[str, Any]:
    product = option.product
    price = figures.get("unit_price")
    return {
        "part_number": product.part_number,
        "description": product.description,
        "role": option.role,
        "input_watts": public_number(product.input_watts),
        "lumens": public_number(product.lumens),
        "unit_price": public_money(price.value if price is not None else product.net_price),
        "cct_k": option.cct_k,
        "finish": option.finish,
        "mount": option.mount,
        "voltage": product.voltage,
        "in_stock": product.in_stock,
        "stock": dict(product.stock),
        "lead_time_days": product.lead_time_days,
        "rebate_listed": product.rebate_listed,
        "light_ratio": None if option.light_ratio is None else public_number(option.light_ratio.value),
        "simple_payback_years": _float_of(figures, "simple_payback_years"),
        "saved_per_year": _money_of(figures, "saved_per_year"),
        "project_cost": _money_of(figures, "project_cost"),
        "reasons": [_reason("reasons", r, words) for r in option.reasons],
        "concerns": [_reason("concerns", r, words) for r in option.concerns],
        "figures": graph.places(figures) if graph is not None else {},
    }


def _reason(table: Table, reason: Reason, words: Words) -> dict[str, str]:
    return {"key": reason.key, "text": reason_text(table, reason, words)}


def _totals(quote: Quote) -> dict[str, Any]:
    totals = quote.totals
    out: dict[str, Any] = {"qty": int(totals["qty"].value) if "qty" in totals else 0}
    out |= {name: _float_of(totals, name) for name in TOTAL_FLOATS}
    out |= {name: _money_of(totals, name) for name in TOTAL_MONEY}
    for name, figure in totals.items():
        if name not in out:
            out[name] = public_value(figure.value, figure.unit)
    return out


def _assumption(a: Assumption, words: Words) -> bytes:
    if a.swing_years:
        return _write_assumption(a, words)
    return _written_assumptions.get(a, words.language, _write_assumption, a, words)


def _write_assumption(a: Assumption, words: Words) -> bytes:
    others = b"[]" if not a.others else dumps([public_value(other, a.unit) for other in a.others])
    assumed = _assumed(assumed_key(a), a.path, a.value, a.low, a.high, a.unit, a.source, words.language)
    swing = dumps(public_number(a.swing_years))
    return b'%b,"others":%b,"swing_years":%b}' % (assumed, others, swing)


@lru_cache(maxsize=2048, typed=True)
def _assumed(
    key: str, path: str, value: Any, low: Any, high: Any, unit: str, source: str, language: Language
) -> bytes:
    """What was assumed, without what hangs on the job and the bracket behind it; kept, since most are the same rows of tables.

    With their types: 1 and 1.0 are equal, and not written alike.
    """
    return dumps(
        {
            "name": path,
            "words": name_of_key(key, words_in(language)),
            "value": public_value(value, unit),
            "low": public_value(low, unit),
            "high": public_value(high, unit),
            "unit": unit,
            "source": source,
        }
    ).removesuffix(b"}")


def _question(question: Question, quote: Quote, words: Words) -> dict[str, Any]:
    return {
        "path": question.path,
        "text": question_text(question, quote.request, words.language),
        "options": [public_value(option, "") for option in question.options],
        "answers": choice_words(question, words),
        "swing_years": public_number(question.swing_years),
        "changes_choice": question.changes_choice,
    }


def _spread(name: str, spread: Spread, totals: Mapping[str, Figure]) -> dict[str, Any]:
    unit = totals[name].unit if name in totals else ""
    if is_amount(unit):
        return {
            key: public_money(value)
            for key, value in (("base", spread.base), ("low", spread.low), ("high", spread.high))
        }
    return {
        "base": public_number(spread.base),
        "low": public_number(spread.low),
        "high": public_number(spread.high),
    }


def _stop(stop: Reason | None, words: Words) -> dict[str, str] | None:
    if stop is None:
        return None
    return {"key": stop.key, "text": " ".join(words.of("stops", stop.key))}


def _float_of(figures: Mapping[str, Figure], name: str) -> float | int | None:
    return public_number(figures[name].value) if name in figures else None


def _money_of(figures: Mapping[str, Figure], name: str) -> str | None:
    return public_money(figures[name].value) if name in figures else None
