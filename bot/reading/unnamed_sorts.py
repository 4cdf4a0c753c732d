"""Types that a talk adds by a name that is none of ours: "also 5 step lights 35 W halogen", "and 6 pendants 100 W".

They are no more of what is there, though nothing says what they are.
"""

from typing import Final

from bot.reading.clause import Work
from bot.reading.late import Late
from bot.reading.message import Known, Said
from bot.reading.words import lexicon, words_of

_AND: Final = Late(r"(?:(?:ok|okay|oh|yes|yeah|so)[ ,]+)?(?:and|plus|y|&|\+)(?: then| the| about)? ?")
_NO_NAME: Final = words_of(
    "more of in at on with old new big small extra total other others for out back up down the that these there same ones units pcs each ea existing"
    " exist lights fixtures heads luminaires lamps bulbs tubes poles lamp watt watts volt volts foot feet inside outside front rear north south east west"
    " upstairs downstairs hour hours day days night nights week weeks month months year years cents minutes bucks dollars percent people guys times shifts"
)
_LONGEST: Final = 3


def of_another_sort(work: Work, count: Said) -> bool:
    """Whether behind a count stands a name that no type here has: "5 step lights", "6 chandeliers", "6 pendants"."""
    at = next((n for n in work.numbers if work.atoms[n].start == count.start), -1)
    if at < 0:
        return False
    lex = lexicon()
    named = False
    for index in range(at + 1, min(at + 1 + _LONGEST, len(work.atoms))):
        atom = work.atoms[index]
        if "mount" in atom.mean and atom.text.endswith("s"):
            return True
        if atom.mean.get("generic") == "light":
            return named
        if atom.kind != "w" or not atom.text.isalpha() or atom.text in _NO_NAME:
            return False
        if len(atom.text) > 4 and atom.text.endswith("s") and atom.text not in lex.plain:
            return True
        named = True
    return False


def begins_with_and(folded: str, count: Said) -> bool:
    """Whether the message begins with "and" and the count: "and 5 step lights"."""
    match = _AND.match(folded)
    return match is not None and match.end() == count.start


def another_lamp(slots: dict[str, Said], known: Known | None) -> bool:
    """Whether every type that is there is counted and has another lamp than what is told."""
    if known is None or not known.lines:
        return False
    told = [slot for slot in ("source", "watts") if slot in slots]
    return bool(told) and all(
        "qty" in line and any(line.get(slot) not in (None, slots[slot].value) for slot in told)
        for line in known.lines
    )
