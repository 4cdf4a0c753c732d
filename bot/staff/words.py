"""The words of the staff's pages and of customers' link pages, in both languages."""

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib.resources import files
from typing import Final

from aiohttp import web

from bot.replies.heard import Language

LANGUAGES: Final[tuple[Language, ...]] = ("en", "es")


@lru_cache(maxsize=2)
def page_words(language: Language) -> Mapping[str, str]:
    """Every phrase by its key."""
    text = files("bot.staff").joinpath(f"wording/{language}.toml").read_text("utf-8")
    words: dict[str, str] = tomllib.loads(text)
    return words


def language_of(request: web.Request) -> Language:
    """The one of our languages that the browser names first; English where it names neither."""
    for part in request.headers.get("Accept-Language", "")[:200].split(","):
        tag = part.partition(";")[0].strip().lower().partition("-")[0]
        if tag in LANGUAGES:
            return "es" if tag == "es" else "en"
    return "en"
