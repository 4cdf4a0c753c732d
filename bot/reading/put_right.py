"""A message that does nothing but put right what was said last: "*13", "sorry 22", "actually the boss says 6k".

A figure that comes with words of correction and nothing else is of the slot that the message before set, where it can be;
whatever else it could be is left to what reads figures otherwise.
"""

import math
from dataclasses import replace
from typing import Any, Final

from bot.reading.clause import Work
from bot.reading.late import Late
from bot.reading.message import Known, Passage, Said, Scope
from bot.reading.words import words_of

_FEET_IN_A_METRE: Final = 3.28084
_MOST_ATOMS: Final = 10
_CORRECTS: Final = words_of(
    "* no nope oops whoops typo wrong correction rather actually really digo perdon mejor sino"
)
_THAT: Final = frozenset(
    {"make that", "change that to", "that should be", "should be", "that's", "thats", "should read"}
)
_TELLS: Final = frozenset(
    {
        "family", "family_weak", "pointer", "source", "size", "finish", "controls", "optic", "colour", "mount", "led", "scope",
        "keep_housing", "action", "days", "flag",
    }
)  # fmt: skip
_COUNTING: Final = words_of(
    """count counted counting recounted miscounted recount total lights light fixtures fixture heads head units pieces pcs of them em those
    there theres are more less fewer each walked conte contamos total luces lamparas piezas mas menos hay cuenta son sean quedan"""
)
"""Words with which a figure counts luminaires, or says something of its own."""
_DAY: Final = Late(
    r"(?<![a-z0-9])(?:(?:the )?\d{1,2}(?:st|nd|rd|th)|(?:next )?(?:mon|tues|wednes|thurs|fri|satur|sun)day|next week|tomorrow|end of (?:the )?(?:week|month)|(?:el )?(?:lunes|martes|miercoles|jueves|viernes|sabado|domingo)|manana)(?![a-z0-9])"
)
_DENIES: Final = frozenset(
    {
        "no",
        "not",
        "isnt",
        "isn't",
        "its not",
        "it's not",
        "no son",
        "no es",
        "no eran",
        "arent",
        "aren't",
        "wasnt",
        "wasn't",
    }
)
_OTHERWISE: Final = frozenset({"source", "size", "finish", "controls", "action", "scope"})
_THOSE: Final = Late(
    r" *(?:(?:and|oh|ok|y|so|btw)[ ,]{1,2}){0,2}(?:(?P<those>those|these|they|esos|esas|estos|estas) (?:ones )?(?:are |r |should be |need |get |go |son |van |estan |\d)|(?:theyre|they're) )"
)
_VOLTS: Final = frozenset({110, 115, 120, 127, 208, 220, 230, 240, 277, 347, 440, 460, 480, 600})
_COLOURS: Final = frozenset({2700, 3000, 3500, 4000, 4100, 5000, 5700, 6500})
_WHOLE: Final = frozenset({"voltage", "lamps", "cct_k", "cri"})
_FARTHEST: Final = {
    "height_ft": 0.8, "spacing_ft": 0.8, "watts": 1.2, "led_watts": 1.0, "input_watts": 1.0, "led_lumens": 1.2, "lamps": 1.5, "lamp_feet": 1.5,
    "price_now": 1.1, "rate_per_kwh": 0.8, "demand_rate_per_kw": 1.0, "rebate_per_luminaire": 1.1, "labor_per_luminaire": 1.1, "budget": 1.6,
    "payback_limit_years": 1.5, "cri": 0.4, "cct_k": 1.0, "voltage": 2.0,
}  # fmt: skip
"""How far the logarithms of the old and the new value of a slot may lie apart."""


def corrects(work: Work) -> bool:
    """Whether the message is short and comes with words of correction."""
    if len(work.atoms) > _MOST_ATOMS:
        return False
    return any(
        "fix" in work.cue(index)
        or atom.text in _CORRECTS
        or atom.text in _THAT
        or (index < 2 and atom.text in _DENIES)
        for index, atom in enumerate(work.atoms)
        if atom.text != "make it"
    )


