"""Sizes in a question about light: a room or lot of so much by so much, so many square feet, a run of wall or path, a width."""

import re
from functools import lru_cache
from typing import Final

from bot.reading.asked_light_taken import (
    FEET_PER_METRE,
    FT,
    LEAST_SIDE_FT,
    UNIT,
    M,
    Taken,
    in_feet,
    number,
)
from bot.reading.asked_light_words import place, place_words
from bot.reading.tokens import number_value

FEET2_PER_ACRE: Final = 43_560.0
NEAR: Final = 40
"""Characters before or after a size within which a place makes it a room."""
LONGEST_UNSAID_FT: Final = 3_000.0
SHORTEST_WALL_FT: Final = 60.0
"""A wall of less, of which nothing more is said, may be so tall rather than so long."""
SHORTEST_RUN_FT: Final = 24.0
_BY: Final = r" ?(?:x|by|por|\*) ?"
_KINDS: Final = (
    r"(?P<kind>perimeter|building|wall|side|fence|sidewalk|walkway|walking path|path|trail|street|road|drive|driveway|alley|"
    r"perimetro|pared|muro|barda|banqueta|andador|sendero|calle|camino|edificio)"
)
_PATHS: Final = frozenset(
    {"sidewalk", "walkway", "walking path", "path", "trail", "banqueta", "andador", "sendero"}
)
"""What is so narrow that a short length said of it is its width."""
_MAY_BE_TALL: Final = frozenset({"wall", "building", "side", "pared", "muro", "edificio"})
_SAID_LONG = re.compile(r" (?:of|long|linear|largo|total) ")
_AROUND: Final = frozenset({"perimeter", "perimetro", "around", "all around", "alrededor"})
_RUNS_ALONG = re.compile(
    r"(?:wall|fence|sidewalk|walkway|path|street|road|drive|alley|building|perimeter|pole|ceiling|house)"
)
_ALONE = re.compile(
    r"(?:[\s.,!]|it'?s|its|about|around|roughly|maybe|approx|like|or so|actually|no|sorry|wait|son|es|mide|unos|como|de|aprox|mas o menos){0,8}"
)
"""What may stand about a size that is the whole message."""
_GOES_ON = re.compile(r" ?(?:[.,;!\n]|(?:with|and|w/|con|y) )")
"""What may stand behind a size that a message begins with: "100 x 60 with 24 ft ceilings"."""


@lru_cache(maxsize=1)
def _area() -> re.Pattern[str]:
    return re.compile(
        rf"{number('a')}(?P<ua>{UNIT})?(?: (?:wide|long|de ancho|de largo))?{_BY}"
        rf"(?P<b>\d{{1,3}}(?:,\d{{3}})?|\d{{1,6}}(?:\.\d{{1,2}})?)(?![\d.]*\d)(?P<ub>{UNIT})?"
        r"(?! ?(?:w|watts?|v|volts?|mh|hps|hid|lamps?|k|lm|lumens?|lights?|t\d|x)(?![a-z]))"
    )


@lru_cache(maxsize=1)
def _square() -> re.Pattern[str]:
    return re.compile(
        rf"{number()}(?P<k> ?k(?![a-z]))? ?(?P<unit>(?P<metric>sq\.? ?(?:m(?![a-z])|meters?|metres?)|square (?:meters?|metres?)|m2|metros? cuadrados?)|"
        r"sq\.? ?(?:ft|feet|foot)|square (?:feet|foot)|sf(?![a-z])|sqft|ft2|pies? cuadrados?|(?P<acre>acres?))"
    )


@lru_cache(maxsize=1)
def _one_side() -> re.Pattern[str]:
    return re.compile(
        rf"{number()}[ -]?(?P<unit>{FT}|{M})[ -]?(?:wide |long |square )?(?=(?:{place_words()})(?![a-z]))"
    )


@lru_cache(maxsize=1)
def _wide() -> re.Pattern[str]:
    return re.compile(rf"{number()}[ -]?(?P<unit>{FT}|{M})[ -](?:wide|de ancho|ancho)(?! ?(?:x|by))")


