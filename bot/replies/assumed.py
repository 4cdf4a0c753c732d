"""Assumptions in words: what was taken, how far it could be off, what else it could be, and from where.

Like assumptions on several lines are said once, with the lines they hold for.
"""

from collections import Counter
from collections.abc import Sequence
from decimal import Decimal
from functools import lru_cache
from itertools import islice
from typing import Any, Final, NamedTuple

from bot.replies import shown
from bot.replies.asked import line_index, slot_of
from bot.replies.clean import one_line
from bot.replies.describe import value_words
from bot.replies.figure_names import name_of_key
from bot.replies.heard import Language
from bot.replies.sources import short_source
from bot.replies.words import Words, listing, words_in
from engine.by_object import ByObject
from engine.proposal import Assumption
from engine.record import record

_SPEAK_FOR_THEMSELVES: Final = frozenset({"source", "ballast", "schedule", "hours_per_year", "family"})
"""Slots whose value says what it is: "metal halide", "4,300 hours a year"."""
_SHARES: Final = frozenset(
    {
        "ballast_factor", "control_savings", "demand_coincidence", "dirt_depreciation", "early_failures_share",
        "energy_escalation", "group_relamp_share", "led_depreciation", "led_dirt_depreciation", "led_maintenance_share",
        "loan_rate", "luminaire_efficiency", "maintenance_escalation", "optics_factor", "real_discount_rate",
    }
)  # fmt: skip
"""Ratios that people say as a percentage."""
_FELT_YEARS: Final = 0.05
MOST_MAIN: Final = 6
MOST_MINOR: Final = 10
_ANSWERABLE: Final = frozenset(
    {"hours_per_year", "rate_per_kwh", "input_watts_before", "labor_usd_per_hour", "qty", "lamps"}
)
"""Figures whose slot a contractor knows or can find out."""


@record
class AssumedView:
    """One assumption, ready to show; every field is text.

    Attributes:
        path: as in the engine's assumption, of the first line it holds for.
        where: which lines; empty where it holds for the whole job.
        swing: how far it alone could move the payback; empty where hardly.
        short: name and value in a few words, for text messages.
    """

    path: str
    name: str
    value: str
    range: str
    others: str
    source: str
    where: str
    swing: str
    short: str


def assumption_views(
    assumptions: Sequence[Assumption], line_count: int, words: Words, metric: bool = False
) -> tuple[tuple[AssumedView, ...], tuple[str, ...], int]:
    """The assumptions, those that move the payback most first, like ones joined.

    Args:
        assumptions: a quote's, the most moving first.
        line_count: of the job.
        words: the language.
        metric: lengths in metres.

    Returns:
        Those that the writer could settle or that move the payback, in full; the rest in a few words each; and how many
        those are, since of many only the first are given.
    """
    groups = sorted(_alike(assumptions, words, metric))
    main = list(islice(filter(_is_main, groups), MOST_MAIN))
    views = tuple([_view(group, line_count, words, metric) for group in main])
    in_full = {group.place for group in main}
    smaller = [group for group in groups if group.place not in in_full]
    smaller.sort(key=_by_swing)
    named = list(dict.fromkeys([group.taken.brief for group in smaller]))
    count = len(named)
    if count > MOST_MINOR:
        named[MOST_MINOR:] = [words.say("cut_rest", count=str(count - MOST_MINOR))]
    return views, tuple(named), count


def assumed_for(
    assumptions: Sequence[Assumption], path: str, words: Words, metric: bool = False
) -> tuple[str, ...]:
    """What is assumed for a slot, in a few words each: the slot may be asked of all lines ("lines.*.voltage")."""
    slot = path.rpartition(".")[2]
    alike = [
        a
        for a in assumptions
        if a.path.partition(" (")[0] == path
        or (".*." in path and a.path.startswith("lines.") and a.path.endswith(f".{slot}"))
    ]
    return tuple(dict.fromkeys([_taken(a, words.language, metric).brief for a in alike]))


class _Taken(NamedTuple):
    """What an assumption is by itself.

    Attributes:
        key: of what it is, whatever its value: see `assumed_key`.
        can_be_settled: by the writer, who knows a slot, or a kind of thing.
        alike: the same for those that are said once.
        brief: name and value in a few words.
    """

    key: str
    can_be_settled: bool
    alike: tuple[Any, ...]
    brief: str


