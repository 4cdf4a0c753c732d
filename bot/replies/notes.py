"""Replies that are not quotes: stops, greetings, what the counter must do, options side by side, a figure explained."""

from collections.abc import Sequence
from typing import Final

from bot.replies import shown
from bot.replies.asked import next_question, question_text
from bot.replies.assumed import assumed_for
from bot.replies.cautioned import caution_short, caution_text
from bot.replies.clean import one_line
from bot.replies.describe import line_title
from bot.replies.finding import find_figure
from bot.replies.guidance import guidance
from bot.replies.heard import Heard
from bot.replies.money_view import paid_once
from bot.replies.reasoned import reason_text
from bot.replies.trace import explain
from bot.replies.view import MOST_LINES, faults_of, pieces_wanted, stated_views, unread_of
from bot.replies.words import Words
from engine.proposal import Quote, QuoteLine
from engine.record import record
from engine.tables import Tables

STOP_CAUTIONS: Final = {
    "hazardous_location": ("hazardous_location", "licensed_work"),
    "danger": ("licensed_work",),
    "person_wanted": (),
    "over_600_volts": ("licensed_work",),
    "live_work": ("lockout", "licensed_work", "no_wiring_advice"),
}
_NOTE_CAUTIONS: Final = {
    "accept": ("voltage_check", "licensed_work"),
    "layout": ("light_level_not_designed", "licensed_work"),
    "compare": ("licensed_work",),
    "wiring": ("licensed_work",),
}
MOST_DEPTH: Final = 6
MOST_REFUSED: Final = 3
MOST_TEXT: Final = 600
_WITHOUT_QUOTE: Final = {"accept": "accept_nothing", "compare": "nothing_read"}


@record
class NoteView:
    """A short reply. ``trace`` is text whose line breaks and indents count; items are messages to try if ``has_examples``."""

    key: str
    paragraphs: tuple[str, ...]
    items: tuple[str, ...] = ()
    heard: tuple[str, ...] = ()
    trace: str = ""
    faults: tuple[str, ...] = ()
    unread: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    cautions_short: tuple[str, ...] = ()
    is_stop: bool = False
    has_examples: bool = False


def stop_note(key: str, reading: Heard, words: Words, short: bool = False) -> NoteView:
    """Where a person must take over: no price, and what was read, so that it need not be said twice."""
    paragraphs = (words.of("stop_short", key),) if short else tuple(words.of("stops", key))
    cautions = STOP_CAUTIONS[key]
    return NoteView(
        key,
        paragraphs,
        heard=stated_views(reading, words),
        cautions=tuple(caution_text(c, words.language) for c in cautions),
        cautions_short=tuple(caution_short(c, words.language) for c in cautions if c == "licensed_work"),
        is_stop=True,
    )


def note(
    quote: Quote | None,
    reading: Heard,
    words: Words,
    texts: Sequence[str] = (),
    short: bool = False,
    tables: Tables | None = None,
) -> NoteView:
    """The reply to an intent that asks for no new price, and to a message that names no luminaire."""
    key: str = reading.intent
    lines = [line for line in quote.lines if line.chosen is not None] if quote is not None else []
    items: tuple[str, ...] = ()
    told: tuple[str, ...] = ()
    trace = ""
    if key in {"quote", "revise"}:
        key = _why_unquoted(reading)
    elif key in _WITHOUT_QUOTE and not lines:
        key = _WITHOUT_QUOTE[key]
    elif key == "accept":
        items = tuple(_order(line, words) for line in lines[:MOST_LINES])
    elif key == "compare":
        offered = [
            row
            for line in lines[:MOST_LINES]
            for row in _side_by_side(line, len(lines), paid_once(quote.totals if quote else {}, words), words)
        ]
        refused = _refused(lines, texts[-1] if texts and not short else "", words)
        items = (*offered, *refused)
        if not any(len(line.options) > 1 for line in lines):
            key = "compare_nothing"
    elif key == "other" and reading.reason == "wiring":
        key = "wiring"
    elif key == "other" and reading.not_known and quote is not None:
        key, told = _not_known(quote, reading, words)
    elif key == "other" and reading.lines:
        key = "other_beside_a_job"
    elif key == "layout":
        items = tuple(row for line in lines[:MOST_LINES] if (row := _light(line, words)))
        if quote is not None and not lines:
            metric = bool(quote.request.job.metric)
            told, items = guidance(quote.request.light, words, metric, tables)
    elif key == "explain" and quote is not None and texts:
        path = find_figure(quote, texts[-1])
        if path is not None:
            trace = explain(quote, path, words.language, 1 if short else MOST_DEPTH, tables)
    body = words.table(key)
    cautions = _NOTE_CAUTIONS.get(key, ())
    return NoteView(
        key,
        () if trace else told or tuple(body["paragraphs"]),
        items=() if trace else (*items, *body["items"]),
        heard=stated_views(reading, words) if key in {"nothing_read", "put_right"} else (),
        trace=trace,
        has_examples=not items,
        faults=faults_of(reading),
        unread=unread_of(reading, texts),
        cautions=tuple(caution_text(c, words.language) for c in cautions),
        cautions_short=tuple(caution_short(c, words.language) for c in cautions),
    )


