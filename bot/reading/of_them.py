"""The luminaire meant by "of them" where a second place has so many too: "Bldg A has 15 shoeboxes and Bldg B 11 of them".

Elsewhere "of them" takes a part of what is counted ("15 shoeboxes, 11 of them 400 W"): so both counts must be told as what a place has.
"""

from typing import Any, Final

from bot.reading.atoms import Atom
from bot.reading.places_behind import PLACES
from bot.reading.words import words_of

_THEM: Final = frozenset(
    {
        "of them",
        "of em",
        "of those",
        "of these",
        "of the same",
        "of same",
        "de ellos",
        "de ellas",
        "de esos",
        "de esas",
        "de los mismos",
        "de las mismas",
        "iguales",
    }
)
_HAS: Final = words_of("has have gets got takes tiene tienen lleva llevan with w needs need")
_PERSONS: Final = words_of(
    "i we he she they you who customer owner boss client guy tech electrician yo nosotros ellos"
)
_PLACES: Final = PLACES | words_of(
    "bldg building school church house plant site campus edificio escuela iglesia hangar silo street st ave road"
)
_REACH: Final = 5


def of_them(atoms: list[Atom], folded: str) -> list[Atom]:
    """The atoms with such words read as the luminaire that the place before has."""
    if not any(cue in folded for cue in ("of ", "de ", "iguales")):
        return atoms
    out = atoms
    held: Any = None
    lamp = False
    for index, atom in enumerate(atoms):
        if "family" in atom.mean:
            held, lamp = atom if index > 1 and _counted(atoms, index) else None, False
            continue
        lamp = lamp or "source" in atom.mean
        if atom.text not in _THEM or held is None or index < 3 or atoms[index - 1].kind != "n":
            continue
        if not _placed(atoms, index - 2):
            continue
        if out is atoms:
            out = list(atoms)
        if lamp:
            out[index] = atom._replace(kind="p", text="same", mean={"en": True, "scope": "same"})
        else:
            out[index] = atom._replace(kind="p", text=held.text, mean=held.mean)
    return out


def _counted(atoms: list[Atom], at: int) -> bool:
    """Whether the luminaire word is counted as what a place has: "Bldg A has 15 shoeboxes", "north side 8 wall packs"."""
    low = at - 1
    while low > at - 4 and low > 0 and atoms[low].kind != "n":
        low -= 1
    return low > 0 and atoms[low].kind == "n" and _placed(atoms, low - 1)


def _placed(atoms: list[Atom], at: int) -> bool:
    """Whether the clause up to here is a place, or something that is no person and has."""
    verb = place = False
    step = at
    while step >= 0 and at - step < _REACH:
        atom = atoms[step]
        if atom.kind in ("s", "b", "n", "c") or "join" in atom.mean:
            break
        words = atom.text.split()
        if not _PERSONS.isdisjoint(words):
            return False
        if step == at or not verb:
            verb = verb or not _HAS.isdisjoint(words)
        if (
            atom.kind == "x"
            or not _PLACES.isdisjoint(words)
            or (verb and atom.kind == "w" and words[0] not in _HAS)
        ):
            place = True
        step -= 1
    return place
