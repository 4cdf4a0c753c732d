"""Lamps that stand for luminaires, counted as such: "40 T8 tubes, 6 floods", "8 4 ft fluorescents", "30 bulbs 60 W"."""

from bot.reading.atoms import Atom
from bot.reading.clause import Work, ends_clause
from bot.reading.words import words_of

_LAMPS = words_of("tube tubes bulb bulbs tubo tubos bulbo bulbos bombilla bombillas bombillo bombillos")
_FLUORESCENTS = words_of(
    "fluorescents flourescents florescents fluoros fluros fluorescentes florecentes florescentes"
)
_MOST_IN_ONE = 8
"""Lamps of a luminaire that has many (common practice, no source); of more it is a count."""
_LIGHT = {"generic": "light"}


def counted_lamps(work: Work) -> None:
    """Let words for lamps be nouns of luminaires where they are counted for themselves."""
    for at, atom in enumerate(work.atoms):
        text = atom.text
        if text in _FLUORESCENTS:
            if atom.mean.get("generic") == "fluorescent" and not _noun(work, at + 1):
                _name(work, at, atom)
        elif text in _LAMPS and _counted(work, at):
            _name(work, at, atom)


def _name(work: Work, at: int, atom: Atom) -> None:
    work.atoms[at] = atom._replace(
        mean={**{tongue: True for tongue in ("en", "es") if tongue in atom.mean}, **_LIGHT}
    )


def _noun(work: Work, at: int) -> bool:
    return any(work.has(at, kind) for kind in ("family", "family_weak", "size", "generic"))


def _counted(work: Work, at: int) -> bool:
    """Whether a count that is no luminaire's number of lamps stands right before, and nothing is named in its clause that has them."""
    count = at - 1
    if work.unit(count) in ("w", "ft") and work.is_number(count - 2):
        count -= 2  # "30 60 W bulbs"
    if not work.is_number(count) or work.atoms[count].value <= _MOST_IN_ONE:
        return False
    if work.text_at(at + 1) in ("each", "per", "c/u", "ea", "por", "cada"):
        return False
    for index in range(count - 1, max(-1, count - 12), -1):
        if ends_clause(work.atoms[index]):
            break
        if _noun(work, index) or work.has(index, "led"):
            return False
    end = min(at + 8, len(work.atoms))
    for index in range(at + 1, end):
        if ends_clause(work.atoms[index]) or work.text_at(index) == "," or work.has(index, "join"):
            return True
        if _noun(work, index):
            return False
    return True
