"""The search for the best joint reading: mentions are dealt into luminaire types, each slot at most once a type.

A beam search over the mentions in text order. A state is the types closed so far and the one that is open. The
weights live in ``lexicon/scores.toml``. The distance of the best state to the best one that gives a slot another value
is that slot's margin.
"""

from functools import lru_cache
from typing import Any, Final, final

from bot.reading.codes import lamp_tables
from bot.reading.compiled import table
from bot.reading.mentions import Mention, Option

_CORE = frozenset(
    {"family", "source", "watts", "size", "led_watts", "lamps", "_led", "_noun", "input_watts", "led_lumens"}
)
_LAMP = frozenset({"source", "watts", "lamps", "led_watts"})
_PRUNE = 12.0
"""States this far behind the best never catch up."""
_QUIET = frozenset({"_noun", "_led", "_point", "controls"})
_IDENTITY = frozenset({"qty", "family", "source", "watts", "size", "led_watts", "_noun", "_same"})


@lru_cache(maxsize=1)
def weights() -> dict[str, dict[str, float]]:
    """The scores' data file."""
    return table("scores")


_RIVAL = 0.6
"""How near another dealing must come to make what differs a doubt."""
_TURNS = 1024
"""Turns of one state: more than it could ever need, two for each option."""


@final
class Pick:
    """One mention as it was taken."""

    __slots__ = ("mention", "option")

    def __init__(self, mention: Mention, option: Option) -> None:
        self.mention = mention
        self.option = option


@final
class Group:
    """One luminaire type: its slots, the picks that gave them, and what was set aside because its slot was taken."""

    __slots__ = ("asides", "picks", "slots")

    def __init__(self, slots: dict[str, Any], picks: tuple[Pick, ...], asides: tuple[Pick, ...] = ()) -> None:
        self.slots = slots
        self.picks = picks
        self.asides = asides


_Chain = tuple[Any, Any] | None
"""A list that grows at its head and shares its tail: (what is before, the item)."""


@final
class _State:
    """Mentions dealt so far. States are made by the thousand, and never changed but for ``whole``.

    Attributes:
        score: how good it is.
        types, closed: how many types are closed; those types.
        slots, picks, asides: of the open type.
        choices: the options chosen.
        whole: how whole the open type is, where that has been asked for; else `_NOT_ASKED`.
    """

    __slots__ = ("asides", "choices", "closed", "picks", "score", "slots", "types", "whole")

    def __init__(
        self,
        score: float,
        types: int,
        closed: _Chain,
        slots: dict[str, Any],
        picks: _Chain,
        asides: _Chain,
        choices: _Chain,
        whole: float,
    ) -> None:
        self.score = score
        self.types = types
        self.closed = closed
        self.slots = slots
        self.picks = picks
        self.asides = asides
        self.choices = choices
        self.whole = whole


_NOT_ASKED: Final = -1e9
_SKIP: Final = 0
_JOIN: Final = 1
_ASIDE: Final = 2
_OPEN: Final = 3
"""What a mention does to a state: it fills nothing, it joins the open type, its slot is taken, or it opens a type."""


@final
class _Step:
    """What may become of a state: only the best become states.

    Attributes:
        low: score below 0.
        types: how many types are closed then.
        turn: makes the order total: equal scores keep the order of states, then of options.
        does: one of `_SKIP` and its like.
        state, number: the state before, and the option's number.
    """

    __slots__ = ("does", "low", "number", "state", "turn", "types")

    def __init__(self, low: float, types: int, turn: int, does: int, state: _State, number: int) -> None:
        self.low = low
        self.types = types
        self.turn = turn
        self.does = does
        self.state = state
        self.number = number


