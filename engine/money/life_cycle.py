"""Whole-life economics of a project, by the public method of NIST Handbook 135 (1995; its 2022 edition keeps the method).

Everything runs in real money, that is, at today's prices: the discount rate and the growth of prices are above inflation.
`engine.money.study` can state the same project in money of each year; its present values are equal, its yearly amounts are not.
Conventions of flows (year ends, year 0 undiscounted, a straight line inside the year) are those of `engine.money.flows`.
Tax on profits, depreciation and the tax on a rebate are out of scope: a tax adviser's matter.
"""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from functools import partial
from typing import Final, Literal

from engine.figure import Figure, defined, derive
from engine.later import LaterRows
from engine.money.flows import (
    LONGEST_YEARS,
    Irr,
    OneRate,
    growth_by_year,
    internal_rates,
    sign_changes,
    stays_repaid,
    yearly_flows,
    years_until_repaid,
)
from engine.money.study import Economics, LaterCost, Project, usual_economics
from engine.quantities import cents, decimal
from engine.record import record

__all__ = [
    "CashFlowYear",
    "Economics",
    "LaterCost",
    "LifeCycle",
    "Payback",
    "Project",
    "adjusted_rate",
    "cash_flow_table",
    "cost_of_waiting",
    "discounted_payback",
    "internal_rate_figure",
    "life_cycle",
    "life_cycle_cost",
    "monthly_payment",
    "net_present_value",
    "savings_to_investment",
    "simple_payback",
    "usual_economics",
]

Outcome = Literal["immediate", "years", "beyond_study", "never"]

NOTHING: Final = Decimal(0)


@record
class Payback:
    """How long until the outlay is back.

    Attributes:
        outcome: ``immediate``: nothing is outlaid and nothing is lost later; ``years``: see ``figure``;
            ``beyond_study``: not within the years studied; ``never``: the savings are not above zero.
        figure: [yr]; ``None`` where there is no number of years.
        holds: False where a later outlay takes the balance below zero again.
    """

    outcome: Outcome
    figure: Figure | None
    holds: bool = True


@record
class CashFlowYear:
    """One year of the table, to the cent. Saved is positive, spent negative; the cumulative columns are rounded only to be shown."""

    year: int
    outlay: Decimal
    energy: Decimal
    maintenance: Decimal
    later: Decimal
    residual: Decimal
    net: Decimal
    cumulative: Decimal
    discounted: Decimal
    cumulative_discounted: Decimal


@record
class LifeCycle:
    """Everything a finance officer asks of one project.

    Attributes:
        npv: net savings over the study, present value [USD].
        irr: real; ``irr_figure`` [1/yr] only where there is exactly one.
        sir: savings-to-investment ratio [1] and ``airr`` adjusted internal rate of return [1/yr, real];
            ``None`` where nothing is invested.
        monthly_payment: what a loan for the net cost costs a month [USD/month], nominal; ``None`` where nothing is outlaid.
        monthly_saving: today's saving a month [USD/month].
        cost_of_waiting: what starting a year later loses, present value [USD]: the first year's saving less what the outlay
            earns meanwhile at the discount rate.
        table: years 0 to N, worked out when looked at.
    """

    simple_payback: Payback
    discounted_payback: Payback
    npv: Figure
    irr: Irr
    irr_figure: Figure | None
    sir: Figure | None
    airr: Figure | None
    monthly_payment: Figure | None
    monthly_saving: Figure
    cost_of_waiting: Figure
    table: Sequence[CashFlowYear]


def life_cycle(project: Project, economics: Economics) -> LifeCycle:
    """The whole reckoning of ``project``.

    Raises:
        ValueError: the years are not a whole number from 1 to `LONGEST_YEARS`, or a later outlay falls outside them.
    """
    flows = _flows(project, economics)
    saved = _saved(project)
    npv = net_present_value(project, economics)
    sir = savings_to_investment(project, economics)
    irr, irr_figure = _rates(project, economics, flows)
    return LifeCycle(
        simple_payback=simple_payback(project.net_cost, saved),
        discounted_payback=discounted_payback(
            project, economics, flows=flows if project.residual is None else None
        ),
        npv=npv,
        irr=irr,
        irr_figure=irr_figure,
        sir=sir,
        airr=None if sir is None else adjusted_rate(sir, economics),
        monthly_payment=monthly_payment(project.net_cost, economics),
        monthly_saving=derive("monthly_saving", "USD/month", f"{saved.name} / 12", saved),
        cost_of_waiting=cost_of_waiting(project, economics),
        table=LaterRows(_whole_years(economics) + 1, partial(cash_flow_table, project, economics)),
    )


