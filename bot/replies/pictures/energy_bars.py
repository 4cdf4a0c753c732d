"""Energy a year now and with LED, as two bars from one origin: the present one hatched, the LED one solid."""

from typing import Final

from bot.replies import shown
from bot.replies.pictures import svg
from bot.replies.words import Words

_WIDTH, _HEIGHT = 360, 138
_LEFT, _LONGEST = 48, 200
"""Narrow enough for its words to be read on a phone."""


def _row(top: int, fill: str) -> str:
    """A bar as a form: its name, its length, where its amount stands, the amount."""
    return (
        svg.words(_LEFT - 8, top + 23, "%s", "end")
        + svg.box(_LEFT, top, svg.BLANK, 34, fill)
        + svg.words(svg.BLANK, top + 23, "%s")
    )


_FORM: Final = (
    svg.words(8, 22, "%s", size=15, bold=True)
    + _row(40, "{hatch}")
    + _row(86, svg.INK)
    + svg.rule(_LEFT, 34, _LEFT, 126)
)


def energy_bars(kwh_before: float, kwh_after: float, words: Words) -> str:
    """The bars [kWh/yr], with both amounts written at their ends."""
    most = max(kwh_before, kwh_after, 1e-9)
    title, before, after = words.say("picture_energy"), shown.whole(kwh_before), shown.whole(kwh_after)
    filled: list[str | float] = [svg.escaped(title)]
    for name, kwh, amount in (("picture_now", kwh_before, before), ("picture_led", kwh_after, after)):
        length = _LONGEST * max(kwh, 0.0) / most
        filled += (
            svg.escaped(words.say(name)),
            max(length, svg.THINNEST),
            _LEFT + length + 8,
            f"{amount} kWh",
        )
    description = words.say("picture_energy_desc", before=before, after=after)
    return svg.picture(_WIDTH, _HEIGHT, title, description, [_FORM % tuple(filled)])
