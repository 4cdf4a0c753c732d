"""The money of one line and of the job: product, labor, rebate, upkeep, like for like, and the whole-life figures."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from engine.catalog.catalogue import Catalogue
from engine.existing import Completed
from engine.figure import Figure, assumed, catalogued, defined, derive, looked_up, stated
from engine.job import JobFacts, default_figure
from engine.line_figures import LineInputs
from engine.quantities import decimal
from engine.request import Request, Schedule, StatedLine
from engine.selection.choose import Pick
from engine.tables.facts import control_savings
from engine.tables.lamps import lamp, maintenance
from engine.tables.miss import NoSuchRow
from engine.tables.tables import Tables


@dataclass(frozen=True, slots=True)
class MoneyFacts:
    """The job's shared money figures."""

    tables: Tables
    labor_usd_per_hour: Figure
    labor_stated: Figure | None
    rebate_stated: Figure | None

    def control_savings(self, said: StatedLine, environment: str) -> Figure | None:
        """What motion or dimming asked for on the line saves."""
        controls: tuple[Literal["motion", "dimming"], ...] = ("motion", "dimming")
        for control in controls:
            if control in (said.controls or ()):
                row = control_savings(self.tables, control, environment)
                if not isinstance(row, NoSuchRow):
                    return looked_up(
                        "control_savings", row.savings, "1", row.provenance,
                        f"usual_control_savings.csv: {control} {environment}", row.savings_low, row.savings_high,
                    )  # fmt: skip
        return None

    def demand_coincidence(self, environment: str, schedule: Schedule | None) -> Figure:
        """Share of the load that stands at the billed peak: exterior night lighting rarely meets a daytime peak."""
        if environment == "exterior" and schedule != "always_on":
            return defined("demand_coincidence", 0, "1", "lit at night; the billed peak is by day")
        return assumed("demand_coincidence", 0.9, "1", 0.6, 1.0, "common practice, no source")


def money_facts(request: Request, facts: JobFacts, tables: Tables) -> MoneyFacts:
    """The shared money figures of ``request``."""
    job = request.job
    return MoneyFacts(
        tables=tables,
        labor_usd_per_hour=default_figure(
            tables, "labor_usd_per_hour", "labor_usd_per_hour", "USD/h", "job.labor_per_luminaire"
        ),
        labor_stated=(
            None
            if job.labor_per_luminaire is None
            else stated("labor_each", decimal(job.labor_per_luminaire), "USD", "job.labor_per_luminaire")
        ),
        rebate_stated=(
            None
            if job.rebate_per_luminaire is None
            else stated("rebate_each", decimal(job.rebate_per_luminaire), "USD", "job.rebate_per_luminaire")
        ),
    )


