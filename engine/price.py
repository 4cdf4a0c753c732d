"""What a kWh and a kW of these lights cost: stated, by a tariff and the hours they burn, or the state's average.

One figure for all lines that burn alike, so that an assumption moves as one.
"""

from dataclasses import dataclass, field
from typing import Final

from engine.energy.load_shape import shape_of
from engine.figure import Figure, assumed, defined, derive, stated
from engine.known import Known
from engine.money.bill import demand_worth, energy_price
from engine.money.tariff import Tariff
from engine.proposal import Reason
from engine.quantities import decimal
from engine.record import record
from engine.request import Schedule, StatedHours, StatedJob
from engine.tables.facts import electric_rate
from engine.tables.miss import NoSuchRow
from engine.tables.tables import Tables
from engine.vocabulary import EXTERIOR_FAMILIES, Family

MONTHS: Final = defined("months", 12, "month/yr", "months in a year")


@record
class Price:
    """Prices for lights that burn alike.

    Attributes:
        rate_per_kwh: [USD/kWh].
        demand_usd_per_kw_year: what a kW less saves in a year [USD/kW/yr]; ``None`` where no demand charge is known.
        notes: what should be said about them.
    """

    rate_per_kwh: Figure
    demand_usd_per_kw_year: Figure | None
    notes: tuple[Reason, ...] = ()


@dataclass(slots=True)
class PriceOfJob:
    """Prices by family, each made once."""

    known: Known
    job: StatedJob
    state: str | None
    latitude: float | None
    tariff: Tariff | None
    _flat: Figure | None = None
    _by_family: dict[Family, Price] = field(default_factory=dict)
    _by_shape: dict[tuple[bool, float], Price] = field(default_factory=dict)

    def of(self, family: Family, hours_per_year: Figure) -> Price:
        """The prices for lights of ``family`` that burn ``hours_per_year`` [h/yr]."""
        found = self._by_family.get(family)
        if found is None:
            outdoors = family in EXTERIOR_FAMILIES
            key = (outdoors, float(hours_per_year.value))
            found = self._by_shape.get(key)
            if found is None:
                found = self._by_shape[key] = self._make(outdoors, float(hours_per_year.value))
            self._by_family[family] = found
        return found

    def _make(self, outdoors: bool, hours: float) -> Price:
        if self.tariff is not None and hours > 0:
            shape = shape_of(_schedule(self.job.schedule, outdoors, hours), outdoors, self.latitude)
            demand = demand_worth(self.tariff, shape)
            if self.job.rate_per_kwh is not None:
                return Price(self.flat(), demand.figure, demand.notes)
            energy = energy_price(self.tariff, shape)
            return Price(energy.figure, demand.figure, (*energy.notes, *demand.notes))
        return Price(self.flat(), self._stated_demand(outdoors))

    def _stated_demand(self, outdoors: bool) -> Figure | None:
        if self.job.demand_rate_per_kw is None:
            return None
        rate = stated(
            "demand_rate_per_kw",
            decimal(self.job.demand_rate_per_kw),
            "USD/kW/month",
            "job.demand_rate_per_kw",
        )
        if outdoors and self.job.schedule != "always_on":
            met = defined("demand_coincidence", 0, "1", "lit at night; the billed peak is by day")
        else:
            met = assumed(
                "demand_coincidence", 0.9, "1", 0.6, 1.0,
                "common practice, no source: share of the lights on at the building's billed peak",
            )  # fmt: skip
        return derive(
            "demand_usd_per_kw_year",
            "USD/kW/yr",
            "demand_rate_per_kw * demand_coincidence * months",
            rate,
            met,
            MONTHS,
        )

    def flat(self) -> Figure:
        """``rate_per_kwh`` [USD/kWh] without a tariff: stated, or the average of the state, or of the country."""
        if self._flat is None:
            self._flat = self._rate()
        return self._flat

    def _rate(self) -> Figure:
        if self.job.rate_per_kwh is not None:
            return stated("rate_per_kwh", decimal(self.job.rate_per_kwh), "USD/kWh", "job.rate_per_kwh")
        return self.known.get("rates", self.state, lambda: _average_rate(self.state, self.known.tables))


def _schedule(said: Schedule | None, outdoors: bool, hours: float) -> Schedule | None:
    """Indoors without a schedule the lights burn the building's usual hours, five days where those fit into working days."""
    if said is not None or outdoors:
        return said
    if hours >= 8760:
        return "always_on"
    days = 5.0 if hours <= 260 * 16 else 7.0
    return StatedHours(hours_per_day=min(24.0, hours / 365 * 7 / days), days_per_week=days)


def _average_rate(state: str | None, tables: Tables) -> Figure:
    row = electric_rate(tables, state)
    if isinstance(row, NoSuchRow):
        row = electric_rate(tables, None)
    if isinstance(row, NoSuchRow):
        raise LookupError("electric_rates.csv has no commercial rate for the US")
    return assumed(
        "rate_per_kwh",
        row.usd_per_kwh,
        "USD/kWh",
        row.low,
        row.high,
        f"{row.state} average commercial rate, {row.period}: {row.provenance}",
        "job.rate_per_kwh",
    )
