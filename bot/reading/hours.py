"""Operating hours: clock ranges, hours a day, a week, a year, shifts, days, dusk to dawn."""

import itertools
from typing import Any, final

from bot.reading.clause import Work
from bot.reading.labelled_hours import labelled_hours
from bot.reading.message import Said
from bot.reading.shape import Fault
from bot.reading.weekdays import mark_days, nights, of_the_year
from bot.reading.words import words_of

_TO = frozenset({"-", "to", "til", "till", "until", "thru", "through", "a", "hasta", "and", "al", "y", "/"})
_FILL = frozenset({"from", "about", "around", "like", "de", "at", "roughly", "las", "la", "on", "off", "shut", "go", "they", "come",
                   "turn", "and", "then", "open", "close", "is", "are", "maybe", "over", "we", "again", "em", "them", "the",
                   "lights", "it", "goes", "comes", "shuts", "turned", "kick", "kicks", "it's", "its", "prenden", "apagan",
                   "a", "se", "y", "run", "burn", "approx", "ish", "sharp", "oclock", "o", "clock", "by"})  # fmt: skip


_OPENING = words_of(
    "open opens opened opening abre abren abrimos abriendo start starts starting empieza empezamos"
)
_SHUTTING = words_of(
    "close closes closed closing shut shuts cierra cierran cerramos cerrando lock locks stop stops end ends termina terminamos"
)


@final
class _Clock:
    __slots__ = ("half", "hour", "last")

    def __init__(self, hour: float, half: str, last: int) -> None:
        self.hour = hour
        self.half = half
        self.last = last


def _clock(work: Work, at: int) -> _Clock | None:
    """A time of day at ``at``: hour (0 to 24), "am", "pm" or "" where not said, and the index of its last atom."""
    word = work.has(at, "ampm")
    if word in ("noon", "midnight"):
        return _Clock(12.0 if word == "noon" else 24.0, "pm" if word == "noon" else "am", at)
    if not work.is_number(at):
        return None
    value = work.atoms[at].value
    last = at
    if work.text_at(at + 1) == ":" and work.is_number(at + 2) and work.atoms[at + 2].value < 60:
        value += work.atoms[at + 2].value / 60
        last = at + 2
    elif value >= 100 and value == int(value) and value % 100 < 60 and value <= 2400:
        value = value // 100 + (value % 100) / 60
    if value > 24:
        return None
    half = work.has(last + 1, "ampm")
    text = work.text_at(last + 1)
    if half in ("am", "pm"):
        return _Clock(value, half, last + 1)
    if text in ("a", "p") and work.atoms[last + 1].glued:
        return _Clock(value, text + "m", last + 1)
    if text in ("a", "p") and work.text_at(last + 2) == "m" and work.text_at(last + 3) != "-":
        return _Clock(value, text + "m", last + 2)  # "six a m", as it is dictated
    if text in ("oclock", "o'clock"):
        last += 1
        half = work.has(last + 1, "ampm")
        if half in ("am", "pm"):
            return _Clock(value, half, last + 1)
    return _Clock(value, "", last)


def _span_hours(first: _Clock, second: _Clock, evening: bool = False) -> float:
    """Hours from one time to the next. Unsaid halves: opening hours begin in the morning and end after they begin.

    ``evening``: what is not said to be in the morning is in the evening ("tuesday nights 6 to 10").
    """
    begin, end = first.hour, second.hour
    if first.half == "am" and begin == 12:
        begin = 0.0
    elif (first.half == "pm" and begin < 12) or (
        first.half == ""
        and second.half == "pm"
        and begin < 12
        and end < 12
        and begin < end
        and (begin < 5 or evening)
    ):
        begin += 12
    if second.half == "am" and end == 12:
        end = 0.0
    elif second.half == "pm" and end < 12:
        end += 12
    elif (second.half == "" and end <= 12 and first.half != "") or (second.half == "" and end <= begin):
        while end <= begin:
            end += 12
    hours = end - begin
    while hours <= 0:
        hours += 24
    return hours if hours <= 24 else hours - 24


_NOT_HOURS = frozenset(
    {
        "deliver",
        "deliveries",
        "delivery",
        "call",
        "reach",
        "available",
        "floors",
        "floor",
        "rooms",
        "apts",
        "units",
        "meet",
        "meeting",
        "ckts",
        "circuits",
        "levels",
        "aisle",
        "aisles",
        "door",
        "doors",
        "bay",
        "bays",
        "pole",
        "poles",
        "dock",
        "docks",
        "row",
        "rows",
        "pumps",
        "gates",
        "lanes",
        "breakers",
        "breaker",
        "pages",
        "lines",
        "bldgs",
        "buildings",
    }
)


_APPOINTED = frozenset({"deliver", "deliveries", "delivery", "call", "reach", "available", "meet", "meeting"})
"""Words that keep from being hours even what is plainly a time of day."""


