"""A quote or a reading in, a reply out: which template, which wording, how it is laid out for the channel.

Templates choose words; `bot.replies.view` has written every number before they see it.
"""

from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import Final, Literal

from jinja2 import Environment, FileSystemLoader, StrictUndefined, Template

from bot.replies import gsm
from bot.replies.heard import Heard, Language
from bot.replies.notes import NoteView, note, stop_note
from bot.replies.pictures import energy_picture
from bot.replies.view import QuoteView, quote_view
from bot.replies.words import words_in
from engine.proposal import Quote

Channel = Literal["terminal", "sms", "chat", "email_text", "email_html"]
CHANNELS: Final[tuple[Channel, ...]] = ("terminal", "sms", "chat", "email_text", "email_html")
QUESTIONS: Final = {"terminal": 1, "sms": 1, "chat": 1, "email_text": 3, "email_html": 3}
WIDTHS: Final = {"terminal": 96, "email_text": 74}
MOST_SEGMENTS: Final = 3
"""A text message longer than this is shortened, least important part first."""
SMS_LEVELS: Final = (4, 3, 2, 1, 0)
_HTML: Final = frozenset({"chat", "email_html"})


def render(
    quote: Quote | None,
    reading: Heard,
    channel: Channel,
    language: Language,
    texts: Sequence[str] = (),
) -> str:
    """The reply for one channel.

    Args:
        quote: ``None`` where the message gave nothing to quote.
        reading: the state after the last message.
        channel: "chat" and "email_html" give HTML with every text escaped; the others plain text.
        language: of the reply.
        texts: the conversation's messages, the last one last; needed to say what was not used and to explain a figure.

    Returns:
        The text, ending without a line break. Same input, same text.
    """
    words = words_in(language)
    stop = _stop_key(quote, reading)
    if stop is not None:
        return _note(stop_note(stop, reading, words, short=channel == "sms"), channel, language)
    if quote is None or not quote.lines or reading.intent not in {"quote", "revise"}:
        return _note(note(quote, reading, words, texts, short=channel == "sms"), channel, language)
    view = quote_view(quote, reading, words, QUESTIONS[channel], texts)
    if channel == "sms":
        return _fitted(view, language)
    picture = energy_picture(quote, language) if channel == "chat" else ""
    text = _template(channel, language, "quote").render(v=view, picture=picture)
    return _laid_out(text, channel)


def _stop_key(quote: Quote | None, reading: Heard) -> str | None:
    if quote is not None and quote.stop is not None:
        return quote.stop.key
    return (reading.reason or "person_wanted") if reading.intent == "handoff" else None


def _note(view: NoteView, channel: Channel, language: Language) -> str:
    text = _template(channel, language, "note").render(v=view)
    return _cut(_one_paragraph(text)) if channel == "sms" else _laid_out(text, channel)


def _fitted(view: QuoteView, language: Language) -> str:
    """The fullest text message that fits."""
    template = _template("sms", language, "quote")
    text = ""
    for level in SMS_LEVELS:
        text = _one_paragraph(template.render(v=view, level=level))
        if gsm.segments(text) <= MOST_SEGMENTS:
            return text
    return _cut(text)


def _one_paragraph(text: str) -> str:
    return gsm.folded(" ".join(text.split()))


def _cut(text: str) -> str:
    """``text`` cut at a word so that it fits, the cut shown."""
    while gsm.segments(text) > MOST_SEGMENTS:
        text = text.rpartition(" ")[0].rstrip(" .,;:-") + "..."
        text = text if " " in text else text[: gsm.ONE_SEGMENT]
    return text


def _escapes(template: str | None) -> bool:
    """On for the HTML channels; the others are plain text, where "&lt;" would be shown as such."""
    return template is None or template.partition("/")[0] in _HTML


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


@lru_cache(maxsize=32)
def _template(channel: Channel, language: Language, name: str) -> Template:
    return _environment().get_template(f"{channel}/{language}/{name}.j2")


def _laid_out(text: str, channel: Channel) -> str:
    """Blank lines evened out; plain text wrapped to the channel's width, each paragraph under its own indent."""
    lines = [line.rstrip() for line in text.split("\n")]
    width = WIDTHS.get(channel)
    out: list[str] = []
    for line in lines:
        if not line and (not out or not out[-1]):
            continue
        if width is None or len(line) <= width:
            out.append(line)
        else:
            out.extend(_wrapped(line, width))
    while out and not out[-1]:
        out.pop()
    return "\n".join(out)


def _wrapped(line: str, width: int) -> list[str]:
    body = line.lstrip(" ")
    indent = len(line) - len(body)
    bullet = body[:2] == "- " or (body[1:3] in {". ", "  "} and body[0].isalnum())
    hanging = " " * (indent + (2 if body[:2] == "- " else 3 if bullet else 0))
    out, current = [], " " * indent
    started = False
    for word in body.split(" "):
        if started and len(current) + 1 + len(word) > width:
            out.append(current)
            current, started = hanging + word, True
            continue
        current = f"{current} {word}" if started else current + word
        started = True
    out.append(current)
    return out
