"""What was meant, said behind it: "32 bays, high bays i mean, 400 MH", "100 halide, sodium I meant", "at 20 ft, 25 i mean".

Only the second stands: the first, the mark between and the words of correction go.
"""

from typing import Final

from bot.reading.atoms import Atom
from bot.reading.words import words_of

_MEANT: Final = frozenset({"i mean", "i meant", "meant", "quise decir", "quiero decir"})
_KINDS: Final = ("source", "finish", "mount", "optic")
_NAMES: Final = frozenset({"family", "family_weak", "pointer", "generic", "size"})
_THE: Final = words_of("the a los las at")


def meant_behind(atoms: list[Atom], folded: str) -> list[Atom]:
    """The atoms without what such words take back."""
    if "mean" not in folded and "decir" not in folded:
        return atoms
    out = atoms
    for index in range(len(atoms) - 1, 2, -1):
        if atoms[index].text not in _MEANT or not _ends(out, index + 1):
            continue
        span = _taken_back(out, index)
        if span is None:
            continue
        first, last, unit = span
        kept = [*out[:first], *out[last + 1 : index], *unit, *out[index + 1 :]]
        out = kept
    return out


def _ends(atoms: list[Atom], at: int) -> bool:
    return at >= len(atoms) or atoms[at].kind in ("s", "b") or "join" in atoms[at].mean


def _taken_back(atoms: list[Atom], fix: int) -> tuple[int, int, list[Atom]] | None:
    """The first and last atom that go, up to the mark, and the unit that the figure behind it takes over."""
    said = fix - 1
    unit = _unit(atoms[said])
    if unit and said:
        said -= 1
    mark = said - 1
    while mark > 0 and atoms[mark].text in _THE:
        mark -= 1
    if mark < 1 or atoms[mark].text not in (",", "-", "..", "."):
        return None
    new, old = atoms[said], mark - 1
    if new.kind == "n":
        held = atoms[old]
        if _unit(held) and old and atoms[old - 1].kind == "n":
            return old - 1, mark, [] if unit else [held]
        return (old, mark, []) if held.kind == "n" and not unit else None
    if unit:
        return None
    if any(kind in new.mean and kind in atoms[old].mean for kind in _KINDS):
        return old, mark, []
    if "family" in new.mean:
        counted = old and (atoms[old - 1].kind == "n" or "unit" in atoms[old - 1].mean)
        if not _NAMES.isdisjoint(atoms[old].mean) or (counted and atoms[old].kind == "w"):
            return old, mark, []
    return None


def _unit(atom: Atom) -> bool:
    return atom.kind == "p" and atom.mean.get("unit") in ("ft", "m", "w", "v", "kelvin", "lamps")