class _Group(NamedTuple):
    """Like assumptions: in the order in which they are told, by the first four.

    ``less_swing``: the widest swing of the payback [years], below zero; ``place``: of the first; ``also``: the others.
    """

    is_ours: bool
    is_beside_money: bool
    less_swing: float
    place: int
    first: Assumption
    taken: _Taken
    also: list[Assumption]


def _alike(assumptions: Sequence[Assumption], words: Words, metric: bool) -> list[_Group]:
    """Those that are said once; the first of them moves most."""
    all_taken = [_taken(a, words.language, metric) for a in assumptions]
    times = Counter([taken.key for taken in all_taken])
    out: list[_Group] = []
    several: dict[tuple[Any, ...], _Group] = {}
    for place, (taken, a) in enumerate(zip(all_taken, assumptions, strict=True)):
        key, can_be_settled, alike, _ = taken
        if times[key] > 1 and (group := several.get(alike)) is not None:
            group.also.append(a)
            continue
        group = _Group(not can_be_settled, not a.affects_money, -a.swing_years, place, a, taken, [])
        if times[key] > 1:
            several[alike] = group
        out.append(group)
    return out


_unmoving: Final = ByObject[_Taken](4096)
"""Of those that the payback does not move with, which are the same ones from quote to quote."""


def _taken(a: Assumption, language: Language, metric: bool) -> _Taken:
    if a.swing_years:
        return _taken_by_value(a, language, metric)
    return _unmoving.get(a, (language, metric), _taken_by_value, a, language, metric)


def _taken_by_value(a: Assumption, language: Language, metric: bool) -> _Taken:
    take = _take if told_by_value(a) else _take.__wrapped__
    return take(a.path, a.name, a.value, a.low, a.high, a.unit, a.source, a.others, language, metric)


@lru_cache(maxsize=2048, typed=True)
def _take(
    path: str,
    name: str,
    value: Any,
    low: Any,
    high: Any,
    unit: str,
    source: str,
    others: tuple[Any, ...],
    language: Language,
    metric: bool,
) -> _Taken:
    """Kept, since most of what is assumed are the same rows of the same tables."""
    key, words = _key(path, name), words_in(language)
    return _Taken(
        key,
        path.startswith(("job.", "lines.")) and (not name or "." in name or name in _ANSWERABLE),
        (key, _told_apart(value), _told_apart(low), _told_apart(high), unit, source, others),
        _short(key, name_of_key(key, words), _shown(key, value, unit, words, metric), words),
    )


_HASHED: Final = frozenset({float, int, str, Decimal, type(None)})
_AMONG_OTHERS: Final = frozenset({float, str})


def _told_apart(value: Any) -> tuple[type, Any]:
    """As something to look up by: not alike where the types differ, nor where the values do."""
    kind = type(value)
    return kind, value if kind in _HASHED else repr(value)


def told_by_value(a: Assumption) -> bool:
    """Whether what is said of it can be kept by its values: not all can be hashed, and zeros of either sign are equal,
    but not written alike. Nor are decimals, with more places or fewer, unless they are written as their unit is.
    """
    for value in (a.value, a.low, a.high):
        kind = type(value)
        if kind not in _HASHED or (kind is Decimal and not a.unit) or (value == 0 and repr(value)[0] == "-"):
            return False
    return not a.others or all(type(other) in _AMONG_OTHERS for other in a.others)


def _by_swing(group: _Group) -> float:
    return group.less_swing


def _is_main(group: _Group) -> bool:
    first = group.first
    if group.is_beside_money and first.low is not None:
        return False
    if first.swing_years >= _FELT_YEARS or slot_of(first.path) == "qty":
        return True
    in_question = bool(first.others) or first.low is None or first.low != first.high
    return in_question and not group.is_ours


def assumed_name(assumption: Assumption, words: Words) -> str:
    """What was assumed, in words; a figure without words is named as the engine names it."""
    return name_of_key(assumed_key(assumption), words)


