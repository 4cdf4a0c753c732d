"""Cautions in words, by the key of the cautions table: in full, or in a few words for text messages."""

from bot.replies.heard import Language
from bot.replies.words import words_in


def caution_text(key: str, language: Language) -> str:
    """The full caution.

    Raises:
        KeyError: no caution of that key.
    """
    text: str = words_in(language).of("cautions", key)
    return text


def caution_short(key: str, language: Language) -> str:
    """The same in a few words.

    Raises:
        KeyError: no caution of that key.
    """
    text: str = words_in(language).of("cautions_short", key)
    return text
