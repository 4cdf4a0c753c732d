"""A talk's shares of what is there: "double the floods", "4 of them are on 480", "half of those are 400s", "canopy +2".

How many there are is known to the job alone; so a passage says by what the count is multiplied, or that a part of it becomes a
type of its own (``split``).
"""

import re
from dataclasses import replace

from bot.reading.late import Late
from bot.reading.message import Passage, Said, Scope

_THEM = r"(?:them|those|these|em|it|that|the (?:count|qty|quantity|number|order|lot|whole thing)|all of (?:it|them)|everything)"
_TIMES = Late(
    rf"(?<![a-z])(?:(?P<two>double|twice|dobla\w{{0,3}}|duplica\w{{0,3}}|el doble)|(?P<three>triple|triplica\w{{0,3}}|el triple)|(?P<half>halve|cut (?=.{{0,24}}in half)|half (?:that|as many)|la mitad(?= de esos| nada| nomas)))"
    rf"(?: up)?(?: on)?(?: {_THEM}| as many| the | los | las |$|[ .!])"
    r"|(?<![a-z])(?P<some>half|la mitad)(?: of| de)? (?:the|those|our|los|las) (?=[a-z -]{3,24}? *(?:$|[,.;!]))"
)
_FACTORS = {"two": 2.0, "three": 3.0, "half": 0.5, "some": 0.5}
_NO_COUNT = re.compile(
    r"double (?:head|check|side|lens|pole|arm|sure|sided|duty|shift|lamp|tap)|twice (?:a |as bright|the light)|double the (?:light|lumens|output|price|cost)"
    r"|(?:half|la mitad)(?: of| de)? (?:the|la|el|del) (?:night|day|time|year|month|week|price|cost|power|light|output|wattage|watts|noche|dia|tiempo|ano|precio|costo)(?![a-z])"
)
_OF_THEM = re.compile(
    r"[ -]*(?:of|de) ?(?:them|those|these|em|the|our|my|esos|esas|ellos|ellas|los|las)?(?![a-z])"
)
_PART_BEHIND = re.compile(r"(?:of|de)(?: (?:them|those|these|em|esos|esas|ellos|ellas|the|our|my|los|las))?$")
_BROKEN = re.compile(
    r"[^.;,]{0,24}?(?<![a-z])(?:dead|out|broken?|burn(?:ed|t)|flicker\w{0,3}|bad|not working|dont work|don't work|busted|fundid[oa]s|quemad[oa]s)(?![a-z])"
)
_HALF = Late(
    r"(?<![a-z])(?:half|mitad)(?: (?:of|de))?(?: (?:them|those|these|em|esos|esas|ellos|ellas|the|los|las))?(?= (?:are|r|is|get|gets|need|needs|have|should|on|at|in|with|w|to|as|son|van|de|a|en|con|[a-z]{3,14} (?:are|get|need|r|on|at|should|son))(?![a-z]))"
)
_ON_HALF = Late(
    r"(?<![a-z])(?:on|for|to|in|en|a) (?:about )?(?:half|la mitad)(?: (?:of|de) (?:them|those|these|em|the [a-z]{3,14}|ellos|ellas|esos|esas))?[ .!]{0,3}$"
)
_ANOTHER_HALF = Late(
    r"(?<![a-z])(?:half|mitad) (?:price|off|dozen|hour|an hour|inch|a|the (?:price|cost|time)|day|mile|of the (?:time|day))"
)
_CHANGED = frozenset(
    {
        "family",
        "source",
        "watts",
        "size",
        "lamps",
        "lamp_feet",
        "height_ft",
        "voltage",
        "cct_k",
        "finish",
        "mount",
        "controls",
        "optic",
        "emergency_backup",
        "led_watts",
        "damp_or_wet",
        "keep_housing",
    }
)


def portions(folded: str, passages: list[Passage], one: bool = False) -> list[Passage]:
    """The passages of a talk with what multiplies a count, and what is said of a part of it; ``one``: the job has one type."""
    return _multiplied(folded, _split(folded, passages, one))


