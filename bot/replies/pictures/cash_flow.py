"""Money over the years: what is spent and what has come back so far, with the band it most likely stays in."""

from collections.abc import Sequence

from bot.replies import shown
from bot.replies.pictures import svg
from bot.replies.words import Words
from engine.record import record

_WIDTH, _HEIGHT = 360, 306
_LEFT, _RIGHT, _TOP, _BOTTOM = 68, 348, 56, 244
_LINE_HEIGHT = 14


@record
class CashPoint:
    """What has come back after ``year`` years, less what was spent [USD]: most likely, and the ends of its band."""

    year: int
    base: float
    low: float
    high: float


def cash_flow_chart(points: Sequence[CashPoint], payback: str, words: Words) -> str:
    """The curve with its band; ``payback`` in words ("about 2.1 years"; "" where it never pays back).

    Raises:
        ValueError: fewer than two points.
    """
    if len(points) < 2:
        raise ValueError("a curve needs at least two years")
    lowest = min(min(p.low, p.base) for p in points)
    highest = max(max(p.high, p.base) for p in points)
    lowest, highest = min(lowest, 0.0), max(highest, 0.0)
    height = (highest - lowest) or 1.0
    first, last = points[0].year, points[-1].year

    def across(year: int) -> float:
        return _LEFT + (_RIGHT - _LEFT) * (year - first) / (last - first)

    def up(amount: float) -> float:
        return _BOTTOM - (_BOTTOM - _TOP) * (amount - lowest) / height

    places = [across(p.year) for p in points]
    upper = [(x, up(p.high)) for x, p in zip(places, points, strict=True)]
    lower = [(x, up(p.low)) for x, p in zip(places, points, strict=True)]
    base = [(x, up(p.base)) for x, p in zip(places, points, strict=True)]
    zero = up(0.0)
    outcome = words.say("picture_pays", payback=payback) if payback else words.say("picture_never_pays")
    body = [
        svg.words(8, 22, words.say("picture_cash"), size=15, bold=True),
        svg.words(8, 42, outcome, size=13),
        f'<path d="{svg.path_through(upper + lower[::-1])}Z" fill="{{hatch}}" fill-opacity="0.35" stroke="{svg.FAINT}" '
        'stroke-width="1"/>',
        svg.rule(_LEFT, zero, _RIGHT, zero, width=1.6),
        f'<path d="{svg.path_through(base)}" fill="none" stroke="{svg.INK}" stroke-width="3"/>',
        svg.rule(_LEFT, _TOP, _LEFT, _BOTTOM),
    ]
    body += [
        svg.words(_LEFT - 6, up(amount) + 5, shown.dollars(amount), "end", 12)
        for amount in sorted({lowest, 0.0, highest})
        if amount == 0 or abs(up(amount) - zero) >= _LINE_HEIGHT  # never one over the other
    ]
    step = max(1, (last - first) // 5)
    body += [
        svg.words(across(year), _BOTTOM + 18, str(year), "middle", 12)
        for year in range(first, last + 1, step)
    ]
    body.append(svg.words((_LEFT + _RIGHT) / 2, _BOTTOM + 36, words.say("picture_years"), "middle", 12))
    body.append(svg.words(8, _HEIGHT - 8, words.say("picture_cash_key"), size=12))
    end = points[-1]
    description = words.say(
        "picture_cash_desc",
        outcome=outcome,
        years=str(last),
        base=shown.dollars(end.base),
        low=shown.dollars(end.low),
        high=shown.dollars(end.high),
    )
    return svg.picture(_WIDTH, _HEIGHT, words.say("picture_cash"), description, body)
