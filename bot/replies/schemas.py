"""The JSON Schemas (draft 2020-12) of what `bot.replies` and the reader give as JSON, as plain values."""

from typing import Any, Final, Literal, get_args

from engine.keys import (
    CAUTION_KEYS,
    CONCERN_KEYS,
    LAYOUT_KEYS,
    PASSED_OVER_KEYS,
    PROBLEM_KEYS,
    REASON_KEYS,
    ROLE_KEYS,
    STOP_KEYS,
)
from engine.request import AskedLight, Context, StatedJob, StatedLine
from engine.vocabulary import FAMILIES, INTENTS, LAMP_SOURCES, SPACES, Arrangement

Schema = dict[str, Any]
DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"

_TEXT: Final[Schema] = {"type": "string"}
_NUMBER: Final[Schema] = {"type": "number"}
_COUNT: Final[Schema] = {"type": "integer", "minimum": 0}
_MAYBE: Final[Schema] = {"type": ["number", "null"]}
_MONEY_PATTERN: Final = r"^-?[0-9]+\.[0-9]{2}$"
_MONEY: Final[Schema] = {"type": "string", "pattern": _MONEY_PATTERN}
_MAYBE_MONEY: Final[Schema] = {"type": ["string", "null"], "pattern": _MONEY_PATTERN}
_PLACES: Final[Schema] = {
    "description": "name of a figure: its place in the list of figures",
    "type": "object",
    "additionalProperties": _COUNT,
}
_SPAN: Final[Schema] = {
    "description": "turn, start, end: code points of that turn's text",
    "type": "array",
    "prefixItems": [_COUNT, _COUNT, _COUNT],
    "items": False,
    "minItems": 3,
}


def schema(name: Literal["quote", "reading"]) -> Schema:
    """The schema of a quote, or of a reading.

    Raises:
        ValueError: no such schema.
    """
    if name == "quote":
        return {"$schema": DIALECT, "title": "quote", **_quote()}
    if name == "reading":
        return {"$schema": DIALECT, "title": "reading", **_reading()}
    raise ValueError(f"no schema {name!r}: one of quote, reading")


def _object(properties: Schema, optional: tuple[str, ...] = (), is_open: bool = False) -> Schema:
    required = [key for key in properties if key not in optional]
    return {"type": "object", "properties": properties, "required": required, "additionalProperties": is_open}


def _list(items: Schema) -> Schema:
    return {"type": "array", "items": items}


def _keyed(keys: tuple[str, ...]) -> Schema:
    return _object({"key": {"enum": list(keys)}, "text": _TEXT})


def _or_null(inner: Schema) -> Schema:
    return {"anyOf": [inner, {"type": "null"}]}


def _option() -> Schema:
    return _object(
        {
            "part_number": _TEXT,
            "description": _TEXT,
            "role": {"enum": list(ROLE_KEYS)},
            "input_watts": _NUMBER,
            "lumens": _NUMBER,
            "unit_price": _MONEY,
            "cct_k": {"type": "integer"},
            "finish": {"type": ["string", "null"]},
            "mount": {"type": ["string", "null"]},
            "voltage": _TEXT,
            "in_stock": _COUNT,
            "stock": {"type": "object", "additionalProperties": _COUNT},
            "lead_time_days": _COUNT,
            "rebate_listed": {"type": "boolean"},
            "light_ratio": _MAYBE,
            "simple_payback_years": _MAYBE,
            "saved_per_year": _MAYBE_MONEY,
            "project_cost": _MAYBE_MONEY,
            "reasons": _list(_keyed(REASON_KEYS)),
            "concerns": _list(_keyed(CONCERN_KEYS)),
            "figures": _PLACES,
        }
    )


def _existing() -> Schema:
    return _object(
        {
            "input_watts": _MAYBE,
            "source": {"enum": [*LAMP_SOURCES, None]},
            "source_is_assumed": {"type": "boolean"},
            "family": {"enum": list(FAMILIES)},
            "watts": _MAYBE,
            "lamps": _COUNT,
            "lamp_feet": _MAYBE,
            "ballast": _TEXT,
            "delivered_lumens": _MAYBE,
        }
    )


