"""From groups of mentions to lines: what is shared is written into each line it covers."""

from typing import Any

from bot.reading.message import Said
from bot.reading.search import Found, Group

_PRIVATE = ("_led", "_noun", "_same")
_SHARED_BACK = ("family", "source", "size", "lamps", "lamp_feet")


def said_of(group: Group, found: Found, index_of: dict[int, int]) -> dict[str, Said]:
    """The group's slots with their places."""
    out: dict[str, Said] = {}
    for pick in group.picks:
        for slot, value in pick.option.slots:
            margin, others = 9.0, ()
            close = found.margins.get(index_of.get(id(pick.mention), -1))
            if close is not None:
                margin = close[0]
            kept: Any = group.slots.get(slot, value)
            out[slot] = Said(kept, pick.mention.start, pick.mention.end, others=others, margin=margin, rule=pick.option.rule)
    return out


def led_asked(slots: dict[str, Said]) -> None:
    """Where an LED is asked for directly its watts are those of the LED, and there is no source."""
    if "_led" in slots and "watts" in slots and "source" not in slots:
        slots["led_watts"] = slots.pop("watts")


def settle(groups: list[dict[str, Said]]) -> list[dict[str, Said]]:
    """Hand families and lamps that are said once to the neighbours that lack them."""
    for index, slots in enumerate(groups):
        if "family" in slots or not ("qty" in slots or "watts" in slots):
            continue
        before = groups[index - 1] if index else None
        after = groups[index + 1] if index + 1 < len(groups) else None
        giver = before if before is not None and "family" in before else after
        if giver is not None:
            for slot in _SHARED_BACK:
                if slot in giver and slot not in slots and not (slot == "source" and "watts" not in slots and giver is before and "source" not in giver):
                    slots[slot] = giver[slot]
    return groups
