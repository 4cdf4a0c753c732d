"""What a quote's document says, as plain data: every number written, every key in words. The template only arranges it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from bot.documents.money import headline, money_rows
from bot.replies import shown
from bot.replies.clean import one_line
from bot.replies.describe import line_details, line_kind
from bot.replies.draft import about_light, light_in_all
from bot.replies.heard import Heard, Language
from bot.replies.reasoned import problem_text, reason_text
from bot.replies.render import QUESTIONS
from bot.replies.view import (
    STOCK_CONCERNS,
    DoubtView,
    QuoteView,
    pieces_wanted,
    quote_view,
    stock_words,
    supposed_lamp,
)
from bot.replies.words import Words, words_in
from engine.figure import Figure
from engine.proposal import Quote, QuoteLine

MOST_ROWS: Final = 400
"""Lines listed one by one, some twenty pages; the rest is in the totals, and that is said."""
MOST_LINES_LIT: Final = 6
"""Lines up to which each one's light is told in full."""
MOST_DETAILS: Final = 200
MOST_LEFT_OUT: Final = 20
LONGEST_WORD: Final = 25
BREAK: Final = "\u200b"
BREAK_EVERY: Final = 12


@dataclass(frozen=True, slots=True)
class Head:
    """What stands around the quote and is no part of it.

    Attributes:
        seller: who sells; may be empty.
        contact: how to reach them, a line each.
        customer: for whom; may be empty.
        number: the quote's own, where it is kept; else empty.
        good_until: last day of the prices; ``None`` says nothing of it.
        read: what the customer is told of files that were read.
        left_out: what was not used, a sentence each.
    """

    seller: str = ""
    contact: tuple[str, ...] = ()
    customer: str = ""
    number: str = ""
    good_until: date | None = None
    read: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()


def material_of(
    quote: Quote, reading: Heard, language: Language, texts: Sequence[str], head: Head
) -> dict[str, Any]:
    """The document's material; arguments as for `bot.documents.quote_pdf.quote_pdf`. Only text, lists and shares in it."""
    words = words_in(language)
    view = quote_view(quote, reading, words, QUESTIONS["email_text"], texts)
    rows = [_row(line, words, bool(reading.job.metric)) for line in quote.lines[:MOST_ROWS]]
    more = len(quote.lines) - len(rows)
    material = {
        "language": language,
        "words": {name: text for name, text in words.table("document").items() if isinstance(text, str)},
        "head": _head(head, quote, words),
        "headline": headline(view.money, words) if view.money is not None else [],
        "rows": rows,
        "approximate": any(row["approximate"] for row in rows),
        "more": _say("more_lines", words, count=shown.whole(more)) if more else "",
        "unpriced": _unpriced(view, words),
        "read": [one_line(text, 500) for text in head.read],
        "job": _sentence(view.job),
        "doubts": _doubts(view, words),
        "faults": list(view.faults),
        "light": _light(quote, view, words),
        "about_light": list(about_light(quote, reading, words)) if quote.layouts else [],
        "money": money_rows(view.money, words) if view.money is not None else [],
        "bars": _bars(quote, view, words),
        "assumed": [
            {
                "what": assumed.name + (f" ({assumed.where})" if assumed.where else ""),
                "taken": assumed.value,
                "range": assumed.range or assumed.others,
                "source": assumed.source,
            }
            for assumed in view.assumptions
        ],
        "also_assumed": _say("also_assumed", words, list="; ".join(view.minor)) if view.minor else "",
        "questions": [question.text for question in view.questions],
        "notes": list(view.notes),
        "left_out": _left_out(view, head, words),
        "cautions": [caution.text for caution in (*view.cautions_always, *view.cautions_triggered)],
        "versions": _say("versions", words, catalog=view.catalog_version, tables=view.tables_version),
    }
    return {name: _breakable(value) for name, value in material.items()}


def _breakable(value: Any) -> Any:
    """The material with places to break within words that no column holds; what else there is stays as it is."""
    if isinstance(value, str):
        if len(value) < LONGEST_WORD:
            return value
        return " ".join(
            word
            if len(word) < LONGEST_WORD
            else BREAK.join(word[at : at + BREAK_EVERY] for at in range(0, len(word), BREAK_EVERY))
            for word in value.split(" ")
        )
    if isinstance(value, dict):
        return {name: _breakable(each) for name, each in value.items()}
    return [_breakable(each) for each in value] if isinstance(value, list) else value


def _say(key: str, words: Words, /, **values: str) -> str:
    frame: str = words.of("document", key)
    return frame.format_map(values)


def _head(head: Head, quote: Quote, words: Words) -> dict[str, Any]:
    job = quote.request.job
    facts = [
        ("for", one_line(head.customer or job.customer or "", 80)),
        ("site", one_line(job.site or "", 80)),
        ("number", one_line(head.number, 60)),
        ("good_until", written_date(head.good_until, words) if head.good_until is not None else ""),
    ]
    return {
        "seller": one_line(head.seller, 80),
        "contact": [one_line(line, 80) for line in head.contact if line],
        "facts": [[words.of("document", key), value] for key, value in facts if value],
    }


