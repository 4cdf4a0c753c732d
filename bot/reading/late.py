"""A pattern that is compiled when it may first fit: a message pays nothing for what is not in it."""

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import ClassVar

from bot.reading.compiled import part


@lru_cache(maxsize=1)
def _needed() -> dict[str, list[str]]:
    """The sources of patterns -> stretches of text of which one must stand in what they fit (see ``needed``)."""
    held: dict[str, list[str]] | None = part("needed", ())
    return held or {}


_SHORT = 2000
"""Characters of the longest text whose grams are worth their while."""


@lru_cache(maxsize=8)
def grams_in(text: str) -> frozenset[str]:
    """Every three characters that stand side by side in a text.

    Many patterns are asked one by one whether they may fit: what a text holds is gathered once for all of them.
    """
    return frozenset([text[at : at + 3] for at in range(len(text) - 2)])


def _gram(stretch: str) -> str:
    """Three characters of a stretch that not every text holds; empty where it is shorter."""
    bare = stretch.lstrip(" ")
    return bare[:3] if len(bare) > 2 else stretch[:3] if len(stretch) > 2 else ""


class Late:
    """Stands for ``re.compile(source)``; compiles once, at the first text that it may fit."""

    __slots__ = ("_compiled", "_grams", "_needs", "source")
    sources: ClassVar[set[str]] = set()
    """The sources of all of them, for the build of the compiled file."""
    told: ClassVar[dict[str, tuple[str, ...]]] = {}
    """Of those that need what can't be found from their source: what it is."""

    def __init__(self, source: str, needs: tuple[str, ...] = ()) -> None:
        """``needs``: stretches of text of which one stands in whatever fits, where they can't be found from the source."""
        self.source = source
        self._needs: list[str] | None = list(needs) if needs else None
        self._grams: frozenset[str] | None = None
        self._compiled: re.Pattern[str] | None = None
        self.sources.add(source)
        if needs:
            self.told[source] = needs

    def may_fit(self, text: str) -> bool:
        """Whether something stands in the text without which the pattern can't fit."""
        if self._needs is None:
            self._needs = _needed().get(self.source, [])
        if not self._needs:
            return True
        if self._grams is None:
            grams = [_gram(stretch) for stretch in self._needs]
            self._grams = frozenset(grams) if len(grams) > 2 and "" not in grams else frozenset()
        if self._grams and len(text) <= _SHORT and self._grams.isdisjoint(grams_in(text)):
            return False
        for stretch in self._needs:  # noqa: SIM110 - half the time of any()
            if stretch in text:
                return True
        return False

    def _pattern(self) -> re.Pattern[str]:
        if self._compiled is None:
            self._compiled = re.compile(self.source)
        return self._compiled

    def search(self, text: str) -> re.Match[str] | None:
        """The first place that fits."""
        return self._pattern().search(text) if self.may_fit(text) else None

    def match(self, text: str, start: int = 0) -> re.Match[str] | None:
        """Whether what begins at ``start`` fits."""
        return self._pattern().match(text, start) if self.may_fit(text) else None

    def fullmatch(self, text: str) -> re.Match[str] | None:
        """Whether all of it fits."""
        return self._pattern().fullmatch(text) if self.may_fit(text) else None

    def finditer(self, text: str) -> Iterator[re.Match[str]]:
        """All places that fit."""
        return self._pattern().finditer(text) if self.may_fit(text) else iter(())
