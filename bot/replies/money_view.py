"""The money of a quote made ready to show: savings, cost, and how long until it is back, as text."""

from collections.abc import Callable, Mapping
from typing import Any, Final

from bot.replies import shown
from bot.replies.words import Words, listing
from engine.figure import Figure
from engine.proposal import Quote, Spread
from engine.record import record

COST_PARTS: Final = (
    ("product_cost", "cost_product"),
    ("labor_cost", "cost_labor"),
    ("lift_cost", "cost_lift"),
    ("disposal_cost", "cost_disposal"),
    ("freight_cost", "cost_freight"),
    ("sales_tax", "cost_tax"),
    ("contingency", "cost_contingency"),
)

PAID_ONCE: Final = ("lift_cost", "freight_cost", "sales_tax", "contingency")
"""Costs of the job that stand in no line, so that an option's own payback leaves them out."""

UPKEEP_THAT_WEIGHS: Final = 0.25
"""Share of the saving from which upkeep is set apart in the payback."""


@record
class MoneyView:
    """The totals. Empty text where the quote has no such figure or it is zero.

    Attributes:
        payback: replacing working luminaires: "2.1 years"; "" where it never pays back.
        knows_saving: False where nothing is known of the present luminaires.
        payback_range: "between 1.6 and 2.9 years"; "" where it is not in question.
        premium_extra, premium_payback, premium_range: buying new anyway; no extra where LED costs no more.
        at_once: the rebate covers the cost.
        ahead: the net present value in words: "$25,641 ahead", "$250 short".
        energy_payback, energy_payback_range: counting the energy alone; "" where upkeep is a small part of the saving.
    """

    saved: str
    energy: str
    demand: str
    maintenance: str
    extra_maintenance: str
    kwh_before: str
    kwh_after: str
    kwh_saved: str
    kwh_percent: str
    kw_saved: str
    project_cost: str
    cost_parts: tuple[str, ...]
    rebate: str
    net_cost: str
    payback: str
    payback_about: str
    payback_range: str
    payback_short: str
    payback_short_range: str
    at_once: bool
    energy_payback: str
    energy_payback_about: str
    energy_payback_range: str
    energy_payback_short: str
    premium_extra: str
    premium_payback: str
    premium_payback_about: str
    premium_range: str
    has_premium: bool
    npv: str
    ahead: str
    irr: str
    monthly_payment: str
    monthly_saving: str
    loan_months: str
    waiting: str
    life_years: str
    life_rate: str
    knows_saving: bool
    pays: bool


def money_view(quote: Quote, words: Words) -> MoneyView:
    """The totals of ``quote``, written."""
    t = quote.totals
    before, saved_kwh = t.get("kwh_before_per_year"), t.get("kwh_saved_per_year")
    percent = ""
    if before is not None and saved_kwh is not None and before.value > 0 and saved_kwh.value > 0:
        percent = shown.percent(100 * float(saved_kwh.value) / float(before.value))
    payback, premium_payback = t.get("simple_payback_years"), t.get("premium_payback_years")
    premium = t.get("premium_cost")
    spread = quote.spreads.get("simple_payback_years")
    saved = t.get("saved_per_year")
    upkeep = t.get("maintenance_saved_per_year")
    irr = t.get("irr")
    pays = saved is not None and saved.value > 0
    alone = t.get("energy_payback_years") if _upkeep_weighs(saved, upkeep) else None
    return MoneyView(
        saved=_money_of(t, "saved_per_year"),
        energy=_money_of(t, "energy_cost_saved_per_year"),
        demand=_money_of(t, "demand_cost_saved_per_year", only_positive=True),
        maintenance=_money_of(t, "maintenance_saved_per_year", only_positive=True),
        extra_maintenance=shown.money(-upkeep.value) if upkeep is not None and upkeep.value < 0 else "",
        kwh_before=whole_of(t, "kwh_before_per_year"),
        kwh_after=whole_of(t, "kwh_after_per_year"),
        kwh_saved=whole_of(t, "kwh_saved_per_year"),
        kwh_percent=percent,
        kw_saved=shown.kilowatts(t["kw_saved"].value) if "kw_saved" in t else "",
        project_cost=_money_of(t, "project_cost"),
        cost_parts=_cost_parts(t, words),
        rebate=_money_of(t, "rebate", only_positive=True),
        net_cost=_money_of(t, "net_cost"),
        payback=shown.years(payback.value, words) if payback is not None else "",
        payback_about=shown.about_years(payback.value, words) if payback is not None else "",
        payback_range=_spread(spread, words),
        payback_short=shown.short_years(payback.value, words) if payback is not None else "",
        payback_short_range=_short_spread(spread, words),
        at_once=pays and payback is not None and payback.value <= 0,
        energy_payback=shown.years(alone.value, words) if alone is not None else "",
        energy_payback_about=shown.about_years(alone.value, words) if alone is not None else "",
        energy_payback_range=_spread(quote.spreads.get("energy_payback_years"), words)
        if alone is not None
        else "",
        energy_payback_short=shown.short_years(alone.value, words) if alone is not None else "",
        premium_extra=_money_of(t, "premium_cost", only_positive=True),
        premium_payback=shown.years(premium_payback.value, words) if premium_payback is not None else "",
        premium_payback_about=shown.about_years(premium_payback.value, words)
        if premium_payback is not None
        else "",
        premium_range=_spread(quote.spreads.get("premium_payback_years"), words),
        has_premium=premium is not None,
        npv=_money_of(t, "npv"),
        ahead=_ahead(t.get("npv"), words),
        irr=shown.percent(100 * float(irr.value)) if irr is not None else "",
        monthly_payment=_money_of(t, "monthly_payment"),
        monthly_saving=_money_of(t, "monthly_saving"),
        loan_months=_input_of(t.get("monthly_payment"), "loan_months", lambda v: shown.whole(v)),
        waiting=_money_of(t, "cost_of_waiting", only_positive=True),
        life_years=_input_of(t.get("npv"), "analysis_years", lambda v: shown.plain(v, 1)),
        life_rate=_input_of(
            t.get("npv"), "real_discount_rate", lambda v: f"{shown.plain(100 * float(v), 1)}%"
        ),
        knows_saving=saved is not None,
        pays=pays,
    )


