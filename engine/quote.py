"""The one door of the engine: a request, a catalogue and the tables become a quote. Pure: same input, same quote."""

from collections.abc import Mapping, Sequence
from typing import Final

from engine.assumptions import assumptions_of
from engine.catalog.catalogue import Catalogue
from engine.cautions import cautions_for
from engine.existing import Lookups, Supposed
from engine.figure import Figure, total
from engine.job import JobFacts, job_facts
from engine.line_figures import payback_figures
from engine.line_money import MoneyFacts, money_facts, money_totals
from engine.money.ranges import ranges
from engine.proposal import Quote, QuoteLine
from engine.questions import questions_for
from engine.quoted_line import LineMaker
from engine.request import Request
from engine.tables.tables import Tables

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
    "product_cost",
    "labor_cost",
    "project_cost",
    "rebate",
    "net_cost",
    "like_for_like_cost",
    "premium_cost",
)
"""Line figures that have a total."""
RANGED: Final = (
    "kwh_saved_per_year",
    "energy_cost_saved_per_year",
    "maintenance_saved_per_year",
    "saved_per_year",
    "project_cost",
    "net_cost",
    "simple_payback_years",
    "premium_payback_years",
    "npv",
)
"""Results whose combined range is reported."""


def make_quote(request: Request, catalogue: Catalogue, tables: Tables) -> Quote:
    """Select and compute for every line of ``request``.

    Lines that can't be offered anything carry their ``problem``; the rest is quoted all the same.
    """
    facts = job_facts(request, tables)
    money = money_facts(request, facts, tables)
    maker = LineMaker(facts, money, catalogue, Lookups(tables))
    made = [maker.make(i, said) for i, said in enumerate(request.lines)]
    lines = tuple(line for line, _ in made)
    supposed = (*facts.supposed, *(item for _, items in made for item in items))
    totals = _totals(lines, facts, money)
    spread = ranges({name: totals[name] for name in RANGED if name in totals})
    swings = _swings_of_supposed(supposed, lines, totals, maker)
    return Quote(
        request=request,
        lines=lines,
        totals=totals,
        hours_per_year=_hours(lines, facts),
        assumptions=assumptions_of(lines, totals, supposed, spread, swings),
        spreads=spread.spreads,
        questions=questions_for(request, lines, supposed, spread, swings),
        cautions=cautions_for(lines, facts.building),
        stop=None,
        catalog_version=catalogue.version,
        tables_version=tables.version,
    )


def _totals(lines: Sequence[QuoteLine], facts: JobFacts, money: MoneyFacts) -> Mapping[str, Figure]:
    """Sums over the lines that have an option, and what is computed from the sums."""
    figures = [line.figures for line in lines if line.options]
    out: dict[str, Figure] = {}
    for name in ADDED_UP:
        parts = [f[name] for f in figures if name in f]
        # A total over some lines only would be shown as the job's: costs need no past luminaire, savings do.
        if parts and (len(parts) == len(figures) or name not in ("like_for_like_cost", "premium_cost")):
            out[name] = total(name, parts[0].unit, parts)
    out |= money_totals(out, facts, money)
    out |= payback_figures(out)
    return out


def _hours(lines: Sequence[QuoteLine], facts: JobFacts) -> Figure | None:
    """The burn hours shown for the job: the lines' own where they agree, else those of the greatest load."""
    with_hours = [line for line in lines if line.options]
    if with_hours:
        heaviest = max(
            with_hours,
            key=lambda q: (float(q.figures.get("kw_before", q.figures["kw_after"]).value), -q.index),
        )
        return heaviest.figures["hours_per_year"]
    families = [line.stated.family for line in lines if line.stated.family is not None]
    return facts.hours.of(families[0]) if families else None


MOST_ALTERNATIVES: Final = 12
"""Other kinds of lamp are tried one by one, each a new quote of its line; on a long audit only the first few."""


def _swings_of_supposed(
    supposed: Sequence[Supposed], lines: Sequence[QuoteLine], totals: Mapping[str, Figure], maker: LineMaker
) -> Mapping[str, tuple[float, bool]]:
    """What each supposed kind of thing would change: (payback years, whether another product would be offered)."""
    base = totals.get("simple_payback_years")
    out: dict[str, tuple[float, bool]] = {}
    tried = 0
    for item in supposed:
        head, _, rest = item.path.partition(".")
        if head != "lines":
            continue
        index, _, slot = rest.partition(".")
        i = int(index)
        swing, changes = 0.0, False
        for other in item.others:
            if tried >= MOST_ALTERNATIVES:
                break
            tried += 1
            line, _ = maker.make(i, lines[i].stated.model_copy(update={slot: other}))
            changes = changes or _part(line) != _part(lines[i])
            again = _totals(
                [line if n == i else other_line for n, other_line in enumerate(lines)],
                maker.facts,
                maker.money,
            )
            payback = again.get("simple_payback_years")
            if base is not None and payback is not None:
                swing = max(swing, abs(float(payback.value) - float(base.value)))
        out[item.path] = (swing, changes)
    return out


def _part(line: QuoteLine) -> str:
    return line.options[0].product.part_number if line.options else ""
