"""The call's words of ``wattclerk light``: points, heights and factors, checked as they are read."""

import argparse
import math
from collections.abc import Callable
from typing import Final

MOST_POINTS: Final = 10_000
FARTHEST_FT: Final = 1_000_000.0


def points_ft(text: str) -> tuple[tuple[float, float], ...]:
    """``"x,y;x,y"`` as points [ft].

    Raises:
        argparse.ArgumentTypeError: not pairs of numbers, none, or too many.
    """
    parts = text.split(";", MOST_POINTS + 1)
    if parts and not parts[-1].strip():
        parts.pop()
    if not parts:
        raise argparse.ArgumentTypeError('no point is named: write "x,y;x,y", for example "0,20;0,40"')
    if len(parts) > MOST_POINTS:
        raise argparse.ArgumentTypeError(f"at most {MOST_POINTS:,} points can be asked for at once")
    return tuple(_point(part) for part in parts)


def _point(part: str) -> tuple[float, float]:
    x, comma, y = part.partition(",")
    try:
        if not comma:
            raise ValueError
        point = _number(x), _number(y)
    except ValueError:
        shown = " ".join(part.split())[:30]
        raise argparse.ArgumentTypeError(
            f'{shown!r} is no point: write two numbers of feet, "x,y", and a semicolon between points'
        ) from None
    if max(map(abs, point)) > FARTHEST_FT:
        raise argparse.ArgumentTypeError(
            f"{' '.join(part.split())[:30]!r} is too far away: at most 1,000,000 ft"
        )
    return point


def number_between(what: str, least: float, most: float) -> Callable[[str], float]:
    """Reads a number from ``least`` to ``most``; ``what`` names it in the message."""

    def read(text: str) -> float:
        try:
            value = _number(text)
        except ValueError:
            raise argparse.ArgumentTypeError(f"{text[:30]!r} is not a number: {what}") from None
        if not least <= value <= most:
            raise argparse.ArgumentTypeError(f"{text[:30]} is out of range: {what}")
        return value

    return read


def _number(text: str) -> float:
    written = text.strip()
    if not written.isascii() or "_" in written:
        raise ValueError(written)
    value = float(written)
    if not math.isfinite(value):
        raise ValueError(written)
    return value