def _ahead(npv: Figure | None, words: Words) -> str:
    if npv is None:
        return ""
    return words.say("ahead" if npv.value >= 0 else "short", value=shown.dollars(abs(npv.value)))


def _upkeep_weighs(saved: Figure | None, upkeep: Figure | None) -> bool:
    """True where lamps, ballasts and labor are so much of the saving that the payback on energy alone should be said too."""
    if saved is None or upkeep is None or saved.value <= 0:
        return False
    return float(upkeep.value) > UPKEEP_THAT_WEIGHS * float(saved.value)


def paid_once(totals: Mapping[str, Figure], words: Words) -> str:
    """What the payback of a line or an option leaves out, since it is paid once for the job: "lift and freight"; "" for nothing."""
    names = [name for name in PAID_ONCE if name in totals and totals[name].value > 0]
    return listing([str(words.of("phrases", f"apart_{name}")) for name in names], words)


def _cost_parts(figures: Mapping[str, Figure], words: Words) -> tuple[str, ...]:
    """What the project cost is made of; empty where it is one thing only."""
    parts = [
        words.say(phrase, value=_money_of(figures, name))
        for name, phrase in COST_PARTS
        if name in figures and figures[name].value > 0
    ]
    return tuple(parts) if len(parts) > 1 else ()


def _input_of(figure: Figure | None, name: str, write: Callable[[Any], str]) -> str:
    """One of the figures that ``figure`` was computed from, written; "" where it has none of that name."""
    for each in figure.inputs if figure is not None else ():
        if each.name == name:
            return write(each.value)
    return ""


def _spread(spread: Spread | None, words: Words) -> str:
    if spread is None or spread.low == spread.high:
        return ""
    return shown.years_between(max(spread.low, 0.0), spread.high, words)


def _short_spread(spread: Spread | None, words: Words) -> str:
    """For text messages: "1.6-2.9"."""
    if spread is None or spread.low == spread.high:
        return ""
    low, high = (shown.short_years(max(v, 0.0), words) for v in (spread.low, spread.high))
    if low == high:
        return ""
    unit = " " + low.rpartition(" ")[2]
    return f"{low.removesuffix(unit) if high.endswith(unit) else low}-{high.removesuffix(unit) if low.endswith(unit) else high}"


def _money_of(figures: Mapping[str, Figure], name: str, only_positive: bool = False) -> str:
    figure = figures.get(name)
    if figure is None or (only_positive and figure.value <= 0):
        return ""
    return shown.dollars(figure.value)


def whole_of(figures: Mapping[str, Any], name: str) -> str:
    figure = figures.get(name)
    return shown.whole(figure.value) if figure is not None else ""
