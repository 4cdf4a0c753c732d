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


_State = tuple[float, int, _Chain, dict[str, Any], _Chain, _Chain, _Chain, list[float]]
"""Score, how many types are closed, those types, the open type's slots, its picks, its asides, the options chosen, and how whole the
open type is where that has been asked for. A plain tuple: states are made by the thousand."""
_SKIP, _JOIN, _ASIDE, _OPEN = range(4)
"""What a mention does to a state: it fills nothing, it joins the open type, its slot is taken, or it opens a type."""


def _items(chain: _Chain) -> list[Any]:
    """The items of a chain, first to last."""
    out = []
    while chain is not None:
        chain, item = chain
        out.append(item)
    out.reverse()
    return out


def _closing(slots: dict[str, Any]) -> float:
    """How whole a luminaire type is."""
    return _wholeness(tuple(slots), slots.get("watts"), slots.get("source"))


@lru_cache(maxsize=8192)
def _wholeness(slots: tuple[str, ...], watts: float | None, source: str | None) -> float:
    """How whole a type with these slots is: few kinds of types there are, and many states that close one."""
    w = weights()["close"]
    score = 0.0
    if "family" in slots or "size" in slots:
        score += w["family"]
    elif "_noun" in slots:
        score += w["noun"]
    if "qty" in slots:
        score += w["qty"]
    if "source" in slots or "watts" in slots:
        score += w["lamp"]
    if _CORE.isdisjoint(slots):
        score += (
            w["placed"]
            if "_placed" in slots or ("_same" in slots and "qty" in slots)
            else w["hollow"]
            if len(slots) > 1
            else w["lone"]
        )
    elif "qty" not in slots:
        if "family" not in slots and "size" not in slots:
            score += w["fragment"]
        elif _LAMP.isdisjoint(slots):
            score += w["bare_noun"]
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
    """The best groups, and for each mention the distance to the best reading that takes it otherwise, and that option.

    ``rivals`` are, of each group, the slots that a dealing nearly as good gives another value, with that value (``None``:
    it has none there).
    """

    groups: tuple[Group, ...]
    margins: dict[int, tuple[float, Option]]
    rivals: dict[int, dict[str, Any]] = {}  # noqa: RUF012


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
    join_cost = [weighed["join"][str(level)] for level in range(6)]
    open_cost = [gaps[str(level)] for level in range(6)]
    aside_cost, aside_default = weighed["aside"], weighed["aside"]["other"]
    states: list[_State] = [(0.0, 0, None, {}, None, None, None, [])]
    led = leading(mentions)
    for index, mention in enumerate(mentions):
        gap = mention.gap
        # a candidate is (score below 0, types, its turn, what it does, the state, the option's number): only those that stay
        # become states. The turn makes the order total: equal scores keep the order of states, then of options
        grown: list[tuple[float, int, int, int, _State, int]] = []
        for number, option in enumerate(mention.options):
            option_slots, score, _ = option
            turn = 2 * number
            if not option_slots:
                for state in states:
                    grown.append((-(state[0] + score), state[1], turn, _SKIP, state, number))
                    turn += _TURNS
                continue
            first, value = option_slots[0]
            single = len(option_slots) == 1
            other_type = not single and option_slots[1][0] == "_part"
            other_place = not single and option_slots[1][0] == "_placed"
            counts = first == "qty"
            counted = counts or any(slot == "qty" for slot, _ in option_slots)
            alike = gap >= 1 and first not in _QUIET
            opens = gap >= 1 or first in _IDENTITY
            opening = open_cost[gap] if counts or first in _IDENTITY else open_cost[gap] + attribute
            ahead = index in led
            anew = gap >= 3 and not counts and first not in _IDENTITY and first not in _QUIET
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
                base, types, _, slots, _, _, _, wholeness = state
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
                    grown.append((-(scored + cost), types, turn, _JOIN, state, number))
                elif not counted:
                    grown.append((-(base + aside), types, turn, _ASIDE, state, number))
                # an attribute that fits, with nothing between, opens no type
                if slots and (conflict or opens):
                    cost = open_cost[gap] if ahead and "family" in slots else opening
                    if anew and conflict:
                        cost += 2.0  # "...; the other one is lower, 16', a dozen high bays"
                    if counts:
                        cost += qty_again if "qty" in slots else qty_early
                    if not loose:
                        if not wholeness:
                            wholeness.append(_closing(slots))
                        cost += wholeness[0]
                    grown.append((-(scored + cost), types + 1, turn + 1, _OPEN, state, number))
                turn += _TURNS
        if not grown:
            continue
        grown.sort()
        floor = -grown[0][0] - _PRUNE
        states = []
        for low, types, _, does, state, number in grown[:width]:
            if -low < floor:
                break
            _, _, closed, slots, picks, asides, choices, wholeness = state
            if does == _SKIP:
                states.append((-low, types, closed, slots, picks, asides, (choices, number), wholeness))
                continue
            option = mention.options[number]
            if does == _JOIN:
                if len(option.slots) == 1 and option.slots[0][0] not in ("controls", "source"):
                    joined = slots.copy()
                    joined[option.slots[0][0]] = option.slots[0][1]
                else:
                    joined = _join(slots, option)
                states.append(
                    (-low, types, closed, joined, (picks, (mention, option)), asides, (choices, number), [])
                )
            elif does == _ASIDE:
                asides = (asides, (mention, option))
                states.append((-low, types, closed, slots, picks, asides, (choices, number + 100), wholeness))
            else:
                closed = (closed, (slots, picks, asides))
                states.append(
                    (
                        -low,
                        types,
                        closed,
                        dict(option.slots),
                        (None, (mention, option)),
                        None,
                        (choices, number),
                        [],
                    )
                )
    final = []
    for turn, state in enumerate(states):
        closing = _closing(state[3]) if state[3] and not loose else 0.0
        types = state[1] + 1 if state[3] else state[1]
        final.append((-(state[0] + closing), types, turn, state))
    final.sort()
    best = final[0][3]
    closed = (best[2], (best[3], best[4], best[5])) if best[3] else best[2]
    groups = tuple(
        [
            Group(
                slots,
                tuple([Pick(*pick) for pick in _items(picks)]),
                tuple([Pick(*pick) for pick in _items(asides)]),
            )
            for slots, picks, asides in _items(closed)
        ]
    )
    near = next((state for low, _, _, state in final[1:] if low - final[0][0] < _RIVAL), None)
    rivals = _rivals(closed, near) if near is not None and not loose and len(groups) > 1 else {}
    return Found(groups, _margins(mentions, [(-low, state[6]) for low, _, _, state in final]), rivals)


def _dealt(closed: _Chain) -> list[tuple[dict[str, Any], set[int]]]:
    """The slots of each type, and which mentions gave them."""
    return [(slots, {mention.first for mention, _ in _items(picks)}) for slots, picks, _ in _items(closed)]


def _rivals(closed: _Chain, near: _State) -> dict[int, dict[str, Any]]:
    """Where the next best dealing gives a type another value: by the type's number, the slots and what they would be."""
    others = _dealt((near[2], (near[3], near[4], near[5])) if near[3] else near[2])
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


def _margins(mentions: list[Mention], final: list[tuple[float, _Chain]]) -> dict[int, tuple[float, Option]]:
    """For each mention how far the best state that takes it otherwise is behind, and how that takes it."""
    if len(final) < 2 or all(len(mention.options) < 2 for mention in mentions):
        return {}
    best, *rest = [(score, _items(choices)) for score, choices in final]
    margins: dict[int, tuple[float, Option]] = {}
    for index, mention in enumerate(mentions):
        if len(mention.options) < 2:
            continue
        for score, choices in rest:
            if choices[index] != best[1][index]:
                margins[index] = (best[0] - score, mention.options[choices[index] % 100])
                break
    return margins
