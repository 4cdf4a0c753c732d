"""Phrases that point at luminaire types of the job at hand: "the 400s", "the ones at 30", "the bronze ones", "the outside ones", "down south".

What stands inside such a phrase is no new value. Whether a figure or a place word points is settled by what the job says.
"""

import re
from functools import lru_cache
from typing import Any

from bot.reading.clause import Work
from bot.reading.labels import labels_of
from bot.reading.message import Known, Scope
from bot.reading.naming import lettered
from bot.reading.ordinals import ordinals_of
from engine.vocabulary import Family, LampSource

_ONES = r"(?:ones?|1s|guys|units?|fixtures?|lights?|heads?|poles?|lamps?|stuff|side|types?|sets?|luces|lamparas|luminarias|focos|group|batch|kind|lot|row)"
_THE = r"(?:the |those |these |los |las |el |la |esos |esas |all the |todos los |todas las |on the |for the )"
_SOURCES: dict[str, tuple[LampSource, ...]] = {
    "halide": ("MH",), "metal halide": ("MH",), "mh": ("MH",), "pulse start": ("PSMH",), "sodium": ("HPS",), "hps": ("HPS",), "mercury": ("MV",),
    "merc": ("MV",), "mercury vapor": ("MV",), "led": ("LED",), "t8": ("T8",), "t12": ("T12",), "t5": ("T5",), "t5ho": ("T5HO",), "cfl": ("CFL",),
    "halogen": ("HAL",), "quartz": ("HAL",), "incandescent": ("INC",), "induction": ("IND",), "sodio": ("HPS",), "aditivos": ("MH",), "mercurio": ("MV",),
    "haluro": ("MH",), "halogeno": ("HAL",), "orange": ("HPS",),
}  # fmt: skip
_SOURCE_WORDS = "|".join(sorted(_SOURCES, key=len, reverse=True))
_WATT_WORDS = {
    "thousand": 1000, "thousands": 1000, "hundreds": 100, "one seventy fives": 175, "two fifties": 250, "four hundreds": 400,
    "one fifties": 150, "seventies": 70, "fifties": 50, "three twenties": 320,
}  # fmt: skip
_COUNTS = {
    "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10, "eleven": 11, "twelve": 12,
}  # fmt: skip
_COLOURS = {
    "bronze": "bronze",
    "black": "black",
    "white": "white",
    "gray": "gray",
    "grey": "gray",
    "green": "green",
    "silver": "silver",
}
_EXTREMES: dict[str, tuple[str, str]] = (
    dict.fromkeys(
        ["low", "lower", "lowest", "short", "shorter", "shortest", "bajos", "bajas", "bajitos"],
        ("lowest", "height_ft"),
    )
    | dict.fromkeys(
        ["high", "higher", "highest", "tall", "taller", "tallest", "altos", "altas"], ("highest", "height_ft")
    )
    | dict.fromkeys(
        ["small", "smaller", "smallest", "little", "chicos", "chicas", "chiquitos", "pequenos"],
        ("lowest", "watts"),
    )
    | dict.fromkeys(
        ["big", "bigger", "biggest", "large", "larger", "largest", "grandes", "grandotes"],
        ("highest", "watts"),
    )
)
_WHERE: dict[str, tuple[Family, ...]] = {
    "building": ("wall_pack", "sconce", "canopy", "flood"), "bldg": ("wall_pack", "sconce", "canopy", "flood"), "wall": ("wall_pack", "sconce"),
    "pole": ("area", "street", "post_top", "security"), "lot": ("area", "street", "post_top"), "parking lot": ("area", "street", "post_top"),
    "garage": ("garage",), "shop": ("high_bay", "low_bay", "strip"), "warehouse": ("high_bay", "low_bay"), "plant": ("high_bay", "low_bay"), "gym": ("high_bay", "low_bay"),
    "office": ("troffer", "panel", "downlight"),
    "yard": ("security", "area", "flood"), "ceiling": ("troffer", "panel", "downlight", "high_bay"),
}  # fmt: skip
_CALLED_SO: dict[str, Family] = {
    "pole": "area", "lot": "area", "parking lot": "area", "yard": "security", "garage": "garage",
}  # fmt: skip
"""What "pole lights", "yard lights" are where such are on the job."""
_INDOOR: tuple[Family, ...] = (
    "high_bay",
    "low_bay",
    "troffer",
    "panel",
    "strip",
    "wrap",
    "downlight",
    "track",
    "exit",
    "vapor_tight",
    "sconce",
)
_OUTDOOR: tuple[Family, ...] = (
    "wall_pack", "flood", "area", "street", "canopy", "security", "bollard", "post_top", "landscape", "sign", "garage",
)  # fmt: skip
_PATTERN_TEXT = (
    rf"(?<![a-z0-9])(?:"
    rf"(?P<the_ft>{_THE})?(?P<ft>\d{{1,3}}) ?-?(?:(?P<ers>footers?|'ers)|(?:ft|foot|feet|'|pies)(?= {_ONES}(?![a-z]))) ?(?:{_ONES}(?![a-z]))?"
    rf"|(?:{_THE}|(?:(?<=^)|(?<=  )))(?:ones|{_ONES[3:-1]}|que estan)(?: that are| thats| that's)?(?: up)? (?:at|on|a|en) (?P<at>\d{{1,3}}) ?(?:'|ft|feet|foot|pies)?(?![a-z0-9])(?: ?footers?| poles?)?"
    rf"|{_THE}?(?P<watts>\d{{2,4}})(?:s|'s)(?![a-z0-9])(?: {_ONES}(?![a-z]))?"
    rf"|{_THE}(?P<of>\d{{2,4}}) ?-?(?P<unit>w|watt|watts|watters?|v|volt|volts|k)? {_ONES}(?![a-z])"
    rf"|{_THE}(?P<watters>\d{{2,4}}) ?-?watters?"
    rf"|(?:los|las|los de|las de|the) de (?P<de>\d{{2,4}})(?: ?w| watts)?(?![a-z0-9])(?! pies| metros| voltios| volts)"
    rf"|{_THE}?(?P<word>{'|'.join(sorted(_WATT_WORDS, key=len, reverse=True))})(?: {_ONES})?(?![a-z])"
    rf"|(?:{_THE}|(?:(?<=^)|(?<=  )))?(?P<source>{_SOURCE_WORDS}) {_ONES}(?![a-z])|(?:los|las) de (?P<source_es>{_SOURCE_WORDS})(?![a-z0-9])"
    rf"|(?:the |those |all the |(?:(?<=^)|(?<=[,;.] )|(?<=  )|(?<=and )|(?<=on )|(?<=for )))(?P<sources>halides|sodiums|mercs)(?![a-z])"
    rf"|(?:{_THE})(?P<colour>{'|'.join(_COLOURS)}) ones(?![a-z])"
    rf"|(?:{_THE})?(?P<extreme>{'|'.join(_EXTREMES)})(?: wattage| watt)? {_ONES}(?![a-z])|(?:los|las) (?:mas )?(?P<extreme_es>bajos|bajas|altos|altas|chicos|chicas|grandes)(?![a-z])"
    rf"|(?:{_THE})?(?P<out>outside|outdoor|exterior|inside|indoor|interior)(?P<out_ones> {_ONES}(?![a-z])| ?(?=[.,;!]|$))|(?:los|las) de (?P<out_es>afuera|adentro)(?![a-z])"
    rf"|(?:{_THE})?(?:{_ONES}|ones) (?:on|in|along|up on|out in) (?:the |my |our |el |la )?(?P<where>building|bldg|walls?|poles?|lot|parking lot|garage|shop|warehouse|plant|gym|offices?|ceiling)(?![a-z])(?! [a-h1-9](?![a-z0-9]))"
    rf"|(?:{_THE})?(?P<mounted>building|wall|pole|ceiling)[ -]?mount(?:ed)? (?:{_ONES}|ones)(?![a-z])"
    rf"|(?:{_THE})?(?P<place>parking lot|lot|building|bldg|wall|shop|office|warehouse|plant|gym|garage|pole|yard) (?:lights?|lamps?|fixtures?|heads?|lighting)(?![a-z])"
    rf"|(?:{_THE}|(?<=^)|(?<=  )|(?<=[,;.:&] )|(?<= and )|(?<= y ))(?P<alone>building|bldg|parking lot|lot|walls?|shop|office|warehouse|plant|gym|garage|yard) (?=(?:is|are|gets?|needs?|has|runs?|=|at|on|should be|has to be|want|wants)(?![a-z])(?! the )|\d\d\d(?!\d))|(?<=[a-z0-9] )(?P<alone2>building|bldg) (?=is \d)"
    rf"|(?:(?<=on the )|(?<=in the )|(?<=for the )|(?<=at the ))(?P<alone3>building|bldg|parking lot|lot|walls?|shop|office|warehouse|plant|gym|garage|yard)(?= ?(?:$|[.,;!&]| and ))"
    rf"|(?:the )(?P<count>\d{{1,3}}|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve)(?= ?:| (?:are|is|needs?|should|gets?|have|in|on|at|run|want)(?![a-z])| \d{{4}} ?k)"
    rf"|(?:the )(?:first|original|other) (?P<first_count>\d{{1,3}})(?= ?(?:$|[.,;!&]| (?:and|y|plus|only|are|is|stay)(?![a-z])))"
    rf"|{_THE}(?P<fluor>fluorescents?|tubes)(?: {_ONES})?(?![a-z])"
    rf")"
)