@lru_cache(maxsize=1)
def _run() -> tuple[re.Pattern[str], ...]:
    unit = rf"[ -]?(?P<unit>{FT}|{M})"
    joins = r"(?:'s| is| that is|, | de| es| mide| of){0,2}"
    return tuple(
        re.compile(source)
        for source in (
            rf"{number()}{unit}?(?: (?:of|de|linear feet of|long|largo|de largo|total))? ?{_KINDS}(?![a-z])",
            rf"(?P<kind>perimeter|perimetro)(?: (?:of|is|about|de|es|mide)){{0,2}} {number()}{unit}?",
            rf"{number()}{unit}(?: (?:all the way|long|total|de largo))? (?P<kind>around|alrededor|all around)",
            rf"(?<![a-z]){_KINDS}{joins} {number()}{unit} (?:long|de largo|largo)",
            rf"(?<![a-z]){_KINDS}(?: de| of) {number()}{unit}(?! ?(?:de alto|alto|high|tall|up|de altura|wide|de ancho))",
        )
    )


def read_sizes(taken: Taken) -> None:
    """Length and width of a room or lot, or its area; one side where no more is said."""
    for match in _area().finditer(taken.text):
        _read_area(taken, match)
    for match in _square().finditer(taken.text):
        value = number_value(match["n"]) * (1000 if match["k"] else 1)
        value *= FEET2_PER_ACRE if match["acre"] else FEET_PER_METRE**2 if match["metric"] else 1.0
        if taken.free(*match.span()) and 20 <= value <= 1e8:
            taken.take(match.span(), "m" if match["metric"] else None, area_ft2=round(value, 1))
    if {"length_ft", "area_ft2"} & taken.values.keys():
        return
    for match in _one_side().finditer(taken.text):
        side = in_feet(match["n"], match["unit"])
        goes_on = _RUNS_ALONG.match(taken.text[match.end() : match.end() + 12])
        if side >= SHORTEST_RUN_FT and taken.free(*match.span()) and not goes_on:
            taken.take(match.span(), match["unit"], length_ft=side)


def _read_area(taken: Taken, match: re.Match[str]) -> None:
    text = taken.text
    unit = match["ub"] or match["ua"] or ""
    sides = [in_feet(match["a"], unit), in_feet(match["b"], unit)]
    before, after = text[: match.start()], text[match.end() :]
    alone = _ALONE.fullmatch(before[-NEAR:]) and (_ALONE.fullmatch(after[:NEAR]) or _GOES_ON.match(after))
    known = unit or alone or place().search(before[-NEAR:]) or place().search(after[:NEAR])
    if min(sides) < LEAST_SIDE_FT or not known or (not unit and max(sides) > LONGEST_UNSAID_FT):
        return
    taken.take(match.span(), unit, length_ft=max(sides), width_ft=min(sides))


def read_runs(taken: Taken) -> None:
    """Width of a path or street, length of what is lit along."""
    for match in _wide().finditer(taken.text):
        width = in_feet(match["n"], match["unit"])
        if taken.free(*match.span()) and 2 <= width <= 200:
            taken.take(match.span(), match["unit"], path_ft=width)
    for pattern in _run():
        for match in pattern.finditer(taken.text):
            _read_run(taken, match)


def _read_run(taken: Taken, match: re.Match[str]) -> None:
    unit, kind = match["unit"] or "", match["kind"]
    value = in_feet(match["n"], unit)
    if not taken.free(*match.span()) or (not unit and kind not in _AROUND):
        return
    if value < SHORTEST_RUN_FT:
        if kind in _PATHS and value >= 2:
            taken.take(match.span(), unit, path_ft=value)
        return
    if value < SHORTEST_WALL_FT and kind in _MAY_BE_TALL and not _SAID_LONG.search(match.group()):
        return
    if kind in _AROUND:
        taken.take(match.span(), unit, run_ft=value, around=True)
    else:
        taken.take(match.span(), unit, run_ft=value)
