"""Arrows that lead from a type to how many there are: "canopy 250 MH --> 24".

Elsewhere an arrow puts a figure right ("12 -> 14") or leads to what is wanted ("400 MH -> 150 W LED"); so the figure must end the item,
and the item must give no count before it.
"""

from typing import Final

from bot.reading.atoms import Atom
from bot.reading.codes import lamp_tables

_TIMES: Final = {"en": True, "cue": frozenset({"x"})}
_TYPES: Final = frozenset({"family", "family_weak", "source", "size"})
_LAMPS: Final = ("MH", "PSMH", "HPS", "MV")


def arrow_counts(atoms: list[Atom], folded: str) -> list[Atom]:
    """The atoms with such arrows read as "x"."""
    if ">" not in folded and "→" not in folded:
        return atoms
    out: list[Atom] = []
    for index, atom in enumerate(atoms):
        if atom.text in (">", "→") and _counts(atoms, index):
            while out and out[-1].text in ("-", "=", "--") and out[-1].kind == "s":
                out.pop()
            out.append(atom._replace(kind="p", text="x", mean=_TIMES))
            continue
        out.append(atom)
    return out


def _counts(atoms: list[Atom], arrow: int) -> bool:
    if atoms[arrow].text == ">" and (not arrow or atoms[arrow - 1].text not in ("-", "=", "--")):
        return False
    if arrow + 1 >= len(atoms) or atoms[arrow + 1].kind != "n":
        return False
    count = atoms[arrow + 1].value
    if count != int(count) or count < 1:
        return False
    if arrow + 2 < len(atoms) and not (
        atoms[arrow + 2].kind == "b" or atoms[arrow + 2].text in (",", ";") or "join" in atoms[arrow + 2].mean
    ):
        return False
    named = False
    for step in range(arrow - 1, -1, -1):
        atom = atoms[step]
        if atom.kind == "b" or atom.text in (",", ";"):
            break
        named = named or atom.kind == "c" or not _TYPES.isdisjoint(atom.mean)
        if atom.kind == "n":
            after = atoms[step + 1].mean
            if "source" not in after and "unit" not in after:
                return False  # "floods 12 -> 14"
            if any(count in lamp_tables().watts[source] for source in _LAMPS):
                return False  # "250 MH -> 100": perhaps another lamp
    return named