def put_right_last(work: Work, known: Known | None) -> None:
    """Take the one figure of a bare correction for the slot that was said last.

    A job slot is filled at once; of a line slot ``work.flags["put_right"]`` tells which it is.
    """
    if known is None or not known.latest:
        return
    if known.job and len(work.atoms) <= _MOST_ATOMS + 4 and _other_of_two(work, known):
        return
    if not corrects(work):
        if len(known.lines) > 1 and "qty" not in known.latest:
            _goes_on(work, known)
        return
    work.flags["corrects"] = True
    numbers = [index for index in work.numbers if work.is_number(index)]
    if len(numbers) == 1 == numbers[0] and work.text_at(0) == "no" and not _holds(known, work.atoms[1].value):
        # "no 13" says it anew; "no 277" of what is 277 takes it back
        work.atoms[0] = work.atoms[0]._replace(kind="p", mean={"cue": frozenset({"fix"})})
    if len(numbers) == 2 and _instead_of_it(work, known, *numbers):
        return
    if len(numbers) == 1 and _job_slot_denied(work, known, numbers[0]):
        return
    if "instead" in work.flags:
        return
    if "qty" in known.latest:
        return
    again = work.job.get("needed_by")
    if (
        "needed_by" in known.latest
        and (again is None or again.value == known.job.get("needed_by"))
        and len(work.atoms) <= 5
    ):
        days = [day for day in _DAY.finditer(work.folded) if day.group() != known.job.get("needed_by")]
        if len(days) == 1:
            day = days[0]
            work.job["needed_by"] = Said(day.group(), *day.span(), rule="puts right what was said last")
            for index, atom in enumerate(work.atoms):
                if day.start() <= atom.start < day.end():
                    work.used[index] = 1
            return
    if len(numbers) == 2 and work.text_at(numbers[1]) == "mil" and numbers[1] == numbers[0] + 1:
        numbers.pop()
    if len(numbers) != 1:
        _number_of_order(work, known)
        return
    at = numbers[0]
    thousands = work.text_at(at + 1) in ("k", "grand", "mil")
    last = at + 1 if thousands else at
    if (work.unit(at + 1) and not thousands) or any(
        atom.text in _COUNTING or not _TELLS.isdisjoint(atom.mean)
        for index, atom in enumerate(work.atoms)
        if not at <= index <= last
        and "fix" not in work.cue(index)
        and atom.text not in _THAT
        and not (atom.text in ("more", "more like") and index == at - 1)
    ):
        return
    fitting = [
        (far, slot, value)
        for slot, was in known.latest.items()
        if (found := _as_slot(slot, was, work.atoms[at].value, thousands, bool(known.job.get("metric"))))
        is not None
        for far, value in (found,)
    ]
    if not fitting:
        _number_of_order(work, known)
        return
    _far, slot, value = min(fitting, key=lambda one: one[0])
    if slot in known.job:
        work.say(slot, value, at, last, "puts right what was said last")
    elif not thousands:
        work.flags["put_right"] = (at, slot, value)


def _instead_of_it(work: Work, known: Known, first: int, second: int) -> bool:
    """As in "no eran 6 metros, eran 7.5": what stands there is denied in its unit, and the figure behind it takes its place."""
    if work.unit(second + 1) or not any(work.text_at(n) in _DENIES for n in range(max(0, first - 3), first)):
        return False
    was, said, unit = work.atoms[first].value, work.atoms[second].value, work.unit(first + 1)
    slot, new = "", 0.0
    if unit == "m":
        feet = round(was * _FEET_IN_A_METRE, 2)
        slot = next(
            (s for s in ("height_ft", "spacing_ft") for line in known.lines if line.get(s) == feet), ""
        )
        new = round(said * _FEET_IN_A_METRE, 2)
    if not slot:
        return False
    work.use(first, first + 1)
    work.flags["put_right"] = (second, slot, new)
    return True


_WAS = words_of("was were old last wrong outdated expired era eran vieja viejo")
_NOT = words_of("not no isnt isn't wasnt wasn't instead_of rather_than en_vez_de")