def _keep(
    steps: list[_Step], width: int, low: float, types: int, turn: int, does: int, state: _State, number: int
) -> None:
    """Put a step in its place among the ``width`` best, if it is one of them."""
    at = len(steps)
    while at > 0:
        before = steps[at - 1]
        if before.low < low or (
            before.low == low and (before.types < types or (before.types == types and before.turn < turn))
        ):
            break
        at -= 1
    if at < width:
        if len(steps) == width:
            steps.pop()
        steps.insert(at, _Step(low, types, turn, does, state, number))


def _items(chain: _Chain) -> list[Any]:
    """The items of a chain, first to last."""
    out = []
    while chain is not None:
        chain, item = chain
        out.append(item)
    out.reverse()
    return out


@final
class _Weights:
    """How much speaks for a whole type, or against it: the part ``close`` of the scores."""

    def __init__(self) -> None:
        w = weights()["close"]
        self.family = w["family"]
        self.noun = w["noun"]
        self.qty = w["qty"]
        self.lamp = w["lamp"]
        self.placed = w["placed"]
        self.hollow = w["hollow"]
        self.lone = w["lone"]
        self.fragment = w["fragment"]
        self.bare_noun = w["bare_noun"]
        self.watts_known = w["watts_known"]
        self.watts_unknown = w["watts_unknown"]
        self.lamps = lamp_tables().watts


@lru_cache(maxsize=1)
def _closing_weights() -> _Weights:
    return _Weights()


@lru_cache(maxsize=1)
def _by_gap() -> tuple[list[float], list[float]]:
    """What joining the open type costs by the gap before a mention, and what opening one does."""
    weighed = weights()
    return [weighed["join"][str(level)] for level in range(6)], [
        weighed["gap"][str(level)] for level in range(6)
    ]


def _closing(slots: dict[str, Any], w: _Weights) -> float:
    """How whole a luminaire type is."""
    score = 0.0
    named = "family" in slots or "size" in slots
    counted = "qty" in slots
    watts, source = slots.get("watts"), slots.get("source")
    lamp = source is not None or watts is not None or "source" in slots or "watts" in slots
    if named:
        score += w.family
    elif "_noun" in slots:
        score += w.noun
    if counted:
        score += w.qty
    if lamp:
        score += w.lamp
    if not (named or lamp) and _CORE.isdisjoint(slots):
        if "_placed" in slots or ("_same" in slots and counted):
            score += w.placed
        else:
            score += w.hollow if len(slots) > 1 else w.lone
    elif not counted:
        if not named:
            score += w.fragment
        elif not lamp and _LAMP.isdisjoint(slots):
            score += w.bare_noun
    if watts is not None and source is not None:
        known = w.lamps.get(source)
        if known:
            score += w.watts_known if watts in known else w.watts_unknown
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


@final
class Found:
    """The best groups, and for each mention the distance to the best reading that takes it otherwise, and that option.

    ``rivals`` are, of each group, the slots that a dealing nearly as good gives another value, with that value (``None``:
    it has none there).
    """

    __slots__ = ("groups", "margins", "rivals")

    def __init__(
        self,
        groups: tuple[Group, ...],
        margins: dict[int, tuple[float, Option]],
        rivals: dict[int, dict[str, Any]],
    ) -> None:
        self.groups = groups
        self.margins = margins
        self.rivals = rivals


_BEFORE_NOUN = frozenset(
    {"lamp_feet", "lamps", "finish", "voltage", "cct_k", "optic", "damp_or_wet", "dark_sky"}
)


def leading(mentions: list[Mention]) -> set[int]:
    """Attributes that stand right before a luminaire word, parted from what is before them: "..., and 4 foot strips"."""
    out: set[int] = set()
    ahead = False
    for index in range(len(mentions) - 1, -1, -1):
        mention = mentions[index]
        if index + 1 < len(mentions) and mentions[index + 1].gap > 0:
            ahead = False
        if not mention.options[0].slots:
            ahead = False
            continue
        slot = mention.options[0].slots[0][0]
        if slot in ("family", "size"):
            ahead = True
        elif slot == "qty" or not (slot in _BEFORE_NOUN or slot in _IDENTITY):
            ahead = False
        elif ahead and mention.gap >= 1 and slot in _BEFORE_NOUN:
            out.add(index)
    return out


