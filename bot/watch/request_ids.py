"""The id of the request that is being worked on: taken from the caller where it can be one, else made; never a secret."""

import re
import secrets
from contextvars import ContextVar
from typing import Final

from aiohttp import web

HEADER: Final = "X-Request-ID"
REQUEST_ID: Final = web.RequestKey("request_id", str)
_USABLE: Final = re.compile(r"[A-Za-z0-9._-]{8,64}")

current: Final[ContextVar[str]] = ContextVar("request_id", default="")
"""Of the request in whose context the code runs; "" outside of requests."""


def request_id_of(given: str | None) -> str:
    """``given`` if it can be one (nothing that breaks a line of a log), else a new one."""
    if given is not None and _USABLE.fullmatch(given) is not None:
        return given
    return secrets.token_hex(16)
