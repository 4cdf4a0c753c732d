"""A pattern that is compiled when it may first fit: a message pays nothing for what is not in it."""

import re
from collections.abc import Iterator
from functools import lru_cache
from typing import Any, ClassVar, Final, final

from bot.reading.compiled import part


@lru_cache(maxsize=1)
def _needed() -> dict[str, list[Any]]:
    """The sources of patterns -> stretches of text of which one must stand in what they fit (see ``needed``).

    Behind each stretch stands where in it the three characters begin that fewest texts hold.
    """
    held: dict[str, list[Any]] | None = part("needed", ())
    return held or {}


_SHORT = 2000
"""Characters of the longest text that is looked through for the stretches of all patterns at once."""


@final
class _Index:
    """What stretches stand for: by three characters of each, the stretch and the numbers of the patterns that need it; short ones apart."""

    def __init__(self) -> None:
        self.by_gram: dict[str, list[tuple[str, list[int]]]] = {}
        self.grams: set[str] = set()
        self.short: list[tuple[str, list[int]]] = []
        self.count = 0
        self.last: tuple[str, int, set[int]] = ("", 0, set())
        """The text that was looked through last, how many patterns there were then, and what was found."""
        self.before = ""
        """The text that a pattern was asked about last and that was not looked through for all."""

    def add(self, stretches: list[str], rarest: list[int]) -> int:
        """Take up a pattern that needs one of the stretches; its number."""
        number = self.count
        self.count += 1
        for place, stretch in enumerate(stretches):
            held = self.short
            if len(stretch) > 2:
                gram = stretch[rarest[place] : rarest[place] + 3]
                held = self.by_gram.setdefault(gram, [])
                self.grams.add(gram)
            for known, numbers in held:
                if known == stretch:
                    numbers.append(number)
                    break
            else:
                held.append((stretch, [number]))
        return number

    def look(self, text: str, number: int) -> set[int]:
        """The numbers of the patterns of which some stretch stands in a text, up to ``number`` at least."""
        last = self.last
        if last[0] is not text or last[1] <= number:
            last = self.last = (text, self.count, _found_in(text, self.count))
        return last[2]


_INDEX: Final = _Index()


@lru_cache(maxsize=16)
def _found_in(text: str, count: int) -> set[int]:
    """The numbers of the patterns, of the first ``count``, of which some stretch stands in a text: one look for all."""
    by_gram = _INDEX.by_gram
    found: set[int] = set()
    for stretch, numbers in _INDEX.short:
        if stretch in text:
            found.update(numbers)
    for gram in _INDEX.grams.intersection([text[at : at + 3] for at in range(len(text) - 2)]):
        for stretch, numbers in by_gram[gram]:
            if stretch in text:
                found.update(numbers)
    return found


_UNKNOWN: Final = -2
_ALWAYS: Final = -1


class Late:
    """Stands for ``re.compile(source)``; compiles once, at the first text that it may fit."""

    __slots__ = ("_compiled", "_needs", "_number", "source")
    sources: ClassVar[set[str]] = set()
    """The sources of all of them, for the build of the compiled file."""
    told: ClassVar[dict[str, tuple[str, ...]]] = {}
    """Of those that need what can't be found from their source: what it is."""

    def __init__(self, source: str, needs: tuple[str, ...] = ()) -> None:
        """``needs``: stretches of text of which one stands in whatever fits, where they can't be found from the source."""
        self.source = source
        self._needs: list[str] = list(needs)
        self._number = _UNKNOWN
        """In the index; `_ALWAYS` where nothing is needed."""
        self._compiled: re.Pattern[str] | None = None
        self.sources.add(source)
        if needs:
            self.told[source] = needs

    def _take_up(self) -> int:
        """Find what the pattern needs, the first time that it is asked for."""
        held = _needed().get(self.source)
        rarest = [0] * len(self._needs)
        if held is not None:
            self._needs, rarest = held[::2], held[1::2]
        self._number = _INDEX.add(self._needs, rarest) if self._needs else _ALWAYS
        return self._number

    def may_fit(self, text: str) -> bool:
        """Whether something stands in the text without which the pattern can't fit."""
        number = self._number
        if number < 0:
            if number == _UNKNOWN:
                number = self._take_up()
            if number == _ALWAYS:
                return True
        if len(text) <= _SHORT:
            # a text that is asked about once or twice is not worth a look for all patterns
            if text is _INDEX.last[0] or text is _INDEX.before:
                return number in _INDEX.look(text, number)
            _INDEX.before = text
        for stretch in self._needs:  # noqa: SIM110 - half the time of any()
            if stretch in text:
                return True
        return False

    def _pattern(self) -> re.Pattern[str]:
        if self._compiled is None:
            self._compiled = re.compile(self.source)
        return self._compiled

    def search(self, text: str, start: int = 0) -> re.Match[str] | None:
        """The first place that fits, from ``start`` on."""
        return self._pattern().search(text, start) if self.may_fit(text) else None

    def match(self, text: str, start: int = 0) -> re.Match[str] | None:
        """Whether what begins at ``start`` fits."""
        return self._pattern().match(text, start) if self.may_fit(text) else None

    def fullmatch(self, text: str) -> re.Match[str] | None:
        """Whether all of it fits."""
        return self._pattern().fullmatch(text) if self.may_fit(text) else None

    def finditer(self, text: str) -> Iterator[re.Match[str]]:
        """All places that fit."""
        return self._pattern().finditer(text) if self.may_fit(text) else iter(())


def that_may_fit(patterns: tuple[Late, ...], text: str) -> list[Late]:
    """Of several patterns that all need something those that may fit a text."""
    if len(text) > _SHORT:
        return [pattern for pattern in patterns if pattern.may_fit(text)]
    if patterns[-1]._number == _UNKNOWN:
        for pattern in patterns:
            pattern.may_fit("")
    found = _INDEX.look(text, _INDEX.count - 1)
    return [pattern for pattern in patterns if pattern._number in found]
