"""The names of figures in plain words."""

from bot.replies.clean import one_line
from bot.replies.words import Words
from engine.figure import Figure


def figure_name(figure: Figure, words: Words) -> str:
    """The figure's name in plain words; the engine's own words where the wording has none."""
    return words.find("names", figure.name) or one_line(figure.words or figure.name.replace("_", " "))
