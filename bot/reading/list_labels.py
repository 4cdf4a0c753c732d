"""Lists of bare numbers behind a label in the plural: "Heights 18 and 12", "voltages are 480, 277 and 120", "alturas: 8 y 5"."""

from bot.reading.clause import Work
from bot.reading.words import words_of

_LABELS = {
    "heights": "up",
    "hts": "up",
    "alturas": "up",
    "voltages": "v",
    "voltajes": "v",
    "tensiones": "v",
    "wattages": "w",
    "potencias": "w",
}
_LINKS = words_of(": are = is r of at son de - being be")
_BETWEEN = words_of(", / & + and y e n ;")
_UNITS = frozenset({"ft", "m", "v", "w"})


def listed_labels(work: Work) -> dict[int, str]:
    """What the numbers of such lists are, by their atoms: ``up``, ``v`` or ``w``; empty where no such label is written."""
    out: dict[int, str] = {}
    if not any(label in work.folded for label in _LABELS):
        return out
    for index, atom in enumerate(work.atoms):
        if atom.kind not in ("w", "p"):
            continue
        words = work.folded[atom.start : atom.end].split()
        kind = _LABELS.get(words[-1]) if words else None
        if kind is None:
            continue
        step = index + 1
        while step < index + 3 and work.text_at(step) in _LINKS:
            step += 1
        while work.is_number(step):
            out[step] = kind
            step += 1
            if work.unit(step) in _UNITS:
                step += 1
            if work.text_at(step) not in _BETWEEN:
                break
            step += 1
            if work.text_at(step) in _BETWEEN:
                step += 1  # ", and"
    return out
