"""From stretches to lines: groups are found by the search, what is shared is written into each line it covers."""

import re
from dataclasses import replace
from typing import Any, Literal

from bot.reading.atoms import Atom
from bot.reading.clause import Work
from bot.reading.fitting import makes_sense
from bot.reading.handing import both, hand_out, trailing
from bot.reading.joins import Slots as Slots
from bot.reading.joins import (
    drop_orphans,
    drop_totals,
    join_uncounted,
    led_heading,
    merge_counts,
    panels_by_size,
)
from bot.reading.joins import public as public
from bot.reading.left_out import without_left_out
from bot.reading.mentions import Mention, Option
from bot.reading.message import Passage, Said, Scope
from bot.reading.on_poles import on_poles, poles_of
from bot.reading.padding import unpadded
from bot.reading.scopes import Stretch
from bot.reading.search import Found, Group, search
from bot.reading.text import fold


def said_of(group: Group, found: Found, index_of: dict[int, int], number: int = -1) -> Slots:
    """The group's slots with their places, margins and, where the margin is small, what else they could be."""
    out: Slots = {}
    for pick in group.picks:
        close = found.margins.get(index_of[id(pick.mention)])
        for slot, value in pick.option.slots:
            kept: Any = group.slots.get(slot, value)
            margin, why = 9.0, ""
            others: tuple[Any, ...] = ()
            if pick.mention.others and slot == pick.option.slots[0][0]:
                others, why, margin = pick.mention.others, "it was said both ways", 1.0
            if close is not None:
                margin = min(margin, close[0])
            old = out.get(slot)
            if old is not None and old.rule != "lexicon" and slot != "controls":
                continue
            if slot == "qty":
                out["_score"] = Said(pick.option.score, pick.mention.start, pick.mention.end)
            out[slot] = Said(
                kept, pick.mention.start, pick.mention.end, others, why, margin, pick.option.rule
            )
    for slot, value in found.rivals.get(number, {}).items():
        said = out.get(slot)
        if said is not None and value not in said.others:
            out[slot] = said.doubted(
                (*said.others, value), "it may belong to another of the types", min(said.margin, 0.5)
            )
    for aside in group.asides:
        for slot, value in aside.option.slots:
            said = out.get(slot)
            if said is not None and said.value != value and not slot.startswith("_"):
                count = out.get("qty")
                if (
                    slot == "family"
                    and count is not None
                    and said.end <= count.start
                    and 0 <= aside.mention.start - count.end <= 1
                ):
                    # "parking lot lights: 14 floods": what stands behind the count is what is counted
                    value, said = (
                        said.value,
                        replace(said, value=value, start=aside.mention.start, end=aside.mention.end),
                    )
                others = (*said.others, value) if value not in said.others else said.others
                out[slot] = said.doubted(others, "two values were given", min(said.margin, 0.5))
    return out


def groups_of(mentions: list[Mention], loose: bool = False) -> list[Slots]:
    """Deal mentions into groups."""
    if not mentions:
        return []
    found = search(mentions, loose=loose)
    index_of = {id(mention): index for index, mention in enumerate(mentions)}
    return [said_of(group, found, index_of, number) for number, group in enumerate(found.groups)]


def led_asked(slots: Slots) -> None:
    """Where an LED is asked for directly its watts are those of the LED, and there is no source."""
    if "_led" in slots and "watts" in slots and "source" not in slots:
        slots["led_watts"] = slots.pop("watts")


def _hang(slots: Slots, poles: list[Atom], stop: int) -> None:
    """Watts on a pole are an area head."""
    if poles and "family" not in slots and "watts" in slots and "size" not in slots:
        hung = on_poles(slots["watts"], poles, stop) if slots.get("mount") is None else None
        if hung is not None:
            slots["family"] = hung


def _mend(slots: Slots, garage: Atom | None) -> None:
    """What follows from two slots together: a 54 W T5 is a high-output one."""
    source, watts = slots.get("source"), slots.get("watts")
    if (
        source is not None
        and watts is not None
        and source.value == "T5"
        and watts.value in (24, 39, 49, 54, 80)
    ):
        slots["source"] = replace(source, value="T5HO", rule="watts of a T5HO")
    length, family = slots.get("lamp_feet"), slots.get("family")
    if (
        length is not None
        and family is not None
        and length.rule == "lamp length"
        and family.value in _WITHOUT_TUBES
        and "height_ft" not in slots
        and length.value >= 6
    ):
        # "bollards ... 8'" in a list with strips
        slots["height_ft"] = replace(slots.pop("lamp_feet"), rule="height")
    if garage is not None and "family" not in slots and "_noun" in slots and "qty" in slots:
        slots["family"] = Said("garage", garage.start, garage.end, rule="fixtures of a garage")


