"""Pictures of a quote as SVG text: energy before and after, money over the years, what each assumption could move.

Drawn by hand rather than by a plotting library: a few hundred characters each, the same bytes every time, no
import cost, and words that a screen reader finds.
"""

from collections.abc import Callable, Iterator
from typing import Final

from bot.replies.figure_names import figure_name
from bot.replies.heard import Language
from bot.replies.pictures.assumption_bars import AssumptionBar, assumption_bars
from bot.replies.pictures.cash_flow import cash_flow_chart
from bot.replies.pictures.energy_bars import energy_bars
from bot.replies.shown import about_years
from bot.replies.words import words_in
from engine.proposal import Quote

__all__ = [
    "TITLES",
    "AssumptionBar",
    "assumption_bars",
    "cash_flow_chart",
    "cash_flow_picture",
    "energy_bars",
    "energy_picture",
    "pictures_of",
    "spread_picture",
]

LEAST_SHOWN_YEARS: Final = 0.02
LEAST_POINTS: Final = 2


def energy_picture(quote: Quote, language: Language) -> str:
    """The energy bars of a quote's totals; "" where nothing was computed."""
    before, after = quote.totals.get("kwh_before_per_year"), quote.totals.get("kwh_after_per_year")
    if before is None or after is None:
        return ""
    return energy_bars(float(before.value), float(after.value), words_in(language))


def cash_flow_picture(quote: Quote, language: Language) -> str:
    """Money spent and saved over the years, undiscounted and in today's prices, with its range; "" where there is none."""
    if len(quote.cash_band) < LEAST_POINTS:
        return ""
    words = words_in(language)
    payback = quote.totals.get("simple_payback_years")
    return cash_flow_chart(
        quote.cash_band[:], "" if payback is None else about_years(payback.value, words), words
    )


def spread_picture(quote: Quote, language: Language) -> str:
    """What each uncertain figure alone does to the payback; "" where none moves it."""
    payback = quote.totals.get("simple_payback_years")
    if payback is None:
        return ""
    words = words_in(language)
    bars = [
        AssumptionBar(figure_name(swing.leaf, words), swing.at_low, swing.at_high)
        for swing in quote.swings
        if swing.width >= LEAST_SHOWN_YEARS
    ]
    return assumption_bars(bars, float(payback.value), words) if bars else ""


PICTURES: Final[tuple[tuple[str, Callable[[Quote, Language], str]], ...]] = (
    ("energy", energy_picture),
    ("money", cash_flow_picture),
    ("assumptions", spread_picture),
)
"""Each picture by name, in the order in which they are shown."""

TITLES: Final = {
    "energy": "picture_energy",
    "money": "picture_cash",
    "assumptions": "picture_spread",
    "light_plan": "picture_light_plan",
    "light_section": "picture_light_section",
}
"""The phrase that names each picture."""


def pictures_of(quote: Quote, language: Language) -> Iterator[tuple[str, str]]:
    """(name, SVG) of each picture that the quote has something for."""
    for name, draw in PICTURES:
        if svg := draw(quote, language):
            yield name, svg
    yield from light_pictures(quote, language)


def light_pictures(quote: Quote, language: Language) -> Iterator[tuple[str, str]]:
    """(name, SVG) of the plan and the section of the first line whose light is known before and after, outdoors."""
    light = next(
        (
            line.light
            for line in quote.lines
            if line.light is not None and line.light.scene.arrangement != "grid"
        ),
        None,
    )
    if light is not None:
        # iso-lines and reaches are worked out for drawing only: a reply without pictures does not load them
        from bot.replies.pictures.light import pictures_of_light

        yield from pictures_of_light(light, words_in(language), bool(quote.request.job.metric))


def layout_pictures_of(quote: Quote, language: Language) -> Iterator[tuple[str, str]]:
    """(name, SVG) of the plan and the section of each layout that has something to draw."""
    from bot.replies.pictures.light import pictures_of_layout

    for number, layout in enumerate(quote.layouts):
        for name, drawn in pictures_of_layout(layout, words_in(language), bool(quote.request.job.metric)):
            yield (name if number == 0 else f"{name}_{number + 1}"), drawn