@lru_cache(maxsize=1)
def _pattern() -> re.Pattern[str]:
    """Compiled when the first talk needs it: a first message does not."""
    return re.compile(_PATTERN_TEXT)


def _values(known: Known, *slots: str) -> set[float]:
    return {
        float(line[slot])
        for line in known.lines
        for slot in slots
        if isinstance(line.get(slot), (int, float))
    }


def _scope(match: re.Match[str], known: Known, folded: str) -> dict[str, Any] | None:
    """What the phrase tells of the types meant; ``None`` where it says something new instead."""
    group = match.groupdict()
    if group["ft"]:
        feet = float(group["ft"])
        if not (group["the_ft"] or group["ers"]):
            return None
        if feet in _values(known, "height_ft"):
            return {"height_ft": feet}
        return {"having": (("lamp_feet", feet),)} if feet in _values(known, "lamp_feet") else None
    if group["at"]:
        feet = float(group["at"])
        return {"height_ft": feet} if feet in _values(known, "height_ft") else None
    for name in ("watts", "of", "watters", "de"):
        if not group[name]:
            continue
        value = float(group[name])
        if name == "of" and group["unit"] and group["unit"][0] in "vk":
            slot = "voltage" if group["unit"][0] == "v" else "cct_k"
            return {"having": ((slot, int(value)),)} if value in _values(known, slot) else None
        if name == "of" and value not in _values(known, "watts", "led_watts"):
            for slot in ("voltage", "height_ft"):
                if value in _values(known, slot):
                    return {"having": ((slot, value),)}
            return None
        if known.lines and value not in _values(known, "watts", "led_watts", "input_watts"):
            if name == "watts" and value in _values(known, "voltage"):
                return {"having": (("voltage", int(value)),)}  # "the 277s are bronze"
            return None
        return {"watts": value}
    if count := group["count"] or group["first_count"]:
        many = _COUNTS.get(count) or int(count)
        alike = [line for line in known.lines if line.get("qty") == many]
        return {"having": (("qty", many),)} if len(alike) == 1 and len(known.lines) > 1 else None
    if group["word"]:
        value = float(_WATT_WORDS[group["word"]])
        return {"watts": value} if not known.lines or value in _values(known, "watts") else None
    if group["sources"]:
        lamp = _SOURCES[group["sources"].rstrip("s")][0]
        return {"source": lamp} if any(line.get("source") == lamp for line in known.lines) else None
    if source := group["source"] or group["source_es"]:
        return {"source": _SOURCES[source][0]}
    if group["colour"]:
        colour = _COLOURS[group["colour"]]
        return (
            {"having": (("finish", colour),)}
            if any(line.get("finish") == colour for line in known.lines)
            else None
        )
    if word := group["extreme"] or group["extreme_es"]:
        which, slot = _EXTREMES[word]
        return {which: "watts" if " watt" in match.group() else slot}
    if word := group["out"] or group["out_es"]:
        if group["out"] and not group["out_ones"].strip() and len(known.lines) < 2:
            return None
        outside = word in ("outside", "outdoor", "exterior", "afuera")
        label = "outside" if outside else "inside"
        if any(
            label in " ".join(labels) or ("outside" if not outside else "inside") in " ".join(labels)
            for labels in known.labels
        ):
            return {"labels": (label,)}
        return {"families": _OUTDOOR if outside else _INDOOR}
    if where := next(
        (group[n] for n in ("where", "mounted", "place", "alone", "alone2", "alone3") if group[n]), None
    ):
        if (group["alone"] or group["alone3"]) and any(
            where in label.split() for labels in known.labels for label in labels
        ):
            return None  # types go by that name
        mine = tuple(family for family in _WHERE[where.rstrip("s")] if family in known.families)
        if (
            where in (group["place"], group["alone"], group["alone3"])
            and (own := _CALLED_SO.get(where)) in mine
        ):
            mine = (own,)  # what the writer called post tops he would call so again
        return {"families": mine} if mine else None
    if group["fluor"]:
        tubes = {str(line.get("source")) for line in known.lines} & {"T12", "T8", "T5", "T5HO"}
        return {"having": (("source", tuple(sorted(tubes))),)} if tubes else None
    return None