_WITHOUT_TUBES = frozenset(
    {
        "wall_pack",
        "area",
        "street",
        "flood",
        "bollard",
        "post_top",
        "security",
        "canopy",
        "landscape",
        "downlight",
    }
)
"""Families of which a length is none of a tube."""
_SIZES = {"2x2": 4.0, "1x4": 4.1, "2x4": 8.0}
_BY = {"size": ("size", "watts", "height_ft"), "height_ft": ("height_ft", "watts")}


def told_by(scope: Scope, lines: list[Slots]) -> Scope:
    """What "the low ones" or "the big ones" means among the lines of a first message, by the first slot that tells them apart."""
    if scope.spots or not (scope.lowest or scope.highest):
        return scope
    for slot in _BY.get(scope.lowest or scope.highest, (scope.lowest or scope.highest,)):
        ranked = sorted(
            {
                (_SIZES.get(str(said.value), 0.0) if slot == "size" else float(said.value), said.value)
                for line in lines
                if (said := line.get(slot)) is not None
            }
        )
        if len(ranked) > 1:
            value = ranked[0 if scope.lowest else -1][1]
            bare = replace(scope, lowest="", highest="")
            if slot == "size":
                return replace(bare, size=str(value))
            if slot == "height_ft":
                return replace(bare, height_ft=float(value))
            if slot == "watts":
                return replace(bare, watts=float(value))
    return scope


def matches(scope: Scope, slots: Slots) -> bool:
    """Whether a scope covers a line."""
    if scope.kind in ("all", "others"):
        return True
    if scope.spots:
        said = slots.get("qty") or slots.get("family") or slots.get("size")
        return said is not None and said.start in scope.spots
    wanted: list[tuple[str, tuple[Any, ...]]] = []
    if scope.families:
        wanted.append(("family", scope.families))
    for slot in ("source", "watts", "size", "height_ft"):
        value = getattr(scope, slot)
        if value is not None:
            wanted.append((slot, (value,)))
    if not wanted:
        return False
    for slot, values in wanted:
        told = slots.get(slot)
        if slot == "source" and told is not None and "T5" in values and told.value == "T5HO":
            continue
        if told is None or told.value not in values:
            return False
    return True


_OF_A_LAMP = frozenset({"source", "watts", "lamps", "lamp_feet"})


def _without_such_lamp(lines: list[Slots], slots: Slots) -> set[int]:
    """The lines that a lamp said of all can't be meant of: "all 400 MH. Plus 5 sign lights, T12", "... and 5 exit signs"."""
    if "source" not in slots:
        return set()
    lamp = slots["source"].value
    out = {
        index
        for index, line in enumerate(lines)
        if ("source" in line and line["source"].value != lamp)
        or not makes_sense("source", lamp, {slot: said.value for slot, said in line.items()})
    }
    return out if len(out) < len(lines) else set()


def _named(lines: list[Slots], family: Said) -> bool:
    return any("family" in line and line["family"].value == family.value for line in lines)


def _apply(lines: list[Slots], scope: Scope, slots: Slots, excluded: set[int]) -> bool:
    """Write a scoped clause into the lines it covers; ``False`` where none is."""
    hit = False
    senseless = _without_such_lamp(lines, slots) if scope.kind in ("all", "others") else set()
    for index, line in enumerate(lines):
        if not matches(scope, line):
            continue
        if scope.kind in ("all", "others"):
            if index in excluded:
                continue
            for slot, said in slots.items():
                if slot in line or slot.startswith("_") or (index in senseless and slot in _OF_A_LAMP):
                    continue
                line[slot] = said
            hit = True
        else:
            for slot, said in slots.items():
                if (
                    slot == "family"
                    and scope.families
                    and said.value not in scope.families
                    and _named(lines, said)
                ):
                    continue  # "wp are 150 hps fl 400 mh": that is another of the types
                if not slot.startswith("_"):
                    line[slot] = said
            hit = True
    return hit


_EXCEPT = re.compile(
    r"(?<![a-z])(?:except|exept|excepto|menos|salvo|but not|other than|apart from|besides|save for)(?: for)?(?: the| los| las)? ?$"
)


_LONGEST_EXCEPT = 32
"""Characters that hold the longest of them."""


def _last_exception(folded: str, scoped: list[tuple[Stretch, Scope, Slots]]) -> int:
    """Where the words start that make the last scope that is one an exception: "all on photocells except floods on timer"; -1."""
    last = -1
    for _, scope, _ in scoped:
        near = max(0, scope.start - _LONGEST_EXCEPT)
        if (found := _EXCEPT.search(folded[near : scope.start])) is not None:
            last = max(last, near + found.start())
    return last


