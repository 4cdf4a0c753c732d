"""Ranges that are settled at once: "18 or 20 wall packs, say 20", "between 18 and 20, call it 19"."""

from bot.reading.atoms import Atom
from bot.reading.words import words_of

_CUES = ("say", "call ", "figur", "go with", "go w/", "quote", "use ", "digamos", "pongamos", "make it", "put ", "assume", "plan on")  # fmt: skip
_SETTLES = words_of("say figure quote use digamos pongamos put assume") | {
    "call it", "call them", "call em", "go with", "go w/", "make it", "plan on", "lets say", "let's say", "i'd say", "id say", "figure on",
}  # fmt: skip
_SMALL = words_of("it at down on for about em with w/ that like them call")
_RANGE = words_of("or to - thru o a")
_BETWEEN = words_of("between entre")
_BOTH = words_of("and & y")
_ENDS = words_of("then please thanks total tops for to and & y porfa por")
_REACH = 14
_NAMES = frozenset({"family", "generic", "size"})
_OR = {"cue": frozenset({"range"})}


def settled_ranges(atoms: list[Atom], folded: str) -> list[Atom]:
    """The atoms with each such range read as the number that settles it."""
    if "between" in folded or "entre " in folded:
        atoms = _counts_between(atoms)
    if not any(cue in folded for cue in _CUES):
        return atoms
    out = atoms
    at = 0
    while at + 3 < len(out):
        if (found := _settled(out, at)) is not None:
            cue, chosen, last = found
            first = at - 1 if at and out[at - 1].text in _BETWEEN else at
            high = out[at + 2]
            number = high._replace(value=out[chosen].value, text=out[chosen].text, glued=out[at].glued)
            out = [*out[:first], number, *out[at + 3 : cue], *out[last + 1 :]]
        at += 1
    return out


def _counts_between(atoms: list[Atom]) -> list[Atom]:
    """The atoms with "between 18 and 20 wall packs" read as "18 or 20 wall packs", where nothing settles it."""
    for at in range(len(atoms) - 4):
        if (
            atoms[at].text in _BETWEEN
            and atoms[at + 1].kind == atoms[at + 3].kind == "n"
            and atoms[at + 1].value < atoms[at + 3].value
            and atoms[at + 2].text in _BOTH
            and not _NAMES.isdisjoint(atoms[at + 4].mean)
        ):
            joined = atoms[at + 2]._replace(text="or", mean=_OR)
            return [*atoms[:at], atoms[at + 1], joined, *atoms[at + 3 :]]
    return atoms


def _settled(atoms: list[Atom], at: int) -> tuple[int, int, int] | None:
    """Where the words begin that settle the range at an atom, the number that they choose, and their last; ``None`` where none stand here."""
    low, high = atoms[at], atoms[at + 2]
    if low.kind != "n" or high.kind != "n" or not 0 < low.value < high.value or low.others or high.others:
        return None
    between = at > 0 and atoms[at - 1].text in _BETWEEN
    if atoms[at + 1].text not in (_BOTH if between else _RANGE):
        return None
    unit = atoms[at + 3].mean.get("unit")
    for cue in range(at + 3, min(at + _REACH, len(atoms) - 1)):
        if atoms[cue].kind == "b":
            return None
        if atoms[cue].text not in _SETTLES:
            continue
        chosen = cue + 1
        while chosen < len(atoms) and atoms[chosen].text in _SMALL:
            chosen += 1
        if chosen >= len(atoms) or atoms[chosen].kind != "n":
            continue
        if not low.value <= atoms[chosen].value <= high.value:
            return None
        behind = atoms[chosen + 1] if chosen + 1 < len(atoms) else None
        if behind is not None and unit is not None and behind.mean.get("unit") == unit:
            return _lead(atoms, cue, at), chosen, chosen + 1
        mark = behind is not None and behind.kind in ("s", "b") and behind.text not in ("'", '"')
        if behind is None or mark or behind.text in _ENDS:
            return _lead(atoms, cue, at), chosen, chosen
        return None
    return None


def _lead(atoms: list[Atom], cue: int, at: int) -> int:
    """The first of the words that lead to the settling one: ", so lets say"."""
    first = cue
    while first - 1 > at + 3 and (
        atoms[first - 1].text in _LEADS or (atoms[first - 1].kind == "s" and atoms[first - 1].text in ",.-")
    ):
        first -= 1
    return first


_LEADS = words_of(
    "so lets let's just id i'd we'll well ill i'll to be safe we can you but ok okay i would pues"
)
