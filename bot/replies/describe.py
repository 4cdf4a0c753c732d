"""What was stated, read back in the trade's words: "12 x 250 W metal halide wall pack, 20 ft up, 480 V, bronze"."""

from collections.abc import Mapping
from functools import lru_cache
from typing import Any, Final

from bot.replies import shown
from bot.replies.clean import one_line
from bot.replies.words import Words, listing
from engine.request import Place, StatedHours, StatedJob, StatedLine

_TITLE_SLOTS: Final = frozenset({"qty", "family", "source", "watts", "lamps", "lamp_feet", "size"})
_VOCABULARY: Final = {
    "source": "sources",
    "optic": "optics",
    "finish": "finishes",
    "mount": "mounts",
    "damp_or_wet": "dampness",
    "ballast": "ballasts",
}
_WATTS: Final = frozenset({"watts", "input_watts", "led_watts"})
_MONEY: Final = frozenset(
    {"rebate_per_luminaire", "labor_per_luminaire", "budget", "price_now", "demand_rate_per_kw"}
)
_FREE_TEXT: Final = frozenset({"customer", "site", "po", "needed_by"})


def value_words(slot: str, value: Any, words: Words, metric: bool = False) -> str:
    """A slot's value in words. Codes that are not of the vocabulary, and free text, are shown cleaned."""
    if isinstance(value, tuple | list):
        return listing([value_words(slot, part, words, metric) for part in value], words)
    if slot == "family":
        rows = words.table("families")
        return str(rows[value]["one"]) if value in rows else one_line(str(value))
    if slot == "controls":
        return words.find("controls", str(value)) or one_line(str(value))
    if slot in _VOCABULARY:
        return words.find(_VOCABULARY[slot], str(value)) or one_line(str(value))
    if slot == "schedule":
        return _schedule(value, words)
    if slot == "place":
        return _place(value)
    if isinstance(value, bool):
        return str(words.of("phrases", "yes" if value else "no"))
    if slot == "voltage":
        return volts(value, words)
    if slot in _WATTS:
        return f"{shown.plain(value, 1)} W"
    if slot in {"height_ft", "spacing_ft"}:
        return shown.feet(value, words, metric)
    if slot == "lamp_feet":
        return shown.feet(value, words)
    if slot == "rate_per_kwh":
        return shown.rate(value)
    if slot in _MONEY:
        return shown.money(value)
    if slot == "cct_k":
        return f"{value} K"
    if slot == "led_lumens":
        return f"{shown.whole(value)} lm"
    if slot == "payback_limit_years":
        return shown.years(value, words)
    if isinstance(value, int | float):
        return shown.plain(value, 2)
    return one_line(str(value))


def volts(value: Any, words: Words) -> str:
    """277 -> "277 V", "120-277" -> "120-277 V"."""
    return words.say("volts", volts=one_line(str(value), 20))


def line_title(stated: StatedLine, words: Words) -> str:
    """The type and how many: "12 x 250 W metal halide wall pack"."""
    kind = line_kind(stated, words)
    return f"{stated.qty:,} x {kind}" if stated.qty is not None else kind


def line_kind(stated: StatedLine, words: Words) -> str:
    """The luminaire type without its count."""
    parts: dict[str, str] = {}
    if stated.size is not None:
        parts["size"] = stated.size
    if stated.lamps is not None:
        parts["lamps"] = words.say("lamp_many" if stated.lamps != 1 else "lamp_one", lamps=str(stated.lamps))
    if stated.lamp_feet is not None:
        parts["lamp_feet"] = words.say("part_length", value=shown.feet(stated.lamp_feet, words))
    if stated.watts is not None:
        parts["watts"] = words.say("part_watts", value=value_words("watts", stated.watts, words))
    if stated.source is not None:
        frame = "part_source_of_lamps" if stated.lamps is not None else "part_source"
        parts["source"] = words.say(frame, value=value_words("source", stated.source, words))
    parts["family"] = str(words.of("families", stated.family or "unknown")["one"])
    order: list[str] = words.of("order", "title")
    return " ".join(parts[name] for name in order if name in parts)


def line_details(stated: StatedLine, words: Words, metric: bool = False) -> tuple[str, ...]:
    """Everything else that was stated of the line, slot by slot."""
    return _details(stated, _TITLE_SLOTS, words, metric)


def job_details(job: StatedJob, words: Words) -> tuple[str, ...]:
    """Everything that was stated of the whole job."""
    return _details(job, frozenset({"metric"}), words, bool(job.metric))


def _details(
    stated: StatedLine | StatedJob, left_out: frozenset[str], words: Words, metric: bool
) -> tuple[str, ...]:
    out = []
    for slot, value in stated_slots(stated):
        if value is False or slot in left_out:
            continue
        frame: str = words.of("heard", slot)
        said = _free(value) if slot in _FREE_TEXT else value_words(slot, value, words, metric)
        out.append(frame.format_map({"value": said}))
    return tuple(out)


def stated_slots(stated: StatedLine | StatedJob) -> list[tuple[str, Any]]:
    """The slots that were stated with their values, in declared order."""
    slots = _slots(type(stated))
    return [(slot, value) for slot in slots if (value := getattr(stated, slot)) is not None]


@lru_cache(maxsize=4)
def _slots(kind: type[StatedLine | StatedJob]) -> tuple[str, ...]:
    return tuple(kind.model_fields)


def _free(value: Any) -> str:
    return one_line(str(value))


def _schedule(value: Any, words: Words) -> str:
    if isinstance(value, str):
        return words.find("schedules", value) or one_line(value)
    if isinstance(value, StatedHours):
        value = value.stated()
    if not isinstance(value, Mapping):
        return one_line(str(value))
    if "hours_per_year" in value:
        return words.say("hours_per_year", hours=shown.plain(value["hours_per_year"], 0))
    hours = shown.plain(value["hours_per_day"], 2)
    many = "one_hour" if hours == "1" else "hours"
    if value.get("days_per_week") is None:
        return words.say(f"{many}_per_day", hours=hours)
    return words.say(f"{many}_per_day_days", hours=hours, days=shown.plain(value["days_per_week"], 1))


def _place(value: Any) -> str:
    fields = value.stated() if isinstance(value, Place) else value
    if not isinstance(fields, Mapping):
        return one_line(str(value))
    town = ", ".join(one_line(str(fields[k])) for k in ("city", "state") if fields.get(k))
    return " ".join(part for part in (town, str(fields.get("zip") or "")) if part)
