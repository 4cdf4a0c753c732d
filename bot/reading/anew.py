"""Figures that are told anew: "I told Bob 12. Ray says 14. It's 17", "did I say 8? 18", "20 ft? no, more like 15"."""

import math
from collections.abc import Collection
from typing import Final

from bot.reading.atoms import Atom
from bot.reading.words import words_of

_IS = words_of("its it's theyre they're theres there's son hay thats that's counted")
_IS_ONE = frozenset(
    {"i count", "i counted", "we count", "we counted", "i measured", "measured", "we measured"}
)
"""Words right before a figure that states how it is; others are two words ("it is", "there are")."""
_IS_TWO = frozenset(
    {("it", "is"), ("they", "are"), ("there", "are"), ("there", "is"), ("count", "is"), ("that", "is")}
)
_NEARER = words_of("really only just now actually more like closer to exactly solo nomas")
_TELLING = words_of(
    """said say says told tell thought figured guessed assumed originally wrote write put typed counted recounted count walked looked checked
    measured rechecked miscounted dije dijo dijeron pensaba pense creia conte contamos medi revise"""
)
_DENIED = frozenset({"no", "nope", "nah", "no more"})
_FIX: Final = {"cue": frozenset({"fix"})}
_ANEW: Final = {"cue": frozenset({"fix", "anew"})}
_VOLTS = frozenset({120, 208, 220, 240, 277, 347, 480})
_HAVE = words_of("have has got get tenemos tengo hay usamos run")
_SO = words_of("so its it's use using is on only just es usamos then")
_KIND = words_of("kind kinds type types style styles sort tipo")
_NOT_THE = frozenset({"not the", "not that", "not those", "no del", "no de", "no el", "no la"})
_REACH = 30
"""How many atoms a second telling looks back."""
_MEASURES = frozenset({"w", "v", "ft", "m", "lamps", "kelvin", "hours"})


def told_anew(atoms: list[Atom]) -> None:
    """Mark where a figure that was told before is told anew, and set aside figures that are only asked back."""
    if any(atom.text == "?" for atom in atoms):
        _asked_back(atoms)
    for index in range(1, len(atoms)):
        atom = atoms[index]
        if (
            atom.text == ":"
            and index > 1
            and atoms[index - 1].text == "update"
            and atoms[index - 2].kind == "b"
        ):
            atoms[index - 1] = atoms[index - 1]._replace(mean=_FIX)
        if atom.text in _KIND:
            _other_kind(atoms, index)
        if (
            atom.mean.get("scope") == "except"
            and index + 1 < len(atoms)
            and "size" in atoms[index + 1].mean
            and "size" in atoms[index - 1].mean
            and atoms[index - 2].text in _NOT_THE | {"not"}
        ):
            # "not the 2x4 but 2x2"
            for n in range(index - 2, index + 1):
                atoms[n] = atoms[n]._replace(kind="w", mean={})
        if atom.kind != "n":
            continue
        if atom.value in _VOLTS and "not" in _denying(atoms, index):
            _other_volts(atoms, index)
            continue
        if index < 3:
            continue
        at = index - 1
        while at > index - 4 and atoms[at].text in _NEARER:
            at -= 1
        if atoms[at].text in _DENIED and atoms[at - 1].text == "?" and atoms[at - 2].kind in ("n", "p"):
            atoms[at] = atoms[at]._replace(kind="p", mean=_FIX)  # "20 ft? no, more like 15"
        elif (
            (
                atoms[at].text in _IS
                or atoms[at].text in _IS_ONE
                or (atoms[at - 1].text, atoms[at].text) in _IS_TWO
            )
            and "fix" not in atoms[at].mean.get("cue", ())
            and _told_before(atoms, at, index)
        ):
            atoms[at] = atoms[at]._replace(kind="p", mean=_ANEW)


def _other_kind(atoms: list[Atom], index: int) -> None:
    """Take "not the UFO kind", "not the 2 lamp type" out: of what is counted another kind is meant."""
    for at in range(index - 1, max(-1, index - 6), -1):
        text = atoms[at].text
        if text in _NOT_THE or (text == "the" and at and atoms[at - 1].text in ("not", "no")):
            for n in range(at, index):
                atoms[n] = atoms[n]._replace(kind="x" if atoms[n].kind in ("n", "c") else "w", mean={})
            return
        if atoms[at].kind in ("s", "b"):
            return


