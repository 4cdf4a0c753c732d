"""A pattern that is compiled when it is first used: a first message pays nothing for what only talks need."""

import re
from collections.abc import Iterator


class Late:
    """Stands for ``re.compile(source)``; compiles once, at the first search."""

    __slots__ = ("_compiled", "_source")

    def __init__(self, source: str) -> None:
        self._source = source
        self._compiled: re.Pattern[str] | None = None

    def _pattern(self) -> re.Pattern[str]:
        if self._compiled is None:
            self._compiled = re.compile(self._source)
        return self._compiled

    def search(self, text: str) -> re.Match[str] | None:
        """The first place that fits."""
        return self._pattern().search(text)

    def match(self, text: str) -> re.Match[str] | None:
        """Whether the beginning fits."""
        return self._pattern().match(text)

    def fullmatch(self, text: str) -> re.Match[str] | None:
        """Whether all of it fits."""
        return self._pattern().fullmatch(text)

    def finditer(self, text: str) -> Iterator[re.Match[str]]:
        """All places that fit."""
        return self._pattern().finditer(text)
