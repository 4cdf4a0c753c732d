"""How far each assumption, taken alone, could move the payback: one bar each, the longest on top."""

import math
from collections.abc import Sequence
from functools import lru_cache

from bot.replies import shown
from bot.replies.pictures import svg
from bot.replies.words import Words
from engine.record import record

_WIDTH = 360
_LEFT, _RIGHT, _TOP, _ROW = 56, 304, 36, 46
"""Each name stands over its bar, so that the whole is narrow enough for a phone."""
MOST_BARS = 8


@record
class AssumptionBar:
    """The payback [years] with the assumption at one end of its range and at the other; ``inf`` where it never comes."""

    name: str
    low_years: float
    high_years: float


@lru_cache(maxsize=MOST_BARS)
def _row(place: int) -> str:
    """The bar in that place as a form: its name, its left end and length; for either end where its label stands, and that."""
    top = _TOP + _ROW * place
    return (
        svg.words(8, top + 14, "%s", size=13)
        + svg.box(svg.BLANK, top + 20, svg.BLANK, 18, "{hatch}")
        + svg.words(svg.BLANK, top + 34, "%s", "end", 12)
        + svg.words(svg.BLANK, top + 34, "%s", "start", 12)
    )


def assumption_bars(bars: Sequence[AssumptionBar], base_years: float, words: Words) -> str:
    """The bars around the payback that was quoted.

    Raises:
        ValueError: no bar.
    """
    if not bars:
        raise ValueError("nothing to draw: no assumption moves the payback")
    drawn = sorted(bars, key=lambda b: (-_width(b), b.name))[:MOST_BARS]
    ends = [y for b in drawn for y in (b.low_years, b.high_years) if math.isfinite(y)]
    least, most = min(base_years, *ends), max(base_years, *ends)
    span = (most - least) or 1.0

    def at(years: float) -> float:
        return _LEFT + (_RIGHT - _LEFT) * (min(years, most) - least) / span

    def label(years: float) -> str:
        return shown.plain(years, 1) if math.isfinite(years) else str(words.of("phrases", "never"))

    foot, middle, title = _TOP + _ROW * len(drawn), at(base_years), words.say("picture_spread")
    body = [
        svg.words(8, 22, title, size=15, bold=True),
        svg.rule(middle, _TOP, middle, foot, width=2.4, dash="5 3"),
    ]
    told = []
    for place, bar in enumerate(drawn):
        low, high = sorted((bar.low_years, bar.high_years))
        left, right, least_said, most_said = at(low), at(high), label(low), label(high)
        name = svg.escaped(shorter(bar.name))
        length = max(right - left, svg.THINNEST)
        body.append(_row(place) % (name, left, length, left - 5, least_said, right + 5, most_said))
        told.append(words.say("picture_spread_row", name=bar.name, low=least_said, high=most_said))
    base = words.say("picture_base", years=shown.years(base_years, words))
    body.append(svg.words(middle, foot + 18, base, "middle", 12))
    description = f"{base[:1].upper()}{base[1:]}. {' '.join(told)}"
    return svg.picture(_WIDTH, foot + 28, title, description, body)


def _width(bar: AssumptionBar) -> float:
    both_never = math.isinf(bar.low_years) and math.isinf(bar.high_years)
    return 0.0 if both_never else abs(bar.high_years - bar.low_years)


def shorter(name: str, limit: int = 50) -> str:
    """A label that fits beside its bar."""
    return name if len(name) <= limit else name[: limit - 3].rstrip() + "..."
