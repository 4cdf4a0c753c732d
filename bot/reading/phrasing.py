"""How the lexicon's source files become phrases. Only the build of the compiled file, or a stale one, pays for this."""

import re
from collections.abc import Mapping
from typing import Any

from bot.reading.tokens import tokenise

LANGUAGES = ("en", "es")
MANY = frozenset({"cue", "action"})
"""Kinds of which a phrase may have several values: a set."""
_PLURAL = frozenset({"family", "generic"})
_INTEGERS = frozenset({"colour", "days"})

Key = tuple[str, ...]
"""The words of a phrase."""
Meanings = dict[str, Any]
"""Kind (a section of the lexicon) -> value; ``cue`` -> the set of all its cues; ``es``/``en`` -> True for its languages."""
Phrases = dict[str, tuple[tuple[Key, Meanings], ...]]
"""First word -> the phrases that begin so, longest first: (rest of the words, meanings)."""
IntentPhrases = dict[str, tuple[tuple[Key, frozenset[str]], ...]]
"""First word -> the phrases that begin so, longest first: (rest of the words, names of intents)."""

_WORD = re.compile(r"[a-z0-9]{1,64}(?:'[a-z]{1,3})?")


def plural(phrase: str) -> str:
    """The regular plural of a phrase's last word."""
    if phrase.endswith(("s", ".", "'")):
        return phrase
    if phrase.endswith(("sh", "ch", "x")):
        return phrase + "es"
    return phrase + "s"


def key_of(phrase: str) -> Key:
    """The words of a phrase as the reader sees them: hyphens dropped."""
    return tuple([token.text for token in tokenise(phrase) if token.text != "-"])


def plain_words(folded: str) -> list[str]:
    """The words of a folded text, apostrophes dropped."""
    words: list[str] = _WORD.findall(folded)
    return [word.replace("'", "") for word in words] if "'" in folded else words


def phrases_of(sections: Mapping[str, Mapping[str, Any]]) -> Phrases:
    """The phrases of the languages' files: language -> the file as parsed."""
    found: dict[Key, dict[str, Any]] = {}
    for language, kinds in sections.items():
        for kind, meanings in kinds.items():
            for name, joined in meanings.items():
                value = int(name) if kind in _INTEGERS else name
                for phrase in joined.split(", "):
                    forms = [phrase, plural(phrase)] if kind in _PLURAL else [phrase]
                    if kind == "family" and phrase.endswith(" light"):
                        short = phrase.removesuffix("light")
                        forms += [short + "lt", short + "lts", short + "lite", short + "lites"]
                    for form in dict.fromkeys(forms):
                        key = key_of(form)
                        if not key:
                            continue
                        entry = found.setdefault(key, {})
                        entry[language] = True
                        if kind in MANY:
                            entry[kind] = entry.get(kind, frozenset()) | {value}
                        else:
                            entry.setdefault(kind, value)
    by_first: dict[str, list[tuple[Key, Meanings]]] = {}
    for key, entry in found.items():
        by_first.setdefault(key[0], []).append((key[1:], entry))
    return {
        first: tuple(sorted(rests, key=lambda item: (-len(item[0]), item[0])))
        for first, rests in by_first.items()
    }


def intent_phrases_of(sections: Mapping[str, Mapping[str, str]]) -> IntentPhrases:
    """The phrases of the intents' file."""
    found: dict[Key, set[str]] = {}
    for intent, groups in sections.items():
        for group, joined in groups.items():
            name = intent if group == "words" else f"{intent}.{group}"
            for phrase in joined.split(", "):
                key = tuple(plain_words(phrase))
                if key:
                    found.setdefault(key, set()).add(name)
    by_first: dict[str, list[tuple[Key, frozenset[str]]]] = {}
    for key, names in found.items():
        by_first.setdefault(key[0], []).append((key[1:], frozenset(names)))
    return {first: tuple(sorted(rests, key=lambda item: -len(item[0]))) for first, rests in by_first.items()}
