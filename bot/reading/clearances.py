"""Heights of what is above the luminaires, told beside the height at which they hang: "deck is at 40, lights hang at 35"."""

import itertools

from bot.reading.clause import Work
from bot.reading.foreign import take
from bot.reading.words import words_of

_ABOVE = words_of(
    "ceiling ceilings deck roof peak eave eaves structure steel joists joist truss trusses beam beams rafters ridge clear clearance techo techos cielo losa viga vigas"
)
_CLEAR = words_of("clear clearance ceiling ceilings eave eaves deck")
_HANG = words_of(
    "hang hangs hung hanging suspended mounted mount mounting dropped drop drops lights fixtures luminaires lamps heads fixture light they theyre cuelgan colgadas colgados luminarias montadas"
)
_NAMES = frozenset({"family", "family_weak", "generic", "size", "source", "led"})
_TUBES = frozenset({"source", "family", "family_weak", "size"})
_REACH = 7


def _said_of(work: Work, at: int) -> str:
    """Whether the height at ``at`` is that of what is above ("above"), of the luminaires ("hang"), or neither."""
    behind = at + 2 if work.unit(at + 1) == "ft" else at + 1
    if behind < len(work.atoms) and not _TUBES.isdisjoint(work.atoms[behind].mean):
        return ""  # "eight foot T8 tubes"
    if work.text_at(behind) in _CLEAR and not work.has(behind + 1, "optic"):
        return "above"
    for index in range(at - 1, max(-1, at - _REACH), -1):
        atom = work.atoms[index]
        if (
            atom.kind == "b"
            or atom.text in (".", ";", ",", "but", "and", "pero", "y", "so")
            or atom.kind == "n"
        ):
            return ""
        words = atom.text.split()
        if not _HANG.isdisjoint(words):
            return "hang"
        if not _ABOVE.isdisjoint(words):
            return "above"
    return ""


def _counts(work: Work, at: int) -> bool:
    """Whether a luminaire or lamp stands right behind the number: it counts, and measures nothing."""
    return at + 1 < len(work.atoms) and not _NAMES.isdisjoint(work.atoms[at + 1].mean)


def set_clearances_aside(work: Work) -> None:
    """Take the height of a ceiling out of the reading where the height of the luminaires is told right beside it."""
    told = [
        (at, said)
        for at in work.numbers
        if work.is_number(at)
        and 6 <= work.atoms[at].value <= 120
        and work.unit(at + 1) in (None, "ft")
        and not _counts(work, at)
        and (said := _said_of(work, at))
    ]
    for (first, one), (second, other) in itertools.pairwise(told):
        if {one, other} != {"above", "hang"} or second - first > 18:
            continue
        above = first if one == "above" else second
        between = range(first + 1, second)
        if sum("family" in work.atoms[n].mean for n in between) > (one == "above") or any(
            work.atoms[n].kind == "b" for n in between
        ):
            continue
        if (
            work.atoms[first].value > 0
            and work.atoms[above].value >= work.atoms[first + second - above].value
        ):
            take(work, above)
            if work.unit(above + 1) == "ft":
                work.use(above + 1, above + 1)
