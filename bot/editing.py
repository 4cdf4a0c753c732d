"""How an assumption can be put right by pressing it: which slot says it, and what may be filled in."""

from functools import lru_cache
from typing import Any, Final, get_args

from annotated_types import Ge, Gt, Le, Lt

from bot.replies.describe import value_words
from bot.replies.words import Words
from engine.request import JOB_SLOTS, LINE_SLOTS, StatedJob, StatedLine
from engine.vocabulary import FAMILIES, LAMP_SOURCES, Finish, Mount, Optic, Size

CHOICES: Final[dict[str, tuple[Any, ...]]] = {
    "source": LAMP_SOURCES,
    "family": FAMILIES,
    "voltage": (120, 208, 240, 277, 347, 480, "120-277", "347-480"),
    "cct_k": (2700, 3000, 3500, 4000, 5000),
    "finish": get_args(Finish),
    "mount": get_args(Mount),
    "optic": get_args(Optic),
    "size": get_args(Size),
    "damp_or_wet": ("wet", "damp"),
}
_SAID_BY: Final = {
    "hours_per_year": "job.schedule",
    "schedule": "job.schedule",
    "labor_rate": "job.labor_per_luminaire",
    "labor_minutes": "job.labor_per_luminaire",
    "labor_usd_per_hour": "job.labor_per_luminaire",
    "ballast": "input_watts",
    "system_watts": "input_watts",
    "input_watts_before": "input_watts",
    "like_for_like_price": "price_now",
}
"""Assumptions that are no slot themselves -> the slot that settles them; without "job." it is one of the same line."""


def slot_path(path: str) -> str | None:
    """The slot that settles what ``path`` names; ``None`` where no slot does.

    A path may end in where it holds, in brackets: "job.schedule (exterior)".
    """
    head, _, name = path.partition(" (")[0].rpartition(".")
    target = _SAID_BY.get(name, name)
    if target.startswith("job."):
        return target
    if target in JOB_SLOTS and not head.startswith("lines"):
        return f"job.{target}"
    if target in LINE_SLOTS and head.startswith("lines."):
        return f"{head}.{target}"
    return None


def edit_of(
    path: str, value: Any, others: tuple[Any, ...], unit: str, words: Words, metric: bool
) -> dict[str, Any] | None:
    """The form that puts an assumption of that path, value, others and unit right, or ``None`` where no slot of the chat does.

    ``kind`` is "choice" (with ``choices``), "number" (with ``low``, ``high``, ``unit``), "hours" (hours a year, or dusk to
    dawn, or always on) or "text".
    """
    settled_by = slot_path(path)
    if settled_by is None:
        return None
    slot = settled_by.rpartition(".")[2]
    name = words.find("names", slot) or slot.replace("_", " ")
    edit: dict[str, Any] = {"path": settled_by, "name": name, "value": _plain(value)}
    if slot == "schedule":
        return edit | {"kind": "hours", "low": 1, "high": 8784}
    if slot == "place":
        return edit | {"kind": "place"}
    if slot in CHOICES:
        likely = (value, *others)
        values = [v for v in likely if v in CHOICES[slot]]
        values += [v for v in CHOICES[slot] if v not in values]
        return edit | {
            "kind": "choice",
            "choices": [{"value": v, "words": value_words(slot, v, words, metric)} for v in values],
        }
    bounds = _bounds(settled_by)
    if bounds is None:
        return edit | {"kind": "text"}
    # An hourly rate stands in for the labor of one luminaire; it is not that, and can't be offered as its value.
    same = settled_by == path and unit != "USD/h"
    return edit | {
        "kind": "number",
        "low": bounds[0],
        "high": bounds[1],
        "unit": UNITS.get(slot, unit if same else ""),
        "value": _plain(value) if same else None,
    }


UNITS: Final = {
    "rate_per_kwh": "$/kWh",
    "demand_rate_per_kw": "$/kW",
    "labor_per_luminaire": "$",
    "rebate_per_luminaire": "$",
    "price_now": "$",
    "height_ft": "ft",
    "lamp_feet": "ft",
    "watts": "W",
    "input_watts": "W",
    "lamps": "",
    "qty": "",
}


@lru_cache(maxsize=1024)
def _bounds(path: str) -> tuple[float, float] | None:
    """The least and the most that the slot takes; ``None`` for what is no number."""
    part, _, slot = path.rpartition(".")
    fields = StatedJob.model_fields if part == "job" else StatedLine.model_fields
    low: Any = None
    high: Any = None
    for rule in fields[slot].metadata:
        if isinstance(rule, Ge):
            low = rule.ge
        elif isinstance(rule, Gt):
            low = rule.gt
        elif isinstance(rule, Le):
            high = rule.le
        elif isinstance(rule, Lt):
            high = rule.lt
    if not isinstance(low, int | float) or not isinstance(high, int | float):
        return None
    return float(low), float(high)


def _plain(value: Any) -> Any:
    """As JSON takes it."""
    if value is None or isinstance(value, bool | int | float | str):
        return value
    if isinstance(value, tuple | list):
        return [_plain(part) for part in value]
    return float(value)
