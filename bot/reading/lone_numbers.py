"""A number alone in a talk, when nothing was asked: "400" behind "12 pole lights" is their lamp, "14" is how many."""

from typing import Final

from bot.reading.clause import Work
from bot.reading.message import Known
from engine.vocabulary import HID_SOURCES

_WATTS: Final = frozenset({70, 100, 150, 175, 200, 250, 320, 350, 400, 750, 1000, 1500})
"""Watts of discharge lamps that are hardly ever counts (common practice, no source)."""
_FEW: Final = 4
"""A count is hardly ever raised so many times by one bare number."""
_OTHER_LAMPS: Final = frozenset({"troffer", "panel", "strip", "wrap", "exit", "downlight", "track"})


_HEDGES = frozenset(
    [
        "i",
        "we",
        "think",
        "believe",
        "guess",
        "its",
        "it's",
        "it",
        "is",
        "they're",
        "theyre",
        "they",
        "are",
        "about",
        "around",
        "like",
        "maybe",
        "probably",
        "prolly",
        "just",
        "ok",
        "okay",
        "uh",
        "um",
        "says",
        "creo",
        "que",
        "son",
        "como",
        "es",
    ]
)
"""What may stand about a number that says what it says alone."""


def lone_watts(work: Work, known: Known | None) -> None:
    """Take a message of one bare number for watts where, as a count, it is one that nobody would mean."""
    if known is None or not known.lines or len(work.numbers) != 1 or not work.is_number(work.numbers[0]):
        return
    at = work.numbers[0]
    said = work.atoms[at].value
    if said not in _WATTS or any(
        atom.kind not in ("n", "s", "b") and atom.text not in _HEDGES for atom in work.atoms
    ):
        return
    for line in known.lines:
        if "qty" not in line or line.get("family") in _OTHER_LAMPS or said < _FEW * line["qty"]:
            return
        if line.get("source", "MH") not in HID_SOURCES:
            return
    work.flags["put_right"] = (at, "watts", said)
