"""The words of a draft: a short, polite mail for a customer, with a line for staff above it where something is in doubt."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from markupsafe import Markup

from bot.replies import shown
from bot.replies.asked import line_index, slot_of
from bot.replies.clean import one_line
from bot.replies.describe import value_words
from bot.replies.heard import Heard, Language
from bot.replies.layout import laid_out
from bot.replies.layout_view import layout_view
from bot.replies.mail import EmailParts, MailPicture, as_png, render_email
from bot.replies.notes import note
from bot.replies.pictures import energy_picture, layout_pictures_of
from bot.replies.reasoned import reason_text
from bot.replies.render import QUESTIONS, shows_a_layout, shows_a_quote, template
from bot.replies.view import LineView, QuoteView, quote_view
from bot.replies.words import Words, listing, words_in
from engine.proposal import Quote, QuoteLine
from engine.tables import Tables

MOST_POINTS: Final = 8
MOST_DOUBTS: Final = 4
MOST_UNREAD: Final = 3
MOST_VALUE: Final = 500
"""Characters of what a point names."""
_STAFF: Final = Markup(
    '<p style="margin:0 0 14px;padding:8px 10px;border:1px dashed #8a6d00;background-color:#fff6d6;color:#4a3b00;font-size:13px">{}</p>'
)
UNSURE_UNDER: Final = 0.9
"""Confidence under which staff are told of it."""


@dataclass(frozen=True, slots=True)
class Point:
    """Something that staff or the customer must know, as a key of the wording table "mail" and its values."""

    key: str
    values: Mapping[str, str]

    @classmethod
    def of(cls, key: str, **values: str) -> "Point":
        """``Point.of("cut")``, ``Point.of("images", files="dock.jpg")``."""
        return cls(key, values)


@dataclass(frozen=True, slots=True)
class Cover:
    """What goes around the quote.

    Attributes:
        name: of whoever is greeted; may be empty.
        closing: who signs; may be empty.
        staff: what staff should know, beside what the reading leaves in doubt.
        read: what the customer is told of the files that were read.
        left_out: what the customer is told was not used (attachments that can't be read).
        attached: names of the files that go with it.
    """

    name: str = ""
    closing: str = ""
    staff: tuple[Point, ...] = ()
    read: tuple[Point, ...] = ()
    left_out: tuple[Point, ...] = ()
    attached: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _DraftView:
    staff: str
    greeting: str
    closing: str
    light: str
    read: tuple[str, ...]
    about_light: tuple[str, ...]
    left_out: tuple[str, ...]
    quantities: tuple[str, ...]
    alternatives: tuple[str, ...]
    spots: tuple[str, ...]
    job: str
    assumed: str
    attached: str


def render_draft(
    quote: Quote | None,
    reading: Heard,
    language: Language,
    texts: Sequence[str],
    cover: Cover,
    tables: Tables | None = None,
) -> EmailParts:
    """The draft's words. Same input, same bytes.

    Args:
        quote: ``None`` where the message gave nothing to quote.
        reading: the message's.
        language: of the reply.
        texts: what was read; the last one's passages that were not used are named.
        cover: greeting, signature, what staff should know.
        tables: those of the quote.
    """
    words = words_in(language)
    if quote is not None and shows_a_layout(quote, reading):
        return _framed(render_email(quote, reading, language, texts, tables), reading, words, cover, texts)
    pictures: tuple[MailPicture, ...] = ()
    if quote is not None and shows_a_quote(quote, reading):
        view = quote_view(quote, reading, words, QUESTIONS["email_text"], texts)
        around = _around(quote, reading, view, words, cover, texts)
        if quote.layouts:
            pictures = as_png(layout_pictures_of(quote, language))
        elif view.money and view.money.knows_saving:
            # One says enough; each more costs room, and time to draw.
            pictures = as_png([("energy", svg)] if (svg := energy_picture(quote, language)) else [])
        text = template("draft_text", language, "quote").render(v=view, d=around)
        html = template("draft_html", language, "quote").render(v=view, d=around, pictures=pictures)
    else:
        short = note(quote, reading, words, texts, tables=tables)
        if short.key == "nothing_read" and not short.faults:
            asked = words.table("mail_ask")
            short = replace(short, paragraphs=tuple(asked["paragraphs"]), items=tuple(asked["items"]))
        around = _around(None, reading, None, words, cover, texts)
        text = template("draft_text", language, "note").render(v=short, d=around)
        html = template("draft_html", language, "note").render(v=short, d=around)
    text = laid_out(text, "draft_text")
    if around.staff:
        # Not wrapped: one line, so that it is deleted in one go.
        text = f"[ {around.staff} ]\n\n{text}"
    return EmailParts(text, laid_out(html, "draft_html"), pictures)


def _framed(
    parts: EmailParts, reading: Heard, words: Words, cover: Cover, texts: Sequence[str]
) -> EmailParts:
    """A reply that has its own form, between greeting and signature."""
    around = _around(None, reading, None, words, cover, texts)
    first, last = _say("thanks", words), _say("regards", words)
    above = [f"[ {around.staff} ]"] if around.staff else []
    text = "\n\n".join(
        (*above, around.greeting, f"{first}\n{parts.text}", f"{last}\n{around.closing}".rstrip())
    )
    head, mark, rest = parts.html.partition("<body")
    style, close, body = rest.partition(">")
    body, end, tail = body.rpartition("</body>")
    frame = Markup("<p>{}</p>")  # our own markup; what is filled in is escaped
    opening = "".join(frame.format(line) for line in (around.greeting, first))
    if around.staff:
        opening = _STAFF.format(around.staff) + opening
    closing = Markup("<p>{}<br>{}</p>").format(last, around.closing)
    return EmailParts(
        text, f"{head}{mark}{style}{close}\n{opening}{body}{closing}\n{end}{tail}", parts.pictures
    )


def _around(
    quote: Quote | None,
    reading: Heard,
    view: QuoteView | None,
    words: Words,
    cover: Cover,
    texts: Sequence[str],
) -> _DraftView:
    name = one_line(cover.name, 60)
    return _DraftView(
        staff=_staff_line(reading, words, cover, texts),
        greeting=_say("greeting", words, name=name) if name else _say("greeting_none", words),
        closing=one_line(cover.closing, 80),
        light=light_in_all(quote, words) if quote is not None else "",
        read=tuple(said_point(point, words) for point in cover.read),
        about_light=about_light(quote, reading, words) if quote is not None and quote.layouts else (),
        left_out=tuple(said_point(point, words) for point in cover.left_out),
        quantities=tuple(
            shown.whole(line.stated.qty) if line.stated.qty is not None else "?"
            for line in (quote.lines if quote is not None else ())
        ),
        alternatives=tuple(_alternative(line, words) for line in view.lines) if view is not None else (),
        spots=tuple(
            _spot(line, words, bool(reading.job.metric))
            for line in (quote.lines if quote is not None else ())
        ),
        job=_sentence(view.job) if view is not None else "",
        assumed=_sentence([a.short + (f" ({a.where})" if a.where else "") for a in view.assumptions])
        if view is not None
        else "",
        attached=_say("attached", words, files=", ".join(one_line(name, 80) for name in cover.attached))
        if cover.attached
        else "",
    )


def _sentence(parts: Sequence[str]) -> str:
    """The parts as one sentence with a capital and a full stop."""
    text = "; ".join(parts)
    return f"{text[:1].upper()}{text[1:].removesuffix('.')}." if text else ""


def _say(key: str, words: Words, /, **values: str) -> str:
    frame: str = words.of("mail", key)
    return frame.format_map(values)


def said_point(point: Point, words: Words) -> str:
    """The point's sentence, its values cleaned and bounded."""
    return _say(
        point.key, words, **{name: one_line(value, MOST_VALUE) for name, value in point.values.items()}
    )


def _staff_line(reading: Heard, words: Words, cover: Cover, texts: Sequence[str]) -> str:
    """One line for staff, marked to be deleted; "" where nothing is in doubt."""
    metric = bool(reading.job.metric)
    points: list[str] = []
    confidence = reading.as_json().get("confidence", 1.0)
    if confidence < UNSURE_UNDER:
        points.append(_say("sure", words, percent=f"{round(100 * confidence)}%"))
    if reading.faults:
        points.append(_say("faults", words))
    for doubt in reading.doubts[:MOST_DOUBTS]:
        slot, index = slot_of(doubt.path), line_index(doubt.path)
        others = [value_words(slot, other, words, metric) for other in doubt.others[:3] if other is not None]
        values = {
            "name": (words.find("names", slot) or slot.replace("_", " ")).lower(),
            "value": value_words(slot, doubt.value, words, metric),
            "others": listing(others, words, "or"),
            "number": str((index or 0) + 1),
        }
        key = "check" if index is None else "check_line"
        points.append(_say(f"{key}_or" if others else key, words, **values))
    last = len(texts) - 1
    unread = [one_line(texts[turn][start:end], 40) for turn, start, end in reading.unread if turn == last][
        :MOST_UNREAD
    ]
    if unread:
        points.append(_say("unread", words, words=", ".join(f'"{passage}"' for passage in unread)))
    points = [*(said_point(point, words) for point in cover.staff), *points][:MOST_POINTS]
    return _say("staff", words, points=f"{'; '.join(points)}.") if points else ""


def light_in_all(quote: Quote, words: Words) -> str:
    """The light of what is proposed beside that of what hangs there, in one sentence; "" where not known."""
    chosen = [line.options[line.chosen] for line in quote.lines if line.chosen is not None and line.options]
    ratios = [
        (100 * float(option.light_ratio.value), option) for option in chosen if option.light_ratio is not None
    ]
    if not ratios:
        return ""
    if len(ratios) == 1:
        ratio, option = ratios[0]
        return _say("light_one", words, part=option.product.part_number, percent=shown.percent(ratio))
    low, high = min(ratio for ratio, _ in ratios), max(ratio for ratio, _ in ratios)
    if shown.percent(low) == shown.percent(high):
        return _say("light_alike", words, percent=shown.percent(low))
    return _say("light_many", words, low=shown.percent(low), high=shown.percent(high))


def about_light(quote: Quote, reading: Heard, words: Words) -> tuple[str, ...]:
    """What was asked of light, answered in short paragraphs; the last says what it is not."""
    view = layout_view(quote, reading, words)
    told = [f"{line.part}: {' '.join(line.answer)}" for line in view.lines]
    if view.assumed_short:
        told.append(_say("light_taken", words, taken="; ".join(view.assumed_short)))
    told.extend(text for text in (view.question, view.left_out, view.lines[0].basis) if text)
    return (*told, *view.cautions_short[:1])


def _spot(line: QuoteLine, words: Words, metric: bool) -> str:
    """The light on the spot where it counts, where that was worked out; "" where not."""
    if line.chosen is None:
        return ""
    reasons = [reason for reason in line.options[line.chosen].reasons if reason.key.endswith("_there")]
    return reason_text("reasons", reasons[0], words, metric) if reasons else ""


def _alternative(line: LineView, words: Words) -> str:
    """The next option in a few words; "" where there is none."""
    other = next((option for option in line.options if not option.chosen), None)
    if other is None:
        return ""
    role = other.role or next(iter(other.reasons), "").rstrip(".")
    return _say("alternative", words, part=other.part_number, price=other.price, role=role).replace(" .", "")
