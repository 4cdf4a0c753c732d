"""The slots and values that a mention may stand for, and taking it as one of them."""

from typing import Any

from bot.reading.mentions import Mention, Option


def main_slot(mention: Mention) -> str | None:
    for option in mention.options:
        if option.slots:
            return option.slots[0][0]
    return None


def value_of(mention: Mention, slot: str) -> object:
    for option in mention.options:
        for name, value in option.slots:
            if name == slot:
                return value
    return None


_BARE_SLOTS = frozenset(
    ("qty", "height_ft", "watts", "voltage", "lamps", "cct_k", "input_watts", "spacing_ft", "lamp_feet")
)
"""Slots that a number without a unit can fill."""


def restrict(mention: Mention, slot: str) -> Mention | None:
    """The mention taken as ``slot``; ``None`` where it can't be."""
    kept = tuple(option for option in mention.options if option.slots and option.slots[0][0] == slot)
    if kept:
        return mention._replace(options=(Option(kept[0].slots, 4.0, "second thought"),))
    if mention.bare:
        raw = next((option.slots[0][1] for option in mention.options if option.slots), None)
        if isinstance(raw, (int, float)) and slot in _BARE_SLOTS:
            # whole values stay whole: no type is named here, a float would be made of them
            value: Any = int(raw) if slot in ("qty", "lamps", "voltage", "cct_k") else float(raw)
            return mention._replace(options=(Option(((slot, value),), 4.0, "second thought"),))
    return None


def drop(current: list[Mention | None], target: int, slot: str | None, whole: bool = False) -> None:
    """Take a mention away, or only the slot of it where it stated several."""
    held = current[target]
    if held is None:
        return
    if len(held.options) == 1 and len(held.options[0].slots) > 1 and slot is not None and not whole:
        rest = tuple(item for item in held.options[0].slots if item[0] != slot)
        current[target] = held._replace(options=(held.options[0]._replace(slots=rest),))
    else:
        current[target] = None


_CLOSE = 3.0
"""How far an option may be behind the best one and still be meant."""


def slot_in(mention: Mention, slot: str) -> bool:
    best = mention.options[0].score if mention.options else 0.0
    return any(
        name == slot
        for option in mention.options[:2]
        if best - option.score <= _CLOSE
        for name, _ in option.slots
    )


def numeric(mention: Mention | None) -> bool:
    if mention is None:
        return False
    slot = main_slot(mention)
    return (slot in _BARE_SLOTS or slot == "led_watts") and not any(
        name in ("source", "family") for option in mention.options[:1] for name, _ in option.slots
    )


def plausible(role: str | None, mention: Mention) -> bool:
    value = float(mention.options[0].slots[0][1])
    if role == "voltage":
        return value in (110, 115, 120, 208, 220, 230, 240, 277, 347, 480, 600)
    if role == "height_ft":
        return 5 <= value <= 150
    if role == "lamps":
        return 1 <= value <= 8
    if role == "cct_k":
        return 1800 <= value <= 7000
    return True