def written_date(day: date, words: Words) -> str:
    """The day in words: "November 24, 2026"."""
    months: list[str] = words.of("document", "months")
    return _say("date", words, day=str(day.day), month=months[day.month - 1], year=str(day.year))


def _row(line: QuoteLine, words: Words, metric: bool) -> dict[str, Any]:
    existing = line.existing
    watts = existing.input_watts if existing is not None else None
    stated = watts is not None and watts.origin is not None and watts.origin.kind == "stated"
    lamp = supposed_lamp(line, words)
    row: dict[str, Any] = {
        "number": shown.whole(line.index + 1),
        "qty": shown.whole(line.stated.qty) if line.stated.qty is not None else "?",
        "kind": line_kind(line.stated, words),
        "details": one_line("; ".join(filter(None, (lamp, *line_details(line.stated, words, metric)))), MOST_DETAILS),
        "watts": ("" if stated else "≈ ") + shown.watts(watts.value) if watts is not None else "",
        "approximate": watts is not None and not stated,
        "problem": problem_text(line.problem, words) if line.problem is not None else "",
        "part": "",
    }  # fmt: skip
    if line.chosen is None:
        return row
    option, figures = line.options[line.chosen], line.figures
    product, pieces = option.product, option.pieces_each
    each = figures["unit_price"].value if "unit_price" in figures else product.net_price
    stock, _ = stock_words(product, pieces_wanted(line, option), words)
    about = [one_line(product.description, 120), stock]
    if pieces > 1:
        about.append(
            words.say(f"pieces_{product.kind}", pieces=shown.whole(pieces), price=shown.price(each * pieces))
        )
    return row | {
        "part": product.part_number,
        "about": "; ".join(about),
        "concerns": [
            _say("note", words, text=reason_text("concerns", concern, words))
            for concern in option.concerns
            if concern.key not in STOCK_CONCERNS
        ],
        "led_watts": _written(figures.get("input_watts_after"), shown.watts),
        "price": shown.price(each),
        "sum": _written(figures.get("product_cost"), shown.price),
    }


def _written(figure: Figure | None, write: Any) -> str:
    return str(write(figure.value)) if figure is not None else ""


def _unpriced(view: QuoteView, words: Words) -> str:
    if not view.unpriced or view.money is None:
        return ""
    numbers = ", ".join(view.unpriced[:20]) + (", ..." if len(view.unpriced) > 20 else "")
    return _say("unpriced_many" if len(view.unpriced) > 1 else "unpriced", words, numbers=numbers)


def _sentence(parts: Sequence[str]) -> str:
    text = "; ".join(parts)
    return f"{text[:1].upper()}{text[1:].removesuffix('.')}." if text else ""


def _doubts(view: QuoteView, words: Words) -> list[str]:
    out = [_doubt(doubt, words) for doubt in view.doubts]
    for line in view.lines:
        out += [
            _say("of_line", words, number=str(line.number), text=_doubt(doubt, words))
            for doubt in line.doubts
        ]
    return out[:MOST_LEFT_OUT]


def _doubt(doubt: DoubtView, words: Words) -> str:
    key = "took_or" if doubt.others else "took"
    return _say(key, words, name=doubt.name, value=doubt.value, others=doubt.others)


def _light(quote: Quote, view: QuoteView, words: Words) -> list[str]:
    out = [light] if (light := light_in_all(quote, words)) else []
    if len(quote.lines) <= MOST_LINES_LIT:
        several = len(quote.lines) > 1
        for line in view.lines:
            if line.chosen is not None and line.light.told:
                told = _say("of_line", words, number=str(line.number), text=line.light.told)
                out.append(told if several else line.light.told)
    return out


def _bars(quote: Quote, view: QuoteView, words: Words) -> dict[str, Any]:
    """The energy of a year before and after, with the second as a share of the first [1]; empty where it does not fall."""
    before, after = (quote.totals.get(f"kwh_{when}_per_year") for when in ("before", "after"))
    if view.money is None or before is None or after is None or not 0 <= after.value < before.value:
        return {}
    written = {"before": view.money.kwh_before, "after": view.money.kwh_after}
    return {
        **written,
        "share": round(float(after.value) / float(before.value), 4),
        "alt": _say("bars_alt", words, **written),
    }


def _left_out(view: QuoteView, head: Head, words: Words) -> list[str]:
    out = []
    if view.unread:
        out.append(_say("not_used", words, words=", ".join(f'"{passage}"' for passage in view.unread)))
    return [*out, *(one_line(text, 500) for text in head.left_out)][:MOST_LEFT_OUT]