def search(mentions: list[Mention], width: int = 10, loose: bool = False) -> Found:
    """Deal the mentions into luminaire types; ``loose`` ones change types that are there and need not be whole."""
    weighed = weights()
    gaps = weighed["gap"]
    again, qty_again, qty_early, attribute = gaps["again"], gaps["qty"], gaps["qty_early"], gaps["attribute"]
    join_cost, open_cost = _by_gap()
    aside_cost, aside_default = weighed["aside"], weighed["aside"]["other"]
    close = _closing_weights()
    states = [_State(0.0, 0, None, {}, None, None, None, _NOT_ASKED)]
    led = leading(mentions)
    for index, mention in enumerate(mentions):
        gap = mention.gap
        steps: list[_Step] = []
        for number, option in enumerate(mention.options):
            option_slots, score = option.slots, option.score
            turn = 2 * number
            if not option_slots:
                for state in states:
                    _keep(steps, width, -(state.score + score), state.types, turn, _SKIP, state, number)
                    turn += _TURNS
                continue
            first, value = option_slots[0]
            single = len(option_slots) == 1
            other_type = not single and option_slots[1][0] in ("_part", "_same")
            other_place = not single and option_slots[1][0] == "_placed"
            counts = first == "qty"
            counted = counts
            if not single:
                for slot, _ in option_slots:
                    if slot == "qty":
                        counted = True
            identity = first in _IDENTITY
            alike = gap >= 1 and first not in _QUIET
            opens = gap >= 1 or identity
            opening = open_cost[gap] if counts or identity else open_cost[gap] + attribute
            ahead = index in led
            anew = gap >= 3 and not counts and not identity and first not in _QUIET
            if other_place:
                opening = max(opening, open_cost[2])  # the place's name between them parts them like a comma
            # the slot is taken: set it aside, as another value that it could be
            aside = (
                aside_cost["family_close"]
                if first == "family" and gap == 0
                else aside_cost.get(first, aside_default)
            )
            joining = join_cost[gap]
            for state in states:
                base, types, slots = state.score, state.types, state.slots
                scored = base + score
                conflict = False
                if slots:
                    if single:
                        conflict = (
                            first in slots
                            and slots[first] != value
                            and first != "controls"
                            and _conflict(slots, option)
                        )
                    elif other_type or (other_place and "qty" in slots):
                        conflict = (
                            True  # a part of a whole, or what hangs in another place, is a type of its own
                        )
                    else:
                        conflict = _conflict(slots, option)
                if not conflict:
                    cost = joining if slots else 0.0
                    if (
                        alike
                        and first in slots
                        and (single or all(slot in slots for slot, _ in option_slots))
                    ):
                        cost += again
                    _keep(steps, width, -(scored + cost), types, turn, _JOIN, state, number)
                elif not counted:
                    _keep(steps, width, -(base + aside), types, turn, _ASIDE, state, number)
                # an attribute that fits, with nothing between, opens no type
                if slots and (conflict or opens):
                    cost = open_cost[gap] if ahead and "family" in slots else opening
                    if anew and conflict:
                        cost += 2.0  # "...; the other one is lower, 16', a dozen high bays"
                    if counts:
                        cost += qty_again if "qty" in slots else qty_early
                    if not loose:
                        if state.whole == _NOT_ASKED:
                            state.whole = _closing(slots, close)
                        cost += state.whole
                    _keep(steps, width, -(scored + cost), types + 1, turn + 1, _OPEN, state, number)
                turn += _TURNS
        if not steps:
            continue
        floor = -steps[0].low - _PRUNE
        states = []
        for step in steps:
            low = step.low
            if -low < floor:
                break
            state, number, does = step.state, step.number, step.does
            choices = (state.choices, number + 100 if does == _ASIDE else number)
            if does == _SKIP:
                states.append(
                    _State(
                        -low,
                        step.types,
                        state.closed,
                        state.slots,
                        state.picks,
                        state.asides,
                        choices,
                        state.whole,
                    )
                )
                continue
            option = mention.options[number]
            pick = Pick(mention, option)
            if does == _JOIN:
                if len(option.slots) == 1 and option.slots[0][0] not in ("controls", "source"):
                    joined = state.slots.copy()
                    joined[option.slots[0][0]] = option.slots[0][1]
                else:
                    joined = _join(state.slots, option)
                states.append(
                    _State(
                        -low,
                        step.types,
                        state.closed,
                        joined,
                        (state.picks, pick),
                        state.asides,
                        choices,
                        _NOT_ASKED,
                    )
                )
            elif does == _ASIDE:
                asides = (state.asides, pick)
                states.append(
                    _State(
                        -low, step.types, state.closed, state.slots, state.picks, asides, choices, state.whole
                    )
                )
            else:
                closed = (state.closed, (state.slots, state.picks, state.asides))
                states.append(
                    _State(
                        -low, step.types, closed, dict(option.slots), (None, pick), None, choices, _NOT_ASKED
                    )
                )
    ends: list[_Step] = []
    for turn, state in enumerate(states):
        closing = _closing(state.slots, close) if state.slots and not loose else 0.0
        types = state.types + 1 if state.slots else state.types
        _keep(ends, len(states), -(state.score + closing), types, turn, _SKIP, state, 0)
    best = ends[0].state
    dealt = _all_types(best)
    groups = tuple(
        [Group(slots, tuple(_items(picks)), tuple(_items(asides))) for slots, picks, asides in _items(dealt)]
    )
    rivals: dict[int, dict[str, Any]] = {}
    if not loose and len(groups) > 1:
        for step in ends[1:]:
            if step.low - ends[0].low < _RIVAL:
                rivals = _rivals(dealt, _all_types(step.state))
                break
    return Found(groups, _margins(mentions, ends), rivals)


