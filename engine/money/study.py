"""The terms of a whole-life study and the project studied; real money and nominal money kept apart.

Real money is at today's prices, nominal money at the prices of each year. The engine reckons in real money;
`in_nominal_money` and `nominal_project` give the same study in the other, with equal present values.
"""

from dataclasses import replace

from engine.figure import Figure, assumed, defined, derive
from engine.record import record


@record
class Economics:
    """The terms on which years are weighed against each other.

    Attributes:
        discount_rate: real [1/yr]. ``energy_escalation``, ``maintenance_escalation``: growth of prices above inflation [1/yr].
        analysis_years: whole years [yr].
        inflation: [1/yr], needed only to show nominal money.
        loan_rate: nominal yearly rate of a loan paid monthly [1/yr]; ``loan_months`` [months].
    """

    discount_rate: Figure
    energy_escalation: Figure
    maintenance_escalation: Figure
    analysis_years: Figure
    inflation: Figure
    loan_rate: Figure
    loan_months: Figure


@record
class LaterCost:
    """One outlay after the start, at the end of ``year``: a driver, a photocell. Today's prices."""

    year: Figure
    cost: Figure


@record
class Project:
    """What is paid once and what comes back each year, at today's prices.

    Attributes:
        net_cost: outlay less rebate [USD]; zero or less where the rebate covers it.
        energy_saved: energy and demand charges saved in a year [USD/yr]; negative where the bill rises.
        maintenance_saved: [USD/yr]; ``None`` where upkeep is left out.
        later: one later outlay, or ``None``. ``residual``: worth at the end of the study [USD], or ``None``.
    """

    net_cost: Figure
    energy_saved: Figure
    maintenance_saved: Figure | None = None
    later: LaterCost | None = None
    residual: Figure | None = None


def usual_economics(discount_rate: Figure, analysis_years: Figure) -> Economics:
    """The terms assumed where nothing was said but the two given (both from the table of defaults)."""
    return Economics(
        discount_rate=discount_rate,
        analysis_years=analysis_years,
        energy_escalation=assumed(
            "energy_escalation", 0.0, "1/yr", -0.01, 0.02,
            "common practice, no source: electricity keeps pace with inflation; the federal year-by-year indices are within about 1 % of that (memory)",
        ),
        maintenance_escalation=assumed(
            "maintenance_escalation", 0.0, "1/yr", -0.01, 0.02, "common practice, no source: labor keeps pace with inflation"
        ),
        inflation=assumed("inflation", 0.025, "1/yr", 0.015, 0.04, "memory: US long-run average, about 2 to 3 %"),
        loan_rate=assumed("loan_rate", 0.08, "1/yr", 0.05, 0.12, "memory: equipment loans to small businesses, about 2024"),
        loan_months=defined("loan_months", 60, "months", "five years, the usual length of an equipment loan (common practice)"),
    )  # fmt: skip


def real_rate(name: str, nominal: Figure, inflation: Figure) -> Figure:
    """A nominal yearly rate without inflation [1/yr]: nominal = (1 + real)(1 + inflation) - 1 (NIST Handbook 135)."""
    return derive(name, "1/yr", f"(1 + {nominal.name}) / (1 + {inflation.name}) - 1", nominal, inflation)


def nominal_rate(name: str, real: Figure, inflation: Figure) -> Figure:
    """A real yearly rate with inflation put back [1/yr]."""
    return derive(name, "1/yr", f"(1 + {real.name}) * (1 + {inflation.name}) - 1", real, inflation)


def in_nominal_money(economics: Economics) -> Economics:
    """The same terms for money of each year: every real rate with inflation in it.

    Later outlays and residuals are at today's prices in `Project`; `nominal_project` restates them.
    """
    by = economics.inflation
    return replace(
        economics,
        discount_rate=nominal_rate("nominal_discount_rate", economics.discount_rate, by),
        energy_escalation=nominal_rate("nominal_energy_escalation", economics.energy_escalation, by),
        maintenance_escalation=nominal_rate(
            "nominal_maintenance_escalation", economics.maintenance_escalation, by
        ),
    )


def nominal_project(project: Project, economics: Economics) -> Project:
    """``project`` with its dated amounts in money of their own year, to go with `in_nominal_money`."""
    inflation, years = economics.inflation, economics.analysis_years
    later, residual = project.later, project.residual
    if later is not None:
        formula = f"{later.cost.name} * (1 + {inflation.name}) ** {later.year.name}"
        later = LaterCost(
            later.year, derive("nominal_later_cost", "USD", formula, later.cost, inflation, later.year)
        )
    if residual is not None:
        formula = f"{residual.name} * (1 + {inflation.name}) ** {years.name}"
        residual = derive("nominal_residual", "USD", formula, residual, inflation, years)
    return replace(project, later=later, residual=residual)
