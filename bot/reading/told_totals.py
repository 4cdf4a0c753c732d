"""How many hang at each place, told beside how many there are in all: "exit signs, 2 per floor, 12 total" are twelve."""

from itertools import pairwise

from bot.reading.clause import Work, ends_clause
from bot.reading.foreign import take
from bot.reading.words import words_of

_EACH = words_of("each ea every per cada por")
_AT = words_of("over on at in by above near for beside en sobre")
_IN_ALL = ("total", "in all", "in total", "altogether", "all told", "en total")
_MOST_EACH = 24.0
_FAR = 12
"""Atoms between the two numbers at most."""


def rates_beside_totals(work: Work, numbers: list[int]) -> bool:
    """Set the numbers aside that say how many each place has where the total is told behind them; whether there were any.

    Args:
        work: before the mentions are made.
        numbers: the atoms that are whole numbers without a unit, in order.
    """
    found = False
    for at, total in pairwise(numbers):
        if (
            total - at <= _FAR
            and work.atoms[at].value < work.atoms[total].value
            and work.atoms[at].value <= _MOST_EACH
            and work.text_at(total + 1).startswith(_IN_ALL)
            and _at_each(work, at, total)
        ):
            take(work, at)
            found = True
    return found


def _at_each(work: Work, at: int, total: int) -> bool:
    """Whether "each", "per" and a place follow the number, and nothing that tells of a type: "1 each landing", "2 per floor"."""
    index = at + 1
    if "family" in work.atoms[index].mean or work.has(index, "generic"):
        index += 1
    if work.text_at(index) in _AT:
        index += 1
    if work.text_at(index).split(" ", 1)[0] not in _EACH or index + 2 > total:
        return False
    place = work.atoms[index + 1]
    if (
        place.kind not in ("w", "p", "n")
        or place.text == "of"
        or "family" in place.mean
        or "size" in place.mean
    ):
        return False
    return not any(ends_clause(work.atoms[n]) and work.text_at(n) != ":" for n in range(index, total))