def assumed_key(assumption: Assumption) -> str:
    """The figure's own name where the path is that of a slot which would replace it."""
    return _key(assumption.path, assumption.name)


@lru_cache(maxsize=4096)
def _key(path: str, name: str) -> str:
    return slot_of(name or path)


def _view(group: _Group, line_count: int, words: Words, metric: bool) -> AssumedView:
    first, swing, key = group.first, group.first.swing_years, group.taken.key
    numbers = [n + 1 for a in (first, *group.also) if (n := line_index(a.path)) is not None]
    say = _said if told_by_value(first) else _said.__wrapped__
    said = say(
        key,
        first.value,
        first.low,
        first.high,
        first.unit,
        first.source,
        first.others,
        words.language,
        metric,
    )
    return AssumedView(
        path=first.path,
        name=said.name,
        value=said.value,
        range=said.range,
        others=said.others,
        source=said.source,
        where=_where(first.path, numbers, line_count, words),
        swing=shown.years(swing, words) if swing >= _FELT_YEARS else "",
        short=group.taken.brief,
    )


class _Said(NamedTuple):
    """What is said of an assumption whatever the job."""

    name: str
    value: str
    range: str
    others: str
    source: str


@lru_cache(maxsize=2048, typed=True)
def _said(
    key: str,
    value: Any,
    low: Any,
    high: Any,
    unit: str,
    source: str,
    others: tuple[Any, ...],
    language: Language,
    metric: bool,
) -> _Said:
    """Kept, since most of what is assumed are the same rows of the same tables."""
    words = words_in(language)
    return _Said(
        name_of_key(key, words),
        _shown(key, value, unit, words, metric),
        _range(key, low, high, unit, words, metric),
        listing([_shown(key, o, unit, words, metric) for o in others], words, "or"),
        _unstopped(short_source(source, words)),
    )


def _shown(slot: str, value: Any, unit: str, words: Words, metric: bool) -> str:
    if isinstance(value, bool | str | tuple | list | dict) or value is None:
        return value_words(slot, value, words, metric)
    if slot in _SHARES:
        return f"{shown.plain(100 * float(value), 1)}%"
    if slot == "rate_per_kwh":
        return f"{shown.rate(value, 3)}/kWh"
    if unit == "":
        return value_words(slot, value, words, metric)
    return shown.amount(value, unit, words)


def _range(slot: str, low: Any, high: Any, unit: str, words: Words, metric: bool) -> str:
    if low is None or high is None or isinstance(low, str):
        return ""
    if slot in _SHARES or slot == "rate_per_kwh" or unit == "":
        first = _shown(slot, low, unit, words, metric)
        last = _shown(slot, high, unit, words, metric)
        return "" if first == last else words.say("range", low=first.removesuffix("/kWh"), high=last)
    return shown.amount_range(low, high, unit, words, with_unit=False)


def _unstopped(source: str) -> str:
    """Without the full stop that the sentence around it brings."""
    return source if source.endswith("...") else source.removesuffix(".")


def _short(key: str, name: str, value: str, words: Words) -> str:
    if key in _SPEAK_FOR_THEMSELVES:
        return value
    frame = words.find("short_names", key)
    return frame.format_map({"value": value}) if frame else f"{small_start(name)} {value}"


def small_start(name: str) -> str:
    """The first letter small, unless the word is an abbreviation: "LED watts" stays."""
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]


def _where(path: str, numbers: list[int], line_count: int, words: Words) -> str:
    beside = path.partition(" (")[2].removesuffix(")")
    if beside:
        return words.find("phrases", beside) or one_line(beside)
    if not numbers or line_count < 2 or len(set(numbers)) == line_count:
        return ""
    runs = _runs(sorted(set(numbers)))
    return words.say("line" if len(set(numbers)) == 1 else "lines", number=runs, numbers=runs)


def _runs(numbers: list[int]) -> str:
    """[1, 2, 3, 7] -> "1-3, 7"."""
    parts: list[list[int]] = []
    for n in numbers:
        if parts and n == parts[-1][-1] + 1:
            parts[-1].append(n)
        else:
            parts.append([n])
    return ", ".join(str(p[0]) if len(p) == 1 else f"{p[0]}-{p[-1]}" for p in parts)
