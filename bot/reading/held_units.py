"""Lamps and heads that are named once for clauses of one form: "50 have 3 lamps, 25 have 4", "4 poles carry two heads, 6 poles only one".

The word is put behind the second figure too, so that what counts lamps or heads is read as such.
"""

from typing import Final

from bot.reading.atoms import Atom
from bot.reading.heads import HEAD_WORDS
from bot.reading.words import words_of

_LINKS: Final = words_of(
    "have has with w w/ are get gets carry carries carrying hold holds use uses take takes just only con tienen llevan llevan of"
)
_POLES: Final = words_of("pole poles poste postes fixtures")
_MOST: Final = 8.0
_REACH: Final = 14


def held_units(atoms: list[Atom], folded: str) -> list[Atom]:
    """The atoms with the word of the clause before put behind such figures."""
    if not any(word in folded for word in ("lamp", "tube", "bulb", "head", "tubo", "cabeza")):
        return atoms
    out: list[Atom] = []
    told: tuple[int, Atom] | None = None
    for index, atom in enumerate(atoms):
        out.append(atom)
        if atom.kind == "b" or atom.text in ("?", ";"):
            told = None
            continue
        if atom.kind != "n" or atom.value > _MOST or not _behind_count(atoms, index):
            continue
        after = atoms[index + 1] if index + 1 < len(atoms) else None
        if after is not None and (after.mean.get("unit") == "lamps" or after.text in HEAD_WORDS):
            told = (index, after)
        elif (
            told is not None
            and index - told[0] <= _REACH
            and (after is None or after.kind in ("s", "b"))
            and (after is None or after.text not in ("-", "/", "'", '"', "x", "%"))
        ):
            out.append(told[1]._replace(start=atom.start, end=atom.end, glued=False))
            told = (index, told[1])
    return out


def _behind_count(atoms: list[Atom], at: int) -> bool:
    """Whether a count, its noun and a verb stand before: "25 have", "six poles carry", "10 just"."""
    step = at - 1
    linked = False
    while step > at - 4 and step >= 0 and not _LINKS.isdisjoint(atoms[step].text.split()):
        linked = True
        step -= 1
    if step >= 0 and atoms[step].text in _POLES:
        step -= 1
        linked = True
    return linked and step >= 0 and atoms[step].kind == "n"
