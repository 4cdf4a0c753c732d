"""What the writer calls a place of the job ("north lot", "back building", "stairs"): names to tell lines apart by."""

import re
from typing import NamedTuple

from bot.reading.late import Late

_WHERE = r"north|south|east|west|front|back|rear|main|upper|lower|first|second|third|1st|2nd|3rd|old|new|side|far|inside|outside|left|right|big|small|little|norte|sur|atras|frente"
_NUMBERED = (
    r"(?:levels?|floors?|bays?|bldgs?|buildings?|units?|wings?|phases?|zones?|sections?|suites?|lots?|shops?|docks?|halls?|decks?) (?:[b-h]|[1-9]|one|two|three|four"
    r"|a(?=(?: ?[:,.;)]| -| (?:is|are|has|have|gets?|needs?|ones?|with|to|and|at|on|by|from|should|will|use|wants?|in|was|were|y)(?![a-z])|$| \d{1,4} [a-z]| \d{3,4}$)))(?![a-z0-9'])"
    r"|(?<=the )[a-h] (?:building|bldg|wing|lot|hall|dock)(?![a-z])"
)
_WHAT = (
    r"lots?|parking lot|building|bldg|hall|wing|stairs?|stairwells?|offices?|warehouse|dock|docks|entrance|entry|entries|yard|gym|shop|garage"
    r"|kitchen|hallways?|lobby|restrooms?|cafeteria|sanctuary|classrooms?|basement|annex|mezzanine|lunchroom|breakroom|drive|walkway|courtyard"
    r"|loading dock|store|showroom|barn|shed|hangar|patio|corridors?|level \d|floor \d|bay \d|bldg [a-d1-9]|building [a-d1-9]|unit [a-d1-9]"
    r"|edificio|bodega|oficina|oficinas|nave|patio|estacionamiento|pasillo|pasillos|escaleras|taller|tienda|cocina"
)
_LABEL = Late(
    r"(?<![a-z0-9])(?:(?P<numbered>"
    + _NUMBERED
    + r")|(?P<where>"
    + _WHERE
    + r") (?P<what>floors?|levels?|stor(?:y|ey)|phase|bays?|end|walls?|half|section|area|field|courts?|gate|corner|aisle|rooms?|zone|addition|porch|"
    + _WHAT
    + r")|(?P<lone>"
    + _WHAT
    + r")|(?P<road>(?!the |this |that |our |new )[a-z]{3,12}(?= (?:st|street|ave|avenue|rd|road|ln|lane|blvd)(?![a-z])))|(?P<dir>"
    + _WHERE
    + r"))(?![a-z0-9])"
)
_ONES = re.compile(r" (?:ones?|stuff|units|side|end)(?![a-z])")


_DROPPED = ("lose the ", "drop the ", "forget the ", "skip the ", "scrap the ", "quita la ", "quita el ")


class Label(NamedTuple):
    """A place name: its words, its characters, and whether it stands for the luminaires there ("the back ones")."""

    words: str
    start: int
    end: int
    stands: bool


_ORDER = {
    "first": "1", "1st": "1", "one": "1", "second": "2", "2nd": "2", "two": "2", "third": "3", "3rd": "3", "three": "3", "four": "4",
}  # fmt: skip
_KINDS = {"bldg": "building", "bldgs": "building", "level": "floor", "storey": "floor", "story": "floor"}


def _called(words: str) -> str:
    """A place's name in one form: "2nd floor", "second level" and "floor two" are "floor 2", "bldg a" is "building a"."""
    parts = words.split()
    if len(parts) != 2:
        return words
    one, two = (_KINDS.get(part, part) for part in parts)
    if one in _ORDER and two in ("floor", "floors", "phase", "building"):
        return f"{two.rstrip('s')} {_ORDER[one]}"
    if len(one) == 1:
        return f"{two} {one}"
    if len(two) == 1 or two in _ORDER:
        return f"{one.rstrip('s')} {_ORDER.get(two, two)}"
    return f"{one} {two}" if one == "building" or two == "building" else words


def labels_of(folded: str) -> list[Label]:
    """All place names of a folded text, in order. A bare direction counts only where it stands for the luminaires."""
    out = []
    for match in _LABEL.finditer(folded):
        ones = _ONES.match(folded, match.end())
        if match["dir"] is not None:
            before = folded[max(0, match.start() - 5) : match.start()]
            if not ones and not before.endswith(("down ", "the ", "up ")):
                continue
            if match["dir"] in (
                "first",
                "second",
                "third",
                "1st",
                "2nd",
                "3rd",
                "old",
                "new",
                "big",
                "small",
                "little",
                "left",
                "right",
            ):
                continue
        words = _called(match.group())
        dropped = folded[max(0, match.start() - 12) : match.start()].endswith(_DROPPED)
        out.append(Label(words, match.start(), ones.end() if ones else match.end(), bool(ones) or dropped))
    return out
