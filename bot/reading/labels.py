"""What the writer calls a place of the job ("north lot", "back building", "stairs"): names to tell lines apart by."""

import re
from typing import final

from bot.reading.late import Late
from bot.reading.text import letters_in
from bot.reading.words import lexicon, words_of

_WHERE = r"north|south|east|west|front|back|rear|main|upper|lower|first|second|third|1st|2nd|3rd|old|new|side|far|inside|outside|left|right|big|small|little|norte|sur|atras|frente|enfrente|adelante|fondo"
_NUMBERED = (
    r"(?:levels?|floors?|bays?|bldgs?|blds?|buildings?|units?|wings?|phases?|zones?|sections?|suites?|lots?|shops?|docks?|halls?|decks?) (?:[b-h]|[1-9]|one|two|three|four"
    r"|a(?=(?: ?[:,.;)]| -| (?:is|are|has|have|gets?|needs?|ones?|with|to|and|at|on|by|from|should|will|use|wants?|in|was|were|y)(?![a-z])|$| \d{1,4} [a-z]| \d{3,4}$)))(?![a-z0-9'])"
    r"|(?<=the )[a-h] (?:building|bldg|wing|lot|hall|dock)(?![a-z])"
)
_WHAT = (
    r"lots?|parking lot|building|bldg|hall|wing|stairs?|stairwells?|offices?|warehouse|dock|docks|entrance|entry|entries|yard|gym|shop|garage"
    r"|kitchen|hallways?|lobby|restrooms?|cafeteria|sanctuary|classrooms?|basement|annex|mezzanine|lunchroom|breakroom|drive|walkway|courtyard"
    r"|loading dock|store|showroom|barn|shed|hangar|patio|corridors?|level \d|floor \d|bay \d|bldg [a-d1-9]|building [a-d1-9]|unit [a-d1-9]"
    r"|upstairs|downstairs|receiving|shipping|lounge|foyer|atrium|vestibule|drive ?thru|atm|library|freezer|cooler|chapel|narthex|alley|porch|loft|fellowship hall|pavilion|concessions?|dugouts?|bullpen|perimeter|roof|bathrooms?|lockers?|locker room|playground|dumpsters?|drop ?off|pickup|ramp"
    r"|edificio|bodega|oficina|oficinas|nave|patio|estacionamiento|pasillo|pasillos|escaleras|taller|tienda|cocina"
)
_LABEL = Late(
    r"(?<![a-z0-9])(?:(?P<numbered>"
    + _NUMBERED
    + r")|(?P<where>"
    + _WHERE
    + r") (?P<what>floors?|levels?|stor(?:y|ey)|phase|bays?|end|walls?|half|section|area|field|courts?|gate|corner|aisle|rooms?|zone|addition|porch|"
    + _WHAT
    + r")|(?P<other>other (?:building|bldg|lot|side|wing|hall|floor|office|warehouse|shop|gym|room|house|entrance))|(?P<es>(?:edificio|lado|lote|estacionamiento|patio|nave|entrada|parte|bodega|area|pared|cara|puerta|jardin|almacen) (?:del?|de la) (?:atras|frente|enfrente|adelante|delante|norte|sur|este|oeste|fondo|lado|arriba|abajo|principal))|(?P<lone>"
    + _WHAT
    + r")|(?P<sort>sides?|rooms?|areas?|sections?|parking|walk|walks)|(?P<road>(?!the |this |that |our |new )[a-z]{3,12}(?= (?:st|street|ave|avenue|rd|road|ln|lane|blvd)(?![a-z])))|(?P<dir>"
    + _WHERE
    + r"))(?![a-z0-9])"
)
_ES_ONES = re.compile(r"(?<![a-z])(?:los|las|el|la|esos|esas) (?:del?|de la|de el) $")


def _lettered(*alternatives: str) -> frozenset[str]:
    """Every word of patterns that list words, with the letters and spaces that may be left out and without them."""
    told = re.sub(r"\[[^]]*\]|\\d", "", "|".join(alternatives))
    ways = [told, told.replace(" ?", "")]
    ways += [re.sub("[a-z]\\?", "", way) for way in ways]
    return frozenset([word for way in ways for word in re.findall("[a-z]+", way.replace("?", ""))])


_LETTERED = _lettered(
    _NUMBERED.partition(")")[0], _WHERE, _WHAT, "sides?|rooms?|areas?|sections?|parking|walks?",
    "st|street|ave|avenue|rd|road|ln|lane|blvd", "edificio|lado|lote|estacionamiento|patio|nave|entrada|parte|bodega|area|pared|cara|puerta|jardin|almacen",
)  # fmt: skip
"""Words of which one stands in every name of a place."""
_ONES = re.compile(r" (?:ones?|stuff|units|side|end)(?![a-z])")


