"""Builds ``lexicon/compiled.json`` from the lexicon's TOML files and the reader's patterns.

Run ``python -m bot.reading.build_lexicon`` after an edit of either.
"""

import json
from collections import Counter
from typing import Any, Final

import bot.reading.reader
import bot.reading.taking_back
import bot.reading.to_the_question  # noqa: F401 - every pattern that is compiled late is told of by its module
from bot.reading.compiled import FILE, INTENTS, PHRASES, TABLES, checksum, parsed
from bot.reading.late import Late
from bot.reading.needed import needed
from bot.reading.phrasing import LANGUAGES, IntentPhrases, Phrases, intent_phrases_of, phrases_of
from bot.reading.words import lexicon

_OF_THE_TRADE: Final = 3
"""How many plain words a phrase of the trade counts for: messages are full of them."""


def _numbered(values: list[Any], value: Any, numbers: dict[str, int]) -> int:
    """The number of a value among those that differ; it is appended where it is new."""
    spelled = json.dumps(value)
    if spelled not in numbers:
        numbers[spelled] = len(values)
        values.append(value)
    return numbers[spelled]


def _plain(meanings: Any) -> Any:
    if isinstance(meanings, frozenset):
        return sorted(meanings)
    return {
        kind: sorted(value) if isinstance(value, frozenset) else value for kind, value in meanings.items()
    }


def packed(phrases: Phrases | IntentPhrases) -> dict[str, Any]:
    """Phrases in JSON form: what they mean once each, and for each first word the rests with the numbers of their meanings."""
    meanings: list[Any] = []
    numbers: dict[str, int] = {}
    by_first = {
        first: [part for rest, mean in rests for part in (" ".join(rest), _numbered(meanings, _plain(mean), numbers))]
        for first, rests in phrases.items()
    }  # fmt: skip
    return {"meanings": meanings, "phrases": by_first}


def _grams(text: str) -> list[str]:
    return [text[at : at + 3] for at in range(max(1, len(text) - 2))]


def _with_rarest(needs: dict[str, tuple[str, ...]]) -> dict[str, list[Any]]:
    """Stretches of text, each with where in it the three characters begin that fewest words of the trade and of plain speech hold."""
    lex = lexicon()
    counts = Counter(gram for word in lex.plain for gram in _grams(f" {word} "))
    trade = [" ".join((first, *rest)) for first, rests in lex.phrases.items() for rest, _ in rests]
    for text in (*[f" {phrase} " for phrase in trade], *{word for words in needs.values() for word in words}):
        for gram in _grams(text):
            counts[gram] += _OF_THE_TRADE
    return {
        source: [
            part
            for word in words
            for part in (word, min(range(len(_grams(word))), key=lambda at: counts[_grams(word)[at]]))
        ]
        for source, words in needs.items()
    }


def built() -> dict[str, Any]:
    """What the compiled file holds when it is made now."""
    sources: dict[str, list[int]] = {
        "phrases": [checksum(source) for source in PHRASES],
        "intents": [checksum(source) for source in INTENTS],
    }
    out: dict[str, Any] = {
        "sources": sources,
        "phrases": packed(phrases_of({language: parsed(language) for language in LANGUAGES})),
        "intents": packed(intent_phrases_of(parsed("intents"))),
    }
    sources["needed"] = []
    out["needed"] = _with_rarest(
        {
            source: words
            for source in sorted(Late.sources)
            if (words := Late.told.get(source) or needed(source))
        }
    )
    for name in TABLES:
        sources[name] = [checksum(f"lexicon/{name}.toml")]
        out[name] = parsed(name)
    return out


def lines() -> str:
    """The text of the compiled file: one line a first word, so that an edit of the sources changes few lines."""
    text = json.dumps(built(), ensure_ascii=False, separators=(",", ":"))
    return text.replace('],"', '],\n"').replace('},"', '},\n"').replace("},{", "},\n{") + "\n"


def is_fresh() -> bool:
    """Whether the compiled file is what would be built now."""
    return FILE.exists() and FILE.read_text(encoding="utf-8") == lines()


if __name__ == "__main__":
    FILE.write_text(lines(), encoding="utf-8")