def _all_types(state: _State) -> _Chain:
    """The types closed and the open one."""
    return (state.closed, (state.slots, state.picks, state.asides)) if state.slots else state.closed


def _dealt(closed: _Chain) -> list[tuple[dict[str, Any], set[int]]]:
    """The slots of each type, and which mentions gave them."""
    return [(slots, {pick.mention.first for pick in _items(picks)}) for slots, picks, _ in _items(closed)]


def _rivals(closed: _Chain, near: _Chain) -> dict[int, dict[str, Any]]:
    """Where the next best dealing gives a type another value: by the type's number, the slots and what they would be."""
    others = _dealt(near)
    out: dict[int, dict[str, Any]] = {}
    for number, (slots, places) in enumerate(_dealt(closed)):
        twin = max(others, key=lambda other: len(other[1] & places), default=None)
        if twin is None or not twin[1] & places:
            continue
        differing = {
            slot: twin[0].get(slot)
            for slot, value in slots.items()
            if twin[0].get(slot) != value and not slot.startswith("_")
        }
        if differing:
            out[number] = differing
    return out


def _margins(mentions: list[Mention], ends: list[_Step]) -> dict[int, tuple[float, Option]]:
    """For each mention how far the best state that takes it otherwise is behind, and how that takes it."""
    if len(ends) < 2 or all(len(mention.options) < 2 for mention in mentions):
        return {}
    dealings = [(-step.low, _items(step.state.choices)) for step in ends]
    best, rest = dealings[0], dealings[1:]
    margins: dict[int, tuple[float, Option]] = {}
    for index, mention in enumerate(mentions):
        if len(mention.options) < 2:
            continue
        for score, choices in rest:
            if choices[index] != best[1][index]:
                margins[index] = (best[0] - score, mention.options[choices[index] % 100])
                break
    return margins
