"""The door to a quote's document: a quote in, PDF bytes out."""

import re
from collections.abc import Sequence
from typing import Final

from bot.documents.material import Head, material_of
from bot.documents.typesetting import typeset
from bot.replies.heard import Heard, Language
from bot.replies.words import words_in
from engine.proposal import Quote

PDF: Final = "application/pdf"


def quote_pdf(quote: Quote, reading: Heard, language: Language, texts: Sequence[str], head: Head) -> bytes:
    """The quote as PDF. Same input, same bytes; nothing asks what day it is.

    Args:
        quote: one with lines.
        reading: what was understood of the messages.
        language: of the document.
        texts: the messages; the last one's passages that were not used are named.
        head: the seller's, and how long prices hold.

    Raises:
        bot.documents.typesetting.DocumentFailed: it could not be made.
    """
    return typeset(material_of(quote, reading, language, texts, head))


def file_name(language: Language, about: str = "") -> str:
    """A plain name for the file: letters, digits, spaces and hyphens of ASCII, whatever ``about`` holds."""
    words = str(words_in(language).of("document", "file_name"))
    plain = " ".join(re.sub(r"[^A-Za-z0-9 -]", " ", about).split())[:40].strip(" -")
    return f"{words} {plain}.pdf" if plain else f"{words}.pdf"
