"""An answer as the chat page shows it: the reply's own words, with what each can be pressed for.

The words come from `bot.replies`; added here are the paths of the figures that can be opened, the slots that an
assumption or a question would fill, and the values that can be chosen. Nothing is computed.
"""

import math
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any, Final

from pydantic import TypeAdapter

from bot.assistant import Turn
from bot.editing import edit_of, slot_path
from bot.replies.describe import value_words
from bot.replies.layout_view import LayoutView, layout_view
from bot.replies.notes import NoteView, note, stop_note
from bot.replies.pictures import TITLES, layout_pictures_of, pictures_of
from bot.replies.reasoned import passed_over_text
from bot.replies.render import QUESTIONS, render, shows_a_layout, shows_a_quote
from bot.replies.shown import amount, amount_range, footcandles, percent, years_between
from bot.replies.view import QuoteView, quote_view
from bot.replies.words import Words, words_in
from engine.figure import Figure
from engine.proposal import Quote, QuoteLine, Spread
from engine.tables import Tables

HEADLINE: Final = (
    "simple_payback_years",
    "saved_per_year",
    "project_cost",
    "rebate",
    "net_cost",
    "energy_payback_years",
    "premium_payback_years",
    "premium_cost",
    "npv",
    "irr",
    "kwh_saved_per_year",
    "kw_saved",
    "maintenance_saved_per_year",
    "hours_per_year",
)
"""Totals that are shown, in order; each can be opened."""
MOST_REASONS: Final = 12
MOST_PARTS: Final = 6


def answer_of(turn: Turn, tables: Tables | None = None) -> dict[str, Any]:
    """What is sent back for a turn: ``text`` for any client, ``card`` for the page.

    ``tables`` are those that the quote was made with: an explanation names their documents.
    """
    reading, language = turn.reading, turn.reading.language
    words = words_in(language)
    texts = turn.conversation.texts
    view = None
    if turn.quote is not None and shows_a_quote(turn.quote, reading):
        view = quote_view(turn.quote, reading, words, QUESTIONS["terminal"], texts)
    return {
        "language": language,
        "text": render(turn.quote, reading, "terminal", language, texts, tables, view=view),
        "asks": turn.question,
        "card": _card(turn, view, words, tables),
        "slots": _slots(turn, words),
    }


def _card(turn: Turn, view: QuoteView | None, words: Words, tables: Tables | None) -> dict[str, Any]:
    reading, quote = turn.reading, turn.quote
    if quote is not None and view is not None:
        return _quote_card(quote, view, turn, words)
    if quote is not None and shows_a_layout(quote, reading):
        return _layout_card(quote, layout_view(quote, reading, words, turn.conversation.texts), words)
    if quote is not None and quote.stop is not None:
        return _note_card(stop_note(quote.stop.key, reading, words))
    if reading.intent == "handoff":
        return _note_card(stop_note(reading.reason or "person_wanted", reading, words))
    return _note_card(note(quote, reading, words, turn.conversation.texts, tables=tables))


def _note_card(view: NoteView) -> dict[str, Any]:
    return {"kind": "note", **_as_values(NoteView).dump_python(view)}


def _layout_card(quote: Quote, view: LayoutView, words: Words) -> dict[str, Any]:
    return {
        "kind": "layout",
        **_as_values(LayoutView).dump_python(view),
        "pictures": [
            {"name": name, "words": words.say(TITLES[name.rstrip("_0123456789")]), "svg": svg}
            for name, svg in layout_pictures_of(quote, words.language)
        ],
    }


@lru_cache(maxsize=3)
def _as_values(kind: type[QuoteView] | type[NoteView] | type[LayoutView]) -> TypeAdapter[Any]:
    """Dataclasses within dataclasses as dicts; several times as fast as the standard library's way."""
    return TypeAdapter(kind)


def _quote_card(quote: Quote, material: QuoteView, turn: Turn, words: Words) -> dict[str, Any]:
    view = _as_values(QuoteView).dump_python(material)
    metric = bool(quote.request.job.metric)
    for shown in view["assumptions"]:
        assumption = next(a for a in quote.assumptions if a.path == shown["path"])
        shown["edit"] = edit_of(assumption, words, metric)
    for shown, line in zip(view["lines"], quote.lines, strict=False):
        _add_figures(shown, line, words, metric)
        _add_passed_over(shown, line, words)
    for shown in view["questions"]:
        question = next(q for q in quote.questions if q.path == shown["path"])
        slot = slot_path(question.path)
        shown["choices"] = (
            [
                {"words": value_words(question.path.rpartition(".")[2], value, words, metric), "value": value}
                for value in question.options
            ]
            if slot
            else []
        )
    return {
        "kind": "quote",
        **view,
        "totals": _totals(quote, words, bool(view["money"] and view["money"]["energy_payback"])),
        "pictures": [
            {"name": name, "words": words.say(TITLES[name]), "svg": svg}
            for name, svg in pictures_of(quote, words.language)
        ],
    }


