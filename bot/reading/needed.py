"""What a text must hold for a pattern to fit: found from the pattern once, when the compiled lexicon file is built.

Looking for a few words costs less than trying a pattern at every character, and most patterns fit few messages.
"""

import re._constants as op  # type: ignore[import-not-found]
import re._parser as parser  # type: ignore[import-not-found]
from typing import Any

_MOST = 60
"""More words than this take longer to look for than the pattern takes to try."""
_SHORTEST = 3
"""Shorter stretches stand in most texts."""

Words = frozenset[str]


def _better(one: Words | None, two: Words | None) -> Words | None:
    """Of two sets that both must have a member in the text, the one that fewer texts satisfy."""
    if one is None or two is None:
        return one if two is None else two
    return max(one, two, key=lambda words: (min(map(len, words)), -len(words)))


def _of_each(branches: list[Any]) -> Words | None:
    """A word of some branch, where each branch needs one."""
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
    return _of(value) if name is op.ATOMIC_GROUP else None


def _of(pattern: Any) -> Words | None:
    best: Words | None = None
    run = ""
    for name, value in [*pattern, (None, None)]:
        if name is op.LITERAL:
            run += chr(value)
            continue
        if len(run) >= _SHORTEST:
            best = _better(best, frozenset({run}))
        run = ""
        best = _better(best, _of_item(name, value))
    return best


def needed(source: str) -> tuple[str, ...]:
    """Stretches of text of which every text that the pattern fits holds one; empty where no small set of them is known.

    >>> needed("(?:go )?back (?:to|on) (?:the )?(?:first|old) one|pull up")
    ('back ', 'pull up')
    """
    words = _of(parser.parse(source))
    if words is None or min(map(len, words)) < _SHORTEST:
        return ()
    kept = sorted(word for word in words if not any(other != word and other in word for other in words))
    return tuple(kept) if len(kept) <= _MOST else ()
