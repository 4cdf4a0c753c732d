"""Short answers to the slot that we asked about: "277", "all 208", "yep", "12 on the packs, 20 floods"."""

from typing import Any

from bot.reading.clause import Work
from bot.reading.codes import lamp_tables
from bot.reading.intents import short_answer
from bot.reading.late import Late
from bot.reading.mentions import Mention, Option
from bot.reading.message import Passage, Said, Scope
from bot.reading.money import coin

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
JOB_NUMBERS = frozenset(
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
    told = slot in work.job or any(slot in mention.slots for mention in mentions)
    guessed = kind == "unsure" and (told or sum(_asked_number(slot, mention) for mention in mentions) == 1)
    if kind == "unsure" and not guessed:
        work.flags["unsure"] = True
        return [], mentions
    if (
        slot == "height_ft"
        and (storeys := _STOREY.search(work.folded))
        and not any(slot in m.slots for m in mentions)
    ):
        feet = _STOREYS[storeys["n"]] * 10.0
        said = Said(feet, storeys.start(), storeys.end(), rule="storeys")
        return [Passage("change", {slot: said}, asked.scope())], [
            m for m in mentions if m.start >= storeys.end()
        ]
    if slot == "height_ft" and asked.line is not None and sum(slot in m.slots for m in mentions) == 1:
        # "50 ft poles": what the one is on that was asked about
        mentions = [
            m
            for m in mentions
            if not ("_point" in m.slots and work.text_at(m.first).startswith(("pole", "post")))
        ]
    if slot == "source":
        mentions = [_named_source(mention) for mention in mentions]
    if guessed and told:
        # "idk maybe 13 cents", "no se, como 20 pies"
        if slot in work.job:
            said = work.job[slot]
            work.job[slot] = said.doubted((*said.others, None), said.why or "it was a guess", 1.0)
        mentions = [m._replace(others=m.others or (None,)) if slot in m.slots else m for m in mentions]
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
        if slot == "schedule" and slot not in work.job:
            # "on at dusk, off at 11": a time of day is no height and no count
            mentions = [m for m in mentions if not (m.bare and _CLOCK_BEFORE.search(work.folded[: m.start]))]
        _job_answer(work, slot, mentions, guessed)
        if slot in work.job:
            return [], [
                mention
                for mention in mentions
                if not mention.bare or _lamp_watts(work, mention, _number(mention) or 0.0)
            ]
        return [], mentions
    if slot not in _NUMERIC:
        return [], mentions
    alone = sum(_number(mention) is not None for mention in mentions) == 1
    bare = [
        mention
        for mention in mentions
        if mention.bare
        or (slot == "qty" and len(mention.options) > 1)
        or (mention.others and _asked_number(slot, mention))
        or (alone and len(mention.options) > 1 and mention.options[0].rule == "counted")
    ]
    out: list[Mention] = []
    for mention in mentions:
        value = _number(mention)
        if (
            mention in bare
            and value is not None
            and _fits(slot, value)
            and not (slot in _NO_LAMP and _lamp_watts(work, mention, value))
            and not any(slot in other.slots for other in mentions if other is not mention and not other.bare)
        ):
            typed: Any = int(value) if slot in _WHOLE else value
            option = Option(((slot, typed),), 6.0, "answer")
            others = mention.others or ((None,) if guessed else ())
            out.append(mention._replace(options=(option,), others=others))
        else:
            out.append(mention)
    return [], out


_NO_LAMP = frozenset({"voltage", "height_ft", "cct_k"})


def _lamp_watts(work: Work, mention: Mention, value: float) -> bool:
    return is_lamp_watts(work, mention.first, mention.last, value)


def is_lamp_watts(work: Work, first: int, last: int, value: float) -> bool:
    """Whether a number beside a lamp's name is the lamp's watts: "150 hps", "sodium 150", said where something else was asked."""
    watts = lamp_tables().watts
    for at in (last + 1, first - 1):
        source = work.has(at, "source")
        if source is not None and value in watts.get(source, frozenset()):
            return True
    return False


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


def _asked_number(slot: str, mention: Mention) -> bool:
    """Whether a number without a unit, or two between which the writer leaves it open, may be what was asked for."""
    value = _number(mention)
    plain = mention.bare or (
        bool(mention.others)
        and mention.options[0].slots[:1]
        and mention.options[0].slots[0][0] in ("qty", "watts")
    )
    return bool(plain) and value is not None and (slot not in _NUMERIC or _fits(slot, value))


_STOREYS = {
    "second": 2,
    "2nd": 2,
    "third": 3,
    "3rd": 3,
    "fourth": 4,
    "4th": 4,
    "two": 2,
    "2": 2,
    "three": 3,
    "3": 3,
    "segundo": 2,
    "tercer": 3,
    "dos": 2,
    "tres": 3,
}
_STOREY = Late(
    r"(?<![a-z0-9])(?P<n>second|2nd|third|3rd|fourth|4th|two|2|three|3|segundo|tercer|dos|tres)[ -](?:floor|stor(?:y|ey|ies|eys)|level|piso|pisos|niveles)(?![a-z])"
)
_CLOCK_BEFORE = Late(r"(?:at|till?|until|to|off|around|by|@|a las|hasta las?|-) ?$")


def _named_source(mention: Mention) -> Mention:
    """As in "the orange ones", said of lamps that were asked about."""
    for name, scope in mention.options[0].slots if len(mention.options) == 1 else ():
        if name == "_scope" and scope.source is not None:
            return mention._replace(options=(Option((("source", scope.source),), 0.0, "answer"),))
    return mention


def _hours(value: float) -> dict[str, float]:
    """So many hours, of a day or of a year."""
    return {"hours_per_day": value} if value <= 24 else {"hours_per_year": value}


DAYS = 7
IN_DOLLARS = frozenset({"demand_rate_per_kw", "rebate_per_luminaire", "labor_per_luminaire", "budget"})


def _dollars(work: Work, slot: str, mentions: list[Mention]) -> None:
    """An amount that answers: "$80", "80 bucks a light", "about 65 each"; none where there are several."""
    said = []
    for at in work.numbers:
        grand = work.unit(at + 1) == "grand"
        sign = work.text_at(at - 1) == "$"
        if sign or grand or work.unit(at + 1) in ("dollars", "each"):
            said.append((at - sign, at + (not sign or grand), work.atoms[at].value * (1000 if grand else 1)))
    if len(said) != 1:
        return
    first, last, value = said[0]
    last = min(last, len(work.atoms) - 1)
    work.say(slot, value, first, last, "answer")
    start, end = work.atoms[first].start, work.atoms[last].end
    mentions[:] = [m for m in mentions if not start <= m.start < end]


def _job_answer(work: Work, slot: str, mentions: list[Mention], guessed: bool = False) -> None:
    """A bare number that answers a question about the job."""
    if slot in work.job:
        return
    numbers = [
        mention
        for mention in mentions
        if (mention.bare or _asked_number(slot, mention))
        and not _lamp_watts(work, mention, _number(mention) or 0.0)
    ]
    if slot == "rate_per_kwh" and not numbers:
        at = next((n for n in work.numbers if work.is_number(n) and 0 < work.atoms[n].value < 1), None)
        if at is not None:  # "alright .16"
            work.say(slot, work.atoms[at].value, at, at, "answer")
        for at in work.numbers:
            if 0 < work.atoms[at].value <= 6 and work.unit(at + 1) == "dollars":
                work.say(slot, work.atoms[at].value, at, at + 1, "answer")  # "como 2.8 pesos"
        for at in range(len(work.atoms)):
            if (worth := coin(work, at)) is not None:
                work.say(slot, worth[0], at, worth[1], "coin")  # "dime", "about a nickel"
    if slot in IN_DOLLARS and not numbers:
        _dollars(work, slot, mentions)
        return
    if slot in JOB_NUMBERS and numbers:
        value = _number(numbers[0])
        if value is not None:
            others = tuple(numbers[0].others) or ((None,) if guessed else ())
            if slot == "rate_per_kwh":
                value = _rate(value)
                others = tuple([None if other is None else _rate(float(other)) for other in others])
            why = "it was said both ways" if others else ""
            work.job[slot] = Said(
                value, numbers[0].start, numbers[0].end, others, why, 1.0 if others else 9.0, rule="answer"
            )
            if not numbers[0].bare:
                mentions.remove(numbers[0])
    elif slot == "schedule" and numbers and not _CLOCK_BEFORE.search(work.folded[: numbers[0].start]):
        value = _number(numbers[0])
        if value is not None and work.flags.get("asked_days") and 0 < value <= DAYS:
            work.job[slot] = Said({"days_per_week": value}, numbers[0].start, numbers[0].end, rule="answer")
        elif value is not None and (0 < value <= 24 or value > 480):  # what lies between is a voltage
            others = tuple([_hours(float(other)) for other in numbers[0].others if other is not None])
            work.job[slot] = Said(
                _hours(value),
                numbers[0].start,
                numbers[0].end,
                others,
                "the hours were given as a range" if others else "",
                rule="answer",
            )
            if not numbers[0].bare:
                mentions.remove(numbers[0])
    elif slot in ("customer", "site", "po", "needed_by"):
        text = work.text.strip()
        start = work.text.find(text)
        if 0 < len(text) <= 60 and short_answer(work.folded) is None:
            value_text = text.rstrip(".!").lower() if slot == "needed_by" else text.rstrip(".!")
            work.job[slot] = Said(value_text, start, start + len(text), rule="answer")
