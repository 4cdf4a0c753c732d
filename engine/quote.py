"""The one door of the engine: a request, a catalogue and the tables become a quote. Pure: same input, same quote."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from engine.assumptions import assumptions_of
from engine.catalog.catalogue import Catalogue
from engine.catalog.product import Kind, Product
from engine.cautions import cautions_for
from engine.existing import Completed, Supposed, complete
from engine.figure import Figure, assumed, stated, total
from engine.job import JobFacts, job_facts
from engine.line_figures import LineInputs, energy_figures, light_figures, payback_figures
from engine.line_money import MoneyFacts, money_facts, money_figures, money_totals
from engine.money.ranges import ranges
from engine.proposal import Existing, Option, Quote, QuoteLine, Reason
from engine.questions import questions_for
from engine.request import Request, StatedLine
from engine.selection.choose import Pick, Selection, Target, choose
from engine.selection.fit import families_for
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
    chosen: dict[Any, Selection] = {}
    lines = tuple(
        _line(i, said, facts, money, catalogue, tables, chosen) for i, said in enumerate(request.lines)
    )
    totals = _totals(lines, facts, money)
    spread = ranges({name: totals[name] for name in RANGED if name in totals})
    supposed = _supposed(request, facts, tables)
    swings = _swings_of_supposed(request, supposed, lines, totals, facts, money, catalogue, tables)
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


def _qty(index: int, said: StatedLine) -> Figure:
    if said.qty is not None:
        return stated("qty", said.qty, "1", f"lines.{index}.qty")
    return assumed("qty", 1, "1", 1, 1, "no count was given: priced for one", f"lines.{index}.qty")


def _line(
    index: int,
    said: StatedLine,
    facts: JobFacts,
    money: MoneyFacts,
    catalogue: Catalogue,
    tables: Tables,
    chosen: dict[Any, Selection],
) -> QuoteLine:
    def without(problem: Reason, existing: Existing | None = None, line: StatedLine = said) -> QuoteLine:
        return QuoteLine(index, line, existing, (), None, (), {}, problem)

    if said.family is None:
        return without(Reason("family_unknown", {}))
    if said.family == "exit":
        return without(Reason("needs_person", {"family": "exit"}))
    done = complete(index, said, said.family, tables)
    if done.problem is not None:
        return without(done.problem, done.existing)
    qty = _qty(index, said)
    existing = done.existing
    target = Target(
        useful_lumens=None if done.useful_lumens is None else done.useful_lumens.value,
        led_light_loss=done.led_depreciation.value * done.led_dirt_depreciation.value,
        input_watts=None if existing is None or existing.input_watts is None else existing.input_watts.value,
        lamps=1 if existing is None else existing.lamps,
    )
    products = _candidates(done.line, catalogue)
    key = (done.line, target, qty.value)
    selection = chosen.get(key)
    if selection is None:
        selection = chosen[key] = choose(done.line, qty.value, target, products)
    if not selection.picks:
        return replace(
            without(_nothing_fits(done.line, selection), existing), passed_over=selection.passed_over
        )
    inputs = LineInputs(
        prefix=f"lines.{index}",
        qty=qty,
        hours_per_year=facts.hours.of(said.family),
        rate_per_kwh=facts.rate_per_kwh,
        existing=existing,
        useful_lumens=done.useful_lumens,
        led_depreciation=done.led_depreciation,
        led_dirt_depreciation=done.led_dirt_depreciation,
        control_savings=money.control_savings(said, done.facts.environment),
        demand_rate_per_kw=facts.demand_rate_per_kw,
        demand_coincidence=money.demand_coincidence(done.facts.environment, facts.job.schedule),
    )
    options = tuple(_option(pick, inputs, done, money, catalogue) for pick in selection.picks)
    return QuoteLine(
        index=index,
        stated=said,
        existing=existing,
        options=options,
        chosen=0,
        passed_over=selection.passed_over,
        figures=options[0].figures,
    )


def _candidates(line: StatedLine, catalogue: Catalogue) -> Sequence[Product]:
    kinds: tuple[Kind, ...] = ("retrofit_kit", "lamp") if line.keep_housing else ("luminaire",)
    if line.family is None:
        return ()
    return tuple(
        product
        for kind in kinds
        for family in families_for(line.family)
        for product in catalogue.of_kind(kind, family)
    )


def _nothing_fits(line: StatedLine, selection: Selection) -> Reason:
    """The near miss: the product that fails only one thing that a person might waive, and what it lacks."""
    order = ("finish", "mount", "cct", "cri", "optic", "dark_sky", "emergency_backup", "voltage", "size")
    ranked = sorted(
        selection.passed_over,
        key=lambda p: (order.index(p.reason.key) if p.reason.key in order else len(order), p.part_number),
    )
    nearest = ranked[0] if ranked else None
    return Reason(
        "nothing_fits",
        {
            "family": line.family,
            "nearest": nearest.part_number if nearest else "",
            "lacks": nearest.reason.key if nearest else "",
        },
    )


def _option(
    pick: Pick, inputs: LineInputs, done: Completed, money: MoneyFacts, catalogue: Catalogue
) -> Option:
    figures = energy_figures(inputs, pick.product, pick.pieces_each)
    figures |= light_figures(inputs, pick.product, pick.pieces_each)
    figures |= money_figures(inputs, done, figures, pick, money, catalogue)
    figures |= payback_figures(figures)
    return Option(
        product=pick.product,
        role=pick.role,
        reasons=pick.reasons,
        concerns=pick.concerns,
        cct_k=pick.cct_k,
        finish=pick.finish,
        mount=pick.mount,
        light_ratio=figures.get("light_ratio"),
        figures=figures,
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


def _supposed(request: Request, facts: JobFacts, tables: Tables) -> tuple[Supposed, ...]:
    out = list(facts.supposed)
    for i, said in enumerate(request.lines):
        if said.family is not None and said.family != "exit":
            out.extend(complete(i, said, said.family, tables).supposed)
    return tuple(out)


MOST_ALTERNATIVES: Final = 12
"""Other kinds of lamp are tried one by one, each a new quote of its line; on a long audit only the first few."""


def _swings_of_supposed(
    request: Request,
    supposed: Sequence[Supposed],
    lines: Sequence[QuoteLine],
    totals: Mapping[str, Figure],
    facts: JobFacts,
    money: MoneyFacts,
    catalogue: Catalogue,
    tables: Tables,
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
            said = request.lines[i].model_copy(update={slot: other})
            line = _line(i, said, facts, money, catalogue, tables, {})
            changes = changes or _part(line) != _part(lines[i])
            again = _totals(
                [line if n == i else other_line for n, other_line in enumerate(lines)], facts, money
            )
            payback = again.get("simple_payback_years")
            if base is not None and payback is not None:
                swing = max(swing, abs(float(payback.value) - float(base.value)))
        out[item.path] = (swing, changes)
    return out


def _part(line: QuoteLine) -> str:
    return line.options[0].product.part_number if line.options else ""