def _other_of_two(work: Work, known: Known) -> bool:
    """As in "labor 95 not 85", "11 was last year's rate, 13 now": of two figures the one that the job says is not so any more."""
    numbers = [index for index in work.numbers if work.is_number(index)]
    if len(numbers) == 1 and len(work.numbers) == 2 and work.text_at(numbers[0] + 1) in _WAS:
        value = work.atoms[numbers[0]].value
        if any(known.job.get(slot) in (value, round(value / 100, 6)) for slot in work.job):
            work.use(numbers[0], numbers[0])  # what stands instead is read already
        return False
    if len(numbers) != 2:
        return False
    for old, new in (numbers, numbers[::-1]):
        before, after = work.text_at(old - 1).replace(" ", "_"), work.text_at(old + 1)
        if work.unit(old + 1):
            after = work.text_at(old + 2)
        if not (before in _NOT or before in ("was", "were") or after in _WAS):
            continue
        value = work.atoms[old].value
        if any(held == value for line in known.lines for held in line.values() if not isinstance(held, bool)):
            continue
        for slot, was in known.job.items():
            mine = [value, round(value / 100, 6)] if slot == "rate_per_kwh" else [value, value * 1000]
            if isinstance(was, (int, float)) and not isinstance(was, bool) and was in mine:
                found = _as_slot(slot, was, work.atoms[new].value, False, False)
            elif isinstance(was, dict) and value in (was.get("hours_per_day"), was.get("hours_per_year")):
                found = _as_hours(was, work.atoms[new].value, False)
            else:
                continue
            if found is not None:
                work.say(slot, found[1], new, new, "instead of what was said")
                work.use(old, old)
                return True
    return False


def _job_slot_denied(work: Work, known: Known, at: int) -> bool:
    """As in "no son 11 centavos, son 13": what the job says is said again and denied, and a figure follows it."""
    if work.unit(at + 1) or (work.text_at(0) not in _DENIES and work.text_at(1) not in _DENIES):
        return False
    first = work.numbers[0]
    rate = known.job.get("rate_per_kwh")
    if (
        rate
        and first < at
        and work.unit(first + 1) in (None, "cents")
        and work.atoms[first].value in (rate, round(rate * 100, 4))
    ):
        found = _as_slot("rate_per_kwh", rate, work.atoms[at].value, False, False)
        if found is not None:
            work.say("rate_per_kwh", found[1], at, at, "instead of what was said")
            return True
    for slot, said in work.job.items():
        if said.value is None or said.value != known.job.get(slot) or said.end > work.atoms[at].start:
            continue
        found = _as_slot(slot, said.value, work.atoms[at].value, False, False)
        if found is not None:
            work.say(slot, found[1], at, at, "instead of what was said")
            return True
    return False


def _goes_on(work: Work, known: Known) -> None:
    """As in "and 180 for the floods" behind what is paid for the others: the slot said last goes on with another type."""
    numbers = [index for index in work.numbers if work.is_number(index)]
    if len(numbers) != 1 or len(work.atoms) > _MOST_ATOMS or "join" not in work.atoms[0].mean:
        return
    at = numbers[0]
    named = {str(atom.mean["family"]) for atom in work.atoms if "family" in atom.mean}
    meant = [line for line in known.lines if line.get("family") in named]
    slots = [slot for slot in known.latest if slot in _FARTHEST and slot not in known.job]
    if len(slots) != 1 or len(meant) != 1 or slots[0] in meant[0] or work.unit(at + 1):
        return
    if any(not _OTHERWISE.isdisjoint(atom.mean) or atom.text in _COUNTING for atom in work.atoms):
        return
    said = work.atoms[at].value
    found = _as_slot(slots[0], known.latest[slots[0]], said, False, bool(known.job.get("metric")))
    count = meant[0].get("qty")
    if found is not None and not (count and said and abs(math.log(said / count)) < found[0]):
        work.flags["put_right"] = (at, slots[0], found[1])


