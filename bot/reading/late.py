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


class Late:
    """Stands for ``re.compile(source)``; compiles once, at the first text that it may fit."""

    __slots__ = ("_compiled", "_needs", "source")
    sources: ClassVar[set[str]] = set()
    """The sources of all of them, for the build of the compiled file."""
    told: ClassVar[dict[str, tuple[str, ...]]] = {}
    """Of those that need what can't be found from their source: what it is."""

    def __init__(self, source: str, needs: tuple[str, ...] = ()) -> None:
        """``needs``: stretches of text of which one stands in whatever fits, where they can't be found from the source."""
        self.source = source
        self._needs: list[str] | None = list(needs) if needs else None
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