def pointers_of(work: Work, known: Known | None) -> dict[int, tuple[int, Scope]]:
    """The pointing phrases of a message about a job: index of the first atom -> (index of the last, what is meant)."""
    job = known if known is not None else Known()
    found: list[tuple[int, int, dict[str, Any]]] = []
    for match in _pattern().finditer(work.folded):
        told = _scope(match, job, work.folded)
        if told is not None:
            found.append((match.start(), match.end(), told))
    mine = frozenset(" ".join(part for labels in job.labels for part in labels).split())
    named = bytearray(len(work.folded) + 1)
    for atom in work.atoms:
        if not {"family", "family_weak", "pointer"}.isdisjoint(atom.mean):
            named[atom.start : atom.end] = b"\1" * (atom.end - atom.start)
    if found:
        # "3 floods outside, 150 W": the luminaire word tells which, or that they are new
        found = [
            item
            for item in found
            if not (named[max(0, item[0] - 2)] and item[2].get("families") in (_OUTDOOR, _INDOOR))
        ]
    found.extend(
        (label.start, label.end, {"labels": (label.words,)})
        for label in labels_of(work.folded)
        if not named[label.start] and (label.stands or not mine.isdisjoint(_telling(label.words)))
    )
    for start, end, _ in found:
        named[start:end] = b"\1" * (end - start)
    found.extend(_told_apart(work, job))
    telling = frozenset([word for word in mine - _PLAIN if len(word) > 1])
    # "north are 30 ft, south are 40": a place that lines go by, with nothing beside it
    found.extend(
        (atom.start, atom.end, {"labels": (word,)})
        for atom in work.atoms
        # a name is no slip of the pen for a word of the trade
        if (word := work.folded[atom.start : atom.end] if atom.fuzzy else atom.text) in telling
        and not named[atom.start]
    )
    found.extend(
        (start, end, {"labels": (words,)}) for start, end, words in lettered(work.folded, job.labels)
    )
    found.extend(ordinals_of(work.folded, len(job.lines)))
    out: dict[int, tuple[int, Scope]] = {}
    taken = -1
    index = 0
    for start, end, told in sorted(found, key=lambda item: (item[0], -item[1])):
        if start < taken:
            continue
        while index < len(work.atoms) and work.atoms[index].start < start:
            index += 1
        first = index
        # an article at the head is left out, so that what removes or adds before it is still seen
        while first < len(work.atoms) and work.atoms[first].end < end and "the" in work.cue(first):
            first += 1
        last = first
        while last + 1 < len(work.atoms) and work.atoms[last + 1].start < end:
            last += 1
        if first < len(work.atoms) and work.atoms[last].start < end:
            out[first] = (last, Scope(told.pop("kind", "family"), start, end, **told))
            taken = end
    return out


