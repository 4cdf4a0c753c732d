"""The words of a question about light: kinds of place, and what is wanted (how many, how far apart, bright enough, spill)."""

import re
from functools import lru_cache
from typing import Any, Final

from bot.reading.compiled import parsed


@lru_cache(maxsize=1)
def _spaces() -> tuple[tuple[str, str], ...]:
    rows = parsed("spaces")["spaces"]
    found = [(word, key) for key, words in rows.items() for word in words]
    return tuple(sorted(found, key=lambda row: (-len(row[0]), row[0])))


def place_words() -> str:
    """A pattern of every word for a place, the longer before the shorter."""
    words = {word for word, _ in _spaces()} | set(parsed("spaces")["places"]["words"])
    return "|".join(re.escape(word) for word in sorted(words, key=lambda word: (-len(word), word)))


@lru_cache(maxsize=1)
def place() -> re.Pattern[str]:
    """A word for a place that may have a length and a width."""
    return re.compile(rf"(?<![a-z])(?:{place_words()})(?![a-z])")


@lru_cache(maxsize=1)
def _named() -> re.Pattern[str]:
    return re.compile(rf"(?<![a-z])(?:{'|'.join(re.escape(word) for word, _ in _spaces())})(?![a-z])")


def space_of(text: str) -> str | None:
    """The kind of place named; the one whose word is longest, then the first."""
    found = list(_named().finditer(text))
    if not found:
        return None
    best = max(found, key=lambda match: (len(match.group()), -match.start()))
    return dict(_spaces())[best.group()]


_WANTS: Final = (
    (
        "spill",
        r"spill\w{0,4}|trespass|glare|uplight|sky ?glow|dark[ -]?sky|property line|lot line|neighbou?rs?(?:'s)?|shine (?:in|on|over)\w{0,3}|deslumbr\w{1,6}|vecin[oa]s?|lindero|colindancia|resplandor|molest\w{1,5}",
    ),
    (
        "count",
        r"how many(?! (?:fc|foot ?candles?|lux|lumens?|watts?|hours?|feet|ft|years?))|cuant[oa]s(?! (?:fc|pies|lux|luxes|lumenes|watts|horas|anos|metros))|what (?:count|quantity)|number of (?:lights|fixtures|poles|heads)",
    ),
    (
        "spacing",
        r"how far apart|spac(?:e|ed|ing)(?! heater)|how close together|what spacing|que tan separad[oa]s|a que distancia|que distancia|cada cuant[oa]s?|separacion|between poles",
    ),
    (
        "compare",
        r"as bright|brighter than|(?:the )?same (?:light|amount of light|brightness|level)|one[ -]for[ -]one|1 ?(?:for|4|:) ?1|uno (?:por|a) uno|igual(?: de)?|misma luz|than (?:now|what|before)|as (?:now|before|what)|still (?:get|give|have|hold)|like (?:now|before)|que ahora|que antes",
    ),
    (
        "reach",
        r"how far (?!apart)(?:\w{1,6} )?|throws?|reach(?:es)?|how wide|carry|que tan lejos|hasta donde|alcance|how far out",
    ),
    (
        "level",
        r"foot ?candles?|footcandles?|fc|lux(?:es)?|light enough|bright(?:er|ness)?|enough light|light levels?|dark(?: spots?|est)?|too dim|see the ball|enough|uniform\w{0,3}|evenly|alcanza\w{0,2}|alcanzo|suficiente|alumbr\w{1,6}|ilumin\w{1,6}|nivel(?:es)? de luz|brillante|good (?:enough|light)|how much light",
    ),
)


@lru_cache(maxsize=1)
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple((name, re.compile(rf"(?<![a-z])(?:{source})(?![a-z])")) for name, source in _WANTS)


def wants_of(text: str, values: dict[str, Any]) -> list[str]:
    """What is wanted, in the order of `_WANTS`; a distance to a property line is a question about spill."""
    wants = [name for name, pattern in _patterns() if pattern.search(text)]
    if "line_ft" in values and "spill" not in wants:
        wants.insert(0, "spill")
    return wants
