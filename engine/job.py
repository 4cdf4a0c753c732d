"""What holds for the whole job, completed: where it is, what a kWh costs, how long the lights burn, what an hour of labor costs.

Shared figures are made once, so that an assumption that many lines rest on moves as one.
"""

from dataclasses import dataclass, field

from engine.energy.hours import Hours, annual_hours
from engine.existing import Supposed
from engine.figure import Figure, Origin, assumed
from engine.known import Known
from engine.money.tariff import Tariff
from engine.places import FoundPlace, UnknownPlace, find_place
from engine.price import PriceOfJob
from engine.record import record
from engine.request import Request, StatedJob
from engine.tables.facts import default
from engine.tables.miss import NoSuchRow
from engine.tables.tables import Tables
from engine.vocabulary import EXTERIOR_FAMILIES, Family


@record
class JobFacts:
    """The job's shared figures.

    Attributes:
        place: where it is; ``None`` where no place was said; `UnknownPlace` where it was not found.
        state: two letters, where known.
        price: what a kWh and a kW cost, by family.
        supposed: kinds of things taken without being told (which Toledo).
    """

    job: StatedJob
    building: str | None
    place: FoundPlace | UnknownPlace | None
    state: str | None
    latitude: float | None
    price: PriceOfJob
    supposed: tuple[Supposed, ...]
    hours: "HoursOfJob"


@dataclass(slots=True)
class HoursOfJob:
    """Burn hours by family, each figure made once and shared by the lines that it holds for."""

    known: Known
    job: StatedJob
    building: str | None
    latitude: float | None
    _made: dict[tuple[float, float, float], Figure] = field(default_factory=dict)
    _by_family: dict[Family, Figure] = field(default_factory=dict)

    def of(self, family: Family) -> Figure:
        """``hours_per_year`` [h/yr] for a luminaire of ``family``."""
        figure = self._by_family.get(family)
        if figure is None:
            key = (self.job.schedule, family, self.building, self.latitude)
            ends, made = self.known.get("hours", key, lambda: self._make(family))
            figure = self._by_family[family] = self._made.setdefault(ends, made)
        return figure

    def _make(self, family: Family) -> tuple[tuple[float, float, float], Figure]:
        found = annual_hours(
            self.known.tables,
            self.job.schedule,
            family=family,
            building=self.building,
            latitude=self.latitude,
        )
        return (found.low, found.value, found.high), self._figure(found, family)

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


def job_facts(request: Request, known: Known, tariff: Tariff | None = None) -> JobFacts:
    """The shared figures of ``request``'s job."""
    job, tables = request.job, known.tables
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
        price=PriceOfJob(known, job, state, latitude, tariff),
        supposed=tuple(supposed),
        hours=HoursOfJob(known, job, building, latitude),
    )


def default_figure(tables: Tables, key: str, name: str, unit: str, reference: str = "") -> Figure:
    """A figure from the defaults table, with its range; ``reference`` is the slot that would replace it."""
    row = default(tables, key)
    if isinstance(row, NoSuchRow):
        raise LookupError(f"defaults.csv has no row {key}")
    money = unit.startswith("USD")
    value, low, high = (v if money else float(v) for v in (row.value, row.value_low, row.value_high))
    return assumed(name, value, unit, low, high, f"{row.provenance} (defaults.csv: {key})", reference)