_ADJECTIVES = ("finish", "source")
_BEFORE_THEM = frozenset(
    [
        "the",
        "those",
        "these",
        "on",
        "for",
        "my",
        "our",
        "all",
        "only",
        "just",
        "drop",
        "forget",
        "to",
        "from",
        "make",
        "change",
        "of",
    ]
)


def _told_apart(work: Work, job: Known) -> list[tuple[int, int, dict[str, Any]]]:
    """As in "the bronze wall packs", "the 400w floods", "the bigger floods": of several of a family those that are so."""
    out: list[tuple[int, int, dict[str, Any]]] = []
    for index, atom in enumerate(work.atoms):
        family = atom.mean.get("family") or atom.mean.get("pointer")
        if family is None:
            continue
        alike = _families(atom, str(family))
        mine = [line for line in job.lines if line.get("family") in alike]
        if len(mine) < 2:
            continue
        told: dict[str, Any] = {}
        having: list[tuple[str, Any]] = []
        at = index - 1
        if at > 0 and work.unit(at) == "w" and work.atoms[at - 1].kind == "n":
            value = work.atoms[at - 1].value
            if sum(line.get("watts") == value for line in mine) in range(1, len(mine)):
                told["watts"] = value
                at -= 2
        elif at >= 0 and (extreme := _EXTREMES.get(work.text_at(at))) is not None:
            told[extreme[0]] = extreme[1]
            at -= 1
        else:
            for slot in _ADJECTIVES:
                own = work.has(at, slot)
                if own is not None and sum(line.get(slot) == own for line in mine) in range(1, len(mine)):
                    having.append((slot, own))
                    at -= 1
                    break
        if not told and not having:
            continue
        if at >= 0 and work.text_at(at) not in _BEFORE_THEM and work.atoms[at].kind not in ("s", "b"):
            continue
        families = tuple(dict.fromkeys(str(line["family"]) for line in mine))
        out.append(
            (work.atoms[at + 1].start, atom.end, {"families": families, "having": tuple(having), **told})
        )
    return out


def _families(atom: Any, family: str) -> tuple[str, ...]:
    return ("area", "street", "post_top") if family == "area" or "pointer" in atom.mean else (family,)


_PLAIN = frozenset(
    [
        "the",
        "building",
        "bldg",
        "lot",
        "side",
        "area",
        "room",
        "floor",
        "level",
        "hall",
        "wing",
        "entrance",
        "entry",
        "door",
        "unit",
    ]
)


def _telling(words: str) -> frozenset[str]:
    told = frozenset(words.split())
    return told - _PLAIN or told
