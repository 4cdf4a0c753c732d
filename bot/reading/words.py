"""The lexicon: phrases of the languages and what they can mean, loaded once from the data files beside this module."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from bot.reading.tokens import tokenise

FOLDER = Path(__file__).parent / "lexicon"
LANGUAGES = ("en", "es")
_PLURAL = frozenset({"family", "generic"})
_INTEGERS = frozenset({"colour", "days"})
_MANY = frozenset({"cue", "action"})

Meanings = Mapping[str, Any]
"""Kind (a section of the lexicon) -> value; ``cue`` -> the set of all its cues; ``es``/``en`` -> True for its languages."""


@dataclass(frozen=True, slots=True)
class Lexicon:
    """All phrases.

    Attributes:
        phrases: first word -> the phrases that begin so, longest first: (rest of the words, meanings).
        known: every word that stands in some phrase.
        plain: common words of the languages that are never taken for a misspelt word of the trade.
    """

    phrases: dict[str, tuple[tuple[tuple[str, ...], Meanings], ...]]
    known: frozenset[str]
    plain: frozenset[str]


def words_of(text: str) -> frozenset[str]:
    """The words of a text as a set: a long list of small words stays readable so."""
    return frozenset(text.split())


def plural(phrase: str) -> str:
    """The regular plural of a phrase's last word."""
    if phrase.endswith(("s", ".", "'")):
        return phrase
    if phrase.endswith(("sh", "ch", "x")):
        return phrase + "es"
    return phrase + "s"


def key_of(phrase: str) -> tuple[str, ...]:
    """The words of a phrase as the reader sees them: hyphens dropped."""
    return tuple([token.text for token in tokenise(phrase) if token.text != "-"])


@lru_cache(maxsize=1)
def lexicon() -> Lexicon:
    """The lexicon of all languages."""
    found: dict[tuple[str, ...], dict[str, Any]] = {}
    for language in LANGUAGES:
        sections = tomllib.loads((FOLDER / f"{language}.toml").read_text(encoding="utf-8"))
        for kind, meanings in sections.items():
            for name, joined in meanings.items():
                value = int(name) if kind in _INTEGERS else name
                for phrase in joined.split(", "):
                    for form in {phrase, plural(phrase)} if kind in _PLURAL else {phrase}:
                        key = key_of(form)
                        if not key:
                            continue
                        entry = found.setdefault(key, {})
                        entry[language] = True
                        if kind in _MANY:
                            entry[kind] = entry.get(kind, frozenset()) | {value}
                        else:
                            entry.setdefault(kind, value)
    by_first: dict[str, list[tuple[tuple[str, ...], Meanings]]] = {}
    for key, entry in found.items():
        by_first.setdefault(key[0], []).append((key[1:], entry))
    phrases = {
        first: tuple(sorted(rests, key=lambda item: (-len(item[0]), item[0])))
        for first, rests in by_first.items()
    }
    known = frozenset([word for key in found for word in key])
    plain = frozenset((FOLDER / "plain_words.txt").read_text(encoding="utf-8").split())
    return Lexicon(phrases, known, plain)
