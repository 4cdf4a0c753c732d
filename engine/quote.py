"""The one door of the engine: a request, a catalogue and the tables become a quote. Pure: same input, same quote."""

from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Final

from engine.assumptions import assumptions_of
from engine.catalog.catalogue import Catalogue
from engine.cautions import cautions_for
from engine.energy.carbon import carbon_rate
from engine.energy.controls import controls_of_job
from engine.energy.interactive import Interactive, interactive
from engine.existing import Supposed
from engine.figure import Figure
from engine.job import JobFacts, job_facts
from engine.job_money import job_money
from engine.known import Known, known_of
from engine.light.layout_shape import Layout
from engine.light.photometry import Photometry
from engine.light.toward import as_type_c
from engine.line_money import MoneyFacts, money_facts
from engine.money.ranges import cumulative_band, ranges
from engine.money.tariff import Tariff
from engine.notes import notes_for
from engine.proposal import Quote, QuoteLine
from engine.questions import questions_for
from engine.quoted_line import LineMaker, MadeLine
from engine.request import Request
from engine.tables.facts import building_type
from engine.tables.miss import NoSuchRow
from engine.tables.tables import Tables
from engine.terms import Terms

NO_TERMS: Final = Terms()
NO_LIGHT: Final[Mapping[int, Photometry]] = MappingProxyType({})
RANGED: Final = (
    "kwh_saved_per_year",
    "energy_cost_saved_per_year",
    "maintenance_saved_per_year",
    "saved_per_year",
    "project_cost",
    "net_cost",
    "simple_payback_years",
    "premium_payback_years",
    "energy_payback_years",
    "npv",
)
"""Results whose combined range is reported."""


def make_quote(
    request: Request,
    catalogue: Catalogue,
    tables: Tables,
    terms: Terms = NO_TERMS,
    tariff: Tariff | None = None,
    own_light: Mapping[int, Photometry] = NO_LIGHT,
) -> Quote:
    """Select and compute for every line of ``request``.

    Lines that can't be offered anything carry their ``problem``; the rest is quoted all the same.

    Args:
        request: what was stated.
        catalogue: what is for sale.
        tables: the reference tables.
        terms: taxes, rebate program, discounting and the like.
        tariff: prices by time, block and demand; a rate that the message states wins over its energy prices.
        own_light: by index of the line, the user's own photometric file of what hangs there now; without one a generic
            shape stands for it.

    Raises:
        engine.catalog.fault.CatalogueFault: a photometric file of the catalogue that is needed can't be trusted.
    """
    known = known_of(catalogue, tables)
    facts = job_facts(request, known, tariff)
    money = _money_facts(request, known, terms)
    maker = LineMaker(
        facts,
        money,
        catalogue,
        known,
        known.get("controls", (), lambda: controls_of_job(tables)),
        known.get("carbon", facts.state, lambda: carbon_rate(tables, facts.state)),
        _hvac(facts, tables),
        {index: as_type_c(photometry) for index, photometry in own_light.items()},
        None if request.light is None else request.light.level_fc,
    )
    made = [maker.make(i, said) for i, said in enumerate(request.lines)]
    lines = tuple(m.line for m in made)
    supposed = (*facts.supposed, *(item for m in made for item in m.supposed))
    job = job_money(made, money)
    spread = ranges({name: job.totals[name] for name in RANGED if name in job.totals})
    swings = _swings_of_supposed(supposed, made, job.totals, maker)
    return Quote(
        request=request,
        lines=lines,
        totals=job.totals,
        hours_per_year=_hours(lines, facts),
        assumptions=assumptions_of(lines, job.totals, supposed, spread, swings),
        spreads=spread.spreads,
        swings=tuple(sorted(spread.swings("simple_payback_years"), key=lambda s: (-s.width, s.key))),
        questions=questions_for(request, lines, supposed, spread, swings),
        cautions=cautions_for(lines, facts.building),
        stop=None,
        notes=notes_for(request, facts, made, job),
        life_cycle=job.life_cycle,
        cash_band=() if job.life_cycle is None else cumulative_band(spread, len(job.life_cycle.table) - 1),
        catalog_version=catalogue.version,
        tables_version=tables.version,
        layouts=_layouts(request, lines, catalogue, tables),
    )


def _money_facts(request: Request, known: Known, terms: Terms) -> MoneyFacts:
    """The shared money figures; the same for all jobs on the same terms that state the same of labor and rebates."""
    job = request.job
    key = (job.labor_per_luminaire, job.rebate_per_luminaire, id(terms))
    # the terms are kept beside: while they are, nothing else has their id
    kept = known.get("money", key, lambda: (terms, money_facts(request, known.tables, terms)))
    return kept[1]


def _layouts(
    request: Request, lines: Sequence[QuoteLine], catalogue: Catalogue, tables: Tables
) -> tuple[Layout, ...]:
    """What was asked of light, answered; a job without such a question does not pay for it."""
    if request.light is None:
        return ()
    from engine.light.layout import layouts_of

    return layouts_of(request.light, lines, catalogue, tables)


def _hvac(facts: JobFacts, tables: Tables) -> Interactive | None:
    """Factors of the building that was named; of an unnamed one nothing is known, so nothing is said."""
    if facts.building is None:
        return None
    row = building_type(tables, facts.building)
    if isinstance(row, NoSuchRow) or row.hvac_building is None:
        return None
    return interactive(tables, row.hvac_building, None, conditioned=True)


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
    supposed: Sequence[Supposed], made: Sequence[MadeLine], totals: Mapping[str, Figure], maker: LineMaker
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
            other_line = maker.make(i, made[i].line.stated.model_copy(update={slot: other}), first_only=True)
            changes = changes or _part(other_line.line) != _part(made[i].line)
            again = job_money(
                [other_line if n == i else m for n, m in enumerate(made)], maker.money, whole_life=False
            ).totals
            payback = again.get("simple_payback_years")
            if base is not None and payback is not None:
                swing = max(swing, abs(float(payback.value) - float(base.value)))
        out[item.path] = (swing, changes)
    return out


def _part(line: QuoteLine) -> str:
    return line.options[0].product.part_number if line.options else ""