@final
class _Found:
    """A clock range: its hours, its atoms, and the hours that it may as well be ("6-11pm": 5, or 17)."""

    __slots__ = ("first", "hours", "last", "other")

    def __init__(self, hours: float, first: int, last: int, other: float = 0.0) -> None:
        self.hours = hours
        self.first = first
        self.last = last
        self.other = other


def _clock_ranges(work: Work) -> list[_Found]:
    """Every clock range: "6a-10p", "7 to 6", "6:30 am until noon", "on around 6pm and off at 11"."""
    out: list[_Found] = []
    at, count = 0, len(work.atoms)
    while at < count:
        atom = work.atoms[at]
        if "clock_hours" in atom.mean:
            out.append(_Found(atom.mean["clock_hours"], at, at))
            at += 1
            continue
        begin = _clock(work, at) if atom.kind == "n" or "ampm" in atom.mean else None
        if begin is None:
            at += 1
            continue
        to = begin.last + 1
        joined = False
        steps = 0
        ahead = [work.text_at(n) for n in range(max(0, at - 4), at)]
        switched = not _ON.isdisjoint(ahead[-3:])
        opened = not _OPENING.isdisjoint(ahead)
        shut = False
        if (back := _until_from(work, at, begin)) is not None:
            out.append(back)
            work.use(at, back.last)
            at = back.last + 1
            continue
        while to < count and steps < 8:
            text = work.text_at(to)
            if text in _TO or (text in _OFF and switched) or "range" in work.cue(to):
                joined = True
            elif opened and text in _SHUTTING:
                joined = shut = True  # "opens at 5am, closes 11pm"
            elif text not in _FILL and not (opened and text == ","):
                break
            to += 1
            steps += 1
        if not _SHUTTING.isdisjoint(ahead) and (back := _opens_again(work, at, begin)) is not None:
            out.append(back)  # "closes at 10 opens 6"
            work.use(at, back.last)
            at = back.last + 1
            continue
        end = _clock(work, to) if joined else None
        if (
            opened
            and not shut
            and end is not None
            and "," in (work.text_at(n) for n in range(begin.last + 1, to))
        ):
            end = None
        if shut and end is not None and not end.half and _days_follow(work, end.last + 1):
            end = None  # "open at 8, closed 2 days a month"
        if end is not None and not begin.half and not end.half and atom.value >= 100 > work.atoms[to].value:
            end = None  # "son de 400 y 6 mas chiquitos": both are written in four figures or neither
        if end is None and begin.half and _switched_back(work, at, begin.last, to):
            later = _clock(work, to)
            if later is not None and later.half:
                # "off at 11pm, on at 5pm"
                out.append(_Found(_span_hours(later, begin), at, later.last))
                work.use(at, later.last)
                at = later.last + 1
                continue
        if end is None:
            at += 1
            continue
        said = begin.half or end.half or work.text_at(at + 1) == ":"
        if switched and not _OFF.isdisjoint(work.text_at(n) for n in range(begin.last + 1, to)):
            said = True  # "on at 5 off at 10"
        said = said or ("shut" if shut else "")
        if not said and begin.hour > 12 and "and" in (work.text_at(n) for n in range(begin.last + 1, to)):
            at += 1
            continue  # "print shop is 14 and they are at 18"
        again = (bool(out) or max(begin.hour, end.hour) <= 12) and any(
            work.has(n, "days") == 1 for n in (at - 1, at - 2, end.last + 1)
        )
        asked = "asked_hours" in work.flags and (
            not 0 < end.hour - begin.hour <= 4  # "8-10": so many hours
            or any(
                work.text_at(n) in ("nights", "nites", "noches", "days", "dias")
                for n in (end.last + 2, end.last + 3)
            )
        )
        if not said and not again and not asked and not _hours_context(work, at, end.last):
            at += 1
            continue
        barred = _APPOINTED if begin.half or end.half else _NOT_HOURS
        if any(work.text_at(n) in barred for n in range(max(0, at - 6), at)):
            at = end.last + 1
            continue
        if end.half == "" and _measures(work, end.last + 1):
            at += 1
            continue
        evening = not shut and _evening(work, at, end.last)
        hours = _span_hours(begin if shut else _come_on(work, at, begin, end), end, evening)
        other = 0.0
        if (
            hours <= 4
            and not evening
            and not (begin.half or end.half)
            and any(
                work.text_at(n).startswith(("open", "clos", "abr", "cierr"))
                for n in range(max(0, at - 3), end.last)
            )
        ):
            if begin.hour >= 8:
                other = hours  # "opens at 9 and closes at 1"
            hours += 12  # "open at 6 and close at 9": a business is open all day
        either = (
            not evening
            and begin.half == ""
            and hours > 12
            and (
                (end.half == "pm" and 5 <= begin.hour < end.hour < 12)
                or (end.hour == 24 and 4 <= begin.hour < 12)
            )
        )
        if either:
            other = hours - 12
            if other >= 3 and not _by_day(work, at, end.last):
                hours, other = other, hours  # "6 to 11 pm", of lights
        out.append(_Found(hours, at, end.last, other))
        work.use(at, end.last)
        at = end.last + 1
    return out


