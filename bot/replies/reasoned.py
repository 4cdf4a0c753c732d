"""Reasons, concerns, refusals and problems in words: the key chooses the sentence, the registry how each value is written."""

from functools import lru_cache
from typing import Any, Final, Literal

from bot.replies import shown
from bot.replies.clean import one_line
from bot.replies.describe import value_words, volts
from bot.replies.heard import Language
from bot.replies.words import Words, listing, value_kinds, words_in
from engine.by_object import ByObject
from engine.proposal import Reason

Table = Literal["reasons", "concerns", "passed_over", "problems", "notes"]


def reason_text(table: Table, reason: Reason, words: Words, metric: bool = False) -> str:
    """The sentence for ``reason``; ``metric``: lengths in metres and light in lux.

    Raises:
        KeyError: a key without words, or a value that its wording needs is missing.
    """
    # the values with their types: 1 and True are equal, and not said alike
    values = tuple([(name, type(value), value) for name, value in reason.values.items()])
    return _sentence(table, reason.key, values, words.language, metric)


_passed: Final = ByObject[str](8192)


def passed_over_text(reason: Reason, words: Words) -> str:
    """As `reason_text` of a product passed over; kept by reason, since those of like lines are the very same ones.

    Raises:
        KeyError: as `reason_text`.
    """
    return _passed.get(reason, words.language, reason_text, "passed_over", reason, words)


@lru_cache(maxsize=4096)
def _sentence(
    table: Table, key: str, given: tuple[tuple[str, type, Any], ...], language: Language, metric: bool
) -> str:
    """As `reason_text`; kept, since a catalogue's products are passed over for the same few reasons, told in several places."""
    words = words_in(language)
    kinds = value_kinds()[table][key]
    stated = {name: value for name, _, value in given}
    unknown = any(name in stated and stated[name] is None for name in kinds)
    bare = words.find(table, f"{key}_unknown") if unknown else None
    sentence: str = bare or words.of(table, key)
    return sentence.format_map(
        {name: _value(kind, stated[name], words, metric) for name, kind in kinds.items() if name in stated}
    )


def problem_text(problem: Reason, words: Words) -> str:
    """Why a line has no replacement, with the nearest product where there is one."""
    text = reason_text("problems", problem, words)
    nearest, lacks = str(problem.values.get("nearest") or ""), str(problem.values.get("lacks") or "")
    if problem.key != "nothing_fits" or not nearest:
        return text
    if never := words.find("problem_more", lacks):
        return never.format_map({"nearest": one_line(nearest, 40)})
    frame: str = words.of("problem_more", "nearest")
    short = words.find("lacks", lacks) or ""
    return f"{text} {frame.format_map({'nearest': one_line(nearest, 40), 'lacks': short}).strip()}"


def _value(kind: str, value: Any, words: Words, metric: bool) -> str:
    if value is None or value == "" or value == ():
        return str(words.of("phrases", "none_given"))
    if kind == "spot":
        key, distance_ft = value
        return shown.spot(key, distance_ft, words, metric)
    if kind == "clock":
        low, high = value
        return words.say("clock_range", low=shown.clock(low), high=shown.clock(high))
    if isinstance(value, str) and "|" in value:
        value = tuple(value.split("|"))
    if isinstance(value, tuple | list):
        return listing([_value(kind, part, words, metric) for part in value], words, "or")
    match kind:
        case "count":
            return shown.whole(value)
        case "cri":
            return str(words.say("cri_of", cri=one_line(str(value), 10)))
        case "percent":
            return shown.percent(value)
        case "price":
            return shown.price(value)
        case "money":
            return shown.money(value)
        case "watts":
            return shown.watts(value)
        case "lumens":
            return f"{shown.whole(value)} lm"
        case "fc":
            return shown.footcandles(value, words, metric)
        case "feet":
            return shown.feet(value, words, metric)
        case "days":
            return days(value, words)
        case "kelvin":
            return f"{value} K"
        case "volts":
            return volts(value, words)
        case "years":
            return shown.years(value, words)
        case "share":
            return shown.percent(100 * float(value))
        case "place":
            return value_words("place", value, words)
        case "families":
            return value_words("family", value, words)
        case "text":
            return one_line(str(value), 40)
        case _:
            return words.find(kind, str(value)) or one_line(str(value), 40)


def days(count: Any, words: Words) -> str:
    """A lead time: "1 day", "10 days"."""
    return words.say("one_day" if count == 1 else "many_days", days=shown.whole(count))
