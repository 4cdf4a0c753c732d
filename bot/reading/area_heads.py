"""The word "area" where it names the luminaire of a parking lot: "Areas: six, 400 MH", "(10) area, 400W HPS", "8 wp, 6 area, 4 flood".

So with "garage": "16 garage 150 hps". Elsewhere it is a place ("wash area", "3 areas"); so the word must stand where a list has a luminaire word: counted, with a lamp
or another counted type beside it, and no luminaire word of its own behind it.
"""

from bot.reading.atoms import Atom
from bot.reading.words import words_of

_SKIPPED = words_of("exist existing exst ex old , : - ( x @ at ea each pcs")
_BETWEEN = words_of("x ) ea each pcs heads hds fixtures units lights")
_HEADS = {"family": "area"}
_GARAGE = {"en": True, "family": "garage"}


def area_heads(atoms: list[Atom], folded: str) -> list[Atom]:
    """The atoms with such words read as heads."""
    if "area" not in folded and "garage" not in folded:
        return atoms
    out = atoms
    for index, atom in enumerate(atoms):
        if atom.text in ("garage", "garages") and _counted_garage(atoms, index):
            if out is atoms:
                out = list(atoms)
            out[index] = atom._replace(kind="p", mean=_GARAGE)
            continue
        if atom.text not in ("area", "areas") or not (_counted(atoms, index) or _after_lamp(atoms, index)):
            continue
        if out is atoms:
            out = list(atoms)
        out[index] = atom._replace(kind="p", mean=_HEADS)
    return out


_ON_POLES_TOO = frozenset({"flood", "street", "post_top", "security"})
_BEFORE_HEADS = words_of("the those these los las and")


def heads_again(atoms: list[Atom], folded: str) -> list[Atom]:
    """The atoms with the heads of a pole that begin a clause named as what they are: "4 poles w/ 2 heads, 6 packs. heads 400 MH, packs 100 MH"."""
    if "heads" not in folded:
        return atoms
    if any(atom.mean.get("family") in _ON_POLES_TOO for atom in atoms):
        return atoms
    out = atoms
    named = False
    counted = -1
    for index, atom in enumerate(atoms):
        if atom.text == "heads" and index and atoms[index - 1].kind == "n":
            counted = index
        if "poles" in atom.mean.get("cue", ()) or atom.mean.get("family") == "area":
            named = True
        if atom.text != "heads" or not named or "family" in atom.mean:
            continue
        lead = index - 1
        if atoms[lead].text in _BEFORE_HEADS:
            lead -= 1
        if not _mark(atoms, lead) or index + 1 >= len(atoms) or atoms[lead].text == "-":
            continue
        after = atoms[index + 1]
        if after.kind == "n" or after.text in ("are", "is", "r", "get", "need", ":", "=", "have", "on", "at"):
            if out is atoms:
                out = list(atoms)
            for spot in (index, counted):
                if spot >= 0:
                    out[spot] = atoms[spot]._replace(kind="p", mean={**_HEADS, "en": True})
    return out


def _mark(atoms: list[Atom], index: int) -> bool:
    """Whether a mark, a line's end or the text's end stands here."""
    return not 0 <= index < len(atoms) or atoms[index].kind in ("s", "b")


def _counted(atoms: list[Atom], index: int) -> bool:
    before = index - 1
    while before > index - 3 and before >= 0 and atoms[before].text in _BETWEEN:
        before -= 1
    if before >= 0 and atoms[before].kind == "n" and atoms[before].value == int(atoms[before].value):
        return _lamp_behind(atoms, index + 1) or (_mark(atoms, index + 1) and _listed(atoms, before, index))
    if not _mark(atoms, index - 1):
        return False
    step = index + 1
    while step < index + 3 and step < len(atoms) and atoms[step].text in (":", "-", "(", "x"):
        step += 1
    return step < len(atoms) and atoms[step].kind == "n" and _lamp_behind(atoms, step + 1)


def _counted_garage(atoms: list[Atom], index: int) -> bool:
    """Whether it is counted and its discharge lamp follows at once: "16 garage 150 hps"."""
    if not index or atoms[index - 1].kind != "n" or not _lamp_behind(atoms, index + 1):
        return False
    said = next((a.mean["source"] for a in atoms[index + 1 : index + 6] if "source" in a.mean), None)
    return said in ("MH", "PSMH", "HPS", "LPS", "MV", "IND")


def _after_lamp(atoms: list[Atom], index: int) -> bool:
    """Whether the lamp stands right before it, and nothing goes on behind: "14 x 150W LED area,"."""
    return (
        index > 1
        and _mark(atoms, index + 1)
        and ("source" in atoms[index - 1].mean or "led" in atoms[index - 1].mean)
        and (atoms[index - 2].mean.get("unit") == "w" or atoms[index - 2].kind == "n")
    )


def _lamp_behind(atoms: list[Atom], start: int) -> bool:
    """Whether a lamp follows at once, and no luminaire word behind it."""
    step = start
    while step < start + 4 and step < len(atoms) and atoms[step].text in _SKIPPED:
        step += 1
    lamp = False
    while step < len(atoms) and step < start + 10:
        atom = atoms[step]
        if "family" in atom.mean or "size" in atom.mean or "family_weak" in atom.mean:
            return False
        lamp = lamp or "source" in atom.mean or atom.kind == "c" or atom.mean.get("unit") == "w"
        if atom.kind in ("b", "w") or (
            atom.kind == "s" and atom.text not in ("-", "/", "'", ":") and (lamp or atom.text != ",")
        ):
            return lamp
        step += 1
    return lamp


def _listed(atoms: list[Atom], count: int, index: int) -> bool:
    """Whether an item before or behind is a count and a luminaire word as well."""
    if count > 1 and _mark(atoms, count - 1) and "family" in atoms[count - 2].mean:
        return True
    return (
        index + 3 < len(atoms)
        and atoms[index].text == "area"  # "6 areas, 12 floods" may be places
        and atoms[index + 2].kind == "n"
        and ("family" in atoms[index + 3].mean or "family_weak" in atoms[index + 3].mean)
    )
