"""The search for the best joint reading: mentions are dealt into luminaire types, each slot at most once a type.

A beam search over the mentions in text order. A state is the types closed so far and the one that is open. The
weights live in ``lexicon/scores.toml``. The distance of the best state to the best one that gives a slot another value
is that slot's margin.
"""

from functools import lru_cache
from typing import Any, NamedTuple

from bot.reading.codes import lamp_tables
from bot.reading.compiled import table
from bot.reading.mentions import Mention, Option

_CORE = (
    "family",
    "source",
    "watts",
    "size",
    "led_watts",
    "lamps",
    "_led",
    "_noun",
    "input_watts",
    "led_lumens",
)
_PRUNE = 12.0
"""States this far behind the best never catch up."""
_QUIET = frozenset({"_noun", "_led", "_point", "controls"})
_IDENTITY = frozenset({"qty", "family", "source", "watts", "size", "led_watts", "_noun", "_same"})


@lru_cache(maxsize=1)
def weights() -> dict[str, dict[str, float]]:
    """The scores' data file."""
    return table("scores")


class Pick(NamedTuple):
    """One mention as it was taken."""

    mention: Mention
    option: Option


class Group(NamedTuple):
    """One luminaire type: its slots, the picks that gave them, and what was set aside because its slot was taken."""

    slots: dict[str, Any]
    picks: tuple[Pick, ...]
    asides: tuple[Pick, ...] = ()


_Chain = tuple[Any, Any] | None
"""A list that grows at its head and shares its tail: (what is before, the item)."""


class _State(NamedTuple):
    score: float
    types: int
    closed: _Chain
    slots: dict[str, Any]
    picks: _Chain
    asides: _Chain
    choices: _Chain


def _items(chain: _Chain) -> list[Any]:
    """The items of a chain, first to last."""
    out = []
    while chain is not None:
        chain, item = chain
        out.append(item)
    out.reverse()
    return out


def _close(state: _State) -> _State:
    """The state with its open type closed."""
    if not state.slots:
        return state
    return state._replace(
        types=state.types + 1,
        closed=(state.closed, (state.slots, state.picks, state.asides)),
        slots={},
        picks=None,
        asides=None,
    )


def _closing(slots: dict[str, Any], w: dict[str, float]) -> float:
    """How whole a luminaire type is."""
    score = 0.0
    if "family" in slots or "size" in slots:
        score += w["family"]
    elif "_noun" in slots:
        score += w["noun"]
    if "qty" in slots:
        score += w["qty"]
    if "source" in slots or "watts" in slots:
        score += w["lamp"]
    if not any(slot in slots for slot in _CORE):
        score += w["hollow"] if len(slots) > 1 else w["lone"]
    elif "qty" not in slots:
        if "family" not in slots and "size" not in slots:
            score += w["fragment"]
        elif not any(slot in slots for slot in ("source", "watts", "lamps", "led_watts")):
            score += w["bare_noun"]
    watts, source = slots.get("watts"), slots.get("source")
    if watts is not None and source is not None:
        known = lamp_tables().watts.get(source)
        if known:
            score += w["watts_known"] if watts in known else w["watts_unknown"]
    return score


def _conflict(slots: dict[str, Any], option: Option) -> bool:
    for slot, value in option.slots:
        if slot in slots and slots[slot] != value and slot != "controls":
            if slot == "source" and value == "T5HO" and slots[slot] == "T5":
                continue
            if slot == "source" and value == "PSMH" and slots[slot] == "MH":
                continue
            if slot == "source" and value in ("MH", "T5") and slots[slot] in ("PSMH", "CMH", "T5HO"):
                continue
            return True
    return False


def _join(slots: dict[str, Any], option: Option) -> dict[str, Any]:
    merged = dict(slots)
    for slot, value in option.slots:
        if slot == "controls" and slot in merged:
            both = merged[slot] + tuple(item for item in value if item not in merged[slot])
            merged[slot] = tuple(item for item in both if item != "none") or ("none",)
        elif slot == "source" and merged.get(slot) in ("PSMH", "CMH", "T5HO") and value in ("MH", "T5"):
            continue
        else:
            merged[slot] = value
    return merged