def _rates(project: Project, economics: Economics, flows: Sequence[Decimal]) -> tuple[Irr, Figure | None]:
    if (
        sign_changes(flows) == 1
    ):  # nearly always; then the figure finds the one rate, and it need not be looked for twice
        figure = internal_rate_figure(project, economics)
        return OneRate(figure.value), figure
    irr = internal_rates(flows)
    return irr, internal_rate_figure(project, economics) if isinstance(irr, OneRate) else None


def simple_payback(net_cost: Figure, saved: Figure, name: str = "simple_payback_years") -> Payback:
    """Outlay over one year's saving at today's prices [yr], nothing discounted, nothing escalated."""
    if net_cost.value <= 0 <= saved.value:
        return Payback("immediate", None)
    if saved.value <= 0:
        return Payback("never", None)
    formula = f"greatest({net_cost.name}, 0) / greatest({saved.name}, 0)"
    return Payback("years", derive(name, "yr", formula, net_cost, saved))


def net_present_value(project: Project, economics: Economics, name: str = "npv") -> Figure:
    """Present value of all savings less all outlays over the study [USD]: one closed form, so that it can be ranged."""
    e = economics
    benefits = _present_savings(project, e)
    formula = f"{benefits} - {project.net_cost.name}"
    if project.later is not None:
        formula += f" - {project.later.cost.name} * spv({e.discount_rate.name}, {project.later.year.name})"
    if project.residual is not None:
        formula += f" + {project.residual.name} * spv({e.discount_rate.name}, {e.analysis_years.name})"
    return derive(name, "USD", formula, *_inputs(project, e))


def savings_to_investment(project: Project, economics: Economics, name: str = "sir") -> Figure | None:
    """Present value of savings over present value of what is invested, later outlays and residual among it [1].

    Worth doing above 1. ``None`` where nothing is invested: a ratio to nothing means nothing.
    """
    e = economics
    invested = project.net_cost.name
    worth = float(project.net_cost.value)
    rate, years = float(e.discount_rate.value), int(e.analysis_years.value)
    if project.later is not None:
        invested += f" + {project.later.cost.name} * spv({e.discount_rate.name}, {project.later.year.name})"
        worth += float(project.later.cost.value) / (1 + rate) ** int(project.later.year.value)
    if project.residual is not None:
        invested += f" - {project.residual.name} * spv({e.discount_rate.name}, {e.analysis_years.name})"
        worth -= float(project.residual.value) / (1 + rate) ** years
    if worth <= 0:
        return None
    return derive(name, "1", f"({_present_savings(project, e)}) / ({invested})", *_inputs(project, e))


def adjusted_rate(sir: Figure, economics: Economics, name: str = "airr") -> Figure:
    """Yearly yield if savings are put to work at the discount rate [1/yr, real]: (1 + d) SIR^(1/N) - 1 (10 CFR 436.22).

    -1 where nothing is saved: all is lost.
    """
    d, n = economics.discount_rate, economics.analysis_years
    return derive(name, "1/yr", f"(1 + {d.name}) * greatest({sir.name}, 0) ** (1 / {n.name}) - 1", d, sir, n)


def internal_rate_figure(project: Project, economics: Economics, name: str = "irr") -> Figure:
    """The internal rate of return [1/yr, real] as a traced figure; only for a project that has exactly one."""
    second, growth = _maintenance_names(project, economics)
    later_cost, later_year = _later_names(project)
    e = economics
    formula = (
        f"internal_rate({project.net_cost.name}, {project.energy_saved.name}, {e.energy_escalation.name}, "
        f"{second}, {growth}, {later_cost}, {later_year}, "
        f"{project.residual.name if project.residual is not None else 0}, {e.analysis_years.name})"
    )
    return derive(name, "1/yr", formula, *_inputs(project, e, without=(e.discount_rate,)))