def _multiplied(folded: str, passages: list[Passage]) -> list[Passage]:
    match = _TIMES.search(folded)
    if (
        match is None
        or _NO_COUNT.match(folded[match.start() :])
        or any("qty" in passage.slots for passage in passages)
    ):
        return passages
    factor = next(value for name, value in _FACTORS.items() if match[name])
    for number, passage in enumerate(passages):
        if passage.scope is not None and not passage.slots and passage.action in ("change", "state"):
            out = list(passages)
            out[number] = replace(passage, action="change", times=factor)
            return out
        if passage.scope is None and passage.slots.keys() == {"family"}:
            said = passage.slots["family"]
            scope = Scope("family", said.start, said.end, families=(said.value,))
            out = list(passages)
            out[number] = Passage("change", {}, scope, times=factor)
            return out
    if passages:
        return passages
    start, end = match.span()
    return [Passage("change", {}, Scope("that", start, end), times=factor)]


def _split(folded: str, passages: list[Passage], one: bool) -> list[Passage]:
    behind = _ON_HALF.search(folded)
    half = _HALF.search(folded)
    if half is not None and _ANOTHER_HALF.match(folded[half.start() :]):
        half = None
    out: list[Passage] = []
    for passage in passages:
        told = passage.slots.keys() & _CHANGED
        lone = passage.slots.get("qty")
        if (
            lone is not None
            and not told
            and passage.action == "change"
            and _is_part(folded, lone)
            and _BROKEN.match(folded[lone.end :])
        ):
            continue  # "4 of them are dead" counts no luminaires
        if passage.action not in ("change", "state") or not told or passage.more:
            out.append(passage)
            continue
        count = passage.slots.get("qty")
        begins = min(said.start for slot, said in passage.slots.items() if slot in told)
        scope = passage.scope
        if count is None and behind is not None and begins < behind.start() and scope is None:
            out.append(replace(passage, action="split", times=0.5))  # "motion on half"
            behind = None
        elif (
            count is None
            and half is not None
            and half.start() < begins
            and not (scope is not None and scope.kind in ("all", "others"))
        ):
            out.append(replace(passage, action="split", times=0.5))
            half = None
        elif (
            count is not None
            and (_is_part(folded, count) or (one and scope is None and _are_so(folded, count)))
            and (scope is None or scope.kind in ("family", "that"))
        ):
            slots = passage.slots
            if (
                "family" in slots
                and scope is None
                and slots["family"].start - count.end < 16
                and not _ARE.search(folded[count.start : slots["family"].start])
            ):
                # "4 of the wallpacks are 480": the family only says which
                said = slots["family"]
                scope = Scope("family", said.start, said.end, families=(said.value,))
                slots = {slot: held for slot, held in slots.items() if slot != "family"}
            out.append(
                replace(passage, action="split", slots=slots, scope=scope)
                if slots.keys() - {"qty"}
                else passage
            )
        else:
            out.append(passage)
    return out


_ARE = re.compile(
    r"(?<![a-z])(?:are|is|r|should be|were|son|really|actually|need to be|supposed to be)(?![a-z])"
)


_WISHED = re.compile(
    r"(?<![a-z])(?:add|need|want|plus|also|quote|price|another|more|get me|throw in|agrega|ocupo|quiero|necesito)[^.;,]{0,14}$"
)
_OF_A_KIND = re.compile(
    r"[ -]*(?:of|de) (?:the|our|my|los|las) [a-z0-9 -]{2,24}? (?:are|r|is|need|needs|get|gets|have|should|go|on|at|up|in|over|with|run|were|will|son|van|estan|tienen|llevan)(?![a-z])"
)


_OPENS = re.compile(r"(?:^|[.;,!?]) *(?:(?:ok|okay|so|and|but|about|like|oh|also|actually|y|pero) )*$")
_BE_SO = re.compile(
    r" (?:are|r|need|needs|have to be|got to be|get|should be|go|son|van|llevan|ocupan)(?![a-z])"
)


def _are_so(folded: str, count: Said) -> bool:
    """Whether a clause tells of so many what they are: "4 are 175", of seven that are there."""
    return _BE_SO.match(folded, count.end) is not None and _OPENS.search(folded, 0, count.start) is not None


def _is_part(folded: str, count: Said) -> bool:
    """Whether a count is one of those that are there: "4 of them are", "3 of the floods are"; not "6 of the same"."""
    behind = folded[count.start : count.end + 40]
    if "same" in behind[:24] or _WISHED.search(folded[: count.start]):
        return False
    if _PART_BEHIND.search(folded[count.start : count.end]) is not None or _OF_THEM.match(
        folded[count.end :]
    ):
        return _THEM_NAMED.search(behind) is not None or _OF_A_KIND.search(behind) is not None
    return False


_THEM_NAMED = re.compile(r"(?:of|de) ?(?:them|those|these|em|ellos|ellas|esos|esas)(?![a-z])")
