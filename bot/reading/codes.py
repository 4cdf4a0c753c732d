"""Lamp codes: what F32T8, MH250/U, S54 or 26W quad say of source, watts and length."""

import re
from functools import lru_cache
from typing import Any, NamedTuple

from bot.reading.compiled import table

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
    raw = table("lamp_codes")
    return LampTables(
        {code.lower(): (source, float(watts)) for code, (source, watts) in raw["ballast"].items()},
        {(key.split(":")[0], int(key.split(":")[1])): float(feet) for key, feet in raw["tube"].items()},
        dict(raw["letters"]),
        {source: frozenset(map(float, watts)) for source, watts in raw["watts"].items()},
    )


# What may follow a code and states nothing that is read here: /841, /35k, /u, /eco, /par20, /4p
_TAIL = r"(?:/(?:[789]\d\d|[2-6][05](?:00)?k?|(?!t\d|mh|hps)[a-z]{1,6}\d{0,3}|[24]p)){0,3}"
_RUN_TUBE = re.compile(r"^(f[bo]?\d{2,3})-?t-?(5|8|12)-?(ho|vho)?(?:/(ho|vho))?[a-z]{0,3}" + _TAIL + "$")
_RUN_SHORT_TUBE = re.compile(r"^fo?(17|25|28|32|54)/[789]\d\d[a-z]{0,3}" + _TAIL + "$")
_RUN_OLD_TUBE = re.compile(r"^f(34|40|48|72|96)/?(?:cw|ww|dx|cwx|wwx|d|w)" + _TAIL + "$")
_RUN_LONG = re.compile(r"^(?:ft(\d{2})[a-z]{0,2}|f(\d{2})bx)(?:/\d?[a-z]{1,3}\d{0,2})?" + _TAIL + "$")
_RUN_MERCURY = re.compile(r"^h(\d{2})[a-z]{1,3}-(\d{2,4})(?:/[a-z]{1,3})?$")
_RUN_HID = re.compile(
    r"^(mh|mhc|mhl|cdm|cmh|lu|mvr|mp|ms|hps|sox|mv|psmh)-?(\d{2,4})(?:/(?:55|100|\d?[a-z]{1,5}\d{0,3})){0,3}$"
)
_RUN_COMPACT = re.compile(
    r"^(?:cf|cft|cfq|cfm|cftr|pl|plc|plt|pll|pls|pl-?[clst])-?(\d{1,2})w?[a-z]{0,3}(?:/[a-z0-9]{1,4}){0,2}$"
)
_RUN_BALLAST = re.compile(r"^(?:(\d{2,4})w?/?)?([mhs])-?(\d{2,3})(?:/[a-z]{1,2})?$")
_RUN_QUARTZ = re.compile(
    r"^(?:q(\d{2,4})(?:w?t[34]|cl|dc|mc|t3cl)?|(\d{2,4})w?(?:q|t3q?))(?:/[a-z0-9]{1,4}){0,2}$"
)
_RUN_QUAD = re.compile(r"^(\d{1,2})w?(?:dtt|dtd|dt|dd|tt|tbx|trt|ttt|qd|qt|dbx|bx)(?:/[a-z0-9]{1,4}){0,2}$")
_RUN_BULB = re.compile(
    r"^(\d{2,4})w?(par|br|mr|er|ps|bt|ed|bd|r|a|g)(\d{1,3})[a-z]{0,3}(?:/[a-z0-9]{1,5}){0,2}$"
)
_BULBS = {
    "par": (16, 20, 30, 36, 38, 46, 56, 64), "br": (30, 40), "mr": (8, 11, 16), "er": (30, 40), "r": (14, 16, 20, 30, 40),
    "ps": (25, 30, 35, 40, 52), "bt": (15, 28, 37, 56), "ed": (17, 18, 23, 28, 37), "bd": (17,), "a": (15, 17, 19, 21, 23),
    "g": (16, 25, 30, 40),
}  # fmt: skip