def _excluded(left_out: list[tuple[int, set[int]]], scope: Scope, folded: str) -> set[int]:
    """The lines that an "except" behind "all" leaves out: it holds in its own sentence alone."""
    out: set[int] = set()
    for start, lines in left_out:
        between = folded[min(scope.end, start) : max(scope.end, start)]
        if not any(mark in between for mark in (". ", ";", "\n", "? ", "! ")):
            out |= lines
    return out


def describe(
    stretches: list[Stretch], rows: list[Slots], work: Work, conversing: bool = False
) -> list[Passage]:
    """The passages of a message: described lines with what is shared written in, then what is left over in scope."""
    mentions: list[Mention] = []
    if not conversing and not rows and all(stretch.scope is not None for stretch in stretches):
        # "all of them are 400 halide shoeboxes": nothing else is described
        stretches = [
            stretch._replace(scope=None)
            if stretch.scope is not None
            and stretch.scope.kind == "all"
            and not stretch.negative
            and not stretch.remove
            else stretch
            for stretch in stretches
        ]
    for stretch in stretches:
        if stretch.scope is None:
            mentions.extend(stretch.mentions)
    lines = groups_of(
        mentions,
        loose=conversing
        and not any("family" in mention.slots or "size" in mention.slots for mention in mentions),
    )
    for slots in lines:
        led_asked(slots)
    lines = join_uncounted(merge_counts(drop_orphans(lines, work)))
    poles = poles_of(work)
    if poles and any("family" in slots for slots in lines):
        # what hangs on poles takes no name from the type before it
        for number, slots in enumerate(lines):
            after = lines[number + 1].get("qty") if number + 1 < len(lines) else None
            _hang(slots, poles, after.start if after is not None else len(work.folded) + 1)
    hand_out(lines)
    if not conversing:
        trailing(lines, unpadded(work.folded).rstrip(" "))
        lines = without_left_out(lines, fold(work.text))  # what was taken back already may be the very words
    drop_totals(lines, work.folded)
    led_heading(lines, work)
    if rows:
        lines = _with_rows(lines, rows)
    garage = next((atom for atom in work.atoms if atom.mean.get("building") == "parking_garage"), None)
    if (
        garage is None
        and work.text_at(0) == "garage"
        and (work.text_at(1) in (":", "-") or work.is_number(1))
    ):
        garage = work.atoms[0]  # a heading: "garage: 44 fixtures"
    if len(lines) > 1 and not conversing:
        panels_by_size(lines, work.text)
    for number, slots in enumerate(lines):
        after = lines[number + 1].get("qty") if number + 1 < len(lines) else None
        _mend(slots, garage)
        _hang(slots, poles, after.start if after is not None else len(work.folded) + 1)
        if "size" in slots and "family" not in slots:
            slots["family"] = replace(slots["size"], value="troffer", rule="size as a noun")
    scoped: list[tuple[Stretch, Scope, Slots]] = []
    left: list[Passage] = []
    for stretch in stretches:
        if stretch.scope is None:
            continue
        parallel = _parallel(stretch.mentions, len(lines)) if stretch.scope.kind == "all" else None
        if parallel is not None:
            slot, values = parallel
            for line, said in zip(lines, values, strict=True):
                line.setdefault(slot, said)
            continue
        dealt = groups_of([_calm(mention) for mention in stretch.mentions], loose=True)
        merged: Slots = {}
        for slots in dealt:
            for slot, said in slots.items():
                known = merged.setdefault(slot, said)
                if slot == "controls" and known is not said:
                    merged[slot] = both(known, said)
        if not conversing and scoped and stretch.scope.kind == scoped[-1][1].kind == "all":
            earlier = scoped[-1][2]
            if "controls" in earlier and "controls" in merged:
                earlier["controls"] = both(earlier["controls"], merged.pop("controls"))
        scoped.append((stretch, stretch.scope, merged))
    # named types first, so that "all ... except" finds what it must leave alone
    left_out: list[tuple[int, set[int]]] = []
    spoken_of: set[int] = set()
    excepting = False
    for stretch in stretches:
        if stretch.remove and stretch.scope is not None:
            kept = [line for line in lines if not matches(stretch.scope, line)]
            if len(kept) == len(lines) or not kept:
                left.append(Passage("remove", {}, stretch.scope))
            else:
                lines = kept
    for stretch, named, slots in scoped:
        scope = named if conversing else told_by(named, lines)
        if scope.kind in ("all", "others") or stretch.remove:
            continue
        if stretch.negative and not slots:
            if conversing:
                left.append(Passage("change", {}, scope))
            left_out.append(
                (scope.start, {index for index, line in enumerate(lines) if matches(scope, line)})
            )
        elif not _apply(lines, scope, slots, set()):
            left.append(Passage("change", slots, scope))
        elif not conversing and stretch.hard and slots:
            spoken_of |= {index for index, line in enumerate(lines) if matches(scope, line)}
    if len(spoken_of) == len(lines):
        spoken_of = set()
    last_exception = _last_exception(work.folded, scoped) if conversing else -1
    for _, scope, slots in scoped:
        # "troffers T8, the others 400 MH": the others are not those spoken of just now
        apart = spoken_of if scope.kind == "others" else _excluded(left_out, scope, work.folded)
        if scope.kind not in ("all", "others"):
            continue
        if conversing and _only_told(lines):
            # "floods 250 hps, the rest 400 mv", "everything bronze, floods 480": it is said of the whole job
            whole = any(
                line[slot].value != said.value
                for line in lines
                for slot, said in slots.items()
                if slot in line
            )
            kind: Literal["all", "others"] = "others" if whole else scope.kind
            left.append(Passage("change", slots, replace(scope, kind=kind)))
        elif not _apply(lines, scope, slots, apart):
            if scope.kind == "all" and (
                any(stretch.negative for stretch in stretches) or (conversing and scope.end <= last_exception)
            ):
                # what was named in the same breath is left alone: "everything except the canopies"
                excepting = excepting or not any(stretch.negative for stretch in stretches)
                scope = replace(scope, kind="others")
            left.append(Passage("change", slots, scope))
    if conversing and not excepting and not any(stretch.negative for stretch in stretches):
        # in a talk what is said later stands: "photocells on everything, none on the canopy"
        left.sort(key=lambda passage: passage.scope.start if passage.scope is not None else 0)
    passages = [Passage("state", slots) for slots in lines if public(slots)]
    spared = [stretch.scope for stretch in stretches if stretch.negative and stretch.scope is not None]
    if (
        conversing
        and spared
        and lines
        and not any({"family", "size", "qty"} & slots.keys() for slots in lines)
    ):
        # "photocells, except the canopy": of all the others
        start = min(said.start for slots in lines for said in slots.values())
        passages = [Passage("change", {}, scope) for scope in spared]
        passages += [
            Passage("change", slots, Scope("others", start, start + 1)) for slots in lines if public(slots)
        ]
    passages.extend(left)
    return passages


