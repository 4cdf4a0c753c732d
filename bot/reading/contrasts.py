"""What is not meant beside what is: "not the 2x4s, just the 2x2s - 30 of them"."""

from bot.reading.clause import Work, ends_clause
from bot.reading.words import words_of

_NOT = words_of("not no dont don't")
_JUST = words_of("just only but solo solamente nomas sino")
_REACH = 7
"""Atoms between "not" and "just" at most."""


def contrasts(work: Work) -> None:
    """Take the type that is not meant out of the reading, where the one that is meant stands right behind "just"."""
    for at, atom in enumerate(work.atoms):
        if atom.text.split(" ", 1)[0] not in _NOT or (at and not _begins(work, at)):
            continue
        just = _just_behind(work, at)
        if just is None or not _named(work, just + 1):
            continue
        for n in range(at, just):
            work.atoms[n] = work.atoms[n]._replace(kind="x" if work.atoms[n].kind == "n" else "w", mean={})


def _begins(work: Work, at: int) -> bool:
    before = work.atoms[at - 1]
    return ends_clause(before) or before.text in (",", "-", "(") or "join" in before.mean


def _just_behind(work: Work, at: int) -> int | None:
    """The atom of "just" behind one type alone, with no count and no lamp of its own."""
    named = False
    for n in range(at + 1, min(len(work.atoms), at + _REACH)):
        current = work.atoms[n]
        if current.text.split(" ", 1)[0] in _JUST:
            return n if named else None
        if current.kind in ("n", "c", "b") or current.text in ".;!?":
            return None
        named = named or "family" in current.mean or "size" in current.mean
    return None


def _named(work: Work, first: int) -> bool:
    """Whether a type is named right behind "just": "the 2x2s"."""
    return any(
        "family" in work.atoms[n].mean or "size" in work.atoms[n].mean
        for n in range(first, min(len(work.atoms), first + 3))
    )
