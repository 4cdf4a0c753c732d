"""JSON values as bytes."""

import json
from typing import Any

from pydantic_core import to_json


def json_bytes(value: Any) -> bytes:
    """A JSON value as bytes, always the same for the same value.

    Raises:
        ValueError: a number in it is none, or something in it is no JSON.
    """
    body = to_json(value, inf_nan_mode="constants")
    if b"NaN" in body or b"Infinity" in body:
        # Somebody wrote the word, or a number is none: the strict writer tells the two apart.
        json.dumps(value, allow_nan=False)
    return body
