"""What feeds a whole building, told beside its types: "20 troffers and 14 cans, 120v building", "the whole place is 277"."""

from bot.reading.atoms import Atom
from bot.reading.words import words_of

_BUILDING = words_of("building bldg service system facility edificio servicio")
_WHOLE = words_of("whole entire")
_PLACE = _BUILDING | words_of("place site plant school campus house shop store warehouse")
_IS = words_of("is runs runs_on on are")
_THE = words_of("the our my el")
_ON_POLES = frozenset({"area", "street", "post_top"})
VOLTS = frozenset({120.0, 208.0, 240.0, 277.0, 347.0, 480.0})
"""Voltages that buildings are fed with in North America (common practice, no source)."""


def supply_of_all(atoms: list[Atom]) -> None:
    """Read a building that has so many volts as all that is in it."""
    for at, atom in enumerate(atoms):
        if atom.mean.get("unit") == "v":
            after = at + 1
            if after < len(atoms) and atoms[after].text in _BUILDING and _ends(atoms, after + 1):
                atoms[after] = atoms[after]._replace(mean={**atoms[after].mean, "scope": "all"})
        elif atom.text in _WHOLE and at + 3 < len(atoms) and atoms[at + 1].text in _PLACE:
            value = atoms[at + 3]
            if atoms[at + 2].text in _IS and value.kind == "n" and value.value in VOLTS:
                atoms[at] = atom._replace(kind="p", mean={"scope": "all"})
        elif atom.text in _BUILDING and at + 2 < len(atoms) and atoms[at + 1].text in _IS:
            value = atoms[at + 2]
            lead = at - 1 if at and atoms[at - 1].text in _THE else at
            if (
                value.kind == "n"
                and value.value in VOLTS
                and _ends(atoms, lead - 1)
                and not any(other.mean.get("family") in _ON_POLES for other in atoms)
            ):
                atoms[at] = atom._replace(kind="p", mean={"scope": "all"})


def _ends(atoms: list[Atom], at: int) -> bool:
    """Whether nothing, or a mark, stands at an atom."""
    return at >= len(atoms) or atoms[at].kind in ("s", "b")