def _light() -> Schema:
    """Footcandles and feet; levels are maintained and of direct light only."""
    side = _object(
        {
            "name": _TEXT,
            "generic": {"type": "boolean"},
            "lumens": _NUMBER,
            "reference": _TEXT,
            "source": _TEXT,
        }
    )
    throw = _object({"direction": {"enum": ["ahead", "side"]}, "before_ft": _MAYBE, "after_ft": _MAYBE})
    place = _object(
        {
            "place": {"enum": ["ahead", "side", "midway", "aim", "edge", "average", "between"]},
            "distance_ft": _NUMBER,
            "before_fc": _NUMBER,
            "after_fc": _NUMBER,
        }
    )
    return _object(
        {
            "arrangement": {"enum": ["wall", "pole", "aim", "grid"]},
            "height_ft": _NUMBER,
            "plane_ft": _NUMBER,
            "spacing_ft": _MAYBE,
            "maintained": {"const": True},
            "level_fc": _NUMBER,
            "before": side,
            "after": side,
            "throws": _list(throw),
            "places": _list(place),
            "text": _TEXT,
        }
    )


def _layout() -> Schema:
    """Footcandles, feet, square feet; levels are maintained. Guidance, never a design."""
    side = _object({"name": _TEXT, "generic": {"type": "boolean"}, "lumens": _NUMBER, "reference": _TEXT})
    assumed = _object(
        {"name": _TEXT, "value": _NUMBER, "low": _MAYBE, "high": _MAYBE, "unit": _TEXT, "source": _TEXT}
    )
    guide = _object(
        {
            "area": _TEXT,
            "criterion": _TEXT,
            "fc_low": _MAYBE,
            "fc": _MAYBE,
            "fc_high": _MAYBE,
            "rule": _TEXT,
            "seen": _TEXT,
            "text": _TEXT,
        }
    )
    allowance = _object(
        {
            "edition": _TEXT,
            "area": _TEXT,
            "unit": {"enum": ["W/ft2", "W/ft"]},
            "draws": _NUMBER,
            "zone2": _NUMBER,
            "zone3": _NUMBER,
            "base_watts": _NUMBER,
        }
    )
    values: Schema = {
        "description": "name of a figure: its value",
        "type": "object",
        "additionalProperties": _NUMBER,
    }
    return _object(
        {
            "line": _COUNT,
            "arrangement": {"enum": list(get_args(Arrangement))},
            "space": {"enum": list(SPACES)},
            "space_is_assumed": {"type": "boolean"},
            "height_ft": _NUMBER,
            "level_fc": _NUMBER,
            "level_is": {"enum": ["average", "minimum"]},
            "level_is_asked": {"type": "boolean"},
            "maintained": {"const": True},
            "before": _or_null(side),
            "after": side,
            "says": _list(_keyed(LAYOUT_KEYS)),
            "values": values,
            "figures": _PLACES,
            "assumed": _list(assumed),
            "guides": _list(guide),
            "allowance": _or_null(allowance),
            "bug": {"type": ["string", "null"]},
            "line_limits": _list(_object({"zone": _TEXT, "vertical_fc": _NUMBER})),
            "question": {"type": ["string", "null"]},
            "is_a_design": {"const": False},
        }
    )


def _line() -> Schema:
    passed_over = _object(
        {"part_number": _TEXT, "key": {"enum": list(PASSED_OVER_KEYS)}, "text": _TEXT},
    )
    return _object(
        {
            "title": _TEXT,
            "stated": {"$ref": "#/$defs/StatedLine"},
            "existing": _or_null(_existing()),
            "options": _list(_option()),
            "chosen": _or_null(_COUNT),
            "problem": _or_null(_keyed(PROBLEM_KEYS)),
            "matched_by": {"enum": ["light", "lumens", "asked", None]},
            "light": _or_null(_light()),
            "passed_over_count": _COUNT,
            "passed_over": _list(passed_over),
            "figures": _PLACES,
        },
        optional=("passed_over",),
    )


