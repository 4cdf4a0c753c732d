"""What is said once and holds for several lines: families and lamps for their neighbours, parts of a whole, trailing words."""

from dataclasses import replace
from itertools import pairwise

from bot.reading.fitting import makes_sense
from bot.reading.joins import public
from bot.reading.message import Said
from engine.vocabulary import LINEAR_SOURCES

_HANDED = ("family", "size", "source", "lamps", "lamp_feet")
_FALLBACK = ("family", "size")
_IDENTITY = frozenset({"qty", "family", "size"})
_COPY_NEVER = frozenset({"qty"})
_TRAILING = ("voltage", "height_ft", "cct_k", "finish", "mount", "controls", "cri")
_WISHES = frozenset({"voltage", "cct_k", "finish", "controls", "cri"})
"""What is wished of a whole list when it is said behind it, whatever the types."""
Slots = dict[str, Said]


_LAMP = ("source", "watts", "lamps", "lamp_feet", "size")


def _by_length(slots: Slots) -> bool:
    """Whether the length of its tubes alone tells a count from the one before."""
    placed = slots.get("_placed")
    return placed is not None and placed.value == "length"


def _lamp_of_both(before: Slots, slots: Slots) -> None:
    """Give a lamp that is said behind the second count of a type to the first: "7 wall packs in front, 5 in back, 70 W HPS"."""
    if not {"_placed", "_part"} & slots.keys():
        return
    if _by_length(slots):
        return
    if "_part" in slots and "source" in slots and "watts" in before:
        before.setdefault("source", slots["source"])
    if any(slot in before for slot in _LAMP[:3]):
        return
    for slot in _LAMP:
        if slot in slots:
            before.setdefault(slot, slots[slot])


def _of_the_whole(slots: Slots, first: Slots) -> None:
    """Give a part what was said of the whole: it stands before the first part's count."""
    count = first.get("qty")
    if count is None or first is slots:
        return
    for slot, said in first.items():
        if said.start < count.start and not slot.startswith("_"):
            slots.setdefault(slot, said)


def _hand_back(lines: list[Slots]) -> None:
    """Give counts of places what is named behind the last of them: "6 on the front, 4 on each side, 8 out back, wall packs 250 MH"."""
    first = next((n for n, slots in enumerate(lines) if "family" in slots or "size" in slots), 0)
    if first < 2:
        return
    part = lines[first].get("_part")
    low = 0 if part is None else first - int(part.value)
    if low < 0 or (part is None and any("_placed" not in lines[n] for n in range(first + 1))):
        return
    if any(public(lines[n]).keys() & {"source", "watts", "lamps"} for n in range(low, first)):
        return
    if part is not None and any("_part" not in lines[n] for n in range(low + 1, first)):
        return
    for n in range(low, first):
        for slot in (*_HANDED, "watts"):
            if slot in lines[first]:
                lines[n].setdefault(slot, lines[first][slot])


def hand_out(lines: list[Slots]) -> None:
    """Hand families and lamps that are said once to the neighbours that lack them."""
    _hand_back(lines)
    _spread_fragments(lines)
    _hand_on(lines)
    _led_list(lines)


def trailing(lines: list[Slots], folded: str) -> None:
    """Give what is said at the end of a list to all of it: "8 heads type III, 6 heads type V, 25 ft", "10 packs and 6 floods, 4000K please"."""
    if len(lines) < 2 or any("qty" not in slots for slots in lines):
        return
    last = lines[-1]
    if "\n" in folded[lines[0]["qty"].start : last["qty"].start]:
        return
    families = {slots["family"].value if "family" in slots else None for slots in lines}
    alike = len(families) == 1 and None not in families
    # "3 150w and 3 250w floods 30 ft up": the word for both stands behind both counts, and so does what follows it
    named = {slots["family"].start for slots in lines} if alike else set()
    one_word = len(named) == 1 and max(named) > last["qty"].start
    # "14 shoeboxes (6 400w, 8 1000w) halide 480v": the parts stand in brackets, what is said behind them is of the whole
    word = min(named, default=len(folded))
    bracketed = len(named) == 1 and "(" in folded[word : lines[0]["qty"].start]
    for slot in _TRAILING:
        said = last.get(slot)
        if said is None or any(slot in slots for slots in lines[:-1]):
            continue
        if not alike and slot not in _WISHES:
            continue
        own = max(
            other.end for name, other in public(last).items() if name not in _TRAILING and name != "optic"
        )
        apart = (
            one_word
            or (bracketed and ")" in folded[last["qty"].end : said.start])
            or _set_apart(folded, own, said)
        )
        if said.start > own and apart and _beyond(lines, folded, own, said):
            for slots in lines[:-1]:
                if alike:
                    slots[slot] = said
                elif makes_sense(slot, said.value, _values(slots)):
                    slots[slot] = replace(said, others=(None,), why="it may be meant of the last type alone")
    source = last.get("source")
    if (
        alike
        and len(named) == 1
        and source is not None
        and source.start > last["qty"].start
        and all("source" not in slots for slots in lines[:-1])
    ):
        # "75 troffers, 50 are 3 lamp, 25 are 4 lamp, T8": parts of one whole have one kind of lamp
        own = max(
            (
                other.end
                for name, other in public(last).items()
                if name != "source" and other.start < source.start
            ),
            default=source.start,
        )
        if _set_apart(folded, own, source):
            for slots in lines[:-1]:
                slots["source"] = source
    _lamp_behind_all(lines, folded)


