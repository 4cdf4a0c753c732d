"""A quote or a reading in, a reply out: which template, which wording, how it is laid out for the channel.

Templates choose words; `bot.replies.view` has written every number before they see it.
"""

from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Final, Literal, Protocol

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template

from bot.replies import gsm
from bot.replies.heard import Heard, Language
from bot.replies.layout import laid_out
from bot.replies.layout_view import LayoutView, layout_view
from bot.replies.notes import NoteView, note, stop_note
from bot.replies.pictures import layout_pictures_of, pictures_of
from bot.replies.view import QuoteView, quote_view
from bot.replies.words import words_in
from engine.proposal import Quote
from engine.tables import Tables

Channel = Literal["terminal", "sms", "chat", "email_text", "email_html"]
CHANNELS: Final[tuple[Channel, ...]] = ("terminal", "sms", "chat", "email_text", "email_html")
QUESTIONS: Final = {"terminal": 1, "sms": 1, "chat": 1, "email_text": 3, "email_html": 3}
MOST_SEGMENTS: Final = 3
"""A text message longer than this is shortened, least important part first."""
SMS_LEVELS: Final = (4, 3, 2, 1, 0)
LAYOUT_LEVELS: Final = (4, 3, 2, 1)
_HTML: Final = frozenset({"chat", "email_html", "draft_html"})


class Pictured(Protocol):
    """A picture that an HTML mail shows by its content id."""

    @property
    def cid(self) -> str: ...
    @property
    def alt(self) -> str: ...
    @property
    def width(self) -> int: ...


Material = QuoteView | LayoutView | NoteView
"""What a reply says: a quote, what was asked of light, or a few words of another kind."""


def material_of(
    quote: Quote | None,
    reading: Heard,
    channel: Channel,
    language: Language,
    texts: Sequence[str] = (),
    tables: Tables | None = None,
) -> Material:
    """What the reply says, made ready to show; arguments as for `render`."""
    words = words_in(language)
    stop = _stop_key(quote, reading)
    if stop is not None:
        return stop_note(stop, reading, words, short=channel == "sms")
    if quote is not None and shows_a_layout(quote, reading):
        return layout_view(quote, reading, words, texts)
    if quote is not None and shows_a_quote(quote, reading):
        return quote_view(quote, reading, words, QUESTIONS[channel], texts)
    return note(quote, reading, words, texts, channel == "sms", tables)


def render(
    quote: Quote | None,
    reading: Heard,
    channel: Channel,
    language: Language,
    texts: Sequence[str] = (),
    tables: Tables | None = None,
    pictures: Sequence[Pictured] = (),
    material: Material | None = None,
) -> str:
    """The reply for one channel.

    Args:
        quote: ``None`` where the message gave nothing to quote.
        reading: the state after the last message.
        channel: "chat" and "email_html" give HTML with every text escaped; the others plain text.
        language: of the reply.
        texts: the conversation's messages, the last one last; needed to say what was not used and to explain a figure.
        tables: those of the quote, whose documents an explanation names; the program's own where not given.
        pictures: for "email_html": what it shows by content id.
        material: as `material_of` gives it for this channel, where the caller has it already.

    Returns:
        The text, ending without a line break. Same input, same text.
    """
    said = material or material_of(quote, reading, channel, language, texts, tables)
    if isinstance(said, NoteView):
        return _note(said, channel, language)
    if channel == "sms":
        return _fitted_layout(said, language) if isinstance(said, LayoutView) else _fitted(said, language)
    is_layout = isinstance(said, LayoutView)
    drawn: list[str] = []
    if quote is not None and channel == "chat":
        drawn = [svg for _, svg in (layout_pictures_of if is_layout else pictures_of)(quote, language)]
    filled = template(channel, language, "layout" if is_layout else "quote")
    return laid_out(filled.render(v=said, drawn=drawn, pictures=pictures), channel)


def shows_a_quote(quote: Quote, reading: Heard) -> bool:
    """True where the reply is the quote itself: no person must take over, and no other thing was asked for."""
    return bool(quote.lines) and _stop_key(quote, reading) is None and reading.intent in {"quote", "revise"}


def shows_a_layout(quote: Quote, reading: Heard) -> bool:
    """True where the reply is what was asked of light."""
    return bool(quote.layouts) and _stop_key(quote, reading) is None and reading.intent == "layout"


def _stop_key(quote: Quote | None, reading: Heard) -> str | None:
    if quote is not None and quote.stop is not None:
        return quote.stop.key
    return (reading.reason or "person_wanted") if reading.intent == "handoff" else None


def _note(view: NoteView, channel: Channel, language: Language) -> str:
    text = template(channel, language, "note").render(v=view)
    return _cut(_one_paragraph(text)) if channel == "sms" else laid_out(text, channel)


def _fitted(view: QuoteView, language: Language) -> str:
    """The fullest text message that fits. The tail, with the question and the cautions, is never cut."""
    body_of, tail_of = template("sms", language, "quote"), template("sms", language, "tail")
    body = tail = ""
    for level in SMS_LEVELS:
        body = _one_paragraph(body_of.render(v=view, level=level))
        tail = _one_paragraph(tail_of.render(v=view, level=level))
        if gsm.segments(f"{body} {tail}") <= MOST_SEGMENTS:
            return f"{body} {tail}"
    return _cut(body, f" {tail}")


def _fitted_layout(view: LayoutView, language: Language) -> str:
    """As `_fitted`, of what was asked of light."""
    text_of, tail_of = (template("sms", language, name) for name in ("layout", "layout_tail"))
    tail = _one_paragraph(tail_of.render(v=view))
    body = ""
    for level in LAYOUT_LEVELS:
        body = _one_paragraph(text_of.render(v=view, level=level))
        if gsm.segments(f"{body} {tail}") <= MOST_SEGMENTS:
            return f"{body} {tail}"
    return _cut(body, f" {tail}")


def _one_paragraph(text: str) -> str:
    return gsm.folded(" ".join(text.split()))


def _cut(text: str, tail: str = "") -> str:
    """``text`` cut at a word so that it fits with ``tail`` behind it, the cut shown."""
    while gsm.segments(text + tail) > MOST_SEGMENTS and text:
        shorter = text.rpartition(" ")[0].rstrip(" .,;:-")
        text = f"{shorter}..." if shorter else "" if tail else text[: gsm.ONE_SEGMENT]
    return text + tail


def _escapes(name: str | None) -> bool:
    """On for the HTML channels; the others are plain text, where "&lt;" would be shown as such."""
    return name is None or name.partition("/")[0] in _HTML


@lru_cache(maxsize=1)
def _environment() -> Environment:
    return Environment(
        loader=FileSystemLoader(Path(__file__).parent / "templates"),
        autoescape=_escapes,  # noqa: S701  decided by channel, and tested
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )


@lru_cache(maxsize=64)
def template(form: str, language: Language, name: str) -> Template:
    """The template of that name for a form of reply: a channel, or a form that only one of our own modules fills."""
    found = _environment().get_template(f"{form}/{language}/{name}.j2")
    # Copied whenever it is filled: a plain dict takes a tenth of the time that a chain of them takes.
    found.globals = dict(found.globals)
    return found
