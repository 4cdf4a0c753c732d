"""An answer as the chat page shows it: the reply's own words, with what each can be pressed for.

The words come from `bot.replies`; added here are the paths of the figures that can be opened, the slots that an
assumption or a question would fill, and the values that can be chosen. Nothing is computed.
"""

import math
from collections.abc import Sequence
from dataclasses import fields
from functools import lru_cache
from operator import attrgetter
from typing import TYPE_CHECKING, Any, Final

from orjson import Fragment, dumps

from bot.assistant import Turn
from bot.editing import edit_of, slot_path
from bot.replies.assumed import told_by_value
from bot.replies.describe import stated_slots, value_words
from bot.replies.heard import Language
from bot.replies.layout_view import LayoutView
from bot.replies.notes import NoteView
from bot.replies.pictures import TITLES, layout_pictures_of, pictures_of
from bot.replies.reasoned import passed_over_text
from bot.replies.render import Material, material_of, render
from bot.replies.shown import amount, amount_range, footcandles, percent, years_between
from bot.replies.view import LineView, QuoteView
from bot.replies.words import Words, words_in
from engine.by_object import ByObject
from engine.figure import Figure
from engine.proposal import Assumption, Question, Quote, QuoteLine, Spread
from engine.request import StatedJob, StatedLine
from engine.tables import Tables

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

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


def answer_of(turn: Turn, tables: Tables | None = None) -> bytes:
    """What is sent back for a turn, as JSON: ``text`` for any client, ``asks``, ``slots``, and the page's ``card``.

    ``tables`` are those that the quote was made with: an explanation names their documents.
    """
    quote, reading, language = turn.quote, turn.reading, turn.reading.language
    texts = turn.conversation.texts
    material = material_of(quote, reading, "terminal", language, texts, tables)
    words = words_in(language)
    return dumps(
        {
            "language": language,
            "text": render(quote, reading, "terminal", language, texts, tables, material=material),
            "asks": turn.question,
            "card": _card(quote, material, words),
            "slots": _slots(turn, words),
        }
    )


def _card(quote: Quote | None, material: Material, words: Words) -> dict[str, Any]:
    if isinstance(material, NoteView) or quote is None:
        return {"kind": "note", **_fields(material)}
    if isinstance(material, LayoutView):
        return _layout_card(quote, material, words)
    return _quote_card(quote, material, words)


def _layout_card(quote: Quote, view: LayoutView, words: Words) -> dict[str, Any]:
    return {
        "kind": "layout",
        **_fields(view),
        "pictures": [
            {"name": name, "words": words.say(TITLES[name.rstrip("_0123456789")]), "svg": svg}
            for name, svg in layout_pictures_of(quote, words.language)
        ],
    }


def _fields(view: "DataclassInstance") -> dict[str, Any]:
    """A dataclass of several fields as a dict, what is within left as it is. The writer of JSON takes dataclasses, at four times the price."""
    names, values_of = _reader(type(view))
    return dict(zip(names, values_of(view), strict=True))


@lru_cache(maxsize=32)
def _reader(kind: "type[DataclassInstance]") -> "tuple[tuple[str, ...], attrgetter[tuple[Any, ...]]]":
    names = tuple([field.name for field in fields(kind)])
    return names, attrgetter(*names)


def _quote_card(quote: Quote, view: QuoteView, words: Words) -> dict[str, Any]:
    metric = bool(quote.request.job.metric)
    assumed = {a.path: a for a in reversed(quote.assumptions)}
    asked = {q.path: q for q in reversed(quote.questions)}
    card = {"kind": "quote", **_fields(view)}
    card["assumptions"] = [
        _fields(shown) | {"edit": _edit(assumed[shown.path], words.language, metric)}
        for shown in view.assumptions
    ]
    card["lines"] = [
        _fields(shown)
        | {
            "options": _options(shown, line, words, metric),
            "existing_figure": _existing_figure(line),
            "passed_over_count": len(line.passed_over),
            "passed_over": _passed_over.get(
                line.passed_over, words.language, _written_passed_over, line, words
            ),
        }
        for shown, line in zip(view.lines, quote.lines, strict=False)
    ]
    card["questions"] = [
        _fields(shown) | {"choices": _choices(asked[shown.path], words, metric)} for shown in view.questions
    ]
    for name in ("cautions", "cautions_always", "cautions_triggered", "cautions_to_name"):
        cautions = getattr(view, name)
        card[name] = _cautions.get(cautions, None, _written, cautions)
    card["money"] = None if view.money is None else _fields(view.money)
    card["totals"] = _totals(quote, words, bool(view.money and view.money.energy_payback))
    card["pictures"] = [
        {"name": name, "words": words.say(TITLES[name]), "svg": svg}
        for name, svg in pictures_of(quote, words.language)
    ]
    return card


