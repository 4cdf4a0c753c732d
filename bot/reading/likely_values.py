"""What a slot could hold, for numbers that say no unit, and the units that its own numbers stand before."""

from typing import Final

from bot.reading.codes import lamp_tables
from bot.reading.supply import VOLTS

LIKELY: Final[dict[str, tuple[float, float]]] = {
    "height_ft": (8, 80),
    "spacing_ft": (6, 200),
    "lamps": (1, 8),
    "lamp_feet": (1.5, 8),
    "input_watts": (4, 2500),
    "led_watts": (4, 1000),
    "led_lumens": (300, 200_000),
    "cct_k": (2, 7000),
    "cri": (60, 100),
    "price_now": (5, 5000),
    "qty": (1, 100_000),
    "rate_per_kwh": (0.03, 60),
    "demand_rate_per_kw": (1, 60),
    "rebate_per_luminaire": (5, 2000),
    "labor_per_luminaire": (20, 600),
    "budget": (100, 10_000_000),
    "payback_limit_years": (0.5, 20),
}
"""What a number without a unit could be, where it was asked for (common practice, no source)."""
HOURS: Final = (24, 400)
"""A bare number between these is no hours: of a day it would be too many, of a year too few."""
MORE_VOLTS: Final = VOLTS | {110, 115, 220, 230, 440, 460}
"""What people call the same supplies (common practice, no source)."""
UNITS: Final[dict[str, frozenset[str]]] = {
    "voltage": frozenset({"v"}),
    "height_ft": frozenset({"ft", "m", "storey"}),
    "spacing_ft": frozenset({"ft", "m"}),
    "lamp_feet": frozenset({"ft", "inch"}),
    "lamps": frozenset({"lamps"}),
    "watts": frozenset({"w"}),
    "input_watts": frozenset({"w"}),
    "led_watts": frozenset({"w"}),
    "led_lumens": frozenset({"lumens"}),
    "cct_k": frozenset({"kelvin"}),
    "cri": frozenset({"cri"}),
    "price_now": frozenset({"dollars"}),
    "qty": frozenset({"each", "dozen", "pair"}),
    "rate_per_kwh": frozenset({"cents", "kwh", "dollars"}),
    "demand_rate_per_kw": frozenset({"kw", "dollars"}),
    "rebate_per_luminaire": frozenset({"dollars", "percent"}),
    "labor_per_luminaire": frozenset({"dollars"}),
    "budget": frozenset({"dollars", "grand"}),
    "payback_limit_years": frozenset({"year"}),
    "schedule": frozenset({"hours", "days", "shifts", "week", "year"}),
}
"""The units that a slot's own number may stand before."""


def could_be(slot: str, value: float) -> bool:
    """Whether a number without a unit could be the slot's value."""
    if slot == "voltage":
        return value in MORE_VOLTS
    if slot == "schedule":
        return value > 0 and not HOURS[0] < value < HOURS[1]
    if slot == "watts":
        return value not in VOLTS and any(value in watts for watts in lamp_tables().watts.values())
    low, high = LIKELY[slot]
    return low <= value <= high and (slot != "labor_per_luminaire" or value not in VOLTS - {120, 240})
