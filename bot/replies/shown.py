"""The one module that rounds and writes numbers for people: money, watts, hours, years, ranges.

US and Mexican practice: comma for thousands, point for decimals, the dollar sign before.
"""

import math
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import Any, Final

from bot.replies.heard import Language
from bot.replies.words import Words, words_in
from engine.figure import Figure
from engine.quantities import decimal, feet_to_metres, footcandles_to_lux

_MONTHS: Final = 12
_A_YEAR: Final = 0.95
"""From here on a time is written in years: with one place it is one."""
_PLACES: Final = tuple(Decimal(1).scaleb(-places) for places in range(13))
LONGEST_YEARS: Final = 40
"""A payback beyond this is said as "over 40 years": no luminaire lasts that long."""


def whole(value: Any) -> str:
    """14868.4 -> "14,868"."""
    return _written(value, 0)


def plain(value: Any, decimals: int) -> str:
    """At most ``decimals`` places, without trailing zeros: 2.50 -> "2.5"."""
    text = _written(value, decimals)
    return text.rstrip("0").rstrip(".") if "." in text else text


def exact(value: Any) -> str:
    """Six significant digits, for showing the working."""
    if isinstance(value, int):
        return f"{value:,}"
    amount = float(value)
    if amount == 0 or not math.isfinite(amount):
        return f"{amount:g}"
    places = max(0, 5 - math.floor(math.log10(abs(amount))))
    return plain(value, min(places, 9))


def price(value: Any) -> str:
    """A price each, to the cent: "$130.00"."""
    return _price(_half_up(value, 2))


def _price(amount: Decimal) -> str:
    return f"-${_grouped(-amount)}" if amount < 0 else f"${_grouped(amount)}"


def money(value: Any) -> str:
    """An amount, in whole dollars from 100 up: "$1,980", "$95", "$64.50"."""
    if _size(value) >= 100:
        return _dollar_sign(_written(value, 0))
    amount = _half_up(value, 2)
    return _price(amount if amount % 1 else _half_up(value, 0))


def dollars(value: Any) -> str:
    """A sum of the job, in whole dollars from 20 up."""
    return money(value) if _size(value) < 20 else _dollar_sign(_written(value, 0))


def _size(value: Any) -> Any:
    return abs(value if type(value) in _NUMBERS else decimal(value))


def _dollar_sign(written: str) -> str:
    """Before an amount that is not zero."""
    return f"-${written[1:]}" if written[0] == "-" else f"${written}"


def rate(value: Any, decimals: int = 4) -> str:
    """A price per unit of energy, with as many places as it has: "$0.11", "$0.085"."""
    text = f"{_half_up(value, decimals):.{decimals}f}"
    while text.endswith("0") and len(text.split(".")[1]) > 2:
        text = text[:-1]
    return f"${text}"


def watts(value: Any) -> str:
    """A power: "295 W"; one place below 10 W."""
    return f"{plain(value, 1 if float(value) < 10 else 0)} W"


def kilowatts(value: Any) -> str:
    """A load: "2.9 kW"; two places below 1 kW."""
    return f"{plain(value, 2 if abs(float(value)) < 1 else 1)} kW"


def percent(value: Any) -> str:
    """82 -> "82%" (the value is in percent already)."""
    return f"{whole(value)}%"


def feet(value: Any, words: Words, metric: bool = False) -> str:
    """A height: "20 ft"; "6.1 m" for who wrote in metres."""
    if metric:
        return f"{plain(feet_to_metres(float(value)), 1)} m"
    return words.say("feet", value=plain(value, 1))


def footcandles(value: Any, words: Words, metric: bool = False) -> str:
    """A level: "0.52 fc", "18 fc"; "5.6 lux" for who wrote in metres (1 fc = 1 lm/ft2 = 10.764 lux)."""
    if metric:
        lux = footcandles_to_lux(float(value))
        return f"{plain(lux, 1 if lux < 10 else 0)} lux"
    level = float(value)
    return words.say("fc", value=plain(level, 2 if level < 1 else 1 if level < 10 else 0))


def spot(key: str, distance_ft: float, words: Words, metric: bool = False) -> str:
    """A place where light counts: "40 ft out"."""
    frame: str = words.of("spots", key)
    return frame.format_map({"distance": feet(round(distance_ft), words, metric)})


def clock(hour: int) -> str:
    """A full hour on the clock: "4 pm"."""
    return f"{(hour - 1) % 12 + 1} {'am' if hour % 24 < 12 else 'pm'}"


def years(value: Any, words: Words) -> str:
    """A time to pay back: "2.1 years", "8 months" below a year, "less than a month"."""
    return _years(float(value), words.language)


@lru_cache(maxsize=1024)
def _years(span: float, language: Language) -> str:
    """Kept for a while: a payback is told in several places of a reply."""
    words = words_in(language)
    if not math.isfinite(span):
        return str(words.of("phrases", "never"))
    if span > LONGEST_YEARS:
        return words.say("over_years", years=str(LONGEST_YEARS))
    if span >= _A_YEAR:
        text = plain(span, 1)
        return words.say("one_year" if text == "1" else "many_years", years=text)
    months = _half_up(span * _MONTHS, 0)
    if months < 1:
        return str(words.of("phrases", "under_a_month"))
    return words.say("one_month" if months == 1 else "many_months", months=f"{months}")


