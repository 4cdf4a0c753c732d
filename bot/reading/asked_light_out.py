"""How far out in a question about light: a distance to be reached, a property line; and poles with their heads."""

import re
from functools import lru_cache
from typing import Final

from bot.reading.asked_light_taken import LENGTH_UNIT, Taken, in_feet, number

_LINE_WORDS: Final = (
    r"property line|lot line|fence line|fence|neighbou?rs?(?:'s)?(?: (?:house|yard|window|windows|property))?|boundary|next door|"
    r"houses?|lindero|colindancia|vecin[oa]s?|cerca|barda|limite de (?:la )?propiedad"
)
_HUNG = re.compile(r" ?(?:up|high|tall|poles?|mount|de alto|arriba)")


@lru_cache(maxsize=1)
def _line() -> tuple[re.Pattern[str], ...]:
    words = rf"(?<![a-z])(?:{_LINE_WORDS})(?![a-z])"
    return (
        re.compile(rf"{words}[^.;\d]{{0,24}} {number()}{LENGTH_UNIT}"),
        re.compile(rf"{number()}{LENGTH_UNIT}[^.;?\d]{{0,24}} {words}"),
    )


@lru_cache(maxsize=1)
def _out() -> tuple[re.Pattern[str], ...]:
    return (
        re.compile(
            rf"(?<![a-z])(?:out(?: to| at)?|reach(?:es|ing)?|throws?|carry|carries|hasta|alcanc\w{{1,3}}|alcanza[nr]?)"
            rf"(?: [a-z]{{1,12}}){{0,3}} {number()}{LENGTH_UNIT}"
        ),
        re.compile(
            rf"{number()}{LENGTH_UNIT} (?:out(?![a-z])|(?:away |out )?from the (?:wall|building|poles?|fixtures?|lights?)|"
            r"de la pared|del muro|del poste|afuera|away(?![a-z]))"
        ),
    )


def read_property_line(taken: Taken) -> None:
    """How far the property line, a fence or a neighbor is."""
    _read(taken, _line(), "line_ft")


def read_reach(taken: Taken) -> None:
    """How far out light is wanted."""
    _read(taken, _out(), "reach_ft")


def _read(taken: Taken, patterns: tuple[re.Pattern[str], ...], slot: str) -> None:
    for pattern in patterns:
        for match in pattern.finditer(taken.text):
            span = match.start("n"), match.end("unit")
            hung = _HUNG.match(taken.text[span[1] : span[1] + 14])
            if slot not in taken.values and taken.free(*span) and not hung:
                taken.take(span, match["unit"], **{slot: in_feet(match["n"], match["unit"])})


_ANY_POLES = re.compile(r"(?<![a-z])(?:poles?(?! barn)|postes?)(?![a-z])")
_ABOUT_POLES = re.compile(
    r"(?<![a-z])(?:(?P<many>how many (?:light )?poles|cuantos postes)|(?:behind|past|off|away from|from) the (?:poles?|wall|building)|detras de los postes)(?![a-z])"
)
"""Words of the question itself, which name no luminaires of the job."""
_POLES = re.compile(
    r"(?<![\da-z.'])(?P<n>\d{1,4}|one|two|three|four|five|six|seven|eight|nine|ten|twelve|dos|tres|cuatro|cinco|seis|ocho|diez|doce)"
    r"(?: (?!ft|feet|foot|pies|m\b|w\b)[a-z-]{2,12}){0,2} (?:poles|postes)(?![a-z])"
)
_HOW_MANY = re.compile(r"(?<![a-z])(?:how many|cuant[oa]s)(?![a-z])")
_HEADS = re.compile(
    r"(?<![a-z\d])(?P<n>1|2|3|4|one|two|three|four|un|una|dos|tres|cuatro|single|twin|double|dual|triple|quad|doble|dobles|singles|twins|doubles|quads|back to back)"
    r"[ -]?(?:heads?|headed|per pole|cabezas?|each pole|por poste|a pole|on a pole|/pole)(?![a-z])|"
    r"(?<![a-z])(?P<alone>quads|quad|twins|twin|doubles|back to back|singles|dobles)(?![a-z])(?! (?:tap|level))"
)
_COUNTS: Final = {
    "one": 1, "un": 1, "una": 1, "single": 1, "singles": 1, "two": 2, "dos": 2, "twin": 2, "twins": 2, "double": 2, "doubles": 2, "dual": 2,
    "doble": 2, "dobles": 2, "back to back": 2, "three": 3, "tres": 3, "triple": 3, "four": 4, "cuatro": 4, "quad": 4, "quads": 4,
    "five": 5, "cinco": 5, "six": 6, "seis": 6, "seven": 7, "eight": 8, "ocho": 8, "nine": 9, "ten": 10, "diez": 10, "twelve": 12, "doce": 12,
}  # fmt: skip


def read_poles(taken: Taken) -> None:
    """Poles and the heads on each; "how many poles" and "behind the poles" are blanked, since no pole lights are meant."""
    for about in _ABOUT_POLES.finditer(taken.text):
        taken.spans.append(about.span())
        if about["many"]:
            taken.values.setdefault("space", "parking_lot")
    if _ANY_POLES.search(taken.text):
        taken.values["on_poles"] = True
    if match := _POLES.search(taken.text):
        taken.values.setdefault("poles", _count(match["n"]))
    if match := _HEADS.search(taken.text):
        heads = _count(match["n"] or match["alone"])
        if 1 <= heads <= 4:
            taken.values.setdefault("heads", heads)
        if _HOW_MANY.search(taken.text):
            # of poles that are asked for, heads are no count of the job
            taken.spans.append(match.span())


def _count(word: str) -> int:
    return _COUNTS[word] if word in _COUNTS else int(word)
