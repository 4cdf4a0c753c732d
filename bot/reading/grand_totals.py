"""How many there are in all, told before the types that add up to it: "31 fixtures outside: 19 wall packs and the rest, 12, are bollards".

The figures must agree, or one of them must be left to work out ("40 fixtures: 22 strips and the rest are wraps" are 18 wraps).
"""

from bot.reading.clause import Work
from bot.reading.heads import Product
from bot.reading.words import words_of

_TOTAL = words_of("total totals altogether all")
_LEFT = words_of("rest remaining remainder balance other others resto demas otros otras")
_KINDS = frozenset({"family", "family_weak", "size"})
_OTHER = frozenset({"source", "scope", "join"})
_MEASURES = frozenset(
    {
        "w",
        "v",
        "ft",
        "m",
        "inch",
        "lamps",
        "hours",
        "days",
        "cents",
        "dollars",
        "kwh",
        "week",
        "year",
        "kelvin",
        "lumens",
        "percent",
    }
)
_REACH = 60
_BEHIND = 5
_FEWEST = 3


def grand_totals(work: Work) -> list[Product]:
    """The counts that are worked out from a total told before them; totals that are told beside all their parts are set aside."""
    if len(work.numbers) < _FEWEST - 1 or not work.speaks_of("generic", "unit:each"):
        return []
    for at in work.numbers[:_FEWEST]:
        if _is_total(work, at):
            return _settled(work, at)
    return []


def _whole(work: Work, at: int) -> bool:
    value = work.atoms[at].value
    return (
        work.is_number(at) and value == int(value) and value >= 1 and work.count_unit(at + 1) not in _MEASURES
    )


def _is_total(work: Work, at: int) -> bool:
    """Whether a count is of luminaires of any type, and the first of all: "31 fixtures", "total of 31", "50 in all"."""
    if not _whole(work, at) or work.atoms[at].value < _FEWEST:
        return False
    behind = work.atoms[at + 1].mean if at + 1 < len(work.atoms) else {}
    if behind.get("generic") != "light" and behind.get("unit") != "each":
        return False
    if behind.get("unit") == "each" and _TOTAL.isdisjoint(work.text_at(at + 1).split(" ")):
        return False
    return not any(not _KINDS.isdisjoint(work.atoms[n].mean) for n in range(max(0, at - 4), at)) and not any(
        not _KINDS.isdisjoint(work.atoms[n].mean)
        for n in range(at + 2, min(at + 4, len(work.atoms)))
        if work.atoms[at + 2].kind not in ("s", "b")
    )


def _named(work: Work, at: int) -> bool:
    """Whether a type is named right behind an atom: "12, are bollards"."""
    for index in range(at + 1, min(at + _BEHIND, len(work.atoms))):
        atom = work.atoms[index]
        if not _KINDS.isdisjoint(atom.mean):
            return True
        if (
            atom.kind in ("n", "b", "c")
            or (atom.kind == "s" and atom.text != ",")
            or not _OTHER.isdisjoint(atom.mean)
        ):
            return False
    return False


def _settled(work: Work, at: int) -> list[Product]:
    whole = int(work.atoms[at].value)
    counted, left = 0, -1
    parts: list[int] = []
    for index in range(at + 2, min(at + _REACH, len(work.atoms))):
        if not _LEFT.isdisjoint(work.text_at(index).split(" ")):
            left = index
        elif (
            _whole(work, index)
            and "family" not in work.atoms[index - 1].mean
            and work.text_at(index - 1) not in ("at", "@", "on", "a")
            and _named(work, index)
        ):
            parts.append(index)
            counted += int(work.atoms[index].value)
            if counted >= whole:
                break
    if counted == whole and len(parts) > 1:
        work.use(at, at)
        for n in range(parts[-1] - 3, parts[-1]):
            if not _LEFT.isdisjoint(work.text_at(n).split(" ")):
                work.atoms[n] = work.atoms[n]._replace(kind="w", text="", mean={})
        return []
    if parts and counted < whole and left > parts[-1] and _named(work, left):
        work.use(at, at)
        work.atoms[left] = work.atoms[left]._replace(kind="w", mean={})
        work.use(left, left)
        return [Product(left, left, whole - counted)]
    return []