def about_years(value: Any, words: Words) -> str:
    """A time to pay back that is an estimate: "about 2.1 years"; "less than a month" says so by itself."""
    text = years(value, words)
    if text == words.of("phrases", "under_a_month") or float(value) > LONGEST_YEARS:
        return text
    return words.say("about_one" if text.partition(" ")[0] == "1" else "about_many", value=text)


def years_between(low: Any, high: Any, words: Words) -> str:
    """A range: "between 1.6 and 2.9 years"; "" where both ends would read the same."""
    first, last = years(low, words), years(high, words)
    if first == last:
        return ""
    if first == words.of("phrases", "under_a_month"):
        return words.say("up_to", high=last)
    for unit in ("years", "months"):
        one, many = words.of("phrases", f"{unit}_one"), words.of("phrases", f"{unit}_unit")
        amount, _, ending = first.rpartition(" ")
        if ending in (one, many) and last.endswith(f" {many}"):
            first = amount
    return words.say("between", low=first, high=last)


def short_years(value: Any, words: Words) -> str:
    """For text messages: "2.1 yr", "8 mo"."""
    span = float(value)
    if not math.isfinite(span) or span > LONGEST_YEARS:
        return years(value, words)
    if span >= _A_YEAR:
        return words.say("short_years", years=plain(span, 1))
    return words.say("short_months", months=f"{max(_half_up(span * _MONTHS, 0), Decimal(1))}")


def amount(value: Any, unit: str, words: Words) -> str:
    """A value with its unit, rounded for reading; a unit it does not know is written behind the number."""
    if unit == "USD":
        return money(value)
    if unit in {"USD/yr", "USD/month"}:
        return f"{money(value)} {words.of('units', unit)}"
    if unit.startswith("USD/"):
        written = rate(value) if unit == "USD/kWh" else money(value)
        return f"{written}{words.find('units', unit) or unit[3:]}"
    if unit == "W":
        return watts(value)
    if unit == "kW":
        return kilowatts(value)
    if unit == "yr":
        return years(value, words)
    if unit in {"1", ""} or unit.startswith("1/"):
        return plain(value, 2)
    name = words.find("units", unit) or unit
    return f"{plain(value, 0 if abs(float(value)) >= 100 else 1)} {name}"


def amount_range(low: Any, high: Any, unit: str, words: Words, with_unit: bool = True) -> str:
    """A range: "4,000 to 4,380 hours a year"; "" where both ends would read the same."""
    first, last = amount(low, unit, words), amount(high, unit, words)
    if first == last:
        return ""
    split_first, split_last = first.partition(" "), last.partition(" ")
    if "/" in first and first.partition("/")[2] == last.partition("/")[2]:
        first = first.partition("/")[0]
    elif split_first[2] == split_last[2]:
        first = split_first[0]
        last = last if with_unit else split_last[0]
    return words.say("range", low=first, high=last)


def working(figure: Figure, words: Words) -> str:
    """A figure's value with its unit, with enough digits to check the sum."""
    return working_value(figure.value, figure.unit, words)


def working_value(value: Any, unit: str, words: Words) -> str:
    """As `working`, from a value and a unit."""
    if unit in {"USD", "USD/yr", "USD/month"}:
        tail = words.find("units", unit)
        return f"{price(value)} {tail}" if tail else price(value)
    if unit.startswith("USD/"):
        if 0 < abs(float(value)) < 1:
            return f"{rate(value, 5)}{words.find('units', unit) or unit[3:]}"
        return amount(value, unit, words)
    if unit in {"1", ""}:
        return exact(value)
    if unit == "yr":
        return words.say("many_years", years=plain(value, 2))
    return f"{exact(value)} {words.find('units', unit) or unit}"


_NUMBERS: Final = frozenset({float, Decimal})
_TENS: Final = tuple(10.0**places for places in range(7))
"""Beyond that a Decimal is written with an exponent."""
_FORMS: Final = tuple(f"%.{places}f" for places in range(7))
_MOST_DIGITS: Final = 1e9
_NO_TIE: Final = 1e-6
_THREE_DIGITS: Final = 999
"""What is no larger has no comma, rounded or not."""


def _written(value: Any, decimals: int) -> str:
    """With so many places and commas. What lies clear of a tie is rounded alike by every rule, and by the float's own at half the price."""
    if type(value) is float and decimals < len(_TENS):
        scaled = abs(value) * _TENS[decimals]
        if scaled < _MOST_DIGITS and abs(scaled % 1.0 - 0.5) > _NO_TIE:
            if -_THREE_DIGITS <= value <= _THREE_DIGITS:
                return _FORMS[decimals] % value
            return f"{value:,.{decimals}f}"
    return _grouped(_half_up(value, decimals))


def _grouped(amount: Decimal) -> str:
    """As it is, with commas: without where there are none to write, which takes a tenth of the time."""
    return str(amount) if amount.adjusted() < 3 else f"{amount:,}"


def _half_up(value: Any, decimals: int) -> Decimal:
    kind = type(value)
    if kind is float:
        exact = Decimal(repr(value))
    elif kind is Decimal:
        exact = value
    else:
        exact = decimal(value if isinstance(value, Decimal | str | int) else float(value))
    return exact.quantize(_PLACES[decimals], ROUND_HALF_UP)
