"""What hangs there now: the lamp, its ballast, the watts it really draws, the light it still delivers.

Whatever was not said is completed from the tables, and each completion is a named assumption with its source.
Light outdoors and indoors follows one method: mean lumens x lamps x ballast factor x luminaire efficiency x dirt depreciation;
mean lumens already hold the lamp's own depreciation, so it is not applied again.
"""

from dataclasses import replace
from functools import lru_cache, partial
from typing import Any, Final

from engine.figure import Figure, assumed, derive, looked_up, stated
from engine.light.photometry import Photometry
from engine.light.toward import total_lumens
from engine.proposal import Existing, Reason
from engine.record import record
from engine.request import StatedLine
from engine.tables.facts import (
    ballast_factor,
    dirt_depreciation,
    family_facts,
    lamp_depreciation,
    optics_factor,
)
from engine.tables.lamps import UsualLamp, lamp, maintenance, usual_lamps
from engine.tables.miss import NoSuchRow, plain
from engine.tables.provenance import part
from engine.tables.rows import FamilyRow
from engine.tables.tables import Tables
from engine.tables.watts import system_watts
from engine.vocabulary import HID_SOURCES, Family, LampSource

_LIKELY_ENOUGH: Final = 0.12
"""A lamp that hangs in fewer than about one in eight such luminaires is not named as the other possibility."""
MOST_LOOKED_UP: Final = 1024
_NO_BALLAST: Final = frozenset({"INC", "HAL"})


@record
class Supposed:
    """A kind of thing that we took without being told: a lamp technology, a number of lamps.

    Attributes:
        path: the slot it fills.
        value, others: as in the slot; ``others`` most likely first.
        source: why.
    """

    path: str
    value: Any
    others: tuple[Any, ...]
    source: str


@record
class Completed:
    """One line with everything that choosing and computing need.

    Attributes:
        line: the stated line with what was supposed filled in.
        existing: ``None`` where nothing is known of the present kind and an LED was asked for.
        supposed: what was filled in.
        useful_lumens: delivered light that has to be replaced [lm]: delivered lumens x optics factor.
        led_loss: share of an LED's initial lumens that counts [1], as figures ``led_depreciation`` and ``led_dirt_depreciation``.
        problem: why nothing can be chosen, or ``None``.
    """

    line: StatedLine
    existing: Existing | None
    supposed: tuple[Supposed, ...]
    useful_lumens: Figure | None
    led_depreciation: Figure
    led_dirt_depreciation: Figure
    facts: FamilyRow
    problem: Reason | None = None


class Lookups:
    """The tables with what was looked up in them lately: quotes ask for the same rows over and over."""

    def __init__(self, tables: Tables) -> None:
        cache = lru_cache(maxsize=MOST_LOOKED_UP)
        self.tables = tables
        self.usual_lamps = cache(partial(usual_lamps, tables))
        self.system_watts = cache(partial(system_watts, tables))
        self.lamp = cache(partial(lamp, tables))
        self.facts = cache(partial(_facts, tables))
        self.led_loss = cache(partial(_led_loss, tables))
        self.optics = cache(partial(_optics, tables))
        self.dirt_depreciation = cache(partial(dirt_depreciation, tables))
        self.ballast_factor = cache(partial(ballast_factor, tables))
        self.maintenance = cache(partial(maintenance, tables))


def complete(index: int, said: StatedLine, family: Family, lookups: Lookups) -> Completed:
    """``said`` completed for its ``family``; ``index`` names its slots in assumptions."""
    prefix = f"lines.{index}"
    facts = lookups.facts(family)
    led_depreciation, led_dirt = lookups.led_loss(facts.environment)
    line = said.model_copy(update={"family": family})

    def done(
        existing: Existing | None,
        supposed: list[Supposed],
        useful: Figure | None,
        problem: Reason | None = None,
    ) -> Completed:
        return Completed(line, existing, tuple(supposed), useful, led_depreciation, led_dirt, facts, problem)

    if said.source == "LED":
        return done(None, [], None, Reason("already_led", {"led_watts": said.watts or said.input_watts}))
    nothing_known = (
        said.source is None and said.watts is None and said.input_watts is None and said.lamps is None
    )
    if nothing_known and (said.led_watts is not None or said.led_lumens is not None):
        return done(None, [], None)

    supposed: list[Supposed] = []
    found = _lamp_of(prefix, said, family, lookups, supposed)
    if found is None:
        return done(None, supposed, None, Reason("light_unknown", {"family": family}))
    source, lamp_watts, lamps, lamp_feet = found
    line = line.model_copy(
        update={
            "source": source,
            "watts": lamp_watts,
            "lamps": lamps,
            "lamp_feet": lamp_feet or said.lamp_feet,
        }
    )
    watts_figure, ballast = _input_watts(prefix, said, source, lamp_watts, lamps, lamp_feet, lookups)
    delivered = _delivered(prefix, said, source, lamp_watts, lamps, lamp_feet, ballast, facts, lookups)
    useful = None
    if delivered is not None:
        useful = derive(
            "useful_lumens",
            "lm",
            "delivered_lumens_before * optics_factor",
            delivered,
            lookups.optics(facts.environment),
        )
    existing = Existing(
        family=family,
        source=source,
        lamp_watts=lamp_watts,
        lamps=lamps,
        lamp_feet=lamp_feet,
        ballast=ballast,
        source_is_assumed=said.source is None,
        input_watts=watts_figure,
        delivered_lumens=delivered,
    )
    problem = None
    if useful is None and said.led_watts is None and said.led_lumens is None:
        problem = Reason("light_unknown", {"family": family})
    return done(existing, supposed, useful, problem)


