"""What a project costs: line by line (goods, labor, disposal), then once for the job (lift, freight, tax, contingency).

Costs of a line double with its quantity. A lift is rented for the job, in whole days, so it does not; it stands as a row of
its own and not in any line. Two ways to look at the money: in full, where working luminaires are replaced early; and the
premium over like for like, where something would have been bought anyway.
"""

from collections.abc import Sequence

from engine.figure import Figure, derive, total
from engine.money.allowances import allowance
from engine.money.maintenance import Access, access
from engine.record import record


@record
class LineCost:
    """One line's costs.

    Attributes:
        product_cost, labor_cost, disposal_cost: [USD]; ``None`` where there is none.
        minutes: labor of the whole line [min], as a figure; ``None`` where labor was stated as a price.
        height_ft: [ft].
    """

    product_cost: Figure
    labor_cost: Figure | None
    disposal_cost: Figure | None
    minutes: Figure | None
    height_ft: float


@record
class CostTerms:
    """What comes on top for the job; ``None`` leaves a row out.

    Attributes:
        lift_usd_per_day, lift_from_height_ft: [USD/day], [ft].
        freight_share, sales_tax_share: of goods [1]; unknown until said, so there is no default for them (some states tax labor
            and freight too). ``contingency_share``: of goods, labor and lift [1].
    """

    lift_usd_per_day: Figure | None = None
    lift_from_height_ft: Figure | None = None
    freight_share: Figure | None = None
    sales_tax_share: Figure | None = None
    contingency_share: Figure | None = None


@record
class JobCosts:
    """The job's rows, each [USD] or ``None``, and their sum with the lines, ``project_cost`` [USD].

    ``access``: what the highest line needs.
    """

    product_cost: Figure
    labor_cost: Figure | None
    disposal_cost: Figure | None
    lift_cost: Figure | None
    freight_cost: Figure | None
    sales_tax: Figure | None
    contingency: Figure | None
    project_cost: Figure
    access: Access


def line_labor_minutes(qty: Figure, labor_minutes: Figure) -> Figure:
    """Labor of a line [min]."""
    return derive("line_labor_minutes", "min", f"{labor_minutes.name} * {qty.name}", labor_minutes, qty)


def disposal_cost(qty: Figure, lamps: Figure, recycling_usd_per_lamp: Figure) -> Figure:
    """Recycling of the lamps taken down [USD]. For lamps with mercury; they are universal waste (40 CFR 273)."""
    return derive(
        "disposal_cost",
        "USD",
        f"{qty.name} * {lamps.name} * {recycling_usd_per_lamp.name}",
        qty,
        lamps,
        recycling_usd_per_lamp,
    )


def job_costs(lines: Sequence[LineCost], terms: CostTerms) -> JobCosts:
    """The rows of the job.

    Raises:
        ValueError: no lines.
    """
    goods = total("product_cost", "USD", [line.product_cost for line in lines])
    labors = [line.labor_cost for line in lines if line.labor_cost is not None]
    labor = total("labor_cost", "USD", labors) if labors else None
    disposals = [line.disposal_cost for line in lines if line.disposal_cost is not None]
    disposal = total("disposal_cost", "USD", disposals) if disposals else None
    reach, lift = _lift(lines, terms)
    freight = _share("freight_cost", terms.freight_share, (goods,))
    tax = _share("sales_tax", terms.sales_tax_share, (goods,))
    contingency = _share(
        "contingency", terms.contingency_share, tuple(f for f in (goods, labor, lift) if f is not None)
    )
    rows = [f for f in (goods, labor, disposal, lift, freight, tax, contingency) if f is not None]
    return JobCosts(
        product_cost=goods,
        labor_cost=labor,
        disposal_cost=disposal,
        lift_cost=lift,
        freight_cost=freight,
        sales_tax=tax,
        contingency=contingency,
        project_cost=total("project_cost", "USD", rows),
        access=reach,
    )


def premium_cost(
    product_cost: Figure, rebate: Figure, like_for_like_cost: Figure, name: str = "premium_cost"
) -> Figure:
    """What the better luminaires cost over like for like [USD], where something is bought anyway; labor is the same and falls out."""
    formula = f"{product_cost.name} - {rebate.name} - {like_for_like_cost.name}"
    return derive(name, "USD", formula, product_cost, rebate, like_for_like_cost)


def _lift(lines: Sequence[LineCost], terms: CostTerms) -> tuple[Access, Figure | None]:
    threshold = terms.lift_from_height_ft
    if threshold is None or not lines:
        return "ladder", None
    reach = access(max(line.height_ft for line in lines), threshold)
    minutes = [
        line.minutes
        for line in lines
        if line.minutes is not None and access(line.height_ft, threshold) != "ladder"
    ]
    if terms.lift_usd_per_day is None or not minutes:
        return reach, None
    day = terms.lift_usd_per_day if reach == "lift" else allowance("high_lift_usd_per_day")
    hours, delivery = allowance("lift_hours_per_day"), allowance("lift_delivery_usd")
    at_height = total("minutes_at_height", "min", minutes)
    days = derive("lift_days", "day", f"whole_up(minutes_at_height / (60 * {hours.name}))", at_height, hours)
    cost = derive("lift_cost", "USD", f"lift_days * {day.name} + {delivery.name}", days, day, delivery)
    return reach, cost


def _share(name: str, share: Figure | None, of: Sequence[Figure]) -> Figure | None:
    if share is None:
        return None
    parts = " + ".join(f.name for f in of)
    of_what = f"({parts})" if len(of) > 1 else parts
    return derive(name, "USD", f"{of_what} * {share.name}", *of, share)
