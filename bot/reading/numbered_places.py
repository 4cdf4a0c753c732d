"""Lists of numbers that name what luminaires hang on or in: "poles 1127, 1128 and 1130 have cobra heads", "units 4, 7 and 12 need wall packs"."""

from bot.reading.atoms import Atom
from bot.reading.words import words_of

_HOLDERS = words_of(
    "poles units rooms suites bays doors buildings bldgs lots apts apartments gates docks halls classrooms sections aisles floors levels barns unidades edificios cuartos salones postes"
)
_JOINS = words_of(", and & y / #")
_NAMES = frozenset({"family", "family_weak", "size", "generic", "source", "unit", "led"})
_MOST = 24


def numbered_places(atoms: list[Atom]) -> None:
    """Set aside the numbers of a list that names places or poles, two of them at least, and no luminaire behind the last."""
    for at in range(len(atoms) - 3):
        atom = atoms[at]
        if atom.text.split(" ")[0] not in _HOLDERS or (at and atoms[at - 1].kind == "n"):
            continue
        listed = [at] if atom.kind == "x" else []
        n = at + 1
        while n < min(at + _MOST, len(atoms)):
            if atoms[n].kind in ("n", "x") and atoms[n].text.isdigit():
                listed.append(n)
            elif atoms[n].text not in _JOINS:
                break
            n += 1
        figures = [index for index in listed if atoms[index].kind == "n"]
        if len(listed) < 2 or not figures or listed[-1] != n - 1:
            continue
        if n < len(atoms) and not _NAMES.isdisjoint(atoms[n].mean):
            # "bays 3, 5 and 12 floods": the last one counts
            figures = [index for index in figures if index != listed[-1]]
            if len(listed) < 3:
                continue
        for index in figures:
            atoms[index] = atoms[index]._replace(kind="x", mean={})