def monthly_payment(net_cost: Figure, economics: Economics, name: str = "monthly_payment") -> Figure | None:
    """Level payment at month ends that repays a loan for ``net_cost`` [USD/month, nominal]; ``None`` without an outlay."""
    if net_cost.value <= 0:
        return None
    rate, months = economics.loan_rate, economics.loan_months
    return derive(
        name, "USD/month", f"{net_cost.name} / upv({rate.name} / 12, {months.name})", net_cost, rate, months
    )


def cost_of_waiting(project: Project, economics: Economics, name: str = "cost_of_waiting") -> Figure:
    """What starting a year later loses, present value [USD]; negative where waiting pays.

    The first year's saving is gone; the outlay earns the discount rate meanwhile. Prices of goods are taken to hold still,
    and the study to end on the same day.
    """
    e = economics
    first = f"{project.energy_saved.name} * (1 + {e.energy_escalation.name})"
    used = [project.energy_saved, e.energy_escalation]
    if project.maintenance_saved is not None:
        first += f" + {project.maintenance_saved.name} * (1 + {e.maintenance_escalation.name})"
        used += [project.maintenance_saved, e.maintenance_escalation]
    d = e.discount_rate.name
    formula = f"({first} - greatest({project.net_cost.name}, 0) * {d}) * spv({d}, 1)"
    return derive(name, "USD", formula, *used, project.net_cost, e.discount_rate)


def life_cycle_cost(
    name: str,
    economics: Economics,
    energy_per_year: Figure,
    maintenance_per_year: Figure | None = None,
    first_cost: Figure | None = None,
    later: LaterCost | None = None,
    residual: Figure | None = None,
) -> Figure:
    """Present value of owning something over the study [USD]: first cost, energy, upkeep, later outlay, less residual.

    The difference of two of these is the net present value of going from one to the other.
    """
    e = economics
    as_project = Project(
        net_cost=first_cost
        if first_cost is not None
        else defined("first_cost", NOTHING, "USD", "it is there already"),
        energy_saved=energy_per_year,
        maintenance_saved=maintenance_per_year,
        later=later,
        residual=residual,
    )
    formula = f"{as_project.net_cost.name} + {_present_savings(as_project, e)}"
    if later is not None:
        formula += f" + {later.cost.name} * spv({e.discount_rate.name}, {later.year.name})"
    if residual is not None:
        formula += f" - {residual.name} * spv({e.discount_rate.name}, {e.analysis_years.name})"
    return derive(name, "USD", formula, *_inputs(as_project, e))


def cash_flow_table(project: Project, economics: Economics) -> tuple[CashFlowYear, ...]:
    """Year by year, 0 to N, in the money that ``economics`` speaks of. Sums run unrounded, cells are shown to the cent,

    so that the last cumulative discounted amount is the net present value to the cent.
    """
    years = _whole_years(economics)
    d, ee, me = (
        decimal(f.value)
        for f in (economics.discount_rate, economics.energy_escalation, economics.maintenance_escalation)
    )
    energy_now = decimal(project.energy_saved.value)
    upkeep_now = NOTHING if project.maintenance_saved is None else decimal(project.maintenance_saved.value)
    running = running_discounted = NOTHING
    rows = []
    for k in range(years + 1):
        outlay = -decimal(project.net_cost.value) if k == 0 else NOTHING
        energy = energy_now * (1 + ee) ** k if k else NOTHING
        upkeep = upkeep_now * (1 + me) ** k if k else NOTHING
        later = NOTHING
        if project.later is not None and int(project.later.year.value) == k:
            later = -decimal(project.later.cost.value)
        residual = decimal(project.residual.value) if project.residual is not None and k == years else NOTHING
        net = outlay + energy + upkeep + later + residual
        discounted = net / (1 + d) ** k
        running += net
        running_discounted += discounted
        cells = (
            outlay,
            energy,
            upkeep,
            later,
            residual,
            net,
            running,
            discounted,
            running_discounted,
        )
        rows.append(CashFlowYear(k, *(cents(cell) for cell in cells)))
    return tuple(rows)


