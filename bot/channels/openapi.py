"""The OpenAPI 3.1 document of the JSON API."""

from functools import cache
from typing import Any, Final

from bot.channels.openapi_staff import SECURITY_SCHEMES, staff_paths
from bot.schemas import schema_named

_REF: Final = "#/components/schemas/"
_ID: Final = {"name": "id", "in": "path", "required": True, "schema": {"type": "string"}}


@cache
def openapi_document() -> dict[str, Any]:
    """The whole document; its schemas are those that ``wattclerk schema`` prints."""
    schemas: dict[str, Any] = {}
    for name in ("message", "turn", "quote", "job"):
        _add(schemas, name, schema_named(name))
    schemas["error"] = _object({"error": {"type": "string"}})
    schemas["step"] = {
        "type": "object",
        "description": "one figure: with an origin (a leaf) or a formula and the numbers of the steps that go into it",
        "required": ["name", "words", "value", "unit", "shown"],
        "properties": {
            "name": {"type": "string"},
            "words": {"type": "string"},
            "value": {"type": ["number", "string"], "description": "money as a decimal string"},
            "unit": {"type": "string"},
            "shown": {"type": "string"},
            "formula": {"type": "string"},
            "formula_words": {"type": "string"},
            "formula_numbers": {"type": "string"},
            "inputs": {"type": "array", "items": {"type": "integer", "minimum": 0}},
            "origin": {"type": "object"},
        },
    }
    working = _object(
        {
            "quote": {"type": "string"},
            "path": {"type": "string"},
            "figure": _object(
                {"root": {"type": "integer"}, "steps": {"type": "array", "items": {"$ref": _REF + "step"}}}
            ),
        }
    )
    quote_kept = _object(
        {
            "id": {"type": "string"},
            "made_at": {"type": "string", "format": "date-time"},
            "revision": {"type": "integer", "minimum": 1},
            "revises": {"type": ["string", "null"], "description": "the quote that this one stands in for"},
            "request": {"$ref": _REF + "job"},
            "quote": {"$ref": _REF + "quote"},
        }
    )
    conversation = _object(
        {"conversation": {"type": "string"}, "turns": {"type": "array", "items": {"$ref": _REF + "turn"}}}
    )
    health = _object(
        {
            "status": {"const": "ok"},
            "catalog_version": {"type": "string"},
            "tables_version": {"type": "string"},
        }
    )
    path = _ID | {"name": "path", "description": "totals.simple_payback_years, lines.0.unit_price, ..."}
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Wattclerk",
            "version": "0.1.0",
            "description": "A loose text about old lighting in, an LED quote whose every figure can be followed back out.",
        },
        "paths": {
            "/api/messages": {
                "post": {
                    "operationId": "sendMessage",
                    "security": _CHAT,
                    "summary": "Send a message; the same message_id is answered once",
                    "requestBody": {"required": True, "content": _json({"$ref": _REF + "message"})},
                    "responses": _responses(
                        {"$ref": _REF + "turn"},
                        ("400", "403", "404", "409", "413", "415", "422", "429", "500", "503"),
                    ),
                }
            },
            "/api/conversations/{id}": {
                "get": {
                    "operationId": "getConversation",
                    "security": _CHAT,
                    "summary": "All turns of a conversation",
                    "parameters": [_ID],
                    "responses": _responses(conversation, ("401", "404", "414", "421", "503")),
                }
            },
            "/api/quotes/{id}": {
                "get": {
                    "operationId": "getQuote",
                    "security": _CHAT,
                    "summary": "A kept quote",
                    "parameters": [_ID],
                    "responses": _responses(quote_kept, ("401", "404", "414", "421", "503")),
                }
            },
            "/api/quotes/{id}/figures": {
                "get": {
                    "operationId": "listFigures",
                    "security": _CHAT,
                    "summary": "The paths of a quote's figures",
                    "parameters": [_ID],
                    "responses": _responses(
                        _object(
                            {
                                "quote": {"type": "string"},
                                "figures": {"type": "array", "items": {"type": "string"}},
                            }
                        ),
                        ("401", "404", "414", "421", "503"),
                    ),
                }
            },
            "/api/quotes/{id}/figures/{path}": {
                "get": {
                    "operationId": "getFigure",
                    "security": _CHAT,
                    "summary": "The working of one figure, down to what was said, assumed or looked up",
                    "parameters": [_ID, path],
                    "responses": _responses(working, ("401", "404", "414", "421", "503")),
                }
            },
            "/healthz": {
                "get": {
                    "operationId": "getHealth",
                    "summary": "Whether the server is up, and with which catalogue and tables",
                    "responses": _responses(health, ("414", "421")),
                }
            },
        }
        | staff_paths(),
        "components": {"schemas": schemas, "securitySchemes": SECURITY_SCHEMES},
    }


def _object(properties: dict[str, Any]) -> dict[str, Any]:
    return {"type": "object", "required": list(properties), "properties": properties}


def _json(schema: dict[str, Any]) -> dict[str, Any]:
    return {"application/json": {"schema": schema}}


_CHAT: Final[list[dict[str, list[str]]]] = [{}, {"token": []}, {"session": []}, {"sessionOverTls": []}]
"""Open where the operator says so; else for programs with the token and for staff."""


def _responses(good: dict[str, Any], errors: tuple[str, ...]) -> dict[str, Any]:
    out: dict[str, Any] = {"200": {"description": "done", "content": _json(good)}}
    for status in errors:
        out[status] = {"description": "why not, in one line", "content": _json({"$ref": _REF + "error"})}
    return out


def _add(schemas: dict[str, Any], name: str, schema: dict[str, Any]) -> None:
    """Moves a schema's own definitions beside it, where the document's references find them."""
    schema.pop("$schema", None)
    for inner, definition in schema.pop("$defs", {}).items():
        schemas[inner] = _pointed_here(definition)
    schemas[name] = _pointed_here(schema)


def _pointed_here(node: Any) -> Any:
    if isinstance(node, dict):
        return {
            key: value.replace("#/$defs/", _REF) if key == "$ref" else _pointed_here(value)
            for key, value in node.items()
        }
    if isinstance(node, list):
        return [_pointed_here(value) for value in node]
    return node