def _days_follow(work: Work, at: int) -> bool:
    return work.unit(at) in ("days", "week") or work.text_at(at) in ("days", "dias", "weeks", "months")


_BUSINESS = words_of(
    "open opens opened store shop office school business close closes closed hours shift work works working abierto abierta abrimos abren cierra"
)
INDOORS = frozenset(
    {"high_bay", "low_bay", "troffer", "strip", "wrap", "panel", "downlight", "track", "vapor_tight"}
)


def _by_day(work: Work, first: int, last: int) -> bool:
    """Whether hours that end in the evening are those of a business: "open 6 to 11pm", "6-10pm mon-sat", of lights indoors."""
    near = range(max(0, first - 6), min(len(work.atoms), last + 5))
    if any(not _BUSINESS.isdisjoint(work.text_at(n).split()) or work.has(n, "days") in (5, 6) for n in near):
        return True
    if not work.speaks_of("family"):
        return "indoors" in work.flags
    if "inside" not in work.flags:
        # looked for once, not for each range
        work.flags["inside"] = any(atom.mean.get("family") in INDOORS for atom in work.atoms)
    return bool(work.flags["inside"])


_EVENING = words_of("night nights nite nites evening evenings game games practice just only noche noches")


def _evening(work: Work, first: int, last: int) -> bool:
    """Whether words beside a clock range say that it is in the evening: "just 6 to 11pm", "tuesday nights 6-10"."""
    near = range(max(0, first - 4), min(len(work.atoms), last + 4))
    return any(not _EVENING.isdisjoint(work.text_at(n).split()) for n in near)


_TILL = words_of("til till until hasta thru to")
_FROM = words_of("from starting beginning desde de start starts on")
_AT = words_of("at las la about around a")
_NIGHT = words_of("night nights nightly evening evenings noche noches nite nites dark dusk nighttime")


def _come_on(work: Work, at: int, begin: _Clock, end: _Clock) -> _Clock:
    """The time that lights come on: in the afternoon where the sentence speaks of the night and it can be ("evenings 5 to 10pm")."""
    if (
        begin.half
        or not 4 <= begin.hour < 12
        or not (
            (end.half == "pm" and begin.hour < end.hour < 12)
            or (end.half == "am" and (end.hour in (12, 24) or (end.hour <= 8 and begin.hour >= end.hour)))
        )
    ):
        return begin
    low, high = at, end.last
    while (
        low > 0 and at - low < 14 and not (work.atoms[low - 1].kind == "b" or work.text_at(low - 1) in ".;")
    ):
        low -= 1
    while (
        high + 1 < len(work.atoms)
        and high - at < 14
        and not (work.atoms[high + 1].kind == "b" or work.text_at(high + 1) in ".;")
    ):
        high += 1
    night = any(not _NIGHT.isdisjoint(work.text_at(n).split()) for n in range(low, high + 1) if n != end.last)
    return (
        _Clock(begin.hour, "pm", begin.last)
        if night or (end.half == "am" and end.hour != 12 and _late(work, at))
        else begin
    )


def _late(work: Work, at: int) -> bool:
    """Whether lights, not a business, are on: "on 6 to midnight"."""
    return any(not _ON.isdisjoint(work.text_at(n).split()) for n in range(max(0, at - 4), at))


def _opens_again(work: Work, at: int, end: _Clock) -> _Found | None:
    """Hours told from the time of closing: "closes at 10 opens 6", "shuts at 9 pm and opens at 7"."""
    step = end.last + 1
    for _ in range(5):
        if work.text_at(step) in _OPENING:
            break
        if work.text_at(step) not in _FILL and work.text_at(step) not in (",", "and", "y"):
            return None
        step += 1
    if work.text_at(step) not in _OPENING:
        return None
    step += 1
    while work.text_at(step) in _AT or work.text_at(step) == "up":
        step += 1
    begin = _clock(work, step)
    if begin is None or _measures(work, begin.last + 1) or _days_follow(work, begin.last + 1):
        return None
    hours = _span_hours(begin, end)
    if hours <= 4 and not (begin.half or end.half):
        hours += 12
    return _Found(hours, at, begin.last)


def _until_from(work: Work, at: int, end: _Clock) -> _Found | None:
    """Hours told from their end: "till midnight from 6", "until 2am starting at 5pm"."""
    before = at - 1
    while before > at - 3 and work.text_at(before) in _AT:
        before -= 1
    if work.text_at(before) not in _TILL or work.text_at(before) == "to":
        return None
    step = end.last + 1
    if work.text_at(step) not in _FROM:
        return None
    step += 1
    while work.text_at(step) in _AT:
        step += 1
    begin = _clock(work, step)
    if begin is None or _measures(work, begin.last + 1):
        return None
    if not begin.half and end.half == "am" and 4 <= begin.hour < 12 and end.hour in (12, 24, 1, 2):
        begin = _Clock(begin.hour, "pm", begin.last)
    return _Found(_span_hours(_come_on(work, at, begin, end), end), at, begin.last)


