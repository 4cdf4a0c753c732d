"""The one place that asks what time it is: everything else is handed the time, so that tests can set it."""

from collections.abc import Callable
from datetime import UTC, datetime

Clock = Callable[[], datetime]
"""Gives the present moment in UTC."""


def utc_now() -> datetime:
    """The present moment in UTC."""
    return datetime.now(UTC)


def stamp(moment: datetime) -> str:
    """``moment`` as it is stored and sent: ISO 8601, UTC, to the millisecond, ``2026-01-31T09:05:00.000Z``."""
    return moment.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