def _not_known(quote: Quote, reading: Heard, words: Words) -> tuple[str, tuple[str, ...]]:
    """Where the writer does not know what was asked: what the quote goes on with, and the next question."""
    path = reading.not_known
    kept = assumed_for(quote.assumptions, path, words, bool(quote.request.job.metric))
    key = "not_known" if kept or quote.totals else "not_known_needed"
    told = list(words.table(key)["paragraphs"])
    if kept:
        told.append(words.say("goes_on_with", kept=", ".join(kept)))
    question = next_question(quote.questions, path, reading.put_off)
    if question is not None:
        told.append(question_text(question, reading, words.language))
    return key, tuple(told)


def _why_unquoted(reading: Heard) -> str:
    if reading.faults and reading.lines:
        return "put_right"
    return (
        "empty"
        if reading.intent == "revise" and not reading.faults and not reading.unread
        else "nothing_read"
    )


def _order(line: QuoteLine, words: Words) -> str:
    option = line.options[line.chosen or 0]
    price = option.figures.get("unit_price")
    return words.say(
        "order_item",
        qty=shown.whole(pieces_wanted(line, option)),
        part=option.product.part_number,
        price=shown.price(price.value if price is not None else option.product.net_price),
        title=line_title(line.stated, words),
    )


def _side_by_side(line: QuoteLine, count: int, once: str, words: Words) -> list[str]:
    rows = []
    for number, option in enumerate(line.options):
        price = option.figures.get("unit_price")
        payback = option.figures.get("simple_payback_years")
        row = words.say(
            "compare_item",
            letter="ABC"[number] if number < 3 else str(number + 1),
            part=option.product.part_number,
            role=words.of("roles", option.role),
            watts=shown.watts(option.product.input_watts),
            lumens=f"{shown.whole(option.product.lumens)} lm",
            price=shown.price(price.value if price is not None else option.product.net_price),
        )
        if payback is not None:
            apart = words.say("apart", costs=once) if once else ""
            row += words.say("compare_payback", payback=shown.about_years(payback.value, words), apart=apart)
        if count > 1:
            row = f"{one_line(line_title(line.stated, words))}: {row}"
        rows.append(row)
    return rows


def _refused(lines: Sequence[QuoteLine], text: str, words: Words) -> list[str]:
    """Why others were passed over: those that ``text`` names, else one for each reason."""
    asked = text[:MOST_TEXT].upper()
    everything = [p for line in lines[:MOST_LINES] for p in line.passed_over]
    chosen = [p for p in everything if p.part_number in asked]
    if not chosen:
        by_reason = {p.reason.key: p for p in reversed(everything) if p.reason.key != "behind_another"}
        chosen = sorted(by_reason.values(), key=lambda p: p.part_number)
    return [
        words.say("refused_item", part=p.part_number, reason=reason_text("passed_over", p.reason, words))
        for p in chosen[:MOST_REFUSED]
    ]


def _light(line: QuoteLine, words: Words) -> str:
    option = line.options[line.chosen or 0]
    if option.light_ratio is None:
        return ""
    return words.say(
        "light_item",
        title=line_title(line.stated, words),
        part=option.product.part_number,
        percent=shown.percent(100 * float(option.light_ratio.value)),
    )