def _denying(atoms: list[Atom], index: int) -> Collection[str]:
    """The cues of the word that may deny the figure at ``index``: "no 480", "we don't have 480"."""
    at = index - 1
    if atoms[at].text in _HAVE and at:
        at -= 1
    if atoms[at].text in ("is", "are", "runs") and any(
        atoms[n].text in ("nothing", "none") for n in range(max(0, at - 3), at)
    ):
        return ("not",)  # "nothing here is 277"
    cues: Collection[str] = atoms[at].mean.get("cue", ())
    return cues


def _other_volts(atoms: list[Atom], index: int) -> None:
    """As in "we don't have 480 here so 277 it is": the second is the supply, the first is none."""
    count = len(atoms)
    for at in range(index + 2, min(index + 10, count)):
        atom = atoms[at]
        if atom.kind == "b" or "family" in atom.mean:
            return
        if atom.kind == "n":
            after = atoms[at + 1].text if at + 1 < count else ""
            if atom.value not in _VOLTS or not (
                atoms[at - 1].text in _SO
                or atoms[at - 1].mean.get("scope") == "all"
                or (after == "it" and at + 2 < count and atoms[at + 2].text == "is")
            ):
                return
            if atoms[index - 1].text in ("no", "is", "are", "runs"):
                atoms[index] = atoms[index]._replace(kind="x", mean={})
            if "unit" not in (atoms[at + 1].mean if at + 1 < count else {}):
                atoms[at] = atom._replace(kind="p", mean={"voltage": int(atom.value)})
            return


def _told_before(atoms: list[Atom], at: int, index: int) -> bool:
    """Whether a figure of like size, and a word of telling or looking, stand before, and no other type between."""
    value = atoms[index].value
    told = near = False
    families: set[object] = {atoms[index + 1].mean.get("family")} if index + 1 < len(atoms) else set()
    families.discard(None)
    for back in range(at - 1, max(-1, at - _REACH), -1):
        atom = atoms[back]
        if not _TELLING.isdisjoint(atom.text.split()) or "fix" in atom.mean.get("cue", ()):
            told = True
        elif "family" in atom.mean:
            families.add(atom.mean["family"])
            if len(families) > 1:
                return False
        elif atom.kind == "n" and atom.value != value and atom.value > 0 < value:
            near = near or abs(math.log(value / atom.value)) < 0.85
        if near and told:
            return True
    return False


def _asked_back(atoms: list[Atom]) -> None:
    """Set aside the figure of a question that only says it again: "did I say 8? 18", "12 packs... 12? no 14"."""
    said: set[float] = set()
    start = 0
    for index, atom in enumerate(atoms):
        if atom.kind == "b" or (atom.kind == "s" and atom.text in ".!?;"):
            if atom.text == "?" and index > start:
                figures = [n for n in range(start, index) if atoms[n].kind == "n"]
                if (
                    len(figures) == 1
                    and atoms[figures[0]].value in said
                    and all(n in figures or _says_nothing(atoms[n]) for n in range(start, index))
                ):
                    for n in range(figures[0], index):
                        atoms[n] = atoms[n]._replace(kind="x", mean={})
                    if index + 1 < len(atoms) and atoms[index + 1].kind in ("n", "p", "w"):
                        atoms[index] = atom._replace(kind="p", mean=_FIX)
            said.update(atoms[n].value for n in range(start, index) if atoms[n].kind == "n")
            start = index + 1


_ASKED = words_of("did do i say write put type tell you it dije said puse was that de wait hmm oh is sorry")


def _says_nothing(atom: Atom) -> bool:
    """Whether a word of a question adds nothing to the figure that it asks back: its unit, "did I say"."""
    return (
        atom.mean.get("unit") in _MEASURES
        or atom.kind == "s"
        or (_ASKED.issuperset(atom.text.split()) and atom.kind in ("w", "p"))
    )
