"""The word "bay" where it is a room: "2 lights per bay and 9 bays", "loading bay", "the bays are 20 ft deep".

Elsewhere it may point at high bays ("12 bays 400 MH", "the bays are 480"); so one place where it can only be a room settles it for
the whole message.
"""

from bot.reading.atoms import Atom
from bot.reading.words import words_of

_ROOM = frozenset({"bay", "bays"})
_BEFORE = words_of(
    "per each every cada por loading service wash work truck repair mechanic maintenance car dock storage stall next other"
)


def room_words(atoms: list[Atom], folded: str) -> list[Atom]:
    """The atoms with such words naming no luminaire."""
    if "bay" not in folded:
        return atoms
    for index in range(1, len(atoms)):
        if atoms[index].text in _ROOM and (
            atoms[index - 1].text.split(" ")[-1] in _BEFORE or atoms[index - 1].text == "a"
        ):
            break
    else:
        return atoms
    return [atom._replace(kind="w", mean={}) if atom.text in _ROOM else atom for atom in atoms]