def _set_apart(folded: str, own: int, said: Said) -> bool:
    """Whether a mark parts what is said from the type before it, and it ends the sentence or the message."""
    behind = folded[said.end :].lstrip(" ")
    return any(mark in folded[own : said.start] for mark in (",", ";", " / ", " - ", " -- ", " + ")) and (
        not behind
        or behind[0] in ".;,\n!)?"
        or behind.startswith(_BEHIND_ALL)
        or (behind.startswith(("in ", "en ")) and not behind.startswith(_THERE))
    )


_BEHIND_ALL = ("/ ", "please", "pls", "plz", "por favor", "thanks", "thx", "gracias", "- ", "(", "for a ", "for an ", "for our ", "for my ",
               "para un", "at a ", "at an ", "at our ", "and what", "and how", "what", "how ", "cuanto", "y cuanto", "y que ", "asap")  # fmt: skip
"""What says no more of the type before it: who it is for, what is asked."""
_THERE = ("in back", "in the ", "in front", "in there", "en el ", "en la ", "en los ", "en las ")
"""Places that may be those of the last type alone."""

_STRONG = (". ", ";", "|", " / ", " -- ", "\u2022")


def _beyond(lines: list[Slots], folded: str, own: int, said: Said) -> bool:
    """Whether what is said last stands outside the last item: behind its brackets, and behind a mark as strong as the list's own."""
    begin = lines[-1]["qty"].start
    if folded.count("(", begin, said.start) > folded.count(")", begin, said.start):
        return False
    ends = [other.end for slots in lines[:-1] for other in public(slots).values() if other.end <= begin]
    first = min(slots["qty"].start for slots in lines)
    listed = [mark for mark in _STRONG if folded.find(mark, max(ends, default=first), begin) >= 0]
    return not listed or any(mark in folded[own : said.start] for mark in listed)


def _values(slots: Slots) -> dict[str, object]:
    return {slot: said.value for slot, said in slots.items()}


def _lamp_behind_all(lines: list[Slots], folded: str) -> None:
    """Give the lamp behind a list to all its types, where none has one of its own: "10 packs and 6 floods, 250 W MH"."""
    last = lines[-1]
    names = [last[slot].end for slot in ("qty", "family", "size") if slot in last]
    lamp = [
        slot
        for slot in ("source", "watts", "lamps", "lamp_feet")
        if slot in last and last[slot].start >= max(names)
    ]
    if not {"source", "watts"} & set(lamp) or "family" not in last:
        return
    if "source" in lamp and (_source_of_parts(lines, folded) or _source_behind_all(lines, folded)):
        return
    if any(
        ("family" not in slots and "size" not in slots)
        or any(slot in slots and slots[slot] is not last.get(slot) for slot in ("source", "watts"))
        for slots in lines[:-1]
    ):
        return
    first = min(last[slot].start for slot in lamp)
    if not any(mark in folded[max(names) : first] for mark in (",", " - ", "(", ":")):
        return
    if "." in folded[lines[0]["qty"].start : first] or any(
        "led_watts" in slots or "_led" in slots for slots in lines
    ):
        return
    tubes = "source" in lamp and last["source"].value in LINEAR_SOURCES
    for slots in lines[:-1]:
        if (
            all(makes_sense(slot, last[slot].value, _values(slots)) for slot in lamp)
            and ("family" not in slots or slots["family"].value != "exit")
            and not (tubes and "family" in slots and slots["family"].value not in _HOLD_TUBES)
        ):
            for slot in lamp:
                slots.setdefault(
                    slot, replace(last[slot], others=(None,), why="it may be meant of the last type alone")
                )