_OFF = words_of("off apagan apaga out")
_ON = words_of("on prenden prende encienden")


def _switched_back(work: Work, at: int, last: int, to: int) -> bool:
    """Whether the time at ``at`` is when lights go off and the one at ``to`` when they come on again."""
    before = {word for n in range(max(0, at - 3), at) for word in work.text_at(n).split()}
    between = {word for n in range(last + 1, to) for word in work.text_at(n).split()}
    return not _OFF.isdisjoint(before) and not _ON.isdisjoint(between)


def _labelled(work: Work, at: int) -> bool:
    """Whether "hours" stands as a heading before the number: "hours 4000", "hrs: 12"."""
    name = at - 2 if work.text_at(at - 1) in (":", "=", "-", "are", "is") else at - 1
    if name < 0 or work.unit(name) != "hours" or (work.atoms[name - 1].kind in ("n", "x") and name):
        return False
    follows = work.unit(at + 1) is None or work.unit(at + 1) == "days"
    return follows and not (work.text_at(at + 1) in ("k", "w", "v") and work.atoms[at + 1].glued)


def _measures(work: Work, at: int) -> bool:
    return (work.unit(at) is not None and work.unit(at) not in ("days", "week")) or any(
        work.has(at, kind) is not None for kind in ("family", "source", "size")
    )


_OPEN = frozenset({"open", "opens", "run", "runs", "running", "hours", "shift", "abierto", "abrimos", "operate",
                   "burn", "work", "works", "working", "school", "store", "office", "shop", "lit", "occupied", "prendidas"})  # fmt: skip


_YEARLY = frozenset({"annual", "annually", "yearly", "burn", "burning", "operating", "op", "run", "anuales"})


def _hours_context(work: Work, first: int, last: int) -> bool:
    """Whether words near a bare "7 to 6" speak of opening hours or of days."""
    end = min(len(work.atoms), last + 5)
    if any(work.text_at(n) in _OPEN for n in range(max(0, first - 4), end)):
        return True
    for index in range(max(0, first - 9), end):
        days = work.has(index, "days")
        if days is not None and (
            work.has(index, "habit") or (index >= first - 4 and (days == 2 or days >= 5))
        ):
            return True
    return False


def _days(work: Work, hours: bool) -> tuple[float | None, int, int, bool]:
    """Days a week said anywhere: (days, first, last, a single day was named)."""
    found: list[tuple[float, int, int, bool]] = []
    nightly = hours and ("night" in work.folded or "nite" in work.folded or "noche" in work.folded)
    if not (nightly or work.speaks_of("days", "unit:days", "unit:week") or "weekdays" in work.flags):
        return (None, -1, -1, False)
    count = len(work.atoms)
    for at in range(count):
        days = work.has(at, "days")
        if days is not None and not work.used[at]:
            text = work.text_at(at)
            if days in (1, 4) and not hours:
                continue
            if text in ("m f", "m s", "mf", "l v", "365", "m th") and not hours:
                continue
            found.append((float(days), at, at, days == 1 and "habit" not in work.atoms[at].mean))
        elif hours and (weekly := nights(work, at)) is not None:
            found.append((weekly[0], at, weekly[1], False))
        elif work.is_number(at) and 1 <= work.atoms[at].value <= 7:
            step = at + 1
            if work.text_at(step) == "-":
                step += 1
            unit = work.unit(step)
            if unit == "days" and (hours or work.unit(step + 2) == "week" or work.unit(step + 1) == "week"):
                end = step
                if (
                    work.text_at(step + 1) in ("a", "per", "/", "out", "por", "each", "of", "la", "x")
                    and work.unit(step + 2) == "week"
                ):
                    end = step + 2
                elif work.unit(step + 1) == "week":
                    end = step + 1
                found.append((work.atoms[at].value, at, end, False))
    whole = [item for item in found if not item[3]]
    if whole:
        best = whole[-1] if len(whole) == 1 else min(whole, key=lambda item: item[0] if item[0] < 7 else 7)
        for _, first, last, _single in whole:
            work.use(first, last)
        return best
    return (None, -1, -1, bool(found))


_HOUR_KINDS = frozenset(
    {
        "burning",
        "burn",
        "operating",
        "running",
        "run",
        "annual",
        "lamp",
        "light",
        "lit",
        "on",
        "yearly",
        "total",
    }
)
_BILLED = words_of("bill bills cost costs spend pay paying electric power $ savings save budget")
_BURNING = words_of("on run runs running burn burns burning operate operates operating lit at around about")
_TERMS = frozenset({"within", "in", "next", "under", "after", "last", "past", "dentro", "en"})
"""Words before hours that wait for something: they are no schedule."""


