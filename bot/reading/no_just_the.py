"""Types that are taken back as soon as they are said: "12 wall packs and 4 floods no just the wall packs, 100 MH".

Said in a message of its own, "just the wall packs" is known elsewhere; here the message goes on behind it.
"""

from typing import Final

from bot.reading.atoms import Atom
from bot.reading.words import words_of

_NO: Final = frozenset(
    {"no", "nah", "nope", "no wait", "wait", "wait no", "actually", "sorry", "oops", "mejor"}
)
_ONLY: Final = words_of("just only solo nomas solamente")
_THE: Final = words_of("the those los las my our do price quote need")
_REACH: Final = 14


def no_just_the(atoms: list[Atom], folded: str) -> list[Atom]:
    """The atoms without the items that such words take back, and without the words."""
    if not any(word in folded for word in ("just", "only", "solo", "nomas")):
        return atoms
    out = atoms
    index = len(atoms) - 2
    while index > 3:
        if out[index].text in _ONLY and (span := _span(out, index)) is not None:
            out = [*out[: span[0]], *out[span[1] + 1 :]]
            index = span[0]
        index -= 1
    return out


def _family(atom: Atom) -> object:
    return atom.mean.get("family") or atom.mean.get("family_weak") or atom.mean.get("pointer")


def _span(atoms: list[Atom], only: int) -> tuple[int, int] | None:
    """The first and last atom that go."""
    last = only + 1
    while last < len(atoms) and atoms[last].text in _THE:
        last += 1
    if last >= len(atoms) or last == only + 1 or (kept := _family(atoms[last])) is None:
        return None
    if last + 1 < len(atoms) and not (atoms[last + 1].kind in ("s", "b") or "join" in atoms[last + 1].mean):
        return None
    start = only
    while start > 1 and (atoms[start - 1].text in _NO or atoms[start - 1].text == ","):
        start -= 1
    if not any(atoms[n].text in _NO for n in range(start, only)):
        return None
    return (first, last) if (first := _items(atoms, start, kept)) is not None else None


def _items(atoms: list[Atom], end: int, kept: object) -> int | None:
    """Where the items begin that are not the one that is kept, which stands before them; ``None`` where it is not so."""
    first = None
    for step in range(end - 1, max(-1, end - _REACH), -1):
        atom = atoms[step]
        if atom.kind == "b" or atom.text in (".", ";", "?"):
            return None
        if (family := _family(atom)) is not None:
            if family == kept:
                return first
            continue
        if atom.kind == "n" and step and ("join" in atoms[step - 1].mean or atoms[step - 1].text == ","):
            if (
                atoms[step + 1].mean.get("unit") in ("w", "v", "ft", "lamps")
                or "source" in atoms[step + 1].mean
            ):
                continue
            first = step - 1
    return None
