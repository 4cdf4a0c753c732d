"""The money of one line: goods, labor, disposal, rebate, upkeep before and after, the saving, and the price of like for like."""

from collections.abc import Mapping

from engine.catalog.product import Product
from engine.existing import Completed
from engine.figure import Figure, derive, looked_up, stated
from engine.job import default_figure
from engine.line_figures import LineInputs
from engine.money.life_cycle import Economics, usual_economics
from engine.money.maintenance import (
    UpkeepOfJob,
    UpkeepRates,
    upkeep_after,
    upkeep_before,
    upkeep_saved,
)
from engine.money.project_cost import CostTerms, LineCost, disposal_cost, line_labor_minutes, premium_cost
from engine.money.rebate import NO_REBATE, Rebate, RebateLine, RebateProgram, line_rebate
from engine.product_figures import ProductFigures
from engine.quantities import decimal
from engine.record import record
from engine.request import Request
from engine.tables.miss import NoSuchRow
from engine.tables.provenance import part
from engine.tables.rows import FamilyRow
from engine.tables.tables import Tables
from engine.terms import Terms
from engine.vocabulary import Family


@record
class MoneyFacts:
    """The job's shared money figures.

    Attributes:
        upkeep: what present lamps cost to keep. ``rates``: labor, lift, recycling.
        labor_each: stated labor a luminaire [USD]; ``None`` where it is worked out from minutes.
        program: the rebate program; ``None`` where none was named.
        economics: terms of the whole-life reckoning.
        costs: what comes on top for the job.
    """

    tables: Tables
    terms: Terms
    rates: UpkeepRates
    upkeep: UpkeepOfJob
    labor_each: Figure | None
    program: RebateProgram | None
    economics: Economics
    costs: CostTerms
    led_maintenance_share: Figure
    _minutes: dict[Family, Figure]

    def labor_minutes(self, facts: FamilyRow) -> Figure:
        """Minutes to change one luminaire of the family, the same figure for all its lines."""
        figure = self._minutes.get(facts.family)
        if figure is None:
            figure = self._minutes[facts.family] = looked_up(
                "labor_minutes",
                facts.labor_minutes,
                "min",
                part(facts.provenance, "labor"),
                f"families.csv: {facts.family}",
                facts.labor_minutes_low,
                facts.labor_minutes_high,
            )
        return figure


@record
class LineMoney:
    """Figures of one line, what the job's costs need of it, and what the rebate program said."""

    figures: Mapping[str, Figure]
    cost: LineCost
    rebate: Rebate


def money_facts(request: Request, tables: Tables, terms: Terms) -> MoneyFacts:
    """The shared money figures of ``request`` on ``terms``."""
    rates = UpkeepRates(
        labor_usd_per_hour=default_figure(
            tables, "labor_usd_per_hour", "labor_usd_per_hour", "USD/h", "job.labor_per_luminaire"
        ),
        lift_usd_per_day=default_figure(tables, "lift_usd_per_day", "lift_usd_per_day", "USD/day"),
        recycling_usd_per_lamp=default_figure(
            tables, "recycling_usd_per_lamp", "recycling_usd_per_lamp", "USD"
        ),
        lift_from_height_ft=default_figure(tables, "lift_from_height_ft", "lift_from_height_ft", "ft"),
    )
    job = request.job
    labor_each = None
    if job.labor_per_luminaire is not None:
        labor_each = stated("labor_each", decimal(job.labor_per_luminaire), "USD", "job.labor_per_luminaire")
    return MoneyFacts(
        tables=tables,
        terms=terms,
        rates=rates,
        upkeep=UpkeepOfJob(tables, rates, terms.relamping),
        labor_each=labor_each,
        program=_program(request, terms),
        economics=_economics(tables, terms),
        costs=CostTerms(
            lift_usd_per_day=rates.lift_usd_per_day if terms.lift else None,
            lift_from_height_ft=rates.lift_from_height_ft,
            freight_share=_given("freight_share", terms.freight_share, "1"),
            sales_tax_share=_given("sales_tax_share", terms.sales_tax_share, "1"),
            contingency_share=_given("contingency_share", terms.contingency_share, "1"),
        ),
        led_maintenance_share=default_figure(
            tables, "led_maintenance_share", "led_maintenance_share", "1/yr"
        ),
        _minutes={},
    )


