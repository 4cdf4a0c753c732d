"""The figures of one line with one product on it: power, energy, money, payback, each with its trace."""

from collections.abc import Mapping
from typing import Final

from engine.catalog.product import Product
from engine.figure import Figure, catalogued, defined, derive
from engine.proposal import Existing
from engine.record import record


@record
class LineInputs:
    """What a line's figures are computed from, whichever product is on it.

    Attributes:
        price_now: what is paid for a new luminaire of the present kind today [USD]; ``None`` where it was not said.
        control_savings: share of the new luminaires' energy that controls asked for save [1]; ``None`` without controls.
        demand_usd_per_kw_year: what a kW less saves in demand charges [USD/kW/yr]; ``None`` where none is known.
        useful_lumens, led_depreciation, led_dirt_depreciation: see `engine.existing.Completed`.
    """

    prefix: str
    qty: Figure
    price_now: float | None
    hours_per_year: Figure
    rate_per_kwh: Figure
    existing: Existing | None
    useful_lumens: Figure | None
    led_depreciation: Figure
    led_dirt_depreciation: Figure
    control_savings: Figure | None = None
    demand_usd_per_kw_year: Figure | None = None


def energy_figures(line: LineInputs, watts_after: Figure) -> dict[str, Figure]:
    """Power and energy before and after, and what the difference is worth; ``watts_after`` is of one luminaire [W].

    Figures of the present luminaire are absent where it is not known.
    """
    out: dict[str, Figure] = {"qty": line.qty, "hours_per_year": line.hours_per_year}
    kw_after = derive("kw_after", "kW", "input_watts_after * qty / 1000", watts_after, line.qty)
    if line.control_savings is None:
        kwh_after = derive(
            "kwh_after_per_year", "kWh/yr", "kw_after * hours_per_year", kw_after, line.hours_per_year
        )
    else:
        kwh_after = derive(
            "kwh_after_per_year",
            "kWh/yr",
            "kw_after * hours_per_year * (1 - control_savings)",
            kw_after,
            line.hours_per_year,
            line.control_savings,
        )
    out |= {"input_watts_after": watts_after, "kw_after": kw_after, "kwh_after_per_year": kwh_after}
    before = line.existing.input_watts if line.existing is not None else None
    if before is None:
        return out
    kw_before = derive("kw_before", "kW", "input_watts_before * qty / 1000", before, line.qty)
    kwh_before = derive(
        "kwh_before_per_year", "kWh/yr", "kw_before * hours_per_year", kw_before, line.hours_per_year
    )
    kw_saved = derive("kw_saved", "kW", "kw_before - kw_after", kw_before, kw_after)
    kwh_saved = derive(
        "kwh_saved_per_year", "kWh/yr", "kwh_before_per_year - kwh_after_per_year", kwh_before, kwh_after
    )
    energy = derive(
        "energy_cost_saved_per_year",
        "USD/yr",
        "kwh_saved_per_year * rate_per_kwh",
        kwh_saved,
        line.rate_per_kwh,
    )
    out |= {
        "input_watts_before": before,
        "kw_before": kw_before,
        "kwh_before_per_year": kwh_before,
        "kw_saved": kw_saved,
        "kwh_saved_per_year": kwh_saved,
        "rate_per_kwh": line.rate_per_kwh,
        "energy_cost_saved_per_year": energy,
    }
    if line.demand_usd_per_kw_year is not None:
        out["demand_cost_saved_per_year"] = derive(
            "demand_cost_saved_per_year",
            "USD/yr",
            "kw_saved * demand_usd_per_kw_year",
            kw_saved,
            line.demand_usd_per_kw_year,
        )
    return out


def light_figures(line: LineInputs, product: Product, pieces_each: int) -> dict[str, Figure]:
    """Maintained light after, and its ratio to the useful light that is there now."""
    lumens = catalogued("lumens", product.lumens, "lm", product.part_number)
    count = defined("pieces_each", pieces_each, "1", "pieces a luminaire")
    after = derive(
        "delivered_lumens_after",
        "lm",
        "lumens * pieces_each * led_depreciation * led_dirt_depreciation",
        lumens,
        count,
        line.led_depreciation,
        line.led_dirt_depreciation,
    )
    out = {"delivered_lumens_after": after}
    if (
        line.existing is not None
        and line.existing.delivered_lumens is not None
        and line.useful_lumens is not None
    ):
        out["delivered_lumens_before"] = line.existing.delivered_lumens
        out["light_ratio"] = derive(
            "light_ratio", "1", "delivered_lumens_after / useful_lumens", after, line.useful_lumens
        )
    return out


PAYBACKS: Final = (
    ("simple_payback_years", "net_cost", "saved_per_year"),
    ("premium_payback_years", "premium_cost", "saved_per_year"),
    ("energy_payback_years", "net_cost", "energy_cost_saved_per_year"),
)
"""Name, what is paid, what comes back: full cost, the premium over like for like, and full cost on energy alone."""


def payback_figures(figures: Mapping[str, Figure]) -> dict[str, Figure]:
    """Simple paybacks [yr], where money is spent and something comes back."""
    out: dict[str, Figure] = {}
    for name, cost_name, saved_name in PAYBACKS:
        cost, saved = figures.get(cost_name), figures.get(saved_name)
        if cost is not None and saved is not None and saved.value > 0:
            out[name] = derive(
                name, "yr", f"greatest({cost_name}, 0) / greatest({saved_name}, 0)", cost, saved
            )
    return out
