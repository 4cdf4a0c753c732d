"""The slots of a reading in JSON form, put in the public order without the models that check outside text.

A message is read a thousand times for each time its models are asked for, and loading them takes longer than reading a
hundred messages. `engine.request` keeps the shape; a test holds the two to each other.
"""

from collections.abc import Callable, Mapping
from typing import Any


def _same(value: Any) -> Any:
    return value


def _whole(value: Any) -> Any:
    # what is no whole number stays what it is: the model refuses it
    return int(value) if isinstance(value, float) and value.is_integer() else value


def _schedule(value: Any) -> Any:
    return value if isinstance(value, str) else in_json(value, HOURS_SLOTS)


def _place(value: Mapping[str, Any]) -> dict[str, Any]:
    return in_json(value, PLACE_SLOTS)


Forms = dict[str, Callable[[Any], Any]]
HOURS_SLOTS: Forms = {"hours_per_day": float, "days_per_week": float, "hours_per_year": float}
PLACE_SLOTS: Forms = {"city": _same, "state": _same, "zip": _same}
JOB_SLOTS: Forms = {
    "rate_per_kwh": float, "demand_rate_per_kw": float, "schedule": _schedule, "place": _place, "rebate_per_luminaire": float,
    "labor_per_luminaire": float, "budget": float, "payback_limit_years": float, "needed_by": _same, "customer": _same,
    "site": _same, "po": _same, "metric": _same,
}  # fmt: skip
LINE_SLOTS: Forms = {
    "qty": _whole, "family": _same, "source": _same, "watts": float, "lamps": _whole, "lamp_feet": float, "size": _same,
    "input_watts": float, "height_ft": float, "spacing_ft": float, "voltage": _whole, "cct_k": _whole, "cri": _whole,
    "optic": _same, "dark_sky": _same, "controls": list, "finish": _same, "mount": _same, "led_watts": float,
    "led_lumens": float, "emergency_backup": _same, "damp_or_wet": _same, "keep_housing": _same, "price_now": float,
}  # fmt: skip
CONTEXT_SLOTS: Forms = {"building": _same}


def in_json(values: Mapping[str, Any], forms: Forms) -> dict[str, Any]:
    """The stated values as `engine.request` would give them back: declared order, JSON types, ``None`` left out.

    >>> in_json({"watts": 250, "qty": 12.0}, LINE_SLOTS)
    {'qty': 12, 'watts': 250.0}
    """
    return {slot: form(values[slot]) for slot, form in forms.items() if values.get(slot) is not None}