def _duration(work: Work) -> tuple[str, float, int, int, float | None] | None:
    """Hours said as a length: ("day" | "week" | "year", hours, first, last, the other end of a range)."""
    best: tuple[str, float, int, int, float | None] | None = None
    for at in work.numbers:
        if not work.is_number(at) or work.unit(at + 1) is not None:
            continue
        led = work.text_at(at - 1) in _BURNING
        whole = work.atoms[at].value in (8760, 8766) and (led or work.text_at(at + 1) in ("", ",", ".", ";"))
        billed = any(work.text_at(n) in _BILLED for n in range(max(0, at - 6), at))
        yearly = (
            led and not billed and work.text_at(at + 1) in ("a", "per", "/") and work.unit(at + 2) == "year"
        )
        if whole or (yearly and 500 <= work.atoms[at].value <= 8784):
            last = at + 2 if yearly else at
            work.use(at, last)
            return "year", work.atoms[at].value, at, last, None  # "on 8760", "run 4380 a year"
    if not work.speaks_of("unit:hours"):
        return None
    for at in work.numbers:
        if (
            work.is_number(at)
            and work.text_at(at + 1) in ("/", "a", "per", "al", "por")
            and work.unit(at + 2) == "year"
            and work.atoms[at].value >= 500
        ) and any(work.unit(n) == "hours" for n in range(max(0, at - 4), at)):
            best = ("year", work.atoms[at].value, at, at + 2, None)
            work.use(at, at + 2)
            continue
        if not work.is_number(at):
            continue
        step = at + 1
        if work.text_at(step) == "-" and work.unit(step + 1) == "hours":
            step += 1
        if work.text_at(step) == "something":
            step += 1
        if (
            work.unit(step) != "hours"
            and work.unit(step + 1) == "hours"
            and work.text_at(step) in _HOUR_KINDS
        ):
            step += 1  # "4150 burning hours"
        if work.unit(step) != "hours":
            continue
        if work.text_at(at - 1) in _TERMS or work.text_at(at - 2) in ("within", "next"):
            continue  # "call within 24 hours"
        value = work.atoms[at].value
        first, other = at, None
        if (
            at >= 2
            and work.is_number(at - 2)
            and ("range" in work.cue(at - 1) or work.text_at(at - 1) == "-")
        ):
            first, other = at - 2, value
            value = work.atoms[first].value
        if work.atoms[at - 1].text == "half" if at else False:
            pass
        last = step
        per = ""
        look = step + 1
        for _ in range(3):
            text = work.text_at(look)
            unit = work.unit(look)
            if unit == "year" or text == "y":
                per, last = "year", look
                break
            if unit == "week":
                per, last = "week", look
                break
            if unit == "days" or text in (
                "daily",
                "nightly",
                "night",
                "diario",
                "diarias",
                "nite",
                "dia",
                "noche",
                "evening",
                "shift",
            ):
                per, last = "day", look
                break
            if work.has(look, "days") == 7 and text not in (
                "7 days",
                "7 days a week",
                "seven days",
                "seven days a week",
            ):
                per, last = "day", step
                break
            if text in (
                "a",
                "per",
                "/",
                "each",
                "every",
                "al",
                "por",
                "an",
                "la",
                "el",
                "in",
                "out",
                "of",
                "on",
                "the",
            ):
                look += 1
                continue
            break
        if per == "":
            per = "day" if value <= 24 else "year" if value >= 1000 else "week" if value <= 168 else "year"
        best = (per, value, first, last, other)
        work.use(first, last)
    return best


_WERE = words_of("used was were ran had eran era teniamos antes")


def _lengths_by_days(work: Work) -> tuple[float, int, int] | None:
    """Hours a week where lengths are told for days ("24 hrs weekdays, 12 hrs sat sun"): (hours, first atom, last atom)."""
    if not work.speaks_of("unit:hours") or not work.speaks_of("days"):
        return None
    told: list[tuple[float, int, int]] = []
    for at, atom in enumerate(work.atoms):
        if atom.text in ("24 hrs", "24 hours"):
            hours, behind = 24.0, at + 1
        elif work.is_number(at) and work.unit(at + 1) == "hours" and 0 < atom.value <= 24:
            hours, behind = atom.value, at + 2
        else:
            continue
        for index in range(behind, min(at + 6, len(work.atoms))):
            if work.has(index, "days") is not None:
                told.append((hours * float(work.has(index, "days")), at, index))
                break
            if work.atoms[index].kind in ("n", "b", "s"):
                break
    if len(told) < 2 or told[-1][1] - told[0][1] > 20:
        return None
    for _, first, last in told:
        work.use(first, last)
    return sum(hours for hours, _, _ in told), told[0][1], told[-1][2]


