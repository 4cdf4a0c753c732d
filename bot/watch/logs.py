"""Logs: one JSON object a line, with nothing in it that a person wrote or could be found by.

Our own lines are fixed texts with numbers and known words beside them. Of other packages' lines only the fixed part is
kept (their values may be a stranger's bytes), and of an exception its kind and place, not its message.
"""

import logging
import sys
import traceback
from collections.abc import Mapping
from datetime import UTC, datetime
from types import TracebackType
from typing import Any, Final

from pythonjsonlogger.json import JsonFormatter

from bot.watch.request_ids import current

OURS: Final = "wattclerk"
FIELDS: Final = frozenset({"method", "route", "status", "ms", "sender", "channel", "outcome", "bytes"})
"""What our lines may carry beside their text; anything else is dropped."""
_MOST_FRAMES: Final = 30
_Raised = tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None]


def set_up_logs(level: str, form: str) -> None:
    """Sends every logger of this process to standard error, from ``level`` on, as ``json`` or ``plain`` lines."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(Plain() if form == "plain" else Json())
    root = logging.getLogger()
    root.handlers[:] = [handler]
    root.setLevel(level.upper())
    # It would log addresses and ids; `bot.watch.observed` says what may be said.
    logging.getLogger("aiohttp.access").disabled = True


def said(record: logging.LogRecord) -> str:
    """The line's text: whole where it is ours, else its fixed part."""
    if record.name.partition(".")[0] == OURS:
        return record.getMessage()
    return record.msg if isinstance(record.msg, str) else type(record.msg).__name__


def shown(raised: _Raised) -> list[str]:
    """An exception without its message: kinds and places, the innermost last."""
    lines: list[str] = []
    kind, error, _ = raised
    while error is not None and kind is not None and len(lines) < _MOST_FRAMES:
        frames = traceback.extract_tb(error.__traceback__)[-8:]
        places = [f"{frame.name} ({frame.filename.rpartition('/')[2]}:{frame.lineno})" for frame in frames]
        lines.append(f"{kind.__module__}.{kind.__qualname__} in " + " > ".join(places))
        error = error.__cause__ or (None if error.__suppress_context__ else error.__context__)
        kind = type(error) if error is not None else None
    return lines


def fields_of(record: logging.LogRecord) -> Mapping[str, Any]:
    """What the line carries beside its text."""
    fields: dict[str, Any] = {name: record.__dict__[name] for name in FIELDS if name in record.__dict__}
    if request_id := current.get():
        fields["request_id"] = request_id
    if record.exc_info:
        fields["exception"] = shown(record.exc_info)
    return fields


def moment(record: logging.LogRecord) -> str:
    """When, in UTC."""
    at = datetime.fromtimestamp(record.created, UTC)
    return at.isoformat(timespec="milliseconds").replace("+00:00", "Z")


class Json(JsonFormatter):
    """One JSON object a line."""

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        line = {
            "at": moment(record),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": said(record),
        }
        return str(self.jsonify_log_record(line | dict(fields_of(record))))


class Plain(logging.Formatter):
    """The same for a person at a terminal."""

    def format(self, record: logging.LogRecord) -> str:
        """The line."""
        fields = " ".join(f"{name}={value}" for name, value in fields_of(record).items())
        return f"{moment(record)} {record.levelname} {record.name}: {said(record)} {fields}".rstrip().replace(
            "\n", " "
        )
