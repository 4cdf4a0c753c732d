"""Pictures of a quote as SVG text: energy before and after, money over the years, what each assumption could move.

Drawn by hand rather than by a plotting library: a few hundred characters each, the same bytes every time, no
import cost, and words that a screen reader finds.
"""

from bot.replies.heard import Language
from bot.replies.pictures.assumption_bars import AssumptionBar, assumption_bars
from bot.replies.pictures.cash_flow import CashPoint, cash_flow_chart
from bot.replies.pictures.energy_bars import energy_bars
from bot.replies.words import words_in
from engine.proposal import Quote

__all__ = [
    "AssumptionBar",
    "CashPoint",
    "assumption_bars",
    "cash_flow_chart",
    "energy_bars",
    "energy_picture",
]


def energy_picture(quote: Quote, language: Language) -> str:
    """The energy bars of a quote's totals; "" where nothing was computed."""
    before, after = quote.totals.get("kwh_before_per_year"), quote.totals.get("kwh_after_per_year")
    if before is None or after is None:
        return ""
    return energy_bars(float(before.value), float(after.value), words_in(language))