def _source_of_parts(lines: list[Slots], folded: str) -> bool:
    """Give the kind of lamp behind the last of counted watts to all, where one word before them names what they are: "cobra heads, 40 of the 100 watt and 15 of the 200 watt HPS"."""
    last = lines[-1]
    said, word = last["source"], last["family"]
    if "watts" not in last or said.start < last["watts"].end or word.start > lines[0]["qty"].start:
        return False
    if any(
        "source" in slots or "watts" not in slots or slots.get("family") is not word for slots in lines[:-1]
    ):
        return False
    joined = {"and", "&", "y", "+", "plus", "n"}.isdisjoint(
        folded[lines[-2]["qty"].end : last["qty"].start].split()
    )
    for slots in lines[:-1]:
        slots["source"] = (
            replace(said, others=(None,), why="it may be meant of the last type alone") if joined else said
        )
    return True


def _source_behind_all(lines: list[Slots], folded: str) -> bool:
    """Give the kind of lamp behind a list whose watts were said of each: "10 packs 250w and 6 floods 400w, halide"."""
    last = lines[-1]
    said = last["source"]
    if any("source" in slots or "watts" not in slots or "family" not in slots for slots in lines[:-1]):
        return False
    if "watts" not in last or said.start < last["watts"].end:
        return False
    own = max(other.end for name, other in public(last).items() if other.end <= said.start)
    if not any(mark in folded[own : said.start] for mark in (",", " - ", "(")):
        return False
    if not all(makes_sense("source", said.value, _values(slots)) for slots in lines[:-1]):
        return False
    for slots in lines[:-1]:
        slots["source"] = replace(said, others=(None,), why="it may be meant of the last type alone")
    return True


def _other_kind(before: Slots, slots: Slots) -> bool:
    return "family" in slots and "family" in before and slots["family"].value != before["family"].value


_OF_TUBES = frozenset({"strip", "wrap", "troffer", "panel"})
_DISCHARGE = frozenset({"MH", "PSMH", "HPS", "MV", "LPS", "CMH"})


def _holds_none(before: Slots, slots: Slots) -> bool:
    """Whether the type before takes tubes and this one has another lamp: "12 T8 strips; yard - 4 HPS 400"."""
    family, source = before.get("family"), slots.get("source")
    return (
        family is not None and source is not None and family.value in _OF_TUBES and source.value in _DISCHARGE
    )


_HOLD_TUBES = _OF_TUBES | {"vapor_tight", "high_bay", "low_bay", "garage", "sign"}


def _tubes_beside(slots: Slots, after: Slots) -> bool:
    """Whether a line told by its tubes stands before a type that takes none: "8 four foot 2 lamp and 3 quartz floods"."""
    family = after.get("family")
    tubes = "lamp_feet" in slots or ("lamps" in slots and slots["lamps"].value > 1)
    return tubes and family is not None and family.value not in _HOLD_TUBES and "lamps" not in after


_JOINED = 5
"""Characters of " and " at most: nothing else stands between."""


def _lamps_side_by_side(slots: Slots, after: Slots) -> bool:
    """Whether two counts with a lamp each share the name behind the second: "seven 100 W HPS and eleven 70 W HPS wall packs"."""
    named, count = after.get("family"), after.get("qty")
    if named is None or count is None or not slots.keys() <= {"qty", "watts", "source", "_score"}:
        return False
    lamps = [after[slot] for slot in ("watts", "source") if slot in after]
    if len(lamps) < 2 or after["source"].value != slots["source"].value or "qty" not in slots:
        return False
    ended = max(said.end for said in public(slots).values())
    return (
        0 < count.start - ended <= _JOINED
        and count.start < min(said.start for said in lamps)
        and 0 <= named.start - max(said.end for said in lamps) <= 1
    )


def _colour_told(only: object, before: Slots) -> object:
    """The slots that are the same, "color" being that of the light where nothing was said of the paint."""
    if isinstance(only, tuple) and "finish" in only and "finish" not in before and "cct_k" in before:
        return (*only, "cct_k")
    return only