def _quote() -> Schema:
    floats = ("kwh_before_per_year", "kwh_after_per_year", "kwh_saved_per_year", "kw_saved", "simple_payback_years", "irr")  # fmt: skip
    money = ("energy_cost_saved_per_year", "maintenance_saved_per_year", "project_cost", "rebate", "npv")
    totals = _object(
        {"qty": _COUNT, **dict.fromkeys(floats, _MAYBE), **dict.fromkeys(money, _MAYBE_MONEY)}, is_open=True
    )
    assumption = _object(
        {
            "name": _TEXT,
            "words": _TEXT,
            "value": {},
            "low": {},
            "high": {},
            "unit": _TEXT,
            "source": _TEXT,
            "others": {"type": "array"},
            "swing_years": _MAYBE,
        }
    )
    question = _object(
        {
            "path": _TEXT,
            "text": _TEXT,
            "options": {"type": "array"},
            "answers": _list(_TEXT),
            "swing_years": _MAYBE,
            "changes_choice": {"type": "boolean"},
        }
    )
    origin = _object(
        {
            "kind": {"enum": ["stated", "assumed", "table", "catalogue", "definition"]},
            "source": _TEXT,
            "reference": _TEXT,
            "low": {},
            "high": {},
        },
        optional=("low", "high"),
    )
    figure = _object(
        {
            "name": _TEXT,
            "value": {},
            "unit": _TEXT,
            "origin": origin,
            "formula": _TEXT,
            "inputs": _list(_COUNT),
        },
        optional=("origin", "formula", "inputs"),
    )
    ends = {"type": ["number", "string", "null"]}
    request, shared = _stated_parts()
    return _object(
        {
            "lines": _list(_line()),
            "asked_light": _list(_layout()),
            "totals": totals,
            "hours_per_year": _MAYBE,
            "assumptions": _list(assumption),
            "questions": _list(question),
            "cautions": _list(_TEXT),
            "catalog_version": _TEXT,
            "tables_version": _TEXT,
            "caution_keys": _list(_object({"key": {"enum": list(CAUTION_KEYS)}, "lines": _list(_COUNT)})),
            "spreads": {
                "type": "object",
                "additionalProperties": _object({"base": ends, "low": ends, "high": ends}),
            },
            "stop": _or_null(_keyed(STOP_KEYS)),
            "request": request,
            "language": {"enum": ["en", "es"]},
            "total_figures": _PLACES,
            "figures": _list(figure),
        }
    ) | {"$defs": shared}


def _reading() -> Schema:
    _, shared = _stated_parts()
    doubt = _object({"path": _TEXT, "value": {}, "others": {"type": "array"}, "why": _TEXT})
    fault = _object({"path": _TEXT, "span": _SPAN, "text": _TEXT})
    return _object(
        {
            "intent": {"enum": list(INTENTS)},
            "job": {"$ref": "#/$defs/StatedJob"},
            "lines": _list({"$ref": "#/$defs/StatedLine"}),
            "spans": {"type": "object", "additionalProperties": _SPAN},
            "doubts": _list(doubt),
            "unread": _list(_SPAN),
            "faults": _list(fault),
            "context": {"$ref": "#/$defs/Context"},
            "language": {"enum": ["en", "es"]},
            "confidence": {"type": "number", "minimum": 0, "maximum": 1},
        },
        optional=("faults", "context", "language", "confidence"),
        is_open=True,
    ) | {"$defs": shared}


def _stated_parts() -> tuple[Schema, Schema]:
    """The schema of a request, and the definitions of its parts, from the models that check them."""
    shared: Schema = {}
    for model in (StatedJob, StatedLine, Context, AskedLight):
        made = model.model_json_schema(ref_template="#/$defs/{model}")
        shared |= made.pop("$defs", {})
        shared[model.__name__] = made
    request = _object(
        {
            "job": {"$ref": "#/$defs/StatedJob"},
            "lines": _list({"$ref": "#/$defs/StatedLine"}),
            "context": {"$ref": "#/$defs/Context"},
            "light": {"$ref": "#/$defs/AskedLight"},
        },
        optional=("context", "light"),
    )
    return request, shared
