"""Where a first message may deal values to the types that the rest of it describes: the stretches that `by_turns` is tried on."""

from typing import Final

from bot.reading.clause import Work
from bot.reading.dealt_pieces import (
    BREAKS,
    COLOURS,
    EXCEPT,
    LEADS,
    LINKS,
    NTH,
    OF_A_TYPE,
    ON,
    SIDES,
    TALLEST,
    THE,
    TYPES,
    WORDS,
    unit_of,
)
from bot.reading.supply import VOLTS

_UNITS: Final = frozenset({"ft", "v", "kelvin"})
_PLAIN: Final = LINKS | BREAKS | EXCEPT | ON | THE | LEADS | OF_A_TYPE | {"other", "than", "k"}
_MOST: Final = 6


def asides(work: Work) -> list[tuple[int, int, int]]:
    """Stretches of a first message that may deal values to the types that the rest of it describes: (start, end, fewest clauses)."""
    atoms = work.atoms
    out: list[tuple[int, int, int]] = []
    first = 0
    while first < len(atoms):
        if not _may_stand(work, first):
            first += 1
            continue
        last = first
        while last + 1 < len(atoms) and _may_stand(work, last + 1):
            last += 1
        out += _within(work, first, last)
        first = last + 2
    return out[:_MOST]


def _may_stand(work: Work, at: int) -> bool:
    """Whether an atom may stand in such a clause."""
    atom = work.atoms[at]
    mean = atom.mean
    if (
        atom.kind in ("x", "c")
        or "source" in mean
        or "led" in mean
        or (unit_of(atom) is not None and mean["unit"] not in _UNITS)
    ):
        return False
    if atom.kind == "n":
        return atom.value <= TALLEST or atom.value in VOLTS or atom.value in COLOURS
    if atom.kind == "w":
        return atom.text not in _TELLS
    return (
        atom.kind in ("b", "s")
        or _points(work, at)
        or not mean.keys().isdisjoint(WORDS)
        or bool(
            mean.keys() & {"unit", "scope", "building", "join"}
            or set(atom.text.split()) <= _PLAIN
            or "cue" in mean
        )
    )


def _points(work: Work, at: int) -> bool:
    """Whether an atom may be a subject."""
    atom = work.atoms[at]
    mean = atom.mean
    if not mean.keys().isdisjoint(TYPES) or mean.get("scope") in ("all", "others"):
        return True
    return atom.text in NTH or atom.text in SIDES or "building" in mean or atom.text in _PLACES


_PLACES: Final = frozenset(
    [
        "lobby",
        "yard",
        "shop",
        "office",
        "warehouse",
        "plant",
        "garage",
        "kitchen",
        "hall",
        "hallway",
        "gym",
        "dock",
        "lot",
    ]
)


def _says_value(work: Work, at: int) -> bool:
    atom = work.atoms[at]
    return not atom.mean.keys().isdisjoint(WORDS) or (
        atom.kind == "n" and (atom.value >= 5 or work.text_at(at + 1) in ("k", "kelvin"))
    )


def _is_break(work: Work, at: int) -> bool:
    atom = work.atoms[at]
    return atom.kind == "b" or (atom.kind == "s" and atom.text in (",", ";", ".", ":", "-", "!"))


_TELLS: Final = frozenset(
    [
        "we",
        "i",
        "they",
        "there",
        "zip",
        "got",
        "looking",
        "replace",
        "replacing",
        "hi",
        "power",
        "rate",
        "pay",
        "quote",
        "price",
    ]
)
"""Words that begin another sentence than one that deals."""


def _leads_to_subject(work: Work, at: int, last: int) -> bool:
    """Whether a value points at a type behind it: "480 on the floods"."""
    ahead = at + 1
    while (
        ahead <= last
        and ahead - at < 5
        and not _is_break(work, ahead)
        and "join" not in work.atoms[ahead].mean
    ):
        if _points(work, ahead):
            return any(work.text_at(n) in ON for n in range(at + 1, ahead))
        ahead += 1
    return False


def _stops(work: Work, at: int) -> bool:
    """Whether a sentence, a line or a list ends here."""
    atom = work.atoms[at]
    return atom.kind == "b" or (atom.kind == "s" and atom.text in (".", "-") and not atom.glued)


def _within(work: Work, first: int, last: int) -> list[tuple[int, int, int]]:
    """The stretches between marks, or from a subject on, in a run of atoms that may stand in clauses."""
    atoms = work.atoms
    subjects = [at for at in range(first, last + 1) if _points(work, at)]
    values = [at for at in range(first, last + 1) if _says_value(work, at)]
    if not subjects or not values:
        return []
    breaks = [at for at in range(first, last + 1) if _is_break(work, at)]
    ends = [last] if last + 1 == len(atoms) else []
    ends += [at - 1 for at in breaks[::-1] if at > first][: 2 if not ends else 0]
    starts = [at + 1 for at in breaks if at < last]
    starts.insert(0, first)
    starts += [at - 1 if at > first and work.text_at(at - 1) in THE else at for at in subjects if at > first]
    starts += [at for at in values if _leads_to_subject(work, at, last)]
    out: list[tuple[int, int, int]] = []
    for end in ends:
        for start in sorted(set(starts)):
            inside = [at for at in subjects if start <= at <= end]
            said = [at for at in values if start <= at <= end]
            least = 1 if start == 0 or _stops(work, start - 1) else 2
            if len(inside) >= least and len(said) >= least and _begins(work, start):
                out.append((atoms[start].start, atoms[end].end, least))
    return out


def _begins(work: Work, at: int) -> bool:
    """Whether a clause may begin here: with a subject, a value, or a word that leads to one."""
    atom = work.atoms[at]
    if atom.kind == "n":
        return (
            atom.value in VOLTS
            or "unit" in (work.atoms[at + 1].mean if at + 1 < len(work.atoms) else {})
            or work.text_at(at + 1) in ("k", "kelvin")
        )
    return atom.kind != "s"
