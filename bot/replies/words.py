"""The wording of one language, read once from its TOML files: nouns, reasons, cautions, questions, notes.

Every key that the engine can emit must have words in each language; a missing one is an error here, never a blank.
"""

import string
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Any, Final

from bot.replies.heard import Language

LANGUAGES: Final[tuple[Language, ...]] = ("en", "es")
_FILES: Final = (
    "nouns", "reasons", "cautions", "questions", "figures", "sources", "notes", "mail", "layout", "document",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Words:
    """All wording tables of a language. ``tables`` is "file table" -> key -> words."""

    language: Language
    tables: Mapping[str, Mapping[str, Any]]

    def table(self, name: str) -> Mapping[str, Any]:
        """The table ``name`` ("families", "cautions", ...)."""
        return self.tables[name]

    def of(self, table: str, key: str) -> Any:
        """The words for ``key``.

        Raises:
            KeyError: the wording files of this language lack it.
        """
        try:
            return self.tables[table][key]
        except KeyError:
            raise KeyError(f"no {self.language} words for {table}.{key}") from None

    def find(self, table: str, key: str) -> str | None:
        """The words for ``key`` of an open-ended table, or None."""
        found = self.tables[table].get(key)
        return found if isinstance(found, str) else None

    def say(self, phrase: str, /, **values: str) -> str:
        """The phrase of that name with its values filled in (values are text already)."""
        frame: str = self.of("phrases", phrase)
        return frame.format_map(values)


@lru_cache(maxsize=4)
def words_in(language: Language) -> Words:
    """The wording of ``language``.

    Raises:
        ValueError: no such language.
    """
    if language not in LANGUAGES:
        raise ValueError(f"no wording in {language!r}: one of {', '.join(LANGUAGES)}")
    tables: dict[str, Mapping[str, Any]] = {}
    for name in _FILES:
        for table, rows in _toml(f"{language}/{name}.toml").items():
            if table in tables:
                raise ValueError(f"wording/{language}/{name}.toml: table {table} is there twice")
            tables[table] = rows
    return Words(language, tables)


@lru_cache(maxsize=1)
def value_kinds() -> Mapping[str, Mapping[str, Mapping[str, str]]]:
    """The registry: table ("reasons", ...) -> key -> name of a value -> how that value is written."""
    return _toml("keys.toml")


def _toml(name: str) -> dict[str, Any]:
    return tomllib.loads(files("bot.replies").joinpath("wording", name).read_text("utf-8"))


def placeholders(text: str) -> frozenset[str]:
    """The names in curly brackets in ``text``."""
    return frozenset(field for _, field, _, _ in string.Formatter().parse(text) if field)


def listing(parts: tuple[str, ...] | list[str], words: Words, joint: str = "and") -> str:
    """A list in words: "a, b and c" (``joint`` is a key of the phrases: "and", "or")."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {words.of('phrases', joint)} {parts[-1]}"
