"""The names of figures in plain words."""

from functools import lru_cache
from typing import Final

from bot.replies.clean import one_line
from bot.replies.heard import Language
from bot.replies.words import Words, words_in
from engine.figure import Figure

TARIFF_PARTS: Final = ("price", "share", "months", "met", "limit")
"""How figures of a tariff begin; what follows is how its file names the season, the period or the charge."""


def figure_name(figure: Figure, words: Words) -> str:
    """The figure's name in plain words; the engine's own words where the wording has none."""
    return words.find("names", figure.name) or one_line(figure.words) or name_of_key(figure.name, words)


def name_of_key(key: str, words: Words) -> str:
    """The words for a figure's key; of a figure of a tariff, what it is and which part of the tariff it is of."""
    return _name_of_key(key, words.language)


@lru_cache(maxsize=1024)
def _name_of_key(key: str, language: Language) -> str:
    words = words_in(language)
    if named := words.find("names", key):
        return named
    head, _, part = key.partition("_")
    frame = words.find("tariff_names", head)
    if frame and part:
        return frame.format_map({"part": one_line(part.replace("_", " "))})
    return one_line(key.replace("_", " "))
