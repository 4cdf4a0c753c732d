"""What holds for the whole job, completed: where it is, what a kWh costs, how long the lights burn, what an hour of labor costs.

Shared figures are made once, so that an assumption that many lines rest on moves as one.
"""

from dataclasses import dataclass, field
from decimal import Decimal

from engine.energy.hours import Hours, annual_hours
from engine.existing import Supposed
from engine.figure import Figure, Origin, assumed, stated
from engine.places import FoundPlace, UnknownPlace, find_place
from engine.quantities import decimal
from engine.request import Request, StatedJob
from engine.tables.facts import default, electric_rate
from engine.tables.miss import NoSuchRow
from engine.tables.tables import Tables
from engine.vocabulary import EXTERIOR_FAMILIES, Family


@dataclass(frozen=True, slots=True)
class JobFacts:
    """The job's shared figures.

    Attributes:
        place: where it is; ``None`` where no place was said; `UnknownPlace` where it was not found.
        state: two letters, where known.
        rate_per_kwh: [USD/kWh]. ``demand_rate_per_kw``: [USD/kW a month]; ``None`` where demand is not billed or not said.
        supposed: kinds of things taken without being told (which Toledo).
    """

    job: StatedJob
    building: str | None
    place: FoundPlace | UnknownPlace | None
    state: str | None
    latitude: float | None
    rate_per_kwh: Figure
    demand_rate_per_kw: Figure | None
    supposed: tuple[Supposed, ...]
    hours: "HoursOfJob"


@dataclass(slots=True)
class HoursOfJob:
    """Burn hours by family, each figure made once and shared by the lines that it holds for."""

    tables: Tables
    job: StatedJob
    building: str | None
    latitude: float | None
    _made: dict[tuple[float, float, float], Figure] = field(default_factory=dict)
    _by_family: dict[Family, Figure] = field(default_factory=dict)

    def of(self, family: Family) -> Figure:
        """``hours_per_year`` [h/yr] for a luminaire of ``family``."""
        figure = self._by_family.get(family)
        if figure is None:
            found = annual_hours(
                self.tables, self.job.schedule, family=family, building=self.building, latitude=self.latitude
            )
            key = (found.low, found.value, found.high)
            figure = self._made.setdefault(key, self._figure(found, family))
            self._by_family[family] = figure
        return figure

    def _figure(self, found: Hours, family: Family) -> Figure:
        if found.low == found.high and self.job.schedule is not None:
            return Figure(
                "hours_per_year", found.value, "h/yr", Origin("stated", found.source, "job.schedule")
            )
        where = "exterior" if family in EXTERIOR_FAMILIES else "interior"
        return assumed(
            "hours_per_year",
            found.value,
            "h/yr",
            found.low,
            found.high,
            found.source,
            f"job.schedule ({where})",
        )


def job_facts(request: Request, tables: Tables) -> JobFacts:
    """The shared figures of ``request``'s job."""
    job = request.job
    building = request.context.building if request.context else None
    place = None
    state = latitude = None
    supposed: list[Supposed] = []
    if job.place is not None:
        place = find_place(city=job.place.city, state=job.place.state, zip_code=job.place.zip, tables=tables)
        if isinstance(place, FoundPlace):
            state, latitude = place.state, place.latitude
            if job.place.state is None and job.place.zip is None and place.alternatives:
                others = tuple(f"{o.city}, {o.state}" for o in place.alternatives[:3])
                supposed.append(
                    Supposed(
                        "job.place",
                        f"{place.city}, {place.state}",
                        others,
                        "the largest US city of that name by number of ZIP codes",
                    )
                )
        else:
            state = job.place.state
    return JobFacts(
        job=job,
        building=building,
        place=place,
        state=state,
        latitude=latitude,
        rate_per_kwh=_rate(job, state, tables),
        demand_rate_per_kw=(
            None
            if job.demand_rate_per_kw is None
            else stated(
                "demand_rate_per_kw",
                decimal(job.demand_rate_per_kw),
                "USD/kW/month",
                "job.demand_rate_per_kw",
            )
        ),
        supposed=tuple(supposed),
        hours=HoursOfJob(tables, job, building, latitude),
    )


def _rate(job: StatedJob, state: str | None, tables: Tables) -> Figure:
    if job.rate_per_kwh is not None:
        return stated("rate_per_kwh", decimal(job.rate_per_kwh), "USD/kWh", "job.rate_per_kwh")
    row = electric_rate(tables, state)
    if isinstance(row, NoSuchRow):
        row = electric_rate(tables, None)
    if isinstance(row, NoSuchRow):
        raise LookupError("electric_rates.csv has no commercial rate for the US")
    where = "US" if row.state == "US" else row.state
    return assumed(
        "rate_per_kwh",
        row.usd_per_kwh,
        "USD/kWh",
        row.low,
        row.high,
        f"{where} average commercial rate, {row.period}: {row.provenance}",
        "job.rate_per_kwh",
    )


def default_figure(
    tables: Tables, key: str, name: str, unit: str, reference: str = "", scale: Decimal = Decimal(1)
) -> Figure:
    """A figure from the defaults table, with its range; ``reference`` is the slot that would replace it."""
    row = default(tables, key)
    if isinstance(row, NoSuchRow):
        raise LookupError(f"defaults.csv has no row {key}")
    money = unit.startswith("USD")
    value, low, high = (
        v if money else float(v) for v in (row.value * scale, row.value_low * scale, row.value_high * scale)
    )
    return assumed(name, value, unit, low, high, f"{row.provenance} (defaults.csv: {key})", reference)