def _shifts(work: Work) -> tuple[float, int, int] | None:
    """Shifts a day; of several those that are no longer ("we ran 3 shifts, now it's 2") do not count."""
    if not work.speaks_of("unit:shifts"):
        return None
    found: tuple[float, int, int] | None = None
    start = 0
    while (said := _shift(work, start)) is not None:
        found, start = said, said[2] + 1
        before = any(
            not _WERE.isdisjoint(work.text_at(n).split()) for n in range(max(0, said[1] - 4), said[1])
        )
        behind = any(work.text_at(n) in ("used", "used to") for n in range(start, start + 4))
        if not before and not behind:
            break
    return found


def _shift(work: Work, start: int) -> tuple[float, int, int] | None:
    for at in range(start, len(work.atoms)):
        if not work.is_number(at):
            words = {"single": 1, "double": 2, "triple": 3}
            if work.unit(at + 1) == "shifts" and work.text_at(at) in words:
                return words[work.text_at(at)] * 8.0, at, at + 1
            continue
        step = at + 1
        if work.text_at(step) == "-":
            step += 1
        if (
            work.atoms[at].value in (1, 2, 3)
            and work.is_number(at + 1)
            and work.atoms[at + 1].value in (8, 10, 12)
        ):
            # "three 8 hour shifts", "2 10-hour shifts"
            unit = at + 3 if work.text_at(at + 2) == "-" else at + 2
            if work.unit(unit) == "hours" and work.unit(unit + 1) == "shifts":
                return min(24.0, work.atoms[at].value * work.atoms[at + 1].value), at, unit + 1
        if work.unit(step) == "shifts" and work.atoms[at].value in (1, 2, 3):
            end = step
            return work.atoms[at].value * 8.0, at, end
    return None


def _bounded(work: Work, per: str, value: float, first: int, last: int) -> bool:
    """Whether the hours can be; a fault is recorded where not."""
    limit = {"day": 24, "week": 168, "year": 8784}[per]
    if 0 < value <= limit:
        return True
    span = (0, work.atoms[first].start, work.atoms[last].end)
    text = f"{value:g} hours a {per} can't be: a {per} has {limit if per != 'year' else 8760}. Please give the hours again."
    work.faults.append(Fault("job.schedule", span, text))
    return False


_TENS = {"tens": 10, "10s": 10, "eights": 8, "8s": 8, "twelves": 12, "12s": 12, "nines": 9}


def _work_week(work: Work) -> bool:
    """As in "we work four tens": so many days of so many hours."""
    for at in work.numbers:
        if not work.is_number(at) or not 2 <= work.atoms[at].value <= 7 or at + 1 >= len(work.atoms):
            continue
        nxt = work.atoms[at + 1]
        name = nxt.text + ("s" if work.text_at(at + 2) == "s" and work.atoms[at + 2].glued else "")
        last = at + 2 if name != nxt.text else at + 1
        ahead = any(
            work.text_at(n)
            in ("work", "works", "run", "running", "working", "runs", "on", "shift", "schedule", "do")
            for n in range(max(0, at - 3), at)
        )
        if name in _TENS and (
            ahead or last + 1 >= len(work.atoms) or work.atoms[last + 1].kind in ("s", "b")
        ):
            days = {"days_per_week": int(work.atoms[at].value)}
            work.say("schedule", {"hours_per_day": float(_TENS[name]), **days}, at, last, "work week")
            return True
    return False


def read_hours(work: Work) -> None:
    """Find the schedule of the stretch; where one type burns other hours than another, the other hours are its doubt."""
    _read_hours(work)
    said = work.job.get("schedule")
    if said is not None and not said.others and work.speaks_of("schedule"):
        other = _of_another_type(work, said)
        if other is not None:
            work.job["schedule"] = said.doubted((other,), "two types burn different hours", 1.0)


def _of_another_type(work: Work, said: Said) -> str | None:
    """Another schedule that is told of another type: "12 shoeboxes dusk to dawn, 20 high bays 2 shifts"; ``None`` where none is."""
    for at, atom in enumerate(work.atoms):
        other = atom.mean.get("schedule")
        if (
            other is None
            or other == said.value
            or "family_weak" in atom.mean
            or said.start <= atom.start < said.end
        ):
            continue
        if _negated(work, at) or _luminaire(work, at):
            continue
        low, high = min(atom.end, said.end), max(atom.start, said.start)
        apart = types = 0
        for near, between in enumerate(work.atoms):
            named = not _SPOKEN_OF.isdisjoint(between.mean)
            types += named
            if low <= between.start < high:
                apart += named
                if not _PUT_RIGHT.isdisjoint(work.cue(near)):
                    return None
        return str(other) if apart and types > 1 else None
    return None


_SPOKEN_OF = frozenset({"family", "family_weak", "pointer", "generic", "building", "scope"})
_PUT_RIGHT = frozenset({"fix", "not"})