def discounted_payback(
    project: Project,
    economics: Economics,
    name: str = "discounted_payback_years",
    flows: Sequence[Decimal] | None = None,
) -> Payback:
    """Years until the discounted savings, less a later outlay, have repaid the net cost [yr]; a residual does not count.

    ``flows`` are the project's without a residual, where they are at hand.
    """
    d = decimal(economics.discount_rate.value)
    if project.residual is not None:
        project = replace(project, residual=None)
    if flows is None:
        flows = _flows(project, economics)
    discounted = [
        flow / factor for flow, factor in zip(flows, growth_by_year(d, len(flows) - 1), strict=True)
    ]
    found = years_until_repaid(discounted)
    holds = stays_repaid(discounted)
    if found == 0:
        return Payback("immediate" if holds else "never", None, holds)
    if found == float("inf"):
        return Payback("never" if _saved_value(project) <= 0 else "beyond_study", None)
    second, growth = _maintenance_names(project, economics)
    later_cost, later_year = _later_names(project)
    e = economics
    formula = (
        f"discounted_payback({e.discount_rate.name}, {project.net_cost.name}, {project.energy_saved.name}, "
        f"{e.energy_escalation.name}, {second}, {growth}, {later_cost}, {later_year}, {e.analysis_years.name})"
    )
    return Payback("years", derive(name, "yr", formula, *_inputs(project, e)), holds)


def _flows(project: Project, economics: Economics) -> list[Decimal]:
    later_cost = NOTHING if project.later is None else decimal(project.later.cost.value)
    later_year = 0 if project.later is None else int(project.later.year.value)
    upkeep = NOTHING if project.maintenance_saved is None else decimal(project.maintenance_saved.value)
    flows: list[Decimal] = yearly_flows(
        decimal(project.net_cost.value),
        decimal(project.energy_saved.value),
        decimal(economics.energy_escalation.value),
        upkeep,
        decimal(economics.maintenance_escalation.value),
        later_cost,
        later_year,
        NOTHING if project.residual is None else decimal(project.residual.value),
        _whole_years(economics),
    )
    return flows


def _whole_years(economics: Economics) -> int:
    value = economics.analysis_years.value
    if int(value) != value or not 1 <= value <= LONGEST_YEARS:
        raise ValueError(f"a study runs 1 to {LONGEST_YEARS} whole years, not {value}")
    return int(value)


def _saved(project: Project) -> Figure:
    if project.maintenance_saved is None:
        return project.energy_saved
    formula = f"{project.energy_saved.name} + {project.maintenance_saved.name}"
    return derive("saved_per_year", "USD/yr", formula, project.energy_saved, project.maintenance_saved)


def _saved_value(project: Project) -> Decimal:
    upkeep = NOTHING if project.maintenance_saved is None else decimal(project.maintenance_saved.value)
    return decimal(project.energy_saved.value) + upkeep


def _present_savings(project: Project, e: Economics) -> str:
    d, n = e.discount_rate.name, e.analysis_years.name
    text = f"{project.energy_saved.name} * upv_growing({d}, {e.energy_escalation.name}, {n})"
    if project.maintenance_saved is not None:
        text += (
            f" + {project.maintenance_saved.name} * upv_growing({d}, {e.maintenance_escalation.name}, {n})"
        )
    return text


def _maintenance_names(project: Project, e: Economics) -> tuple[str, str]:
    if project.maintenance_saved is None:
        return "0", "0"
    return project.maintenance_saved.name, e.maintenance_escalation.name


def _later_names(project: Project) -> tuple[str, str]:
    if project.later is None:
        return "0", "0"
    return project.later.cost.name, project.later.year.name


def _inputs(project: Project, e: Economics, without: tuple[Figure, ...] = ()) -> list[Figure]:
    found = [project.net_cost, project.energy_saved, e.energy_escalation, e.discount_rate, e.analysis_years]
    if project.maintenance_saved is not None:
        found += [project.maintenance_saved, e.maintenance_escalation]
    if project.later is not None:
        found += [project.later.cost, project.later.year]
    if project.residual is not None:
        found.append(project.residual)
    return [figure for figure in found if figure not in without]
