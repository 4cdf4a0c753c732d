"""Counts with nothing but the name of a place behind them, in a list: "10 front, 4 dock", "40 office, 12 lobby, 6 break room"."""

from collections.abc import Iterable

from bot.reading.clause import Work, ends_clause
from bot.reading.words import words_of

PLACES = words_of("""front back rear side north south east west n s e w main upper lower lobby gym shop warehouse office kitchen dock hall
    hallway stairwell wing basement mezzanine mezz courtyard store showroom barn shed patio corridor cafeteria restroom library annex yard garage
    lot floor room building bldg roof alley gate entry entrance drive perimeter ramp deck porch lounge freezer cooler chapel sanctuary foyer atrium
    storage receiving shipping bay hangar field fence walkway loading upstairs downstairs inside outside exterior interior wall end level
    atras adelante enfrente frente afuera adentro arriba abajo norte sur este oeste bodega oficina taller tienda cocina pasillo patio techo entrada
    estacionamiento piso nivel planta almacen muelle""")
_MANY = words_of("sides docks ends halls offices stairs doors")
_NEVER = frozenset({"unit", "family", "family_weak", "source", "size", "voltage", "finish", "controls", "optic", "colour", "mount", "led", "generic",
                    "scope", "join", "flag", "damp_or_wet", "days", "ampm"})  # fmt: skip
_VOLTS = frozenset({208, 240, 277, 347, 480})
_SIZING = words_of("bay car door story storey stall room unit acre truck family person lane")
"""What tells how big a place is: "3 bay garage"."""
_LONGEST = 3
"""How many words a place has at most: "east parking lot"."""


def place_behind(work: Work, at: int) -> bool:
    """Whether a place's name, and no more, stands between the number at ``at`` and the end of its item."""
    value = work.atoms[at].value
    if at + 1 >= len(work.atoms) or value < 2 or value in _VOLTS:
        return False
    if value == 120 and any(work.atoms[n].value in _VOLTS for n in work.numbers):
        return False  # "277 office, 120 lobby"
    last = at
    for index in range(at + 1, min(at + 2 + _LONGEST, len(work.atoms))):
        atom = work.atoms[index]
        if ends_clause(atom) or atom.text in (",", ")", "(") or "join" in atom.mean:
            break
        if atom.kind not in ("w", "p") or not _NEVER.isdisjoint(atom.mean):
            return False
        last = index
    else:
        if at + 2 + _LONGEST < len(work.atoms):
            return False
    if last == at:
        return False
    if last > at + 1 and work.text_at(last - 1) in _SIZING:
        return False
    word = work.text_at(last).rsplit(" ", 1)[-1]
    if word in _MANY:
        # "5 front, 5 back, 3 sides"; alone those may be what holds the luminaires
        return last == at + 1 and any(
            work.text_at(n + 1) in PLACES and n + 1 < at for n in work.numbers if at - 7 < n < at
        )
    return word in PLACES


_SIDES = words_of(
    "north south east west front back rear left right norte sur este oeste oriente poniente frente atras"
)
_FLOORS = words_of(
    "first second third fourth fifth 1st 2nd 3rd 4th 5th basement mezzanine primer segundo tercer primero tercero cuarto"
)
_ROOMS = (
    (PLACES | words_of("break conference locker class"))
    - _SIDES
    - _FLOORS
    - words_of(
        "n s e w main upper lower building bldg floor lot room level wall end side field perimeter outside inside exterior interior upstairs downstairs piso nivel planta"
    )
)


def kinds_of_place(words: Iterable[str]) -> set[str]:
    """What kinds of places words name: sides, floors, rooms; places of one kind are beside each other, none holds the other."""
    out: set[str] = set()
    for word in words:
        if word in _SIDES:
            out.add("side")
        elif word in _FLOORS:
            out.add("floor")
        elif word in _ROOMS:
            out.add("room")
    return out


def beside_each_other(places: list[list[str]]) -> bool:
    """Whether the first of several places is of the kind of another: "in the shop", "in the warehouse"; not "in the shop", "by the doors"."""
    kinds = [kinds_of_place(words) for words in places]
    return any(kinds[0] & other for other in kinds[1:])