def _read_hours(work: Work) -> None:
    """The same, without a doubt for hours of another type."""
    mark_days(work)
    labelled = labelled_hours(work)
    if (
        ("tens" in work.folded or "s" in work.folded)
        and any(name in work.folded for name in _TENS)
        and _work_week(work)
    ):
        return
    yearly = of_the_year(work)
    if yearly is not None and yearly[1] not in (52, 365, 366):
        work.use(yearly[2], yearly[3])
    else:
        yearly = None  # all of it
    ranges = _clock_ranges(work)
    for at in work.numbers if ":" in work.folded else ():
        # a lone time of day ("the bell rings at 8:05") states nothing
        if (
            work.is_number(at)
            and work.atoms[at].value <= 24
            and work.text_at(at + 1) == ":"
            and work.atoms[at + 2 : at + 3]
            and work.atoms[at + 2].glued
            and work.is_number(at + 2)
            and len(work.text_at(at + 2)) == 2
        ):
            work.use(at, at + 2)
    for at in work.numbers if "hour" in work.folded or "hrs" in work.folded else ():
        # "annual burn hours 4,100"
        before = [work.text_at(n) for n in range(max(0, at - 5), at)]
        if (
            work.is_number(at)
            and 1000 <= work.atoms[at].value <= 8784
            and any(work.unit(n) == "hours" for n in range(max(0, at - 3), at))
            and not _YEARLY.isdisjoint(word for text in before for word in text.split())
            and work.unit(at + 1) is None
        ):
            work.say("schedule", {"hours_per_year": work.atoms[at].value}, at, at, "hours a year")
            return
        if work.is_number(at) and _labelled(work, at):
            if 1000 <= work.atoms[at].value <= 8784:
                work.say("schedule", {"hours_per_year": work.atoms[at].value}, at, at, "hours a year")
                return
            if 2 <= work.atoms[at].value <= 24:
                daily: dict[str, float] = {"hours_per_day": work.atoms[at].value}
                last = at
                told = next(
                    (n for n in range(at + 1, min(at + 5, len(work.atoms))) if work.is_number(n)), None
                )
                if told is not None and work.unit(told - 1) == "days" and 1 <= work.atoms[told].value <= 7:
                    daily["days_per_week"] = work.atoms[told].value
                    last = told
                work.say("schedule", daily, at, last, "hours by their name")
                return
    constant = next(
        (
            at
            for at in range(len(work.atoms) - 1 if work.speaks_of("schedule") else -1, -1, -1)
            if work.has(at, "schedule")
            and not (
                work.has(at, "family_weak") and at and work.atoms[at - 1].kind == "n"
            )  # "10 dusk to dawns"
            and not work.used[at]
            and not _negated(work, at)
            and not _luminaire(work, at)
            and not (
                work.text_at(at).startswith("24")
                and work.text_at(at - 1) in ("within", "in", "next", "under", "dentro de", "dentro")
            )
        ),
        None,
    )
    if (
        constant is None
        and not ranges
        and ("da" in work.folded or "sun" in work.folded or "amanec" in work.folded or "light" in work.folded)
        and _by_the_sun(work)
    ):
        return
    shifts = None if ranges else _shifts(work)
    if not ranges and not shifts and (weekly := _lengths_by_days(work)) is not None:
        work.say(
            "schedule", {"hours_per_year": round(weekly[0] * 52, 2)}, weekly[1], weekly[2], "hours by days"
        )
        return
    length = None if ranges or shifts else labelled or _duration(work)
    days, days_first, days_last, _single = _days(work, bool(ranges or shifts or length))
    value: Any = None
    doubtful: list[float] = []
    if ranges:
        first, last = ranges[0].first, ranges[-1].last
        if len(ranges) > 1:
            week = _week_hours(work, ranges)
            if week is not None:
                work.say("schedule", {"hours_per_year": round(week * 52, 2)}, first, last, "clock ranges")
                return
            first, last = ranges[-1].first, ranges[-1].last
        value = {"hours_per_day": round(ranges[-1].hours, 4)}
        rule = "clock"
        doubtful = [found.hours for found in ranges[:-1]] + ([ranges[-1].other] if ranges[-1].other else [])
    elif shifts and not (
        shifts[0] == 24 and constant is not None and work.has(constant, "schedule") == "always_on"
    ):
        value, first, last, rule = {"hours_per_day": shifts[0]}, shifts[1], shifts[2], "shifts"
    elif length and not (constant is not None and length[1] == 24):
        per, hours, first, last, other = length
        if not _bounded(work, per, hours, first, last):
            return
        rule = "hours"
        if per == "day" and hours == 24 and days is None:
            work.say("schedule", "always_on", first, last, "hours")
            return
        if per == "day":
            value = {"hours_per_day": hours}
        else:
            weeks = yearly[1] if yearly is not None and yearly[0] == "week" else 52
            factor = weeks if per == "week" else 1
            others = () if other is None else ({"hours_per_year": other * factor},)
            work.say("schedule", {"hours_per_year": hours * factor}, first, last, "hours a " + per, others=others,
                     why="the hours were given as a range" if others else "", margin=1.0 if others else 9.0)  # fmt: skip
            return
    elif constant is not None:
        always = work.has(constant, "schedule") == "always_on"
        by_week = (days, days_first, days_last, False)
        if always and days is None:
            by_week = _days(work, True)
        if always and by_week[0] is not None and by_week[0] < 7:
            value = {"hours_per_day": 24.0, "days_per_week": by_week[0]}  # "round the clock except sundays"
            work.say("schedule", value, min(constant, by_week[1]), max(constant, by_week[2]), "lexicon")
            return
        work.say("schedule", work.has(constant, "schedule"), constant, constant, "lexicon")
        return
    else:
        if days is not None and days_first >= 0:
            work.flags["days"] = days
        return
    if yearly is not None and (yearly[0] == "days" or days is not None):
        # "9 hours a day, 180 days a year"; "5 days a week, 40 weeks a year"
        many = yearly[1] * (1 if yearly[0] == "days" else days or 0)
        first, last = min(first, yearly[2]), max(last, yearly[3])
        work.say(
            "schedule",
            {"hours_per_year": round(value["hours_per_day"] * many, 2)},
            first,
            last,
            "days a year",
        )
        return
    if days is not None:
        value["days_per_week"] = days
        first, last = min(first, days_first), max(last, days_last)
    if length and length[4] is not None and "hours_per_day" in value:
        other_value = dict(value, hours_per_day=length[4])
        work.say(
            "schedule",
            value,
            first,
            last,
            rule,
            others=(other_value,),
            why="the hours were given as a range",
            margin=1.0,
        )
    elif (
        other_hours := next((hours for hours in doubtful if hours != value["hours_per_day"]), None)
    ) is not None:
        others = (dict(value, hours_per_day=round(other_hours, 4)),)
        why = "the hours could be others"
        work.say("schedule", value, first, last, rule, others=others, why=why, margin=1.0)
    else:
        work.job["schedule"] = _said(work, value, first, last, rule)
        work.use(work_first := first, work_first)