def _add_figures(shown: dict[str, Any], line: QuoteLine, words: Words, metric: bool) -> None:
    """Which figures a line's numbers can be opened to."""
    path = f"lines.{line.index}"
    existing = line.existing
    shown["existing_figure"] = (
        f"{path}.existing.input_watts" if existing is not None and existing.input_watts is not None else None
    )
    for i, (option_shown, option) in enumerate(zip(shown["options"], line.options, strict=True)):
        option_shown["figures"] = {
            name: f"{path}.options.{i}.{figure}"
            for name, figure in (
                ("price", "unit_price"),
                ("saved", "saved_per_year"),
                ("payback", "simple_payback_years"),
            )
            if figure in option.figures
        }
        spot = next((r.values["spot"][0] for r in option.reasons if "spot" in r.values), None)
        level = option.figures.get(f"level_{spot}_after")
        if level is not None:
            option_shown["figures"]["light"] = f"{path}.options.{i}.{level.name}"
            option_shown["light"] = footcandles(level.value, words, metric)
        elif option.light_ratio is not None:
            option_shown["figures"]["light"] = f"{path}.options.{i}.light_ratio"
            option_shown["light"] = f"{100 * float(option.light_ratio.value):.0f}%"


def _add_passed_over(shown: dict[str, Any], line: QuoteLine, words: Words) -> None:
    """What was passed over and why, one row a reason, so that it can be asked."""
    by_reason: dict[str, list[str]] = {}
    for product in line.passed_over:
        by_reason.setdefault(passed_over_text(product.reason, words), []).append(product.part_number)
    rows = sorted(by_reason.items(), key=lambda row: (-len(row[1]), row[0]))[:MOST_REASONS]
    shown["passed_over_count"] = len(line.passed_over)
    shown["passed_over"] = [
        {"reason": reason, "count": len(parts), "parts": parts[:MOST_PARTS]} for reason, parts in rows
    ]


def _totals(quote: Quote, words: Words, with_energy_alone: bool) -> list[dict[str, Any]]:
    figures: dict[str, tuple[str, Figure]] = {
        name: (f"totals.{name}", figure) for name, figure in quote.totals.items()
    }
    if quote.hours_per_year is not None:
        figures.setdefault("hours_per_year", ("hours_per_year", quote.hours_per_year))
    out = []
    for name in HEADLINE:
        if name not in figures or (name == "energy_payback_years" and not with_energy_alone):
            continue
        path, figure = figures[name]
        if name in {"rebate", "maintenance_saved_per_year"} and not figure.value:
            continue
        out.append(
            {
                "name": name,
                "words": words.find("names", name) or figure.words or name,
                "shown": percent(100 * float(figure.value))
                if name == "irr"
                else amount(figure.value, figure.unit, words),
                "range": _range(quote.spreads.get(name), figure, words),
                "spread": _spread(quote.spreads.get(name)),
                "figure": path,
            }
        )
    return out


def _spread(spread: Spread | None) -> dict[str, float] | None:
    """For drawing only; the words are in ``range``."""
    if spread is None or not all(math.isfinite(v) for v in (spread.low, spread.base, spread.high)):
        return None
    return {
        "low": round(max(spread.low, 0.0), 3),
        "base": round(max(spread.base, 0.0), 3),
        "high": round(spread.high, 3),
    }


def _range(spread: Spread | None, figure: Figure, words: Words) -> str:
    if spread is None or spread.low == spread.high:
        return ""
    if figure.unit == "yr":
        return years_between(max(spread.low, 0.0), spread.high, words)
    return amount_range(spread.low, spread.high, figure.unit, words)


def _slots(turn: Turn, words: Words) -> dict[str, dict[str, str]]:
    """What each marked passage was taken for: slot path -> name and value in words, for the marks' legend."""
    reading = turn.reading
    metric = bool(reading.job.metric)
    parts: list[tuple[str, Mapping[str, Any]]] = [("job", reading.job.stated())]
    parts += [(f"lines.{i}", line.stated()) for i, line in enumerate(reading.lines)]
    out = {}
    for part, slots in parts:
        for slot, value in slots.items():
            out[f"{part}.{slot}"] = {
                "name": words.find("names", slot) or slot.replace("_", " "),
                "value": _value(slot, value, words, metric),
            }
    return out


def _value(slot: str, value: Any, words: Words, metric: bool) -> str:
    return value_words(slot, tuple(value) if isinstance(value, list) else value, words, metric)


def choices_of(values: Sequence[Any], slot: str, words: Words, metric: bool) -> list[dict[str, Any]]:
    """Values with their words, for a list to choose from."""
    return [{"value": value, "words": value_words(slot, value, words, metric)} for value in values]
