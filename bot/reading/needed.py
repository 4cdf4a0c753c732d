"""What a text must hold for a pattern to fit: found from the pattern once, when the compiled lexicon file is built.

Looking for a few words costs less than trying a pattern at every character, and most patterns fit few messages.
"""

import re._constants as op  # type: ignore[import-not-found]
import re._parser as parser  # type: ignore[import-not-found]
from typing import Any

_MOST = 300
"""More stretches than this are not worth their place."""
_TOGETHER = 300
"""So many stretches may come of one part of a pattern before it is cut."""
_SHORTEST = 3
"""Shorter stretches stand in most texts, but for marks."""
_LONG = 4.0
"""Longer ones tell no more worth having."""
_MARKS = frozenset("/#%@$:?()'\"")

Words = frozenset[str]
_NOTHING: Words = frozenset({""})


def _worth(words: Words) -> float:
    """How much the shortest of some stretches tells; 0 where one tells too little."""
    return min(
        [
            len(word) if len(word) >= _SHORTEST else 2.5 if not _MARKS.isdisjoint(word) else 0.0
            for word in words
        ],
        default=0.0,
    )


def _better(one: Words | None, two: Words | None) -> Words | None:
    """Of two sets that both must have a member in the text, the one that fewer texts satisfy; none that tells too little."""
    sets = [words for words in (one, two) if words is not None and _worth(words) > 0 and len(words) <= _MOST]
    return max(sets, key=lambda words: (min(_worth(words), _LONG), -len(words)), default=None)


def _of_each(branches: list[Any]) -> Words | None:
    """A stretch of some branch, where each branch needs one."""
    found: set[str] = set()
    for branch in branches:
        words = _of(branch)
        if words is None:
            return None
        found |= words
    return frozenset(found)


def _of_item(name: Any, value: Any) -> Words | None:
    if name is op.BRANCH:
        return _of_each(value[1])
    if name is op.SUBPATTERN:
        return _of(value[3])
    if name in (op.MAX_REPEAT, op.MIN_REPEAT, op.POSSESSIVE_REPEAT):
        return _of(value[2]) if value[0] >= 1 else None
    if name is op.ASSERT:
        return _of(value[1])  # what must stand beside the match stands in the text too
    return _of(value) if name is op.ATOMIC_GROUP else None


def _all_of(name: Any, value: Any) -> Words | None:
    """Every stretch that a part fits, where they are few."""
    if name is op.LITERAL:
        return frozenset({chr(value)})
    if name in (op.AT, op.ASSERT, op.ASSERT_NOT):
        return _NOTHING
    if name is op.IN:
        if any(kind is not op.LITERAL for kind, _ in value):
            return None
        return frozenset(chr(char) for _, char in value)
    if name is op.BRANCH:
        each = [_all_of_sequence(branch) for branch in value[1]]
        return None if None in each else frozenset().union(*[words for words in each if words is not None])
    if name is op.SUBPATTERN and not value[1] and not value[2]:
        return _all_of_sequence(value[3])
    if name in (op.MAX_REPEAT, op.MIN_REPEAT, op.POSSESSIVE_REPEAT) and value[1] <= 1:
        once = _all_of_sequence(value[2]) if value[1] else _NOTHING
        return once if once is None or value[0] else once | _NOTHING
    return _all_of_sequence(value) if name is op.ATOMIC_GROUP else None


def _all_of_sequence(pattern: Any) -> Words | None:
    runs = _NOTHING
    for name, value in pattern:
        words = _all_of(name, value)
        if words is None or len(runs) * len(words) > _TOGETHER:
            return None
        runs = frozenset(run + word for run in runs for word in words)
    return runs


def _of(pattern: Any) -> Words | None:
    best: Words | None = None
    runs = _NOTHING
    for name, value in pattern:
        best = _better(best, _of_item(name, value))
        words = _all_of(name, value)
        if words is None or len(words) > 1:
            best = _better(best, runs)
        if words is not None and len(runs) * len(words) <= _TOGETHER:
            runs = frozenset(run + word for run in runs for word in words)
        else:
            runs = _NOTHING if words is None else words
    return _better(best, runs)


def needed(source: str) -> tuple[str, ...]:
    """Stretches of text of which every text that the pattern fits holds one; empty where no small set of them is known.

    >>> needed("(?:go )?back (?:to|on) (?:the )?(?:first|old) one|pull up")
    ('back on ', 'back to ', 'pull up')
    """
    words = _of(parser.parse(source)) or frozenset()
    return tuple(
        sorted(word for word in words if not any(other != word and other in word for other in words))
    )