class Found(NamedTuple):
    """The best groups, and for each mention the distance to the best reading that takes it otherwise, and that option."""

    groups: tuple[Group, ...]
    margins: dict[int, tuple[float, Option]]


def search(mentions: list[Mention], width: int = 10, loose: bool = False) -> Found:
    """Deal the mentions into luminaire types; ``loose`` ones change types that are there and need not be whole."""
    weighed = weights()
    gaps, close = weighed["gap"], weighed["close"]
    join_cost = [weighed["join"][str(level)] for level in range(6)]
    open_cost = [gaps[str(level)] for level in range(6)]
    aside_cost, aside_default = weighed["aside"], weighed["aside"]["other"]
    states = [_State(0.0, 0, None, {}, None, None, None)]
    for mention in mentions:
        grown: list[_State] = []
        for state in states:
            for number, option in enumerate(mention.options):
                choices = (state.choices, number)
                if not option.slots:
                    grown.append(
                        _State(state.score + option.score, state.types, state.closed, state.slots, state.picks,
                               state.asides, choices)
                    )  # fmt: skip
                    continue
                first = option.slots[0][0]
                pick = Pick(mention, option)
                conflict = _conflict(state.slots, option)
                if not conflict:
                    cost = join_cost[mention.gap] if state.slots else 0.0
                    if (
                        mention.gap >= 1
                        and first not in _QUIET
                        and all(slot in state.slots for slot, _ in option.slots)
                    ):
                        cost += gaps["again"]
                    grown.append(
                        _State(state.score + option.score + cost, state.types, state.closed,
                               _join(state.slots, option), (state.picks, pick), state.asides, choices)
                    )  # fmt: skip
                elif first != "qty" and all(slot != "qty" for slot, _ in option.slots):
                    # the slot is taken: set it aside, as another value that it could be
                    cost = aside_cost.get(first, aside_default)
                    if first == "family" and mention.gap == 0:
                        cost = aside_cost["family_close"]
                    grown.append(
                        _State(state.score + cost, state.types, state.closed, state.slots, state.picks,
                               (state.asides, pick), (state.choices, number + 100))
                    )  # fmt: skip
                # an attribute that fits, with nothing between, opens no type
                if state.slots and (conflict or mention.gap >= 1 or first in _IDENTITY):
                    cost = open_cost[mention.gap]
                    if first == "qty":
                        cost += gaps["qty"] if "qty" in state.slots else gaps["qty_early"]
                    elif first not in _IDENTITY:
                        cost += gaps["attribute"]
                    if not loose:
                        cost += _closing(state.slots, close)
                    closed = (state.closed, (state.slots, state.picks, state.asides))
                    grown.append(
                        _State(state.score + option.score + cost, state.types + 1, closed, dict(option.slots),
                               (None, pick), None, choices)
                    )  # fmt: skip
        if not grown:
            continue
        # the sort is stable: equal scores keep the order of options, so the choice is total
        grown.sort(key=_rank)
        floor = grown[0].score - _PRUNE
        states = [state for state in grown[:width] if state.score >= floor]
    final = []
    for state in states:
        closing = _closing(state.slots, close) if state.slots and not loose else 0.0
        final.append(_close(state)._replace(score=state.score + closing))
    final.sort(key=_rank)
    groups = tuple(
        Group(slots, tuple(_items(picks)), tuple(_items(asides)))
        for slots, picks, asides in _items(final[0].closed)
    )
    return Found(groups, _margins(mentions, final))


def _rank(state: _State) -> tuple[float, int]:
    return -state.score, state.types


def _margins(mentions: list[Mention], final: list[_State]) -> dict[int, tuple[float, Option]]:
    """For each mention how far the best state that takes it otherwise is behind, and how that takes it."""
    if len(final) < 2:
        return {}
    best, *rest = [(state.score, _items(state.choices)) for state in final]
    margins: dict[int, tuple[float, Option]] = {}
    for index, mention in enumerate(mentions):
        if len(mention.options) < 2:
            continue
        for score, choices in rest:
            if choices[index] != best[1][index]:
                margins[index] = (best[0] - score, mention.options[choices[index] % 100])
                break
    return margins
