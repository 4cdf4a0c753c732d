"""JSON Schemas (draft 2020-12) of everything that goes in and comes out, by name: `wattclerk schema NAME`.

What a request model checks is described by the model itself; what we write is described here, beside the contract's names.
"""

from collections.abc import Mapping
from typing import Any, Final

from pydantic import BaseModel

from engine.light.note_keys import NOTES as PHOTOMETRY_NOTES
from engine.request import Context, Request, StatedJob, StatedLine
from engine.vocabulary import INTENTS

Schema = dict[str, Any]
DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"
NAMES: Final = ("reading", "conversation", "readings", "job", "quote", "message", "turn", "light", "draft")

MONEY: Final[Schema] = {"type": "string", "pattern": r"^-?[0-9]+\.[0-9]{2}$"}
SPAN: Final[Schema] = {
    "description": "turn, start, end: code points of that turn's text",
    "type": "array",
    "prefixItems": [{"type": "integer", "minimum": 0}] * 3,
    "items": False,
    "minItems": 3,
}
TEXT: Final[Schema] = {"type": "string"}
NUMBER: Final[Schema] = {"type": "number"}
NUMBER_OR_NULL: Final[Schema] = {"type": ["number", "null"]}


def schema_named(name: str) -> Schema:
    """The schema of one of `NAMES`.

    Raises:
        KeyError: no such schema.
    """
    made = _SCHEMAS[name]()
    return {"$schema": DIALECT, "title": name, **made}


def _object(
    properties: Mapping[str, Schema], required: tuple[str, ...] = (), *, closed: bool = False
) -> Schema:
    out: Schema = {"type": "object", "properties": dict(properties)}
    if required:
        out["required"] = list(required)
    if closed:
        out["additionalProperties"] = False
    return out


def _list(items: Schema) -> Schema:
    return {"type": "array", "items": items}


def _model(model: type[BaseModel]) -> Schema:
    """The model's own schema, without titles; a slot that was not stated is absent, never null."""
    schema = model.model_json_schema()
    return dict(_untitled(schema))


def _untitled(node: Any) -> Any:
    if isinstance(node, dict):
        return {k: _untitled(v) for k, v in node.items() if not (k == "title" and isinstance(v, str))}
    if isinstance(node, list):
        return [_untitled(v) for v in node]
    return node


def _lifted(*models: type[BaseModel]) -> tuple[list[Schema], Schema]:
    """Schemas of models that share one ``$defs``."""
    shared: Schema = {}
    out = []
    for model in models:
        schema = _model(model)
        shared |= schema.pop("$defs", {})
        out.append(schema)
    return out, shared


def _reading() -> Schema:
    (job, line, context), shared = _lifted(StatedJob, StatedLine, Context)
    doubt = _object(
        {"path": TEXT, "value": {}, "others": _list({}), "why": TEXT}, ("path", "value", "others", "why")
    )
    fault = _object({"path": TEXT, "span": SPAN, "text": TEXT}, ("path", "span", "text"))
    schema = _object(
        {
            "intent": {"enum": list(INTENTS)},
            "job": job,
            "lines": _list(line),
            "spans": {"type": "object", "additionalProperties": SPAN},
            "doubts": _list(doubt),
            "unread": _list(SPAN),
            "faults": _list(fault),
            "context": context,
            "reason": TEXT,
            "language": {"enum": ["en", "es"]},
            "confidence": {"type": "number", "minimum": 0, "maximum": 1},
        },
        ("intent", "job", "lines", "spans", "doubts", "unread"),
    )
    return schema | {"$defs": shared}


def _conversation() -> Schema:
    turn = _object({"text": TEXT, "asked": {"type": ["string", "null"]}}, ("text",), closed=True)
    return _object({"id": TEXT, "turns": _list(turn) | {"minItems": 1}}, ("id", "turns"), closed=True)


def _readings() -> Schema:
    reading = _reading()
    shared = reading.pop("$defs")
    good = _object({"id": TEXT, "turns": _list(reading)}, ("id", "turns"), closed=True)
    bad = _object({"id": {}, "error": TEXT}, ("id", "error"), closed=True)
    return {"oneOf": [good, bad], "$defs": shared}


def _job() -> Schema:
    return _model(Request)