def _as_slot(slot: str, was: Any, said: float, thousands: bool, metric: bool) -> tuple[float, Any] | None:
    """How far a figure lies from the value that it may put right, and the new value; ``None`` where it can't."""
    if slot == "schedule":
        return _as_hours(was, said, thousands)
    farthest = _FARTHEST.get(slot)
    if (
        farthest is None
        or isinstance(was, bool)
        or not isinstance(was, (int, float))
        or was <= 0
        or said <= 0
    ):
        return None
    values = [said * 1000 if thousands else said]
    if slot == "rate_per_kwh":
        values.append(said / 100)
    elif slot == "budget" and not thousands and said < 1000:
        values.append(said * 1000)
    elif slot in ("height_ft", "spacing_ft") and metric:
        values = [round(said * _FEET_IN_A_METRE, 2)]
    elif thousands and slot not in ("cct_k", "budget"):
        return None
    far, value = min([(abs(math.log(value / was)), value) for value in values])
    if far > farthest or value == was:
        return None
    if slot in _WHOLE and value != int(value):
        return None
    if (slot == "voltage" and value not in _VOLTS) or (slot == "cct_k" and value not in _COLOURS):
        return None
    if slot == "lamps" and not 1 <= value <= 8:
        return None
    better: Any = int(value) if slot in _WHOLE else round(value, 6)
    return far, better


def _holds(known: Known, value: float) -> bool:
    return any(held == value for line in known.lines for held in line.values() if not isinstance(held, bool))


def _as_hours(was: Any, said: float, thousands: bool) -> tuple[float, Any] | None:
    if not isinstance(was, dict) or thousands or said <= 0:
        return None
    for part, least, most in (("hours_per_day", 1.0, 24.0), ("hours_per_year", 300.0, 8760.0)):
        if part in was and least <= said <= most and said != was[part]:
            return abs(math.log(said / was[part])), {**was, part: said}
    return None


def _number_of_order(work: Work, known: Known) -> None:
    """As in "oops 30587": a number as long as the order number said last."""
    was = known.latest.get("po")
    if not isinstance(was, str) or "po" in work.job:
        return
    for index, atom in enumerate(work.atoms):
        if (
            not work.used[index]
            and atom.kind in ("n", "w", "c")
            and any(char.isdigit() for char in atom.text)
            and len(atom.text) == len(was)
            and atom.text != was.lower()
        ):
            said = work.text[atom.start : atom.end]
            work.say("po", said, index, index, "puts right what was said last")
            return


def _joins(work: Work) -> bool:
    return any(atom.text in ("too", "also", "and", "plus", "as well", "tambien", "y") for atom in work.atoms)


def where_it_was(work: Work, passages: list[Passage], known: Known | None) -> list[Passage]:
    """What a correction says without naming types is meant of those that the slot was last said of: "sorry 20 ft"."""
    if known is None:
        return passages
    those = _THOSE.match(work.folded) if known.joined else None
    if those is not None:
        # "10 sconces too", then "those are white": the types that joined last
        return [
            replace(passage, scope=Scope("that", those.start(), those.end()))
            if passage.action == "change"
            and passage.scope is None
            and passage.slots
            and "qty" not in passage.slots
            else passage
            for passage in passages
        ]
    if not work.flags.get("corrects") or "qty" in known.latest:
        return passages
    out = []
    for passage in passages:
        controls, before = passage.slots.get("controls"), known.latest.get("controls")
        if controls is not None and before and controls.value and not controls.without and not _joins(work):
            without = tuple([one for one in before if one not in controls.value])
            passage = replace(
                passage, slots={**passage.slots, "controls": replace(controls, without=without)}
            )
        if (
            len(known.lines) > 1
            and passage.action == "change"
            and passage.scope is None
            and passage.slots
            and not passage.labels
            and all(slot in known.latest and slot != "qty" for slot in passage.slots)
        ):
            start = min(said.start for said in passage.slots.values())
            passage = Passage("change", passage.slots, Scope("that", start, start))
        out.append(passage)
    return out
