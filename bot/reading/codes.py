"""Lamp codes: what F32T8, MH250/U, S54 or 26W quad say of source, watts and length."""

import re
import tomllib
from functools import lru_cache
from typing import Any, NamedTuple

from bot.reading.words import FOLDER

_TUBE = re.compile(r"^f[bo]?(\d{2,3})t(5|8|12)(ho|vho)?")
_TUBE_ONLY = re.compile(r"^t(5ho|5|8|12)(ho|vho|s)?$")
_LETTERS = re.compile(r"^([a-z]{2,4})(\d{1,4})(?:[a-z/].*|)$")
_BALLAST = re.compile(r"^([mhs]\d{2,3})(?:/[a-z]{1,2}|s)?$")
_SHAPE = re.compile(r"^(?:par|br|mr|er|bt|ed|bd|gu|e|a|r|g|s|b)\d{1,3}(?:s|/[a-z]+)?$")


class LampTables(NamedTuple):
    """The lamp code tables: ballast designations, tube lengths, letter prefixes, watts that are sold."""

    ballast: dict[str, tuple[str, float]]
    tube_feet: dict[tuple[str, int], float]
    letters: dict[str, str]
    watts: dict[str, frozenset[float]]


@lru_cache(maxsize=1)
def lamp_tables() -> LampTables:
    """The tables of ``lexicon/lamp_codes.toml``."""
    raw: dict[str, Any] = tomllib.loads((FOLDER / "lamp_codes.toml").read_text(encoding="utf-8"))
    return LampTables(
        {code.lower(): (source, float(watts)) for code, (source, watts) in raw["ballast"].items()},
        {(key.split(":")[0], int(key.split(":")[1])): float(feet) for key, feet in raw["tube"].items()},
        dict(raw["letters"]),
        {source: frozenset(map(float, watts)) for source, watts in raw["watts"].items()},
    )


def lamp_code(code: str) -> dict[str, Any] | None:
    """The slots that a folded code states; ``None`` where it is no lamp code.

    >>> lamp_code("f32t8")
    {'source': 'T8', 'watts': 32.0, 'lamp_feet': 4.0}
    """
    tables = lamp_tables()
    code = code.replace("h0", "ho")
    if match := _TUBE.match(code):
        number, diameter, output = int(match[1]), match[2], match[3]
        source = "T5HO" if diameter == "5" and (output or number in (24, 39, 49, 54, 80)) else f"T{diameter}"
        if number >= 60 and source in ("T12", "T8") and (source, number) not in tables.tube_feet:
            return {"source": source, "lamp_feet": number / 12}
        slots: dict[str, Any] = {"source": source, "watts": float(number)}
        feet = tables.tube_feet.get((source, number))
        if code.startswith(("fb", "f32t8/u", "f40t12/u", "f34t12/u")):
            return slots  # a bent tube: its arm is not the length of the code
        if feet is not None:
            slots["lamp_feet"] = feet
        if source == "T12" and output == "ho":
            slots.pop("watts")
            slots["lamp_feet"] = number / 12
        return slots
    if match := _TUBE_ONLY.match(code):
        return {
            "source": "T5HO"
            if match[1] == "5ho" or (match[1] == "5" and match[2] == "ho")
            else f"T{match[1]}"
        }
    if (match := _BALLAST.match(code)) and match[1] in tables.ballast:
        source, watts = tables.ballast[match[1]]
        return {"source": source, "watts": watts}
    if (match := _LETTERS.match(code)) and match[1] in tables.letters:
        source, watts = tables.letters[match[1]], float(match[2])
        if source == "LED":
            return {"led_watts": watts}
        if source == "MV" and match[1] == "hr":
            return None
        return {"source": source, "watts": watts} if watts >= 5 else None
    return None


def bulb_shape(code: str) -> bool:
    """Whether the code names a bulb's shape (PAR38, A19, MR16): a size and no watts."""
    return bool(_SHAPE.match(code))