def money_figures(
    inputs: LineInputs,
    done: Completed,
    figures: Mapping[str, Figure],
    pick: Pick,
    money: MoneyFacts,
    catalogue: Catalogue,
) -> dict[str, Figure]:
    """Cost, rebate, upkeep and yearly saving of one line with one product on it."""
    product, qty = pick.product, inputs.qty
    unit_price = catalogued("unit_price", product.net_price, "USD", product.part_number)
    pieces = defined("pieces_each", pick.pieces_each, "1", "pieces a luminaire")
    out = {"unit_price": unit_price}
    out["product_cost"] = derive(
        "product_cost", "USD", "unit_price * pieces_each * qty", unit_price, pieces, qty
    )
    if money.labor_stated is not None:
        out["labor_cost"] = derive("labor_cost", "USD", "labor_each * qty", money.labor_stated, qty)
    else:
        f = done.facts
        minutes = assumed("labor_minutes", f.labor_minutes, "min", f.labor_minutes_low, f.labor_minutes_high,
                          f"{f.provenance}", f"families.csv: {f.family}")  # fmt: skip
        out["labor_cost"] = derive(
            "labor_cost", "USD", "labor_usd_per_hour * labor_minutes / 60 * qty",
            money.labor_usd_per_hour, minutes, qty,
        )  # fmt: skip
    out["project_cost"] = derive(
        "project_cost", "USD", "product_cost + labor_cost", out["product_cost"], out["labor_cost"]
    )
    if money.rebate_stated is not None and product.rebate_listed:
        out["rebate"] = derive("rebate", "USD", "least(rebate_each * qty, product_cost)", money.rebate_stated, qty,
                               out["product_cost"])  # fmt: skip
    else:
        out["rebate"] = derive(
            "rebate", "USD", "rebate_each * qty", defined("rebate_each", 0, "USD", "no rebate counted"), qty
        )
    out["net_cost"] = derive("net_cost", "USD", "project_cost - rebate", out["project_cost"], out["rebate"])
    existing = done.existing
    if (
        existing is None
        or existing.source is None
        or existing.lamp_watts is None
        or "energy_cost_saved_per_year" not in figures
    ):
        return out
    upkeep = _upkeep(inputs, done, money)
    if upkeep is not None:
        out["maintenance_before_per_year"] = upkeep
        out["maintenance_saved_per_year"] = derive(
            "maintenance_saved_per_year", "USD/yr", "maintenance_before_per_year * 1", upkeep
        )
    parts = [
        f
        for f in (
            figures["energy_cost_saved_per_year"],
            figures.get("demand_cost_saved_per_year"),
            out.get("maintenance_saved_per_year"),
        )
        if f is not None
    ]
    out["saved_per_year"] = derive("saved_per_year", "USD/yr", " + ".join(f.name for f in parts), *parts)
    legacy = catalogue.like_for_like_of(
        existing.family, existing.source, existing.lamp_watts, existing.lamps, existing.lamp_feet
    )
    if legacy is not None:
        each = looked_up("like_for_like_price", legacy.net_price, "USD", legacy.basis, f"like_for_like.csv: {legacy.key}",
                         legacy.net_price_low, legacy.net_price_high)  # fmt: skip
        out["like_for_like_cost"] = derive(
            "like_for_like_cost", "USD", "like_for_like_price * qty", each, qty
        )
        out["premium_cost"] = derive("premium_cost", "USD", "product_cost - rebate - like_for_like_cost",
                                     out["product_cost"], out["rebate"], out["like_for_like_cost"])  # fmt: skip
    return out


def _upkeep(inputs: LineInputs, done: Completed, money: MoneyFacts) -> Figure | None:
    e = done.existing
    if e is None or e.source is None or e.lamp_watts is None:
        return None
    row = maintenance(money.tables, e.source, e.lamp_watts, e.lamp_feet)
    life = lamp(money.tables, e.source, e.lamp_watts, e.lamp_feet)
    if isinstance(row, NoSuchRow) or isinstance(life, NoSuchRow):
        return None
    ref = f"maintenance_costs.csv: {row.group}"
    return derive(
        "maintenance_before_per_year",
        "USD/yr",
        "qty * lamps * hours_per_year / rated_life_hours * (lamp_price + labor_usd_per_hour * relamp_minutes / 60)",
        inputs.qty,
        defined("lamps", e.lamps, "1", "lamps a luminaire"),
        inputs.hours_per_year,
        looked_up("rated_life_hours", life.rated_life_hours, "h", life.provenance, life.reference),
        looked_up(
            "lamp_price", row.lamp_usd, "USD", row.provenance, ref, row.lamp_usd_low, row.lamp_usd_high
        ),
        money.labor_usd_per_hour,
        looked_up(
            "relamp_minutes",
            row.spot_minutes,
            "min",
            row.provenance,
            ref,
            row.spot_minutes_low,
            row.spot_minutes_high,
        ),
    )


def money_totals(totals: Mapping[str, Figure], facts: JobFacts, money: MoneyFacts) -> dict[str, Figure]:
    """Whole-life figures of the job."""
    if "saved_per_year" not in totals or "net_cost" not in totals:
        return {}
    years = default_figure(money.tables, "analysis_years", "analysis_years", "yr")
    rate = default_figure(money.tables, "real_discount_rate", "real_discount_rate", "1/yr")
    npv = derive("npv", "USD", "saved_per_year * upv(real_discount_rate, analysis_years) - net_cost",
                 totals["saved_per_year"], rate, years, totals["net_cost"])  # fmt: skip
    return {"npv": npv}
