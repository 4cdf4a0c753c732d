"""What a question about light asks, beside the luminaires themselves: the level, the room or lot, the run of wall, how far out.

The public reading has no slots for it. The passages it takes are blanked before the luminaires are read, or "80 x 150 shop"
would be 80 luminaires. Every pattern is bounded; the text is folded (`bot.reading.text.fold`).
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, Final

from bot.reading.asked_light_out import read_poles, read_property_line, read_reach
from bot.reading.asked_light_sizes import read_runs, read_sizes
from bot.reading.asked_light_taken import FT, LUX_PER_FOOTCANDLE, M, Taken, in_feet, number
from bot.reading.asked_light_words import space_of, wants_of
from bot.reading.tokens import number_value

MOST_TEXT: Final = 4_000
NEAR: Final = 22
"""Characters about a level within which "average" or "minimum" is said of it."""
BRIGHTEST_FC: Final = 1_000.0
_WORDS: Final = {
    "half a": 0.5, "a half": 0.5, "half": 0.5, "medio": 0.5, "media": 0.5, "one": 1, "a": 1, "un": 1, "una": 1, "uno": 1, "two": 2,
    "dos": 2, "three": 3, "tres": 3, "four": 4, "cuatro": 4, "five": 5, "cinco": 5, "six": 6, "seis": 6, "eight": 8, "ocho": 8,
    "ten": 10, "diez": 10, "fifteen": 15, "quince": 15, "twenty": 20, "veinte": 20, "thirty": 30, "treinta": 30, "forty": 40,
    "cuarenta": 40, "fifty": 50, "cincuenta": 50, "a hundred": 100, "one hundred": 100, "cien": 100,
}  # fmt: skip
_ARTICLES: Final = frozenset({"a", "un", "una"})
_FC: Final = r"(?:f\.?c\.?s?(?![a-z])|(?:foot|feet|ft)\.?[ -]?candles?|footcandles?|pies?[ -]candelas?|candelas?[ -]pies?|bujias?[ -]pies?)"
_LUX: Final = r"(?:lux(?:es)?|lx)(?![a-z])"
_AVERAGE = re.compile(r"(?<![a-z])(?:average|avg|promedio|en promedio)(?![a-z])")
_MINIMUM = re.compile(r"(?<![a-z])(?:minimum|min|minimo|darkest|worst|lowest)(?![a-z])")


@dataclass(frozen=True, slots=True)
class AskedOfLight:
    """Values by slot of `engine.request.AskedLight`, in JSON form, and what was taken from the text.

    Attributes:
        values: only what was said; ``bare_ft`` beside the slots is a length that is the whole message.
        spans: characters of the text that say what is no slot of a luminaire; they are blanked for the reader.
        metric: where lux or metres were used first.
    """

    values: dict[str, Any] = field(default_factory=dict)
    spans: tuple[tuple[int, int], ...] = ()
    metric: tuple[int, int] | None = None


def asked_of_light(folded: str) -> AskedOfLight:
    """What ``folded`` asks about light; values may be empty."""
    taken = Taken(folded[:MOST_TEXT])
    _read_levels(taken)
    read_sizes(taken)
    read_runs(taken)
    read_property_line(taken)
    read_reach(taken)
    if not taken.values:
        _read_bare(taken)
    read_poles(taken)
    if space := space_of(taken.text):
        taken.values["space"] = space
    if wants := wants_of(taken.text, taken.values):
        taken.values["wants"] = wants
    return AskedOfLight(taken.values, tuple(sorted(taken.spans)), taken.metric)


def blanked(folded: str, asked: AskedOfLight) -> str:
    """``folded`` with what was taken replaced by spaces, character for character."""
    out = folded
    for start, end in asked.spans:
        out = out[:start] + " " * (end - start) + out[end:]
    return out


@lru_cache(maxsize=1)
def _level() -> re.Pattern[str]:
    words = "|".join(sorted(_WORDS, key=len, reverse=True))
    return re.compile(
        rf"(?:{number()}(?: ?(?:-|to|a|or|o) ?\d{{1,5}}(?:\.\d{{1,2}})?)?|(?<![a-z])(?P<word>{words})(?= ))"
        rf"(?: (?:average|avg|minimum|min|maintained))? ?(?P<unit>{_FC}|(?P<lux>{_LUX}))"
        r"(?: (?:average|avg|minimum|min|maintained|promedio|minimo)(?![a-z]))?"
    )


def _read_levels(taken: Taken) -> None:
    """The level asked for; of a range the lower end."""
    for match in _level().finditer(taken.text):
        word, lux = match["word"], match["lux"] is not None
        if word in _ARTICLES and lux:
            continue
        value = float(_WORDS[word]) if word else number_value(match["n"])
        value /= LUX_PER_FOOTCANDLE if lux else 1.0
        if not 0 < value <= BRIGHTEST_FC:
            continue
        around = taken.text[max(0, match.start() - NEAR) : match.end() + NEAR]
        extra: dict[str, Any] = {}
        if _AVERAGE.search(around):
            extra["level_is"] = "average"
        elif _MINIMUM.search(around):
            extra["level_is"] = "minimum"
        taken.take(match.span(), "m" if lux else None, level_fc=round(value, 4), **extra)


@lru_cache(maxsize=1)
def _bare() -> re.Pattern[str]:
    return re.compile(
        rf"\s*(?:it'?s |its |about |around |roughly |maybe |son |es |unos |como |a |at ){{0,3}}(?P<said>{number()}(?: ?(?P<unit>{FT}|{M}))?)"
        r"(?: (?:away|out|long|total|or so|all around|de largo|mas o menos)){0,2}[.!\s]{0,3}"
    )


def _read_bare(taken: Taken) -> None:
    """A length that is the whole message: an answer to a question of ours."""
    if match := _bare().fullmatch(taken.text):
        taken.take(match.span("said"), match["unit"], bare_ft=in_feet(match["n"], match["unit"]))


def folded_over(parts: Iterator[AskedOfLight]) -> dict[str, Any]:
    """Values of several messages about one job: what is said later stands, and what is wanted is what was asked last.

    A bare length answers what is missing: how far the line is where spill was asked about, else how much there is to light.
    """
    out: dict[str, Any] = {}
    for part in parts:
        values = dict(part.values)
        bare = values.pop("bare_ft", None)
        if bare is not None and out.get("wants"):
            missing = "line_ft" if "spill" in out["wants"] and "line_ft" not in out else "run_ft"
            values[missing] = bare
        if {"length_ft", "area_ft2"} & values.keys():
            for slot in ("length_ft", "width_ft", "area_ft2"):
                out.pop(slot, None)
        wants = values.pop("wants", None)
        out |= values
        if wants:
            out["wants"] = wants
    return out