def _given(name: str, value: object, unit: str) -> Figure | None:
    if value is None:
        return None
    return stated(name, float(str(value)), unit, f"terms.{name}")


def _program(request: Request, terms: Terms) -> RebateProgram | None:
    if terms.rebate is not None:
        r = terms.rebate
        return RebateProgram(
            basis=r.basis,
            amount=stated("rebate_amount", r.amount, "USD", "terms.rebate.amount"),
            listed_only=r.listed_only,
            least_lm_per_w=r.least_lm_per_w,
            share_of_cost=_given("rebate_share_of_cost", r.share_of_cost, "1"),
            per_account=(
                None
                if r.per_account is None
                else stated("rebate_per_account", r.per_account, "USD", "terms.rebate.per_account")
            ),
        )
    if request.job.rebate_per_luminaire is None:
        return None
    amount = stated(
        "rebate_each", decimal(request.job.rebate_per_luminaire), "USD", "job.rebate_per_luminaire"
    )
    return RebateProgram(basis="per_luminaire", amount=amount)


def _economics(tables: Tables, terms: Terms) -> Economics:
    rate = _given("real_discount_rate", terms.discount_rate, "1/yr") or default_figure(
        tables, "real_discount_rate", "real_discount_rate", "1/yr"
    )
    years = (
        stated("analysis_years", terms.analysis_years, "yr", "terms.analysis_years")
        if terms.analysis_years is not None
        else default_figure(tables, "analysis_years", "analysis_years", "yr")
    )
    usual = usual_economics(rate, years)
    return Economics(
        discount_rate=rate,
        analysis_years=years,
        energy_escalation=_given("energy_escalation", terms.energy_escalation, "1/yr")
        or usual.energy_escalation,
        maintenance_escalation=_given("maintenance_escalation", terms.maintenance_escalation, "1/yr")
        or usual.maintenance_escalation,
        inflation=_given("inflation", terms.inflation, "1/yr") or usual.inflation,
        loan_rate=_given("loan_rate", terms.loan_rate, "1/yr") or usual.loan_rate,
        loan_months=(
            stated("loan_months", terms.loan_months, "months", "terms.loan_months")
            if terms.loan_months is not None
            else usual.loan_months
        ),
    )


def line_money(
    inputs: LineInputs,
    done: Completed,
    energy: Mapping[str, Figure],
    product: Product,
    own: ProductFigures,
    money: MoneyFacts,
    like_for_like: bool = True,
) -> LineMoney:
    """Cost, rebate, upkeep and yearly saving of one line with one product on it; beside like for like, if that is wanted.

    ``own`` are the product's own figures on the line.
    """
    height_ft = done.line.height_ft or (done.facts.height_ft_low + done.facts.height_ft_high) / 2
    out, cost = _costs(inputs, done, own, money, height_ft)
    rebate = _rebate(money.program, inputs, energy, product, out["product_cost"])
    out["rebate"] = rebate.figure
    out["net_cost"] = derive("net_cost", "USD", "project_cost - rebate", out["project_cost"], out["rebate"])
    if done.existing is None or "energy_cost_saved_per_year" not in energy:
        return LineMoney(out, cost, rebate)
    out |= _upkeep(inputs, done, own, money, height_ft)
    parts = [
        f
        for f in (
            energy["energy_cost_saved_per_year"],
            energy.get("demand_cost_saved_per_year"),
            out.get("maintenance_saved_per_year"),
        )
        if f is not None
    ]
    out["saved_per_year"] = derive("saved_per_year", "USD/yr", " + ".join(f.name for f in parts), *parts)
    if like_for_like:
        out |= _like_for_like(inputs, done, out, own)
    return LineMoney(out, cost, rebate)


