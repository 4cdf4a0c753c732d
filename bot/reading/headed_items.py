"""The words "canopy" and "garage" where they head an item and name its luminaires: "canopy: 16 @ 320W PSMH", "garage, 40, 150 HPS".

Elsewhere they are places ("canopy: 12 wall packs", "the garage has 8 wraps"); so the item must begin with the word, give a count and
a lamp of its own, and name no luminaire before it ends.
"""

from typing import Final

from bot.reading.atoms import Atom
from bot.reading.words import words_of

_HEADS: Final = {
    "canopy": "canopy",
    "garage": "garage",
    "garages": "garage",
    "parking garage": "garage",
    "parking deck": "garage",
}
_ROOMS: Final = words_of("shop shops door doors bay bays sale opener roof street avenue st ave rd road lane")
"""What makes a garage another place: "garage shop: 10 lights"."""
_STANDS: Final = words_of(
    "gas fuel station stations island pump pumps drive thru through bank atm entrance entry front main c-store our the"
)
"""What a canopy stands over: "gas station canopy, 24 lights"."""
_LAMPS: Final = {
    "canopy": frozenset({"MH", "PSMH", "CMH", "HPS", "LPS", "MV", "IND"}),
    "garage": frozenset({"MH", "PSMH", "HPS", "LPS", "MV", "IND"}),
}
_NAMING: Final = frozenset({"family", "family_weak", "size", "pointer"})
_PARTING: Final = frozenset({",", ";", "+", "-", "&"})
_MEASURED: Final = frozenset({"w", "v", "ft", "k", "kelvin", "cents", "hours", "percent", "lamps"})
_LONGEST: Final = 24


def headed_items(atoms: list[Atom], folded: str) -> list[Atom]:
    """The atoms with such words read as the luminaire."""
    if "canopy" not in folded and "garage" not in folded and "parking deck" not in folded:
        return atoms
    out = atoms
    for index, atom in enumerate(atoms):
        family = _HEADS.get(atom.text)
        if family is None or not _opens(atoms, index) or not _item(atoms, index + 1, _LAMPS[family]):
            continue
        if out is atoms:
            out = list(atoms)
        out[index] = atom._replace(kind="p", mean={"en": True, "family": family})
    return out


def _opens(atoms: list[Atom], at: int) -> bool:
    """Whether an item begins here."""
    while at and atoms[at - 1].text in _STANDS:
        at -= 1
    if not at:
        return True
    before = atoms[at - 1]
    if before.kind == "b" or bool(before.mean.get("bullet")) or before.text in (".", ";", ")", "-", "*"):
        return True
    return before.text in (",", "and", "y") and at > 1 and atoms[at - 2].kind not in ("w", "b")


def _item(atoms: list[Atom], start: int, lamps: frozenset[str]) -> bool:
    """Whether a count and such a lamp follow, and what names another luminaire only behind a mark."""
    counted = lamp = parted = False
    for step in range(start, min(len(atoms), start + _LONGEST)):
        atom = atoms[step]
        if step == start and atom.text in _ROOMS:
            return False
        if atom.kind == "b" or atom.text == ".":
            if step <= start + 1 and not counted:
                continue  # a heading on a line of its own
            break
        if not _NAMING.isdisjoint(atom.mean):
            return counted and lamp and parted
        if atom.kind == "n":
            after = atoms[step + 1].mean if step + 1 < len(atoms) else {}
            if not counted and not (after.get("unit") in _MEASURED or "source" in after):
                counted = atom.value == int(atom.value) and 0 < atom.value < 2000
                parted = False
        elif atom.kind == "s" or "join" in atom.mean:
            parted = parted or atom.text in _PARTING or "join" in atom.mean
        said = atom.mean.get("source")
        if said is not None:
            if said not in lamps:
                return False
            lamp, parted = True, False
    return counted and lamp
