"""The mail desk's word lists, read once. Everything in them is folded: lower case, no accents."""

import tomllib
from functools import lru_cache
from importlib.resources import files
from typing import Any

from bot.reading.text import fold

__all__ = ["fold", "listed", "table"]


@lru_cache(maxsize=8)
def table(name: str) -> dict[str, Any]:
    """The file ``lexicon/<name>.toml``."""
    return tomllib.loads(files("bot.mail").joinpath("lexicon", f"{name}.toml").read_text("utf-8"))


@lru_cache(maxsize=64)
def listed(name: str, part: str, key: str) -> tuple[str, ...]:
    """A list of phrases, the longest first."""
    phrases = [fold(phrase.strip()) for phrase in table(name)[part][key].split(", ")]
    return tuple(sorted({phrase for phrase in phrases if phrase}, key=lambda phrase: (-len(phrase), phrase)))