def with_own_light(done: Completed, own: Photometry, reference: str, lookups: Lookups) -> Completed:
    """``done`` with the lumens of the present luminaire's own photometric file (type C) in place of lamp and efficiency.

    What ages and gathers dirt is not in a file: depreciation and ballast factor stay as they were.
    """
    existing = done.existing
    if existing is None or existing.source is None:
        return done
    inputs = [stated("file_lumens", total_lumens(own), "lm", reference)]
    lld = lamp_depreciation(lookups.tables, existing.source)
    if not isinstance(lld, NoSuchRow):
        row = f"lamp_depreciation.csv: {existing.source}"
        inputs.append(
            looked_up("lamp_depreciation", lld.lld, "1", lld.provenance, row, lld.lld_low, lld.lld_high)
        )
    dirt = lookups.dirt_depreciation(done.facts.environment, "legacy")
    if not isinstance(dirt, NoSuchRow):
        row = f"dirt_depreciation.csv: {done.facts.environment} legacy"
        inputs.append(
            looked_up("dirt_depreciation", dirt.ldd, "1", dirt.provenance, row, dirt.ldd_low, dirt.ldd_high)
        )
    if existing.delivered_lumens is not None:
        inputs += [f for f in existing.delivered_lumens.inputs if f.name == "ballast_factor"]
    formula = " * ".join(figure.name for figure in inputs)
    delivered = derive("delivered_lumens_before", "lm", formula, *inputs)
    useful = derive(
        "useful_lumens",
        "lm",
        "delivered_lumens_before * optics_factor",
        delivered,
        lookups.optics(done.facts.environment),
    )
    existing = replace(existing, delivered_lumens=delivered)
    problem = None if done.problem is not None and done.problem.key == "light_unknown" else done.problem
    return replace(done, existing=existing, useful_lumens=useful, problem=problem)


def _facts(tables: Tables, family: Family) -> FamilyRow:
    row = family_facts(tables, family)
    if isinstance(row, NoSuchRow):
        raise LookupError(f"families.csv has no row for {family}")
    return row


def _led_loss(tables: Tables, environment: str) -> tuple[Figure, Figure]:
    lld = lamp_depreciation(tables, "LED")
    ldd = dirt_depreciation(tables, environment, "led")
    if isinstance(lld, NoSuchRow) or isinstance(ldd, NoSuchRow):
        raise LookupError(f"depreciation tables have no LED row for {environment}")
    return (
        looked_up(
            "led_depreciation",
            lld.lld,
            "1",
            lld.provenance,
            "lamp_depreciation.csv: LED",
            lld.lld_low,
            lld.lld_high,
        ),
        looked_up(
            "led_dirt_depreciation",
            ldd.ldd,
            "1",
            ldd.provenance,
            f"dirt_depreciation.csv: {environment} led",
            ldd.ldd_low,
            ldd.ldd_high,
        ),
    )


def _optics(tables: Tables, environment: str) -> Figure:
    row = optics_factor(tables, environment)
    if isinstance(row, NoSuchRow):
        raise LookupError(f"optics_factor.csv has no row for {environment}")
    return looked_up(
        "optics_factor",
        row.factor,
        "1",
        row.provenance,
        f"optics_factor.csv: {environment}",
        row.factor_low,
        row.factor_high,
    )


def _lamp_of(
    prefix: str, said: StatedLine, family: Family, lookups: Lookups, supposed: list[Supposed]
) -> tuple[LampSource, float, int, float | None] | None:
    """The lamp that hangs there: what was said, completed by what such a luminaire usually holds."""
    usual = lookups.usual_lamps(
        family,
        source=said.source,
        lamp_watts=said.watts,
        lamps=said.lamps,
        lamp_feet=said.lamp_feet,
        size=said.size,
    )
    if isinstance(usual, NoSuchRow):
        usual = lookups.usual_lamps(family, source=said.source, lamp_watts=said.watts)
    if isinstance(usual, NoSuchRow):
        # Nothing usual agrees: what was said stands, if it is enough.
        if said.source is None or said.watts is None:
            return None
        return said.source, said.watts, said.lamps or 1, said.lamp_feet
    candidates = usual.lamps
    if said.watts is None and said.input_watts is not None:
        candidates = tuple(sorted(candidates, key=lambda u: _watts_gap(u, said.input_watts or 0.0, lookups)))
    best = candidates[0]
    source = said.source or best.lamp_source
    lamp_watts = said.watts or best.lamp_watts
    lamps = said.lamps or best.lamps
    lamp_feet = said.lamp_feet or best.lamp_feet
    why = f"{usual.reference}; {usual.provenance}"
    if said.source is None:
        supposed.append(Supposed(f"{prefix}.source", source, _other_sources(candidates, source), why))
    if said.watts is None:
        supposed.append(
            Supposed(
                f"{prefix}.watts",
                lamp_watts,
                _others([u.lamp_watts for u in candidates if u.lamp_source == source], lamp_watts),
                why,
            )
        )
    if said.lamps is None and source not in HID_SOURCES and lamps != 1:
        supposed.append(
            Supposed(
                f"{prefix}.lamps",
                lamps,
                _others([u.lamps for u in candidates if u.lamp_source == source], lamps),
                why,
            )
        )
    return source, lamp_watts, lamps, lamp_feet


