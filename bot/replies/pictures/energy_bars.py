"""Energy a year now and with LED, as two bars from one origin: the present one hatched, the LED one solid."""

from bot.replies import shown
from bot.replies.pictures import svg
from bot.replies.words import Words

_WIDTH, _HEIGHT = 360, 138
_LEFT, _LONGEST = 48, 200
"""Narrow enough for its words to be read on a phone."""


def energy_bars(kwh_before: float, kwh_after: float, words: Words) -> str:
    """The bars [kWh/yr], with both amounts written at their ends."""
    most = max(kwh_before, kwh_after, 1e-9)
    now, led = words.say("picture_now"), words.say("picture_led")
    rows = ((now, kwh_before, "{hatch}", 40), (led, kwh_after, svg.INK, 86))
    body = [svg.words(8, 22, words.say("picture_energy"), size=15, bold=True)]
    for name, kwh, fill, top in rows:
        length = _LONGEST * max(kwh, 0.0) / most
        body.append(svg.words(_LEFT - 8, top + 23, name, "end"))
        body.append(svg.box(_LEFT, top, length, 34, fill))
        body.append(svg.words(_LEFT + length + 8, top + 23, f"{shown.whole(kwh)} kWh"))
    body.append(svg.rule(_LEFT, 34, _LEFT, 126))
    description = words.say(
        "picture_energy_desc", before=shown.whole(kwh_before), after=shown.whole(kwh_after)
    )
    return svg.picture(_WIDTH, _HEIGHT, words.say("picture_energy"), description, body)
