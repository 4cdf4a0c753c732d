"""Assumptions in words: what was taken, how far it could be off, what else it could be, and from where.

Like assumptions on several lines are said once, with the lines they hold for.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from bot.replies import shown
from bot.replies.asked import line_index, slot_of
from bot.replies.clean import one_line
from bot.replies.describe import value_words
from bot.replies.words import Words, listing
from engine.proposal import Assumption

SOURCE_CHARACTERS: Final = 90
_PERCENT_NAMES: Final = frozenset({"discount_rate", "energy_escalation"})


@dataclass(frozen=True, slots=True)
class AssumedView:
    """One assumption, ready to show; every field is text (``where`` is empty where it holds for the whole job).

    ``path`` is the slot to change, of the first line it holds for.
    """

    path: str
    name: str
    value: str
    range: str
    others: str
    source: str
    where: str
    swing: str


def assumption_views(
    assumptions: Sequence[Assumption], line_count: int, words: Words, metric: bool = False
) -> tuple[AssumedView, ...]:
    """The assumptions, those that move the payback most first, like ones joined."""
    groups: dict[tuple[Any, ...], list[Assumption]] = {}
    for a in assumptions:
        key = (slot_of(a.path), _text(a.value), _text(a.low), _text(a.high), a.unit, a.source, a.others)
        groups.setdefault(key, []).append(a)
    order = sorted(groups.values(), key=lambda g: -max(a.swing_years for a in g))
    return tuple(_view(group, line_count, words, metric) for group in order)


def _text(value: Any) -> str:
    return repr(value)


def _view(group: list[Assumption], line_count: int, words: Words, metric: bool) -> AssumedView:
    first = group[0]
    slot = slot_of(first.path)
    numbers = [n + 1 for n in (line_index(a.path) for a in group) if n is not None]
    swing = max(a.swing_years for a in group)
    return AssumedView(
        path=first.path,
        name=words.find("names", slot) or one_line(slot.replace("_", " ")),
        value=_shown(slot, first.value, first.unit, words, metric),
        range=_range(slot, first, words, metric),
        others=listing([_shown(slot, o, first.unit, words, metric) for o in first.others], words, "or"),
        source=short_source(first.source, words),
        where=_where(numbers, line_count, words),
        swing=shown.years(swing, words) if swing >= 0.05 else "",
    )


def _shown(slot: str, value: Any, unit: str, words: Words, metric: bool) -> str:
    if isinstance(value, bool | str | tuple | list | dict) or value is None:
        return value_words(slot, value, words, metric)
    if slot in _PERCENT_NAMES and unit in {"1", ""}:
        return f"{shown.plain(100 * float(value), 1)}%"
    if slot in {"rate_per_kwh", "cct_k", "voltage", "height_ft"}:
        text = value_words(slot, value, words, metric)
        return f"{text}/kWh" if slot == "rate_per_kwh" else text
    return shown.amount(value, unit, words)


def _range(slot: str, a: Assumption, words: Words, metric: bool) -> str:
    if a.low is None or a.high is None or isinstance(a.low, str):
        return ""
    if slot in _PERCENT_NAMES or slot in {"rate_per_kwh", "height_ft"}:
        low = _shown(slot, a.low, a.unit, words, metric)
        high = _shown(slot, a.high, a.unit, words, metric)
        return "" if low == high else words.say("range", low=low.removesuffix("/kWh"), high=high)
    return shown.amount_range(a.low, a.high, a.unit, words)


def short_source(source: str, words: Words, limit: int = SOURCE_CHARACTERS) -> str:
    """The source, cut at its first part where it is long; the few phrases without a publication are translated."""
    known = words.find("source_phrases", source)
    if known is not None:
        return known
    text = one_line(source, 4 * limit)
    if len(text) > limit and ";" in text[:limit]:
        text = text.partition(";")[0]
    return one_line(text, limit)


def _where(numbers: list[int], line_count: int, words: Words) -> str:
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