def _only_told(lines: list[Slots]) -> bool:
    """Whether all that a message of a talk describes are types of the job, named and not counted."""
    return bool(lines) and all("family" in line and "qty" not in line for line in lines)


def _with_rows(lines: list[Slots], rows: list[Slots]) -> list[Slots]:
    """The prose around a table: attributes hold for every row; a type of its own is a line of its own."""
    out: list[Slots] = list(rows)
    for slots in lines:
        if "qty" in slots:
            out.append(slots)
            continue
        family = slots.get("family")
        of_it = [row for row in rows if family is not None and _same_family(row, family)]
        for row in of_it or rows:
            for slot, said in slots.items():
                if not slot.startswith("_"):
                    row.setdefault(slot, said)
    return out


def _same_family(row: Slots, family: Said) -> bool:
    """Whether a row is of the family that the prose names: "wall packs bronze"."""
    return "family" in row and row["family"].value == family.value


def _calm(mention: Mention) -> Mention:
    """A mention inside a scoped clause: a bare number there is hardly a count."""
    if len(mention.options) < 2:
        return mention
    options = []
    for option in mention.options:
        if option.slots and option.slots[0][0] == "qty" and option.rule == "bare count":
            options.append(Option(option.slots, option.score - 3.0, option.rule))
        elif option.slots and option.slots[0][0] in ("voltage", "cct_k", "height_ft"):
            options.append(Option(option.slots, option.score + 0.5, option.rule))
        else:
            options.append(option)
    options.sort(key=lambda option: -option.score)
    return mention._replace(options=tuple(options))


def _parallel(mentions: list[Mention], count: int) -> tuple[str, list[Said]] | None:
    """One slot given once a line, in the order of the lines: "18 ft & 22 ft"."""
    if count < 2 or len(mentions) != count:
        return None
    firsts = [mention.options[0].slots[:1] for mention in mentions]
    if any(not first for first in firsts):
        return None
    names = {first[0][0] for first in firsts}
    values = [first[0][1] for first in firsts]
    if len(names) != 1 or len(set(values)) == 1:
        return None
    name = names.pop()
    if name == "qty":
        return None
    return name, [
        Said(value, mention.start, mention.end, rule="in turn")
        for value, mention in zip(values, mentions, strict=True)
    ]
