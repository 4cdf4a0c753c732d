"""Money over the years: what is spent and what has come back so far, with the band it most likely stays in."""

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

from bot.replies import shown
from bot.replies.pictures import svg
from bot.replies.words import Words
from engine.proposal import Spread

_WIDTH, _HEIGHT = 360, 306
_LEFT, _RIGHT, _TOP, _BOTTOM = 68, 348, 56, 244
_LINE_HEIGHT = 14
_STEPS: Final = 5
"""About so many years are named."""

_FORM: Final = (
    svg.words(8, 22, "%s", size=15, bold=True)
    + svg.words(8, 42, "%s", size=13)
    + f'<path d="%sZ" fill="{{hatch}}" fill-opacity="0.35" stroke="{svg.FAINT}" stroke-width="1"/>'
    + svg.rule(_LEFT, svg.BLANK, _RIGHT, svg.BLANK, width=1.6)
    + f'<path d="%s" fill="none" stroke="{svg.INK}" stroke-width="3"/>'
    + svg.rule(_LEFT, _TOP, _LEFT, _BOTTOM)
)
"""Title, outcome, the band's outline, where nothing has been won or lost (twice), the curve."""


@lru_cache(maxsize=64)
def _strokes(years: int) -> tuple[str, str]:
    """The forms of the curve through years 0 to ``years``, and of the outline of its band: there above it, back below."""
    across = [_LEFT + (_RIGHT - _LEFT) * year / years for year in range(years + 1)]
    return svg.path_form(across), svg.path_form(across + across[::-1])


@lru_cache(maxsize=64)
def _axis(years: int) -> str:
    """The years below the curve."""
    return "".join(
        [
            svg.words(_LEFT + (_RIGHT - _LEFT) * year / years, _BOTTOM + 18, str(year), "middle", 12)
            for year in range(0, years + 1, max(1, years // _STEPS))
        ]
    )


def cash_flow_chart(band: Sequence[Spread], payback: str, words: Words) -> str:
    """The curve with its band.

    Args:
        band: what has come back after 0, 1, 2, ... years, less what was spent [USD].
        payback: in words ("about 2.1 years"); "" where it never pays back.
        words: the language.

    Raises:
        ValueError: fewer than two points.
    """
    if len(band) < 2:
        raise ValueError("a curve needs at least two years")
    base = [at.base for at in band]
    low = [at.low for at in band]
    high = [at.high for at in band]
    lowest, highest = min(0.0, *low, *base), max(0.0, *high, *base)
    height = (highest - lowest) or 1.0
    years = len(band) - 1

    def up(amounts: Sequence[float]) -> list[float]:
        return [_BOTTOM - (_BOTTOM - _TOP) * (amount - lowest) / height for amount in amounts]

    curve, outline = _strokes(years)
    title = words.say("picture_cash")
    outcome = words.say("picture_pays", payback=payback) if payback else words.say("picture_never_pays")
    named = sorted({lowest, 0.0, highest})
    places = up(named)
    zero = places[named.index(0.0)]
    outlined = svg.path_filled(outline, up(high) + up(low)[::-1])
    body = [
        _FORM
        % (
            svg.escaped(title),
            svg.escaped(outcome),
            outlined,
            zero,
            zero,
            svg.path_filled(curve, up(base)),
        ),
        *[
            svg.words(_LEFT - 6, place + 5, shown.dollars(amount), "end", 12)
            for amount, place in zip(named, places, strict=True)
            if amount == 0 or abs(place - zero) >= _LINE_HEIGHT  # never one over the other
        ],
        _axis(years),
        svg.words((_LEFT + _RIGHT) / 2, _BOTTOM + 36, words.say("picture_years"), "middle", 12),
        svg.words(8, _HEIGHT - 8, words.say("picture_cash_key"), size=12),
    ]
    end = band[-1]
    description = words.say(
        "picture_cash_desc",
        outcome=outcome,
        years=str(years),
        base=shown.dollars(end.base),
        low=shown.dollars(end.low),
        high=shown.dollars(end.high),
    )
    return svg.picture(_WIDTH, _HEIGHT, title, description, body)
