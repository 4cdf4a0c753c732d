"""Short answers to the slot that we asked about: "277", "all 208", "yep", "12 on the packs, 20 floods"."""

from typing import Any

from bot.reading.clause import Work
from bot.reading.intents import short_answer
from bot.reading.mentions import Mention, Option
from bot.reading.message import Passage, Said, Scope

_BOOLEAN = frozenset({"emergency_backup", "keep_housing", "dark_sky"})
_WHOLE = frozenset({"qty", "lamps", "voltage", "cct_k", "cri"})
_NUMERIC = _WHOLE | {
    "watts",
    "height_ft",
    "spacing_ft",
    "lamp_feet",
    "input_watts",
    "led_watts",
    "led_lumens",
    "price_now",
}
_JOB_NUMBERS = frozenset(
    {
        "rate_per_kwh",
        "demand_rate_per_kw",
        "rebate_per_luminaire",
        "labor_per_luminaire",
        "budget",
        "payback_limit_years",
    }
)


class Asked:
    """The slot that our question was about."""

    def __init__(self, path: str | None) -> None:
        self.path = path
        parts = path.split(".") if path else []
        self.job = bool(parts) and parts[0] == "job"
        self.slot: str | None = parts[-1] if len(parts) >= 2 else None
        self.line: int | None = None
        self.every = False
        if len(parts) >= 3 and parts[0] == "lines":
            self.every = parts[1] == "*"
            self.line = int(parts[1]) if parts[1].lstrip("-").isdigit() else None

    def filled(self, passages: list[Passage], job: dict[str, Said]) -> bool:
        """Whether the message gives the slot that we asked about."""
        if self.slot is None:
            return False
        return self.slot in job or any(self.slot in passage.slots for passage in passages)

    def scope(self) -> Scope | None:
        """Which lines the question was about."""
        if self.every:
            return Scope("all", 0, 0)
        if self.line is not None:
            return Scope("ordinal", 0, 0, ordinal=self.line)
        return None


def _number(mention: Mention) -> float | None:
    for option in mention.options:
        for _, value in option.slots:
            if isinstance(value, (int, float)) and not isinstance(value, bool):
                return float(value)
    return None


def _rate(value: float) -> float:
    return round(value / 100, 6) if value >= 1 else value


def answer(work: Work, asked: Asked, mentions: list[Mention]) -> tuple[list[Passage], list[Mention]]:
    """The passages that answer the question, and the mentions that are left for the rest of the message."""
    slot = asked.slot
    if slot is None:
        return [], mentions
    kind = short_answer(work.folded)
    if kind == "unsure":
        work.flags["unsure"] = True
        return [], mentions
    whole = (0, len(work.text))
    if kind in ("yes", "no"):
        work.flags["yes_no"] = True
    if slot in _BOOLEAN and kind in ("yes", "no"):
        if kind == "yes" and not any(slot in mention.slots for mention in mentions):
            return [Passage("change", {slot: Said(True, *whole, rule="yes")}, asked.scope())], mentions
        return [], mentions
    if slot == "controls" and kind == "no" and not mentions:
        return [Passage("change", {slot: Said(("none",), *whole, rule="no")}, asked.scope())], mentions
    if asked.job:
        _job_answer(work, slot, mentions)
        if slot in work.job:
            return [], [mention for mention in mentions if not mention.bare]
        return [], mentions
    if slot not in _NUMERIC:
        return [], mentions
    bare = [mention for mention in mentions if mention.bare or (slot == "qty" and len(mention.options) > 1)]
    out: list[Mention] = []
    for mention in mentions:
        value = _number(mention)
        if (
            mention in bare
            and value is not None
            and _fits(slot, value)
            and not any(slot in other.slots for other in mentions if other is not mention and not other.bare)
        ):
            typed: Any = int(value) if slot in _WHOLE else value
            option = Option(((slot, typed),), 6.0, "answer")
            out.append(mention._replace(options=(option,)))
        else:
            out.append(mention)
    return [], out


def _fits(slot: str, value: float) -> bool:
    limits = {
        "lamps": (1, 12),
        "height_ft": (3, 150),
        "voltage": (100, 600),
        "cct_k": (1800, 7000),
        "lamp_feet": (1, 10),
    }
    low, high = limits.get(slot, (0.5, 1e6))
    return low <= value <= high


def _job_answer(work: Work, slot: str, mentions: list[Mention]) -> None:
    """A bare number that answers a question about the job."""
    if slot in work.job:
        return
    numbers = [mention for mention in mentions if mention.bare]
    if slot in _JOB_NUMBERS and numbers:
        value = _number(numbers[0])
        if value is not None:
            value = _rate(value) if slot == "rate_per_kwh" else value
            work.job[slot] = Said(value, numbers[0].start, numbers[0].end, rule="answer")
    elif slot == "schedule" and numbers:
        value = _number(numbers[0])
        if value is not None and value > 0:
            said = {"hours_per_day": value} if value <= 24 else {"hours_per_year": value}
            work.job[slot] = Said(said, numbers[0].start, numbers[0].end, rule="answer")
    elif slot in ("customer", "site", "po", "needed_by"):
        text = work.text.strip()
        start = work.text.find(text)
        if 0 < len(text) <= 60 and short_answer(work.folded) is None:
            value_text = text.rstrip(".!").lower() if slot == "needed_by" else text.rstrip(".!")
            work.job[slot] = Said(value_text, start, start + len(text), rule="answer")
