"""The lexicon: phrases of the languages and what they can mean, loaded once from the data files beside this module."""

from dataclasses import dataclass
from functools import lru_cache

from bot.reading.compiled import FOLDER, PHRASES, parsed, part
from bot.reading.phrasing import LANGUAGES, MANY, Phrases, phrases_of
from bot.reading.text import letters_in

__all__ = ["FOLDER", "Lexicon", "lexicon", "speaks", "words_of"]


@dataclass(frozen=True, slots=True)
class Lexicon:
    """All phrases.

    Attributes:
        phrases: first word -> the phrases that begin so, longest first: (rest of the words, meanings).
        known: every word that stands in some phrase.
        plain: common words of the languages that are never taken for a misspelt word of the trade.
    """

    phrases: Phrases
    known: frozenset[str]
    plain: frozenset[str]


def words_of(text: str) -> frozenset[str]:
    """The words of a text as a set: a long list of small words stays readable so."""
    return frozenset(text.split())


def speaks(folded: str, words: frozenset[str]) -> bool:
    """Whether one of the words stands in a folded text: a quick look before a pattern that costs more."""
    return not words.isdisjoint(letters_in(folded))


@lru_cache(maxsize=1)
def lexicon() -> Lexicon:
    """The lexicon of all languages."""
    held = part("phrases", PHRASES)
    if held is None:
        phrases = phrases_of({language: parsed(language) for language in LANGUAGES})
    else:
        meanings = [
            {kind: frozenset(value) if kind in MANY else value for kind, value in mean.items()}
            for mean in held["meanings"]
        ]
        phrases = {
            first: tuple(
                [
                    (tuple(rest.split(" ")) if rest else (), meanings[number])
                    for rest, number in zip(rests[::2], rests[1::2], strict=True)
                ]
            )
            for first, rests in held["phrases"].items()
        }
    known = frozenset(phrases).union(*[rest for rests in phrases.values() for rest, _ in rests])
    plain = frozenset((FOLDER / "plain_words.txt").read_text(encoding="utf-8").split())
    return Lexicon(phrases, known, plain)
