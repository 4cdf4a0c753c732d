"""Which described types are one and the same, and which counts are of no type at all."""

import re
from dataclasses import replace
from itertools import pairwise
from typing import Any

from bot.reading.clause import Work
from bot.reading.message import Said
from bot.reading.places_behind import beside_each_other

Slots = dict[str, Said]
_WORD = re.compile(r"[a-z0-9]+")


_SURE_COUNT = 2.2
"""Score from which a bare number is a count in its own right."""


def public(slots: Slots) -> Slots:
    """The slots of the public shape."""
    return {slot: said for slot, said in slots.items() if not slot.startswith("_")}


def merge_counts(lines: list[Slots]) -> list[Slots]:
    """Two counts and one luminaire: the weaker count names something else ("truck 12, 8 shoeboxes") and is only a doubt."""
    out: list[Slots] = []
    for slots in lines:
        if out and (merged := _merged(out[-1], slots)) is not None:
            out[-1] = merged
        else:
            out.append(slots)
    return out


def _merged(one: Slots, two: Slots) -> Slots | None:
    """Both as one type, where they differ in their counts only and one of the counts is weak; else ``None``."""
    if "qty" not in one or "qty" not in two or "_same" in one or "_same" in two:
        return None
    own = [bool({"family", "size", "_noun"} & slots.keys()) for slots in (one, two)]
    if all(own):
        return None
    differing = {slot for slot in one.keys() & two.keys() if one[slot].value != two[slot].value} - {
        "qty",
        "_score",
    }
    if differing:
        return None
    if "_placed" in one or "_placed" in two:
        return None
    scores = [float(slots["_score"].value) for slots in (one, two)]
    weak, strong = (one, two) if scores[0] < scores[1] else (two, one)
    if min(scores) >= _SURE_COUNT:
        return None
    merged = {**weak, **strong}
    others = (*strong["qty"].others, weak["qty"].value)
    merged["qty"] = replace(strong["qty"], others=others, why="two counts were given", margin=0.5)
    return merged


def drop_orphans(lines: list[Slots], work: Work) -> list[Slots]:
    """Leave out bare numbers that stand before the first luminaire in a sentence of their own.

    As in "a crew of 6 and we hang 12 a day. 44 high bays": where luminaires are counted later, those count none.
    """
    first = next((n for n, slots in enumerate(lines) if "qty" in slots and _kind(slots) is not None), None)
    if not first:
        return lines
    start = min(said.start for slot, said in lines[first].items() if slot in ("qty", "family", "size"))
    kept = []
    for slots in lines[:first]:
        bare = not public(slots).keys() - {"qty", "watts", "height_ft", "voltage"} and all(
            said.rule.startswith("bare") for said in public(slots).values()
        )
        end = max((said.end for said in public(slots).values()), default=0)
        apart = any(mark in work.folded[end:start] for mark in (". ", ".\n", "\n", ";", "! ", "? "))
        if not ("_noun" not in slots and "_same" not in slots and bare and apart):
            kept.append(slots)
    return kept + lines[first:]


def join_uncounted(lines: list[Slots]) -> list[Slots]:
    """A type without a count, of the kind of an earlier counted one that it contradicts in nothing, is that one again.

    As in "a dozen jars and six floods, jars are 13 W, floods 150 halide".
    """
    out: list[Slots] = []
    uncounted: list[Slots] = []
    for slots in lines:
        kind = _kind(slots)
        if "qty" not in slots and "size" in slots and "family" not in slots:
            # "fifty flat panels. 2x4, 40W LED": the size of what was counted
            sized = [line for line in out if "qty" in line and "size" not in line]
            held = [
                line for line in sized if line.get("family") and line["family"].value in ("troffer", "panel")
            ]
            if len(held) == 1 and len(out) == 1 and not _differ(held[0], slots):
                for slot, said in slots.items():
                    held[0].setdefault(slot, said)
                continue
        if "qty" not in slots and kind is not None and "_same" not in slots:
            twins = [
                line
                for line in out
                if "qty" in line
                and _kind(line) == kind
                and not any(
                    line[slot].value != said.value
                    for slot, said in slots.items()
                    if slot in line and not slot.startswith("_")
                )
            ]
            if len(twins) == 1:
                for slot, said in slots.items():
                    twins[0].setdefault(slot, said)
                continue
        elif kind is not None and "qty" in slots:
            # a heading names the kind before the count is given: "Re: wall packs"
            heads = [
                line
                for line in uncounted
                if "qty" not in line
                and _kind(line) == kind
                and not public(line).keys() - {"family", "size"}
                and not any(
                    slots[slot].value != said.value
                    for slot, said in line.items()
                    if slot in slots and not slot.startswith("_")
                )
            ]
            for line in heads:
                for slot, said in line.items():
                    slots.setdefault(slot, said)
            if heads:
                out = [line for line in out if not any(line is head for head in heads)]
                uncounted = [line for line in uncounted if not any(line is head for head in heads)]
            bare = not public(slots).keys() - {"qty", "family", "size"}
            earlier = (
                [line for line in uncounted if "qty" not in line and _kind(line) == kind] if bare else []
            )
            if len(earlier) == 1:
                # a count given anew: "12 wall packs 150 W and 6 floods, sorry, 14 wall packs"
                earlier[0].update({slot: said for slot, said in slots.items() if slot not in earlier[0]})
                continue
        out.append(slots)
        if "qty" not in slots:
            uncounted.append(slots)
    return out


