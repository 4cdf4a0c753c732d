"""What the money leaves out, caps or could not use, said in so many words: keys with the values that the wording needs."""

from collections.abc import Sequence

from engine.job import JobFacts
from engine.job_money import JobMoney
from engine.places import FoundPlace, UnknownPlace
from engine.proposal import Reason
from engine.quantities import decimal
from engine.quoted_line import MadeLine
from engine.request import Request


def notes_for(
    request: Request, facts: JobFacts, made: Sequence[MadeLine], job: JobMoney
) -> tuple[Reason, ...]:
    """The notes in the order they should be read."""
    out: list[Reason] = []
    totals, said = job.totals, request.job
    left_out = sum(1 for m in made if not m.line.options)
    if totals and left_out:
        out.append(Reason("some_lines_left_out", {"count": left_out}))
    saved, payback = totals.get("saved_per_year"), totals.get("simple_payback_years")
    if saved is not None and payback is None:
        out.append(Reason("never_pays_back", {}))
    if payback is not None and said.payback_limit_years is not None:
        key = "payback_over_limit" if payback.value > said.payback_limit_years else "payback_within_limit"
        out.append(Reason(key, {"limit": said.payback_limit_years, "years": float(payback.value)}))
    net = totals.get("net_cost")
    if net is not None and said.budget is not None and net.value > decimal(said.budget):
        out.append(Reason("over_budget", {"budget": decimal(said.budget), "cost": net.value}))
    out.extend(job.rebate_reasons)
    if "lift_cost" in totals:
        out.append(Reason("lift_included", {"cost": totals["lift_cost"].value}))
    of_lines = {reason.key: reason for m in made for reason in m.notes}
    out.extend(of_lines.values())
    demand = totals.get("demand_cost_saved_per_year")
    if demand is not None and demand.value == 0 and said.demand_rate_per_kw is not None:
        out.append(Reason("demand_zero_at_night", {}))
    elif saved is not None and demand is None:
        out.append(Reason("demand_not_said", {}))
    if any("net_kwh_saved_per_year" in m.line.figures for m in made):
        out.append(Reason("hvac_not_counted", {}))
    if totals:
        if "freight_cost" not in totals:
            out.append(Reason("freight_not_included", {}))
        if "sales_tax" not in totals:
            out.append(Reason("sales_tax_not_included", {}))
    place = facts.place
    if isinstance(place, UnknownPlace):
        out.append(Reason("place_unknown", {"place": place.asked}))
    elif isinstance(place, FoundPlace) and place.disagrees:
        out.append(Reason("place_disagrees", {"what": place.disagrees}))
    return tuple(out)
