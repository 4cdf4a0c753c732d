"""Assumptions in words: what was taken, how far it could be off, what else it could be, and from where.

Like assumptions on several lines are said once, with the lines they hold for.
"""

from collections import Counter
from collections.abc import Sequence
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

    Returns:
        Those that the writer could settle or that move the payback, in full; the rest in a few words each; and how many
        those are, since of many only the first are given.
    """
    groups = sorted(_alike(assumptions), key=_rank)
    main = list(islice(filter(_is_main, groups), MOST_MAIN))
    views = tuple([_view(group, line_count, words, metric) for group in main])
    smaller = [group for group in groups if group not in main]
    smaller.sort(key=_by_swing)
    named = list(dict.fromkeys([_in_brief(group, words, metric) for group in smaller]))
    count = len(named)
    if count > MOST_MINOR:
        named[MOST_MINOR:] = [words.say("cut_rest", count=str(count - MOST_MINOR))]
    return views, tuple(named), count


class _Group:
    """Like assumptions: what they are of, the first, all of them, and the widest swing of the payback [years].

    ``can_be_settled``: by the writer, who knows a slot, or a kind of thing.
    """

    __slots__ = ("can_be_settled", "first", "key", "members", "swing_years")

    def __init__(self, kind: "_Kind", first: Assumption) -> None:
        self.key, self.can_be_settled = kind
        self.first, self.members, self.swing_years = first, [first], first.swing_years

    def add(self, another: Assumption) -> None:
        self.members.append(another)
        self.swing_years = max(self.swing_years, another.swing_years)


def _alike(assumptions: Sequence[Assumption]) -> list[_Group]:
    """Those that are said once, in the order of their first."""
    kinds = [_kind(a.path, a.name) for a in assumptions]
    times = Counter([kind.key for kind in kinds])
    out: list[_Group] = []
    several: dict[tuple[Any, ...], _Group] = {}
    for kind, a in zip(kinds, assumptions, strict=True):
        if times[kind.key] > 1:
            whole = (kind.key, repr(a.value), repr(a.low), repr(a.high), a.unit, a.source, a.others)
            if (group := several.get(whole)) is not None:
                group.add(a)
                continue
            several[whole] = group = _Group(kind, a)
        else:
            group = _Group(kind, a)
        out.append(group)
    return out


class _Kind(NamedTuple):
    """What an assumption is of, whatever its value: see `assumed_key`, and whether the writer could settle it."""

    key: str
    can_be_settled: bool


@lru_cache(maxsize=4096)
def _kind(path: str, name: str) -> _Kind:
    can_be_settled = path.startswith(("job.", "lines.")) and (not name or "." in name or name in _ANSWERABLE)
    return _Kind(slot_of(name or path), can_be_settled)


def _rank(group: _Group) -> tuple[bool, bool, float]:
    return not group.can_be_settled, not group.first.affects_money, -group.swing_years


def _by_swing(group: _Group) -> float:
    return -group.swing_years


def _is_main(group: _Group) -> bool:
    first = group.first
    if not first.affects_money and first.low is not None:
        return False
    if group.swing_years >= _FELT_YEARS or slot_of(first.path) == "qty":
        return True
    in_question = bool(first.others) or first.low is None or first.low != first.high
    return in_question and group.can_be_settled


def assumed_name(assumption: Assumption, words: Words) -> str:
    """What was assumed, in words; a figure without words is named as the engine names it."""
    return name_of_key(assumed_key(assumption), words)


def assumed_key(assumption: Assumption) -> str:
    """The figure's own name where the path is that of a slot which would replace it."""
    return _kind(assumption.path, assumption.name).key


def _view(group: _Group, line_count: int, words: Words, metric: bool) -> AssumedView:
    first, swing = group.first, group.swing_years
    numbers = [n + 1 for n in (line_index(a.path) for a in group.members) if n is not None]
    value, low, high = first.value, first.low, first.high
    usual = _is_usual(value) and _is_usual(low) and _is_usual(high) and not first.others
    say = _said if usual else _said.__wrapped__
    said = say(group.key, value, low, high, first.unit, first.source, first.others, words.language, metric)
    return AssumedView(
        path=first.path,
        name=said.name,
        value=said.value,
        range=said.range,
        others=said.others,
        source=said.source,
        where=_where(first.path, numbers, line_count, words),
        swing=shown.years(swing, words) if swing >= _FELT_YEARS else "",
        short=said.short,
    )


_HASHED: Final = frozenset({float, int, str, type(None)})


def _is_usual(value: Any) -> bool:
    """Whether what is said of it can be kept: zeros of either sign are equal, and not written alike, and not all is hashable."""
    return type(value) in _HASHED and value != 0


class _Said(NamedTuple):
    """What is said of an assumption whatever the job."""

    name: str
    value: str
    range: str
    others: str
    source: str
    short: str


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
    name = name_of_key(key, words)
    said = _shown(key, value, unit, words, metric)
    return _Said(
        name,
        said,
        _range(key, low, high, unit, words, metric),
        listing([_shown(key, o, unit, words, metric) for o in others], words, "or"),
        _unstopped(short_source(source, words)),
        _short(key, name, said, words),
    )


def _in_brief(group: _Group, words: Words, metric: bool) -> str:
    value, unit = group.first.value, group.first.unit
    if _is_usual(value):
        return _usual_in_brief(group.key, value, unit, words.language, metric)
    return _brief(group.key, value, unit, words, metric)


@lru_cache(maxsize=2048, typed=True)
def _usual_in_brief(slot: str, value: Any, unit: str, language: Language, metric: bool) -> str:
    """As `_brief`; kept, since most of what is assumed are the same rows of the same tables."""
    return _brief(slot, value, unit, words_in(language), metric)


def _brief(slot: str, value: Any, unit: str, words: Words, metric: bool) -> str:
    return _short(slot, name_of_key(slot, words), _shown(slot, value, unit, words, metric), words)


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
