"""Counts of the same type at another place: "6 high bays 400 MH in the shop and 10 of them in the warehouse" are two types alike.

"10 of them" is no part of six. A smaller count is none either where both have a place of one kind beside them ("north lot 12, south lot
8 of them"); else it may be a part, and stays what it is.
"""

from bot.reading.clause import Work
from bot.reading.places_behind import beside_each_other, kinds_of_place
from bot.reading.words import words_of

_OF_THEM = frozenset(
    {
        "of them",
        "of em",
        "of those",
        "of these",
        "de ellas",
        "de ellos",
        "de esas",
        "de esos",
        "de esas mismas",
    }
)
_SAME = {"en": True, "scope": "same"}
_NAMES = frozenset({"family", "size", "generic"})
_AHEAD = 3
_BEHIND = 5
_LETTERS = words_of("bldg building lot phase wing unit hall barn hangar shop")


def as_many_there(work: Work) -> None:
    """Read "of them" as "of the same" where a count can't be a part of the one before it, or is at another place."""
    for at in work.numbers:
        if not work.is_number(at) or work.text_at(at + 1) not in _OF_THEM:
            continue
        whole = _counted_before(work, at)
        if whole is None or not (
            _placed(work, at)
            if work.atoms[at].value > work.atoms[whole].value
            else _elsewhere(work, whole, at)
        ):
            continue
        atom = work.atoms[at + 1]
        work.atoms[at + 1] = atom._replace(text="of the same", mean=_SAME)


def _counted_before(work: Work, at: int) -> int | None:
    """The count before of a type that is named behind it."""
    for back in range(at - 1, max(-1, at - 24), -1):
        if work.is_bare_count(back) and work.atoms[back].value > 1:
            ahead = [work.atoms[n].mean for n in range(back + 1, min(back + 4, at))]
            if any(not _NAMES.isdisjoint(mean) for mean in ahead) and work.count_unit(back + 1) is None:
                return back
    return None


def _placed(work: Work, at: int) -> bool:
    """Whether a count has a place beside it."""
    behind = [work.text_at(n) for n in range(at + 2, min(at + 2 + _BEHIND, len(work.atoms)))]
    return bool(kinds_of_place([*behind, *[work.text_at(n) for n in range(max(0, at - 2), at)]]))


def _elsewhere(work: Work, whole: int, at: int) -> bool:
    """Whether both counts have a place of one kind beside them, the second one its own."""
    before = [work.text_at(n) for n in range(max(0, whole - _AHEAD), whole)]
    between = [work.text_at(n) for n in range(whole + 1, at)]
    behind = [work.text_at(n) for n in range(at + 2, min(at + 2 + _BEHIND, len(work.atoms)))]
    own = between[-_AHEAD:]
    if beside_each_other([before, own]) or _lettered(before, own):
        return True  # "north lot 12 ..., south lot 8 of them"
    return work.has(at - 1, "join") is not None and (
        beside_each_other([between, behind]) or _floors(work, whole, at)
    )


def _lettered(before: list[str], own: list[str]) -> bool:
    """Whether buildings or lots go by letters: "Bldg A has 15 ..., Bldg B 11 of them"."""
    return bool({word for word in before if word in _LETTERS} & {word for word in own if word in _LETTERS})


def _floors(work: Work, whole: int, at: int) -> bool:
    """Whether both counts are on numbered floors: "20 on 1st floor and 18 of em on 2nd"."""
    return any(work.has(n, "date") == "ordinal" for n in range(whole + 1, at)) and any(
        work.has(n, "date") == "ordinal" for n in range(at + 2, min(at + 2 + _BEHIND, len(work.atoms)))
    )