def _quote() -> Schema:
    existing = _object(
        {"input_watts": NUMBER_OR_NULL, "source": {"type": ["string", "null"]}}, ("input_watts", "source")
    )
    option = _object(
        {"part_number": TEXT, "input_watts": NUMBER, "lumens": NUMBER, "unit_price": MONEY},
        ("part_number", "input_watts", "lumens", "unit_price"),
    )
    line = _object(
        {
            "existing": {"anyOf": [existing, {"type": "null"}]},
            "options": _list(option),
            "chosen": {"type": ["integer", "null"], "minimum": 0},
        },
        ("existing", "options", "chosen"),
    )
    physics = ("kwh_before_per_year", "kwh_after_per_year", "kwh_saved_per_year", "kw_saved")
    money = ("energy_cost_saved_per_year", "maintenance_saved_per_year", "project_cost", "rebate", "npv")
    totals = _object(
        {
            "qty": {"type": "integer", "minimum": 0},
            **dict.fromkeys(physics, NUMBER),
            **dict.fromkeys(money, MONEY),
            "simple_payback_years": NUMBER_OR_NULL,
            "irr": NUMBER_OR_NULL,
        },
        ("qty", *physics, *money, "simple_payback_years", "irr"),
    )
    assumption = _object(
        {"name": TEXT, "value": {}, "low": {}, "high": {}, "unit": TEXT, "source": TEXT},
        ("name", "value", "low", "high", "unit", "source"),
    )
    return _object(
        {
            "lines": _list(line),
            "totals": totals,
            "hours_per_year": NUMBER_OR_NULL,
            "assumptions": _list(assumption),
            "questions": _list(_object({"path": TEXT, "text": TEXT}, ("path", "text"))),
            "cautions": _list(TEXT),
            "catalog_version": TEXT,
            "tables_version": TEXT,
        },
        (
            "lines",
            "totals",
            "hours_per_year",
            "assumptions",
            "questions",
            "cautions",
            "catalog_version",
            "tables_version",
        ),
    )


def _message() -> Schema:
    from bot.channels.web_message import MessageIn

    return _model(MessageIn)


def _turn() -> Schema:
    reading = _reading()
    shared = reading.pop("$defs")
    schema = _object(
        {
            "conversation": TEXT,
            "turn": {"type": "integer", "minimum": 0},
            "message_id": TEXT,
            "received_at": {"type": "string", "format": "date-time"},
            "text": TEXT,
            "changes": _list(_object({"path": TEXT, "value": {}}, ("path", "value"))),
            "reading": reading,
            "answer": _object(
                {
                    "language": {"enum": ["en", "es"]},
                    "text": TEXT,
                    "asks": {"type": ["string", "null"]},
                    "card": {"type": "object"},
                    "slots": {"type": "object"},
                },
                ("language", "text", "card", "slots"),
            ),
            "quote_id": {"type": ["string", "null"]},
        },
        (
            "conversation",
            "turn",
            "message_id",
            "received_at",
            "text",
            "changes",
            "reading",
            "answer",
            "quote_id",
        ),
    )
    return schema | {"$defs": shared}


def _light() -> Schema:
    level = NUMBER | {"minimum": 0}
    return _object(
        {
            "lumens": level | {"description": "of the whole luminaire, integrated over the file's table"},
            "fc": _list(level) | {"description": "horizontal illuminance at the points, in the order asked"},
            "form": {
                "enum": ["LM-63-1986", "LM-63-1991", "LM-63-1995", "LM-63-2002", "LM-63-2019", "EULUMDAT"]
            },
            "notes": _list({"enum": list(PHOTOMETRY_NOTES)}),
        },
        ("lumens", "fc", "form", "notes"),
        closed=True,
    )


def _draft() -> Schema:
    reading = _reading()
    reading["properties"]["text"] = TEXT | {"description": "the newest words; spans are into this"}
    return _object(
        {
            "file": TEXT | {"description": "where files were named"},
            "reply": {
                "enum": ["draft", "none", "human"],
                "description": "a draft can be sent; no answer is owed; a person has to answer",
            },
            "reason": TEXT,
            "reading": reading,
        },
        ("reply", "reason", "reading"),
    )


_SCHEMAS: Final = {
    "reading": _reading,
    "conversation": _conversation,
    "readings": _readings,
    "job": _job,
    "quote": _quote,
    "message": _message,
    "turn": _turn,
    "light": _light,
    "draft": _draft,
}