def _hand_on(lines: list[Slots]) -> None:
    """Go through the lines and give each what its neighbour has."""
    for index, slots in enumerate(lines):
        before = lines[index - 1] if index else None
        after = lines[index + 1] if index + 1 < len(lines) else None
        if before is not None and "keep_housing" in before and _by_length(slots):
            slots.setdefault("keep_housing", before["keep_housing"])  # "100 4 ft LED tubes and 20 8 ft"
        if "_part" in slots and "_same" in slots and before is not None:
            _lamp_of_both(before, slots)
        if "_part" in slots and "_same" not in slots:
            _of_the_whole(slots, lines[max(0, index - int(slots["_part"].value))])
            if before is not None and slots.get("family") is before.get("family"):
                _lamp_of_both(before, slots)
                if "source" in before and "watts" in slots:
                    slots.setdefault("source", before["source"])
        if "_same" in slots and before is not None:
            only = _colour_told(slots["_same"].value, before)
            for slot, said in before.items():
                if isinstance(only, tuple) and slot not in only:
                    continue
                if (
                    slot not in slots
                    and slot not in _COPY_NEVER
                    and not (slot == "size" and _other_kind(before, slots))
                ):
                    slots[slot] = said
            if "qty" in slots and not {"family", "size", "_noun"} & slots.keys():
                # "11 of them, same lamp": the kind is that of the line before
                slots.update({slot: before[slot] for slot in _FALLBACK if slot in before})
            continue
        if (
            "family" in slots
            or "size" in slots
            or "_noun" in slots
            or not ("qty" in slots or "watts" in slots)
        ):
            continue
        if before is not None and ("family" in before or "size" in before) and not _holds_none(before, slots):
            _lamp_of_both(before, slots)
            lone = "source" not in slots and "watts" not in slots and "lamps" not in slots
            for slot in _HANDED if lone else _FALLBACK:
                if slot in before and slot not in slots and not (slot == "size" and _by_length(slots)):
                    slots[slot] = before[slot]
            _headed(before, slots)
            if lone and "watts" in before:
                slots.setdefault("watts", before["watts"])
            elif "source" in before and "source" not in slots:
                slots["source"] = before["source"]
        elif after is not None and "source" in slots:
            if _lamps_side_by_side(slots, after):
                slots["family"] = after["family"]
        elif after is not None and ("family" in after or "size" in after) and not _tubes_beside(slots, after):
            for slot in (*_HANDED, "watts"):
                if slot in after and slot not in slots:
                    slots[slot] = after[slot]


_OF_A_HEAD = (
    "voltage",
    "height_ft",
    "finish",
    "mount",
    "controls",
    "optic",
    "cct_k",
    "cri",
    "damp_or_wet",
    "dark_sky",
)


def _headed(before: Slots, slots: Slots) -> None:
    """Give a part what was told of the kind before the first count: "floods are bronze on 480, 6 of the 400s and 9 of the 250s"."""
    family, count = before.get("family"), before.get("qty")
    if family is None or count is None or slots.get("family") is not family or family.start > count.start:
        return
    for slot in _OF_A_HEAD:
        said = before.get(slot)
        if said is not None and family.start < said.start < count.start:
            slots.setdefault(slot, said)


def _led_list(lines: list[Slots]) -> None:
    """Where an LED kind is named once for a list its later items are LED too: "LED wall packs: 12 at 40 W, 6 at 80 W"."""
    for before, slots in pairwise(lines):
        family = slots.get("family")
        if (
            "led_watts" in before
            and "watts" in slots
            and not {"source", "led_watts", "lamps"} & (slots.keys() | before.keys() - {"led_watts"})
            and family is not None
            and before.get("family") is family
        ):
            slots["led_watts"] = slots.pop("watts")


def _spread_fragments(lines: list[Slots]) -> None:
    """What stands alone without a count or a luminaire ("mostly T8 here") holds for the types that do not say it."""
    if len(lines) < 2:
        return
    whole = [slots for slots in lines if slots.keys() & _IDENTITY]
    given: Said | None = None
    for slots in [slots for slots in lines if not slots.keys() & _IDENTITY]:
        if not whole:
            return
        controls = slots.get("controls")
        if controls is not None and given is not None:
            controls = both(given, controls)
        for line in whole:
            if controls is not None and given is not None and line.get("controls") is given:
                line["controls"] = controls
            for slot, said in slots.items():
                if slot not in line and not slot.startswith("_"):
                    line[slot] = said
        given = controls or given
        lines.remove(slots)


def both(one: Said, two: Said) -> Said:
    """Controls that two clauses state as one: "We don't want motion sensors, just photocells"."""
    members = tuple(dict.fromkeys((*one.value, *two.value)))
    return replace(two, value=tuple([member for member in members if member != "none"]) or ("none",))