def _edit(a: Assumption, language: Language, metric: bool) -> Fragment:
    write = _written_edit if told_by_value(a) else _written_edit.__wrapped__
    return write(a.path, a.value, a.others, a.unit, language, metric)


@lru_cache(maxsize=1024, typed=True)
def _written_edit(
    path: str, value: Any, others: tuple[Any, ...], unit: str, language: Language, metric: bool
) -> Fragment:
    """Kept, since most of what is assumed are the same rows of the same tables."""
    return _written(edit_of(path, value, others, unit, words_in(language), metric))


_cautions: Final = ByObject[Fragment](1024)
"""Cautions as JSON: jobs call for the same few sets of them, and each set stands in a card up to four times."""
_passed_over: Final = ByObject[Fragment](256)


def _written(value: Any) -> Fragment:
    return Fragment(dumps(value))


def _existing_figure(line: QuoteLine) -> str | None:
    """The figure that the present luminaire's watts can be opened to."""
    existing = line.existing
    known = existing is not None and existing.input_watts is not None
    return f"lines.{line.index}.existing.input_watts" if known else None


def _options(shown: LineView, line: QuoteLine, words: Words, metric: bool) -> list[dict[str, Any]]:
    """Options with the figures that their numbers can be opened to."""
    out = []
    for i, (option_shown, option) in enumerate(zip(shown.options, line.options, strict=True)):
        path, figures = f"lines.{line.index}.options.{i}", option.figures
        opened = {name: f"{path}.{figure}" for name, figure in _OPENED if figure in figures}
        told = _fields(option_shown)
        told["figures"] = opened
        spot = next((r.values["spot"][0] for r in option.reasons if "spot" in r.values), None)
        level = figures.get(f"level_{spot}_after")
        if level is not None:
            opened["light"] = f"{path}.{level.name}"
            told["light"] = footcandles(level.value, words, metric)
        elif option.light_ratio is not None:
            opened["light"] = f"{path}.light_ratio"
            told["light"] = f"{100 * float(option.light_ratio.value):.0f}%"
        out.append(told)
    return out


_OPENED: Final = (("price", "unit_price"), ("saved", "saved_per_year"), ("payback", "simple_payback_years"))


def _written_passed_over(line: QuoteLine, words: Words) -> Fragment:
    """What was passed over and why, one row a reason, so that it can be asked."""
    by_reason: dict[str, list[str]] = {}
    for product in line.passed_over:
        by_reason.setdefault(passed_over_text(product.reason, words), []).append(product.part_number)
    rows = sorted(by_reason.items(), key=lambda row: (-len(row[1]), row[0]))[:MOST_REASONS]
    return _written(
        [{"reason": reason, "count": len(parts), "parts": parts[:MOST_PARTS]} for reason, parts in rows]
    )


def _choices(question: Question, words: Words, metric: bool) -> list[dict[str, Any]]:
    """What can be pressed for an answer; nothing where no slot takes it."""
    slot = slot_path(question.path)
    if not slot:
        return []
    name = question.path.rpartition(".")[2]
    return [{"words": value_words(name, v, words, metric), "value": v} for v in question.options]


def _totals(quote: Quote, words: Words, with_energy_alone: bool) -> list[dict[str, Any]]:
    out = []
    for name in HEADLINE:
        path, figure = f"totals.{name}", quote.totals.get(name)
        if figure is None and name == "hours_per_year":
            path, figure = name, quote.hours_per_year
        if figure is None or (name == "energy_payback_years" and not with_energy_alone):
            continue
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
    if spread is None:
        return None
    low, base, high = spread.low, spread.base, spread.high
    if not (math.isfinite(low) and math.isfinite(base) and math.isfinite(high)):
        return None
    return {"low": round(max(low, 0.0), 3), "base": round(max(base, 0.0), 3), "high": round(high, 3)}


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
    parts: list[tuple[str, StatedJob | StatedLine]] = [("job", reading.job)]
    parts += [(f"lines.{i}", line) for i, line in enumerate(reading.lines)]
    return {
        f"{part}.{slot}": {
            "name": words.find("names", slot) or slot.replace("_", " "),
            "value": value_words(slot, value, words, metric),
        }
        for part, stated in parts
        for slot, value in stated_slots(stated)
    }


def choices_of(values: Sequence[Any], slot: str, words: Words, metric: bool) -> list[dict[str, Any]]:
    """Values with their words, for a list to choose from."""
    return [{"value": value, "words": value_words(slot, value, words, metric)} for value in values]