def _costs(
    inputs: LineInputs, done: Completed, own: ProductFigures, money: MoneyFacts, height_ft: float
) -> tuple[dict[str, Figure], LineCost]:
    qty, unit_price, pieces_each = inputs.qty, own.unit_price, own.pieces_each
    goods = (
        derive("product_cost", "USD", "unit_price * qty", unit_price, qty)
        if pieces_each is None
        else derive("product_cost", "USD", "unit_price * pieces_each * qty", unit_price, pieces_each, qty)
    )
    minutes = None
    if money.labor_each is not None:
        labor = derive("labor_cost", "USD", "labor_each * qty", money.labor_each, qty)
    else:
        minutes = line_labor_minutes(qty, money.labor_minutes(done.facts))
        labor = derive(
            "labor_cost",
            "USD",
            "line_labor_minutes / 60 * labor_usd_per_hour",
            minutes,
            money.rates.labor_usd_per_hour,
        )
    out = {"unit_price": unit_price, "product_cost": goods, "labor_cost": labor}
    disposal = None
    if own.lamps is not None:
        disposal = out["disposal_cost"] = disposal_cost(qty, own.lamps, money.rates.recycling_usd_per_lamp)
    rows = [f for f in (goods, labor, disposal) if f is not None]
    out["project_cost"] = derive("project_cost", "USD", " + ".join(f.name for f in rows), *rows)
    return out, LineCost(goods, labor, disposal, minutes, height_ft)


def _rebate(
    program: RebateProgram | None,
    inputs: LineInputs,
    energy: Mapping[str, Figure],
    product: Product,
    goods: Figure,
) -> Rebate:
    if program is None or program.basis == "custom":
        return Rebate(NO_REBATE, program is not None and product.rebate_listed, ())
    line = RebateLine(
        qty=inputs.qty,
        cost=goods,
        kw_saved=energy.get("kw_saved"),
        kwh_saved=energy.get("kwh_saved_per_year"),
        listed=product.rebate_listed,
        lm_per_w=product.efficacy_lm_per_w,
    )
    return line_rebate(program, line)


def _upkeep(
    inputs: LineInputs, done: Completed, own: ProductFigures, money: MoneyFacts, height_ft: float
) -> dict[str, Figure]:
    e = done.existing
    if e is None or e.source is None or e.lamp_watts is None:
        return {}
    found = money.upkeep.of(e.source, e.lamp_watts, e.lamps, e.lamp_feet, e.ballast, height_ft)
    if isinstance(found, NoSuchRow):
        return {}
    before = upkeep_before(found, inputs.qty, inputs.hours_per_year)
    after = upkeep_after(
        inputs.qty,
        own.unit_price,
        money.labor_minutes(done.facts),
        money.rates.labor_usd_per_hour,
        money.led_maintenance_share,
        money.economics.analysis_years,
        own.warranty_years,
    )
    return {
        "maintenance_before_per_year": before,
        "maintenance_after_per_year": after,
        "maintenance_saved_per_year": upkeep_saved(before, after),
    }


def _like_for_like(
    inputs: LineInputs, done: Completed, out: Mapping[str, Figure], own: ProductFigures
) -> dict[str, Figure]:
    """What buying new luminaires of the present kind would cost, from the catalogue or from what the writer pays today."""
    e = done.existing
    if e is None or e.source is None or e.lamp_watts is None:
        return {}
    each = own.like_for_like_price
    if inputs.price_now is not None:
        each = stated("like_for_like_price", decimal(inputs.price_now), "USD", f"{inputs.prefix}.price_now")
    if each is None:
        return {}
    cost = derive("like_for_like_cost", "USD", "like_for_like_price * qty", each, inputs.qty)
    return {
        "like_for_like_cost": cost,
        "premium_cost": premium_cost(out["product_cost"], out["rebate"], cost),
    }