_DROPPED = ("lose the ", "drop the ", "forget the ", "skip the ", "scrap the ", "quita la ", "quita el ")


@final
class Label:
    """A place name: its words, its characters, and whether it stands for the luminaires there ("the back ones")."""

    __slots__ = ("end", "stands", "start", "words")

    def __init__(self, words: str, start: int, end: int, stands: bool) -> None:
        self.words = words
        self.start = start
        self.end = end
        self.stands = stands


_SORT = re.compile(r"(?:^|[^a-z0-9'-])(?P<sort>[a-z]{3,14}) $")
_NO_SORT = words_of(
    """the this that those these our my your his her their and but for with from into onto per each every all both one two three four five six same
    other another any some no not has have had gets get got needs need was were are its is which what where new old whole entire single either
    out off over near around outside inside along behind by about like just only also plus make put add drop bump cut change move take leave lose
    forget skip scrap keep quote price do use light lights lighting head heads fixture fixtures lamp lamps parking lot pole poles wall left right
    big small little large main first second third last next more most customer customers client in on at of to a an side los las del para con una"""
)
"""Words before "lot", "side" or "shop" that are no part of its name."""
_SORTS = words_of(
    "dock street break school church lunch road alley chapel gym bank machine weld welding court plant office warehouse"
)
"""Words of other uses that sort places as well."""


_ORDER = {
    "first": "1", "1st": "1", "one": "1", "second": "2", "2nd": "2", "two": "2", "third": "3", "3rd": "3", "three": "3", "four": "4",
}  # fmt: skip
_KINDS = {
    "bldg": "building",
    "bldgs": "building",
    "bld": "building",
    "level": "floor",
    "storey": "floor",
    "story": "floor",
}


def called_so(words: str) -> str:
    """A place's name in one form: "2nd floor", "second level" and "floor two" are "floor 2", "bldg a" is "building a"."""
    parts = words.split()
    if len(parts) != 2:
        # "the offices" of what was said of the office
        return words[:-1] if len(parts) == 1 and words.endswith("s") and not words.endswith("ss") else words
    one, two = (_KINDS.get(part, part) for part in parts)
    if one in _ORDER and two in ("floor", "floors", "phase", "building"):
        return f"{two.rstrip('s')} {_ORDER[one]}"
    if len(one) == 1:
        return f"{two} {one}"
    if len(two) == 1 or two in _ORDER:
        return f"{one.rstrip('s')} {_ORDER.get(two, two)}"
    return f"{one} {two}" if one == "building" or two == "building" else words


_HEADED = re.compile(r" ?(?::|-(?= ))")


def _heads(folded: str, match: re.Match[str]) -> bool:
    """Whether a direction heads what stands behind a colon or a dash: "front: 8 canopy lights"."""
    return _HEADED.match(folded, match.end()) is not None and folded[: match.start()].rstrip(" ")[-1:] in (
        "",
        "\n",
        ".",
        ",",
        ";",
        "/",
        "&",
        "-",
    )


def labels_of(folded: str) -> list[Label]:
    """All place names of a folded text, in order. A bare direction counts only where it stands for the luminaires."""
    out: list[Label] = []
    if _LETTERED.isdisjoint(letters_in(folded)):
        return out
    for match in _LABEL.finditer(folded):
        ones = _ONES.match(folded, match.end())
        start = match.start()
        if match["dir"] is not None:
            before = folded[max(0, start - 5) : start]
            if not ones and not before.endswith(("down ", "the ", "up ")) and not _heads(folded, match):
                those = _ES_ONES.search(folded, max(0, start - 12), start)
                if those is None:
                    continue
                out.append(Label(match.group(), those.start(), match.end(), True))
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
        words, end = match.group(), match.end()
        counted = match["numbered"] is not None and words[-1].isdigit() and words[-2] == " "
        if counted or match["lone"] is not None or match["sort"] is not None:
            sort = _SORT.search(folded[max(0, start - 16) : start])
            if (
                sort is not None
                and sort["sort"] not in _NO_SORT
                and (sort["sort"] in _SORTS or sort["sort"] not in lexicon().known)
            ):
                if counted:  # "employee lot 9 pole lights"
                    words, end = words[:-2], end - 2
                words = f"{sort['sort']} {words}"
                start -= len(sort["sort"]) + 1
            elif match["sort"] is not None:
                continue
        words = called_so(words)
        dropped = folded[max(0, start - 12) : start].endswith(_DROPPED)
        out.append(Label(words, start, ones.end() if ones else end, bool(ones) or dropped))
    return out
