"""Files that an operator writes by hand, in TOML: read, checked against a model, and refused in one clear line."""

import tomllib
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, Final, TypeVar

from pydantic import BaseModel, ValidationError

from engine.errors import ConfigurationError

MAX_BYTES: Final = 100_000
_MOST_LISTED: Final = 12
_SHARES: Final = ("_share", "_rate", "_escalation", "share_of_cost", "inflation")
"""Endings of keys that hold a part of 1, which people like to write as a percentage."""

Model = TypeVar("Model", bound=BaseModel)


class WrittenFileError(ConfigurationError):
    """A written file that cannot be used: the file, the key, what stood there, what is allowed; one line."""

    def __init__(self, file: str, key: str, found: str, allowed: str) -> None:
        self.file = file
        self.key = key
        self.found = " ".join(found.split())[:80]
        self.allowed = allowed
        super().__init__(f"{file}, {key}: found {self.found!r}, allowed: {allowed}")


def read_written(file: str, content: bytes, model: type[Model], error: type[WrittenFileError]) -> Model:
    """What is written in ``content``, a TOML file named ``file``, as a ``model``.

    Raises:
        WrittenFileError: as ``error``: the first fault found.
    """
    if len(content) > MAX_BYTES:
        raise error(file, "the file", f"{len(content)} bytes", f"at most {MAX_BYTES} bytes")
    try:
        raw = tomllib.loads(content.decode("utf-8-sig"), parse_float=Decimal)
    except (tomllib.TOMLDecodeError, UnicodeDecodeError, RecursionError, ValueError) as fault:
        raise error(file, "the file", str(fault), "a TOML file in UTF-8") from fault
    try:
        return model.model_validate(raw)
    except ValidationError as fault:
        raise _first_fault(file, fault, model, error) from None


def _first_fault(
    file: str, fault_list: ValidationError, model: type[BaseModel], error: type[WrittenFileError]
) -> WrittenFileError:
    """The first fault in one line; places count from 1, as people do."""
    fault = fault_list.errors(include_url=False)[0]
    parts = [str(part + 1) if isinstance(part, int) else part for part in fault["loc"]]
    key = ", ".join(_joined(parts)) or "the file"
    context: Mapping[str, Any] = fault.get("ctx", {})
    kind = fault["type"]
    found = "nothing" if kind == "missing" else repr(fault["input"])
    allowed = {
        "greater_than_equal": f"at least {context.get('ge')}",
        "greater_than": f"more than {context.get('gt')}",
        "less_than_equal": f"at most {context.get('le')}",
        "less_than": f"less than {context.get('lt')}",
        "missing": "this key, it must be there",
        "extra_forbidden": "no key of this name",
        "literal_error": str(context.get("expected", "")),
        "too_long": f"at most {context.get('max_length')}",
        "too_short": f"at least {context.get('min_length')}",
        "string_pattern_mismatch": "text without control characters",
        "decimal_parsing": "a number",
        "decimal_type": "a number",
        "float_parsing": "a number",
        "float_type": "a number",
        "int_parsing": "a whole number",
        "int_type": "a whole number",
        "int_from_float": "a whole number",
        "bool_parsing": "true or false",
        "bool_type": "true or false",
    }.get(kind, fault["msg"])
    if kind == "extra_forbidden" and len(fault["loc"]) == 1:
        allowed = "one of " + ", ".join(list(model.model_fields)[:_MOST_LISTED])
        if len(model.model_fields) > _MOST_LISTED:
            allowed += ", ..."
    elif kind in {"less_than_equal", "decimal_parsing"} and key.endswith(_SHARES):
        allowed += " (a share: 0.07 is 7 %)"
    if isinstance(fault["input"], Decimal | str):
        found = str(fault["input"])
    return error(file, key, found, allowed)


def _joined(parts: Sequence[str]) -> list[str]:
    """``season, 2, energy, 1, usd_per_kwh`` as ``season 2``, ``energy 1``, ``usd_per_kwh``."""
    out: list[str] = []
    for part in parts:
        if part.isdigit() and out and not out[-1][-1].isdigit():
            out[-1] += f" {part}"
        else:
            out.append(part)
    return out
