"""A reply as an e-mail: plain text, HTML, and the pictures that the HTML shows, as PNG."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from hashlib import sha256

from bot.replies.heard import Heard, Language
from bot.replies.pictures import layout_pictures_of, pictures_of
from bot.replies.render import render, shows_a_layout, shows_a_quote
from engine.proposal import Quote
from engine.tables import Tables


@dataclass(frozen=True, slots=True)
class MailPicture:
    """A picture that the HTML refers to as ``cid:<cid>``.

    Attributes:
        cid: content id, without the angle brackets.
        filename: for who saves it.
        png: the picture, in greys.
        alt: what it shows, in words.
        width: as shown [CSS px]; the PNG has twice as many dots.
    """

    cid: str
    filename: str
    png: bytes
    alt: str
    width: int


@dataclass(frozen=True, slots=True)
class EmailParts:
    """What a mail is put together from. ``pictures`` is empty where neither a quote nor a layout is shown."""

    text: str
    html: str
    pictures: tuple[MailPicture, ...]


def render_email(
    quote: Quote | None,
    reading: Heard,
    language: Language,
    texts: Sequence[str] = (),
    tables: Tables | None = None,
) -> EmailParts:
    """The reply for a mail; arguments as for `bot.replies.render.render`. Same input, same bytes."""
    pictures: tuple[MailPicture, ...] = ()
    if quote is not None and shows_a_quote(quote, reading):
        pictures = as_png(pictures_of(quote, language))
    elif quote is not None and shows_a_layout(quote, reading):
        pictures = as_png(layout_pictures_of(quote, language))
    return EmailParts(
        text=render(quote, reading, "email_text", language, texts, tables),
        html=render(quote, reading, "email_html", language, texts, tables, pictures),
        pictures=pictures,
    )


def as_png(drawn: Iterable[tuple[str, str]]) -> tuple[MailPicture, ...]:
    """Drawn pictures, each with its name, as a mail shows them."""
    # Imported when a mail is made: the drawing library would slow down every short answer.
    from bot.replies.pictures.png import SCALE, png_of

    out = []
    for name, svg in drawn:
        png, alt = png_of(svg)
        width = int.from_bytes(png[16:20], "big") // SCALE
        cid = f"{name}.{sha256(png).hexdigest()[:16]}@wattclerk.invalid"
        out.append(MailPicture(cid, f"{name}.png", png, alt, width))
    return tuple(out)