def _watts_gap(usual: UsualLamp, input_watts: float, lookups: Lookups) -> float:
    found = lookups.system_watts(usual.lamp_source, usual.lamp_watts, usual.lamps, usual.lamp_feet)
    return float("inf") if isinstance(found, NoSuchRow) else abs(found.watts - input_watts)


def _other_sources(candidates: tuple[UsualLamp, ...], taken: LampSource) -> tuple[LampSource, ...]:
    shares: dict[LampSource, float] = {}
    for usual in candidates:
        shares[usual.lamp_source] = shares.get(usual.lamp_source, 0.0) + usual.share
    likely = [s for s, share in shares.items() if s != taken and share >= _LIKELY_ENOUGH]
    return tuple(sorted(likely, key=lambda s: (-shares[s], s))[:3])


def _others(values: list[Any], taken: Any) -> tuple[Any, ...]:
    return tuple(dict.fromkeys(v for v in values if v != taken))[:3]


def _input_watts(
    prefix: str,
    said: StatedLine,
    source: LampSource,
    lamp_watts: float,
    lamps: int,
    lamp_feet: float | None,
    lookups: Lookups,
) -> tuple[Figure | None, str]:
    found = lookups.system_watts(source, lamp_watts, lamps, lamp_feet)
    ballast = "" if isinstance(found, NoSuchRow) or source in _NO_BALLAST else found.ballast
    if said.input_watts is not None:
        return stated("input_watts_before", said.input_watts, "W", f"{prefix}.input_watts"), ballast
    if isinstance(found, NoSuchRow):
        total = lamp_watts * lamps
        return (
            assumed(
                "input_watts_before",
                total * 1.1,
                "W",
                total,
                total * 1.25,
                f"no row in system_watts.csv for {source} {plain(lamp_watts)} W: lamp watts plus 10 % for the ballast; common practice, no source",
                f"{prefix}.input_watts",
            ),
            ballast,
        )
    return (
        looked_up(
            "input_watts_before", found.watts, "W", found.provenance, found.reference, found.low, found.high
        ),
        ballast,
    )


def _delivered(
    prefix: str,
    said: StatedLine,
    source: LampSource,
    lamp_watts: float,
    lamps: int,
    lamp_feet: float | None,
    ballast: str,
    facts: FamilyRow,
    lookups: Lookups,
) -> Figure | None:
    row = lookups.lamp(source, lamp_watts, lamp_feet)
    dirt = lookups.dirt_depreciation(facts.environment, "legacy")
    if isinstance(row, NoSuchRow) or isinstance(dirt, NoSuchRow):
        return None
    count = (
        stated("lamps", lamps, "1", f"{prefix}.lamps")
        if said.lamps is not None
        else assumed("lamps", lamps, "1", lamps, lamps, "lamps usual in such a luminaire", f"{prefix}.lamps")
    )
    inputs = [
        looked_up(
            "lamp_mean_lumens",
            row.mean_lumens,
            "lm",
            row.provenance,
            row.reference,
            row.mean_lumens_low,
            row.mean_lumens_high,
        ),
        count,
        looked_up(
            "luminaire_efficiency",
            facts.efficiency,
            "1",
            part(facts.provenance, "efficiency"),
            f"families.csv: {facts.family}",
            facts.efficiency_low,
            facts.efficiency_high,
        ),
        looked_up(
            "dirt_depreciation",
            dirt.ldd,
            "1",
            dirt.provenance,
            f"dirt_depreciation.csv: {facts.environment} legacy",
            dirt.ldd_low,
            dirt.ldd_high,
        ),
    ]
    formula = "lamp_mean_lumens * lamps * luminaire_efficiency * dirt_depreciation"
    factor = lookups.ballast_factor(source, ballast or None)
    if not isinstance(factor, NoSuchRow):
        inputs.append(
            looked_up(
                "ballast_factor",
                factor.factor,
                "1",
                factor.provenance,
                f"ballast_factor.csv: {factor.lamp_source} {factor.ballast}",
                factor.factor_low,
                factor.factor_high,
            )
        )
        formula += " * ballast_factor"
    return derive("delivered_lumens_before", "lm", formula, *inputs)