@lru_cache(maxsize=4096)
def long_code(run: str) -> dict[str, Any] | None:
    """What a designation with its tails states: ``f32t8/841``, ``h39kb-175/dx``, ``90par38``; ``None`` where it is none.

    >>> long_code("lu150/55")
    {'source': 'HPS', 'watts': 150.0}
    """
    tables = lamp_tables()
    if run[0] == "f":
        if match := _RUN_TUBE.match(run):
            return lamp_code(match[1] + "t" + match[2] + (match[3] or match[4] or ""))
        if match := _RUN_SHORT_TUBE.match(run):
            return dict(_SHORT_TUBES[match[1].removesuffix("ho")])
        if match := _RUN_OLD_TUBE.match(run):
            return lamp_code(f"f{match[1]}t12")
        if match := _RUN_LONG.match(run):
            return {"source": "CFL", "watts": float(match[1] or match[2])}
    if match := _RUN_MERCURY.match(run):
        known = tables.ballast.get(f"h{match[1]}")
        return {"source": "MV", "watts": known[1] if known else float(match[2])}
    if match := _RUN_BALLAST.match(run):
        known = tables.ballast.get(match[2] + match[3])
        if known is not None and (match[1] is None or float(match[1]) == known[1]):
            return {"source": known[0], "watts": known[1]}
    if (match := _RUN_HID.match(run)) and float(match[2]) in tables.watts[tables.letters[match[1]]]:
        return {"source": tables.letters[match[1]], "watts": float(match[2])}
    if (match := _RUN_COMPACT.match(run)) and float(match[1]) in tables.watts["CFL"]:
        return {"source": "CFL", "watts": float(match[1])}
    if (match := _RUN_QUARTZ.match(run)) and float(match[1] or match[2]) in tables.watts["HAL"]:
        return {"source": "HAL", "watts": float(match[1] or match[2])}
    if (match := _RUN_QUAD.match(run)) and float(match[1]) in tables.watts["CFL"]:
        return {"source": "CFL", "watts": float(match[1])}
    if (match := _RUN_BULB.match(run)) and int(match[3]) in _BULBS[match[2]] and int(match[1]) >= 15:
        return {"watts": float(match[1])}
    return None


_SHORT_TUBE = re.compile(r"^fo?(17|25|32|34|40|54(?:ho)?|28|96(?=s))s?$")
_BENT: dict[str, dict[str, Any]] = {
    "fb31": {"source": "T8", "watts": 31.0},
    "fb32": {"source": "T8", "watts": 32.0},
    "fbo32": {"source": "T8", "watts": 32.0},
    "fb34": {"source": "T12", "watts": 34.0},
    "fb40": {"source": "T12", "watts": 40.0},
}
"""Bent tubes by their number alone (common practice, no source)."""
_SHORT_TUBES: dict[str, dict[str, Any]] = {
    "17": {"source": "T8", "watts": 17.0, "lamp_feet": 2.0},
    "25": {"source": "T8", "watts": 25.0, "lamp_feet": 3.0},
    "28": {"source": "T5", "watts": 28.0, "lamp_feet": 4.0},
    "32": {"source": "T8", "watts": 32.0, "lamp_feet": 4.0},
    "34": {"source": "T12", "watts": 34.0, "lamp_feet": 4.0},
    "40": {"source": "T12", "watts": 40.0, "lamp_feet": 4.0},
    "54": {"source": "T5HO", "watts": 54.0, "lamp_feet": 4.0},
    "96": {"lamp_feet": 8.0},
}
"""What a tube's number alone stands for where nothing behind it says the diameter (common practice, no source)."""


@lru_cache(maxsize=4096)
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
        if (
            (number >= 60 or (number == 48 and source == "T12"))
            and source in ("T12", "T8")
            and (source, number) not in tables.tube_feet
        ):
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
    if match := _SHORT_TUBE.match(code):
        return dict(_SHORT_TUBES[match[1].removesuffix("ho")])
    if code in _BENT:
        return dict(_BENT[code])
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
    return long_code(code)


def bulb_shape(code: str) -> bool:
    """Whether the code names a bulb's shape (PAR38, A19, MR16): a size and no watts."""
    return bool(_SHAPE.match(code))