_DUSK = words_of("dusk sunset sundown dark nightfall anochece anochecer oscurece atardecer atardece")
_DAWN = words_of("dawn sunrise sunup daylight daybreak amanece amanecer aclara")


def _by_the_sun(work: Work) -> bool:
    """Whether lights come on at dusk and go off at dawn, some words between: "they come on at dusk and shut off at dawn"."""
    begins = -1
    for at, atom in enumerate(work.atoms):
        if atom.kind == "b" or atom.text in ".;!?":
            begins = -1
        elif atom.kind in ("w", "p"):
            words = atom.text.split()
            if begins >= 0 and not _DAWN.isdisjoint(words):
                work.say("schedule", "dusk_to_dawn", begins, begins, "by the sun")
                work.use(at, at)
                return True
            if (
                not _DUSK.isdisjoint(words)
                and "family" not in atom.mean
                and "flag" not in atom.mean
                and "controls" not in atom.mean
            ):
                begins = at
            elif begins >= 0 and at - begins > 9:
                begins = -1
    return False


def _said(work: Work, value: Any, first: int, last: int, rule: str) -> Said:
    return Said(value, work.atoms[first].start, work.atoms[last].end, rule=rule)


def _week_hours(work: Work, ranges: list[_Found]) -> float | None:
    """Hours a week where several clock ranges hold on different days; ``None`` where a range names no days."""
    total = 0.0
    bounds = [
        -1,
        *[(left.last + right.first) / 2 for left, right in itertools.pairwise(ranges)],
        len(work.atoms),
    ]
    for number, found in enumerate(ranges):
        days = None
        low, high = bounds[number], bounds[number + 1]
        nearest = 99
        for at in range(max(0, found.first - 6), min(len(work.atoms), found.last + 7)):
            if not low <= at <= high and not (
                work.has(at, "days")
                and number + 1 < len(ranges)
                and found.last < at < ranges[number + 1].first
                and ranges[number + 1].first - at > at - found.last
            ):
                continue
            named = work.has(at, "days")
            if named is not None:
                work.use(at, at)
                away = at - found.last if at > found.last else found.first - at + 1
                if away < nearest:
                    days, nearest = float(named), away
        if days is None:
            return None
        total += found.hours * days
    return total


def _negated(work: Work, at: int) -> bool:
    return "not" in work.cue(at - 1) or ("not" in work.cue(at - 2) and work.atoms[at - 1].kind != "s")


def _luminaire(work: Work, at: int) -> bool:
    """Whether "dusk to dawn" belongs to a control ("dusk to dawn sensor") and states no hours."""
    return work.text_at(at + 1) in ("photocell", "photocells", "sensor", "sensors", "photo cell", "photo eye")