def _differ(one: Slots, two: Slots) -> bool:
    return any(one[slot].value != said.value for slot, said in public(two).items() if slot in one)


def _kind(slots: Slots) -> Any:
    """The family that a line names; a bare size is a troffer's."""
    if "family" in slots:
        return slots["family"].value
    return "troffer" if "size" in slots else None


def _whole_list(lines: list[Slots]) -> bool:
    """Whether the first line is only the sum of all others, of whatever kind: "62 fixtures total, 48 are high bays and 14 are strips"."""
    if not 3 <= len(lines) <= 9 or not all("qty" in line for line in lines):
        return False
    first = lines[0]
    if any(line.get("family", line.get("size")) is None for line in lines[1:]):
        return False
    begins, ends = first["qty"].start, lines[1]["qty"].start
    if any(begins < said.start < ends for slot, said in public(first).items() if slot != "qty"):
        return False  # it is described itself
    handed = all(
        slot == "qty" or any(line.get(slot) is said for line in lines[1:])
        for slot, said in public(first).items()
    )
    return handed and sum(line["qty"].value for line in lines[1:]) == first["qty"].value


def _beside(lines: list[Slots], whole: Slots, folded: str) -> bool:
    """Whether a count has a place of its own beside those of the counts behind it, whose sum it happens to be."""
    starts = [*sorted(line["qty"].start for line in lines if "qty" in line), len(folded)]
    spans = list(pairwise(starts))
    first = next((n for n, (low, _) in enumerate(spans) if low == whole["qty"].start), 0)
    return beside_each_other(
        [_WORD.findall(folded[low : min(high, low + 120)]) for low, high in spans[first:]]
    )


def drop_totals(lines: list[Slots], folded: str) -> None:
    """As in "40 wall packs total: 25 are 70 W, 15 are 150 W": the first is the sum of the others and no type of its own."""
    if _whole_list(lines) and not _beside(lines, lines[0], folded):
        lines.pop(0)
        return
    for index, slots in enumerate(lines):
        if "qty" not in slots or "family" not in slots or "_placed" in slots:
            continue
        rest = [
            line
            for line in lines[index + 1 : index + 13]
            if line.get("family") is not None
            and line["family"].value == slots["family"].value
            and "qty" in line
        ]
        apart = any(
            slot in line and line[slot].value != slots[slot].value
            for line in rest
            for slot in ("source", "watts", "height_ft", "lamps", "size")
            if slot in slots
        )
        told = any(
            "_placed" in line
            or "_part" in line
            or line["family"] is slots["family"]
            or public(line).keys() - slots.keys()
            for line in rest
        )
        if (
            len(rest) >= 2
            and told
            and not apart
            and sum(line["qty"].value for line in rest) == slots["qty"].value
            and not _beside([slots, *rest], slots, folded)
        ):
            for line in rest:
                for slot, said in slots.items():
                    line.setdefault(slot, said)
            lines.pop(index)
            return


_MOST_LED_WATTS = 320.0
"""Watts up to which a list headed "LED" is believed to name those of the LEDs."""


def led_heading(lines: list[Slots], work: Work) -> None:
    """Where "LED" heads a list and no lamp is named, its watts are those of the LEDs: "LEDs please: 12 wall packs 40W, 6 floods 100W"."""
    if any("source" in slots for slots in lines) or not any("watts" in slots for slots in lines):
        return
    first = min((slots["qty"].start for slots in lines if "qty" in slots), default=0)
    heads = [
        n
        for n, atom in enumerate(work.atoms)
        if atom.start < first
        and "led" in atom.mean
        and (
            work.text_at(n + 1) in (":", "-", "\n", "please", "pls", "plz", "only", ".")
            or work.text_at(n - 1) in ("all", "everything", "todo", "todos")
        )
        and not any("existing" in work.cue(near) for near in (n - 2, n - 1, n + 1))
    ]
    listed = [slots for slots in lines if "watts" in slots]
    if not heads or any(
        slots["watts"].value > _MOST_LED_WATTS or "lamps" in slots or "price_now" in slots for slots in listed
    ):
        return
    for slots in listed:
        slots["led_watts"] = slots.pop("watts")


def panels_by_size(lines: list[dict[str, Said]], text: str) -> None:
    """Name counts that tell a size and no more after the panels beside them: "10 2x2 and 20 2x4 flat panels", "4 of the 2x4"."""
    for order in (1, -1):
        numbers = list(range(len(lines)))
        if order < 0:
            numbers.reverse()
        for number in numbers:
            beside = number + order
            if not 0 <= beside < len(lines):
                continue
            family, slots = lines[number].get("family"), lines[beside]
            size = slots.get("size")
            if (
                family is None
                or family.value != "panel"
                or "size" not in lines[number]
                or size is None
                or "family" in slots
                or not {"source", "lamps", "watts", "lamp_feet"}.isdisjoint(slots)
                or "s" in text[size.start : size.end + 1].lower()
            ):
                continue
            slots["family"] = replace(
                family, others=("troffer",), why="only the size is told of these", margin=1.0
            )
