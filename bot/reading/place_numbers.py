"""Places that go by a number, with a count right behind it: "level 2 48 garage lights", "bldg 4 9 wall packs"."""

from bot.reading.atoms import Atom
from bot.reading.bare_numbers import known_watts
from bot.reading.words import words_of

_PLACES = words_of(
    "building bldg bay dock hall lot level lvl floor flr wing unit zone phase room rm barn shop gym section site tower suite door aisle pad court"
    " pier hangar store plant school gate edificio nave piso nivel lote cuarto salon"
)
_ENDS = words_of("each ea both have has get need , . ;")
_HAS = words_of("has have gets needs got tiene lleva ocupa")
_MEASURED = frozenset({"w", "v", "ft", "m", "inch", "kelvin", "cents", "kwh", "hours"})
_NOUNS = frozenset({"family", "family_weak", "size", "generic", "pointer", "led"})


def place_numbers(atoms: list[Atom]) -> None:
    """Set the numbers of places aside, so that they count nothing."""
    for at in range(1, len(atoms) - 1):
        atom = atoms[at]
        if at > 2 and atom.kind == "n" and atoms[at - 1].text in _PLACES and _second(atoms, at):
            atoms[at] = atom._replace(kind="x", mean={})
            continue
        past = at + 2 if atoms[at + 1].text in _HAS and at + 2 < len(atoms) else at + 1
        if (
            atom.kind == "n"
            and atoms[past].kind == "n"
            and atom.value < 1000
            and atoms[at - 1].text in _PLACES
            and atom.text.isdigit()
            and (at < 2 or atoms[at - 2].kind != "n")
            and _counts(atoms, past)
        ):
            atoms[at] = atom._replace(kind="x", mean={})


def _second(atoms: list[Atom], at: int) -> bool:
    """Whether the number is of the second of two places: "bldg 1 and bldg 2 each have ..."."""
    before = atoms[at - 3]
    named = before.kind == "x" and before.text.partition(" ")[0] in _PLACES
    return named and "join" in atoms[at - 2].mean and atoms[at + 1].text in _ENDS


def _counts(atoms: list[Atom], at: int) -> bool:
    """Whether a number counts luminaires by what stands behind it."""
    count = atoms[at]
    if count.value != int(count.value) or count.glued:
        return False
    follows = atoms[at + 1] if at + 1 < len(atoms) else None
    if follows is None or follows.kind in ("s", "b"):
        return count.value not in known_watts() and (
            follows is None or not follows.glued or follows.text in ",.;"
        )
    if follows.kind == "n":
        return True  # "room 102 9 2 lamp wraps"
    mean = follows.mean
    if follows.text in ("of", "more", "de"):
        return True
    if "source" in mean or mean.get("unit") in _MEASURED:
        return False  # "lot 2 400 MH"
    if not _NOUNS.isdisjoint(mean):
        return True
    behind = atoms[at + 2].mean if at + 2 < len(atoms) else {}
    return follows.kind in ("w", "p") and not _NOUNS.isdisjoint(behind)
