"""The money of the whole job: sums over the lines, what comes once on top (lift, freight, tax), and the whole-life reckoning."""

from collections.abc import Mapping, Sequence
from typing import Final

from engine.figure import Figure, derive, total
from engine.line_figures import payback_figures
from engine.line_money import MoneyFacts
from engine.money.life_cycle import LifeCycle, Project, life_cycle
from engine.money.project_cost import job_costs
from engine.money.rebate import ALWAYS_SAID, Rebate, job_rebate
from engine.proposal import Reason
from engine.quoted_line import MadeLine
from engine.record import record

ADDED_UP: Final = (
    "qty",
    "kw_before",
    "kw_after",
    "kw_saved",
    "kwh_before_per_year",
    "kwh_after_per_year",
    "kwh_saved_per_year",
    "energy_cost_saved_per_year",
    "demand_cost_saved_per_year",
    "maintenance_before_per_year",
    "maintenance_after_per_year",
    "maintenance_saved_per_year",
    "saved_per_year",
    "like_for_like_cost",
    "premium_cost",
    "carbon_saved_lb_per_year",
    "net_kwh_saved_per_year",
    "fuel_saved_therms_per_year",
)
"""Line figures that have a total."""
FOR_PAYBACK: Final = ("saved_per_year",)
WHOLE_JOB_ONLY: Final = frozenset({"like_for_like_cost", "premium_cost", "net_kwh_saved_per_year"})
"""Shown only where every line has them: a total over some lines would pass for the job's."""


@record
class JobMoney:
    """Totals by name, the whole-life reckoning where there is one, and what the rebate program said."""

    totals: Mapping[str, Figure]
    life_cycle: LifeCycle | None
    rebate_reasons: tuple[Reason, ...]


def job_money(made: Sequence[MadeLine], money: MoneyFacts, whole_life: bool = True) -> JobMoney:
    """The totals over the lines that have an option.

    Args:
        made: the lines.
        money: the job's shared money figures.
        whole_life: False gives no more than the simple payback needs.
    """
    offered = [m for m in made if m.money is not None]
    out: dict[str, Figure] = {}
    if not offered:
        return JobMoney(out, None, ())
    for name in ADDED_UP if whole_life else FOR_PAYBACK:
        parts = [m.line.figures[name] for m in offered if name in m.line.figures]
        if parts and (len(parts) == len(offered) or name not in WHOLE_JOB_ONLY):
            out[name] = total(name, parts[0].unit, parts)
    costs = job_costs([m.money.cost for m in offered if m.money is not None], money.costs)
    rows = (
        costs.product_cost, costs.labor_cost, costs.disposal_cost, costs.lift_cost, costs.freight_cost,
        costs.sales_tax, costs.contingency, costs.project_cost,
    )  # fmt: skip
    out |= {row.name: row for row in rows if row is not None}
    rebate = _rebate([m.money.rebate for m in offered if m.money is not None], out["project_cost"], money)
    out["rebate"] = rebate.figure
    out["net_cost"] = derive("net_cost", "USD", "project_cost - rebate", out["project_cost"], out["rebate"])
    out |= payback_figures(out)
    reckoned = None
    if whole_life and "saved_per_year" in out:
        reckoned, figures = _whole_life(out, money)
        out |= figures
    return JobMoney(out, reckoned, rebate.reasons)


def _rebate(lines: list[Rebate], cost: Figure, money: MoneyFacts) -> Rebate:
    if money.program is None:
        return Rebate(total("rebate", "USD", [r.figure for r in lines]), False, ())
    if money.program.basis == "custom" or money.program.per_account is not None:
        whole = job_rebate(money.program, lines, cost)
    else:
        eligible = any(r.eligible for r in lines)
        whole = Rebate(
            total("rebate", "USD", [r.figure for r in lines]), eligible, ALWAYS_SAID if eligible else ()
        )
    seen = {reason.key: reason for rebate in (*lines, whole) for reason in rebate.reasons}
    return Rebate(whole.figure, whole.eligible, tuple(seen.values()))


def _whole_life(totals: Mapping[str, Figure], money: MoneyFacts) -> tuple[LifeCycle, dict[str, Figure]]:
    """The life-cycle reckoning and its figures by name; those that do not exist (no root, nothing invested) are absent."""
    utility = totals["energy_cost_saved_per_year"]
    demand = totals.get("demand_cost_saved_per_year")
    if demand is not None:
        utility = derive(
            "utility_saved_per_year",
            "USD/yr",
            "energy_cost_saved_per_year + demand_cost_saved_per_year",
            utility,
            demand,
        )
    project = Project(
        net_cost=totals["net_cost"],
        energy_saved=utility,
        maintenance_saved=totals.get("maintenance_saved_per_year"),
    )
    reckoned = life_cycle(project, money.economics)
    figures = [
        reckoned.npv,
        reckoned.irr_figure,
        reckoned.sir,
        reckoned.airr,
        reckoned.discounted_payback.figure,
        reckoned.monthly_payment,
        reckoned.monthly_saving,
        reckoned.cost_of_waiting,
    ]
    return reckoned, {f.name: f for f in figures if f is not None}
