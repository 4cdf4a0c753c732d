"""Values that can't be part of a job are faults with one plain line, never dropped in silence."""

from typing import Any, Literal

from bot.reading.clause import Work
from bot.reading.message import Passage, Said
from bot.reading.shape import Fault

_LIMITS: dict[str, tuple[float, float, str, str]] = {
    "qty": (1, 1_000_000, "a count of {0}", "una cantidad de {0}"),
    "watts": (0.5, 5000, "{0} W a lamp", "{0} W por lámpara"),
    "led_watts": (0.5, 5000, "{0} W a luminaire", "{0} W por luminaria"),
    "input_watts": (0.5, 10_000, "{0} W of input", "{0} W de consumo"),
    "height_ft": (1, 200, "a mounting height of {0} ft", "una altura de {0} pies"),
    "spacing_ft": (1, 1000, "a spacing of {0} ft", "una separación de {0} pies"),
    "lamps": (1, 24, "{0} lamps in a luminaire", "{0} lámparas por luminaria"),
    "lamp_feet": (0.25, 10, "a lamp of {0} ft", "un tubo de {0} pies"),
    "voltage": (12, 600, "{0} volts", "{0} voltios"),
    "cct_k": (1500, 10_000, "a colour of {0} K", "un color de {0} K"),
    "cri": (1, 100, "a CRI of {0}", "un CRI de {0}"),
    "led_lumens": (1, 1_000_000, "{0} lumens", "{0} lúmenes"),
    "price_now": (0, 100_000, "a price of {0}", "un precio de {0}"),
}


_JOB_LIMITS: dict[str, tuple[float, float]] = {
    "rate_per_kwh": (1e-6, 6),
    "demand_rate_per_kw": (0, 200),
    "rebate_per_luminaire": (0, 100_000),
    "labor_per_luminaire": (0, 100_000),
    "budget": (0, 1e9),
    "payback_limit_years": (1e-6, 100),
}


_MOST_HOURS = {"hours_per_year": 8784, "hours_per_day": 24, "days_per_week": 7}
_HOURS_IN_SPANISH = {
    "hours_per_year": "horas al año",
    "hours_per_day": "horas al día",
    "days_per_week": "días a la semana",
}


def _line(slot: str, value: Any, language: Literal["en", "es"]) -> str:
    english, spanish = _LIMITS[slot][2:]
    number = f"{value:,g}" if isinstance(value, float) else f"{value:,}"
    if language == "es":
        return f"No puede ser {spanish.format(number)}; por favor escriba el dato otra vez."
    return f"It can't be {english.format(number)}; please send that figure again."


def _odd_counts(work: Work) -> dict[int, tuple[int, int, str]]:
    """Counts that can't be: "0 wallpacks", "-5 floods". Start of the number -> where it stands, as written."""
    out: dict[int, tuple[int, int, str]] = {}
    for index, atom in enumerate(work.atoms):
        if atom.kind != "n" and atom.text not in ("zero", "cero"):
            continue
        zero = (atom.kind == "n" and atom.value == 0) or atom.text in ("zero", "cero")
        before = work.atoms[index - 1] if index else None
        minus = (
            atom.kind == "n"
            and before is not None
            and before.text == "-"
            and atom.glued
            and not before.glued
            and "\n" not in work.text
            and (index < 2 or work.atoms[index - 2].kind != "n")
        )
        if not (zero or minus):
            continue
        for follower in work.atoms[index + 1 : index + 5]:
            if follower.kind in ("s", "b"):
                break
            if not {"family", "size"}.isdisjoint(follower.mean) or follower.mean.get("generic") == "light":
                start = before.start if minus and before is not None else atom.start
                out[atom.start] = (start, atom.end, work.text[start : atom.end])
                break
    return out


_NEVER_NEGATIVE = (
    "rate_per_kwh",
    "demand_rate_per_kw",
    "rebate_per_luminaire",
    "labor_per_luminaire",
    "budget",
)


def _has_minus(text: str, start: int) -> bool:
    """Whether a minus stands glued before the amount at ``start`` ("-$0.11", "rate -11 cents"), and is no dash between words."""
    at = start - 1
    if at >= 0 and text[at] == "$":
        at -= 1
    return (
        at >= 0
        and text[at] in "-\u2212"
        and (at == 0 or text[at - 1] in " \t(,:;=")
        and not text[at + 1].isspace()
    )


def within_bounds(
    passages: list[Passage], work: Work, language: Literal["en", "es"]
) -> tuple[list[Passage], tuple[Fault, ...]]:
    """The passages without impossible values, and a fault for each of these."""
    faults = list(work.faults)
    for slot in _NEVER_NEGATIVE:
        said = work.job.get(slot)
        if said is not None and _has_minus(work.text, said.start):
            del work.job[slot]
            written = work.text[max(0, said.start - 2) : said.end].strip()
            text = f"{written} is below zero; please send what it really is."
            if language == "es":
                text = f"{written} es menos que cero; por favor escriba el dato otra vez."
            faults.append(Fault(f"job.{slot}", (0, said.start, said.end), text))
    for slot, (low, high) in _JOB_LIMITS.items():
        said = work.job.get(slot)
        if said is not None and isinstance(said.value, (int, float)) and not low <= said.value <= high:
            del work.job[slot]
            text = f"It can't be {said.value:,g} for {slot.replace('_', ' ')}; please send that figure again."
            if language == "es":
                text = f"No puede ser {said.value:,g}; por favor escriba el dato otra vez."
            faults.append(Fault(f"job.{slot}", (0, said.start, said.end), text))
    schedule = work.job.get("schedule")
    if schedule is not None and isinstance(schedule.value, dict):
        past = next((name for name, most in _MOST_HOURS.items() if schedule.value.get(name, 0) > most), None)
        if past is not None:
            del work.job["schedule"]
            told = f"{schedule.value[past]:,g} {past.replace('_', ' ')}"
            text = f"It can't be {told}; please send the hours again."
            if language == "es":
                text = f"No pueden ser {schedule.value[past]:,g} {_HOURS_IN_SPANISH[past]}; por favor escriba el horario otra vez."
            faults.append(Fault("job.schedule", (0, schedule.start, schedule.end), text))
    out = []
    odd = _odd_counts(work)
    for start, end, written in odd.values():
        text = f"There can't be {written} luminaires; please send how many there are."
        if language == "es":
            text = f"No puede haber {written} luminarias; por favor escriba cuántas son."
        faults.append(Fault("lines.0.qty", (0, start, end), text))
    for number, passage in enumerate(passages):
        kept: dict[str, Said] = {}
        for slot, said in passage.slots.items():
            if slot == "qty" and said.start in odd:
                continue
            limits = _LIMITS.get(slot)
            if limits and isinstance(said.value, (int, float)) and not limits[0] <= said.value <= limits[1]:
                faults.append(
                    Fault(
                        f"lines.{number}.{slot}", (0, said.start, said.end), _line(slot, said.value, language)
                    )
                )
                continue
            kept[slot] = said
        out.append(passage if len(kept) == len(passage.slots) else passage.with_slots(kept))
    return out, tuple(faults)
