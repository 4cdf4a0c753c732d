"""Hours a year that lights burn: stated, from the night at a place, or assumed from a table, with a range.

Refuses to hide an assumption: whatever was not said is named in ``source`` and makes ``stated`` false.
"""

from typing import Final

from engine.energy.daylight import (
    CIVIL_ALTITUDE,
    DAYS_IN_YEAR,
    SUNSET_ALTITUDE,
    dark_hours_per_year,
    nights,
    overlap,
)
from engine.errors import ConfigurationError
from engine.quantities import WEEKS_PER_YEAR
from engine.record import record
from engine.request import Schedule, StatedHours
from engine.tables import NoSuchRow, Tables, building_type, default
from engine.tables.rows import BuildingTypeRow, DefaultRow
from engine.vocabulary import EXTERIOR_FAMILIES, Family

ALWAYS_ON_HOURS: Final = 8760.0
HALF_OF_ALL_HOURS: Final = 4380.0
"""12 h a day for 365 days: the trade's rule of thumb for dusk to dawn, a few hours above any real night sum."""
_DAY: Final = 24.0


@record
class Hours:
    """Hours a year.

    Attributes:
        value: base [h/yr]; ``low`` and ``high`` bound it and equal it where nothing was assumed.
        source: where it is from, in words.
        stated: true only if it follows from what was said and nothing else.
        days_per_week: base days a week behind the figure, where hours a day were said.
    """

    value: float
    low: float
    high: float
    source: str
    stated: bool
    days_per_week: float | None = None


def annual_hours(
    tables: Tables,
    schedule: Schedule | None,
    *,
    family: Family | None = None,
    building: str | None = None,
    latitude: float | None = None,
) -> Hours:
    """Hours a year for a luminaire on a schedule.

    Args:
        tables: the reference tables.
        schedule: what was said; ``None`` if nothing.
        family: the luminaire's family; outdoor families are taken to burn at night.
        building: key word of ``building_types.csv``; an unknown one counts as none.
        latitude: of the place, if known [degrees north].

    Returns:
        Always on: 8,760. Dusk to dawn: the nights at the latitude (base sunset to sunrise, low civil dusk to
        dawn, high 4,380 or the base if greater), or 4,300 (3,900 to 4,380) where the place is unknown. Hours a
        day and days a week: exactly, 52 weeks or, if every day, 365 days; days unsaid: 7 outdoors, indoors those of the building.
        No schedule: outdoors dusk to dawn, exit signs always on, else the building's hours, else those of an
        average commercial building.
    """
    kind = None if building is None else building_type(tables, building)
    known = kind if isinstance(kind, BuildingTypeRow) else None
    outdoors = family in EXTERIOR_FAMILIES
    if schedule == "always_on":
        return _exactly(ALWAYS_ON_HOURS, "stated: always on, 24 h x 365 days")
    if schedule == "dusk_to_dawn":
        return dusk_to_dawn_hours(tables, latitude)
    if isinstance(schedule, StatedHours):
        return _from_stated(tables, schedule, outdoors, known)
    if family == "exit":
        note = "assumed: exit signs are lit at all times (common practice; building codes ask for it)"
        return Hours(ALWAYS_ON_HOURS, ALWAYS_ON_HOURS, ALWAYS_ON_HOURS, note, stated=False)
    if family == "garage" and (known is None or known.location == "interior"):
        garage = building_type(tables, "parking_garage")
        if isinstance(garage, BuildingTypeRow):
            return _of_building(garage)
    if outdoors and (known is None or known.location != "garage"):
        night = dusk_to_dawn_hours(tables, latitude)
        return Hours(night.value, night.low, night.high, f"assumed: {night.source}", stated=False)
    if known is not None:
        return _of_building(known)
    row = _default(tables, "interior_annual_hours")
    return Hours(
        value=float(row.value),
        low=float(row.value_low),
        high=float(row.value_high),
        source=f"assumed: average commercial building (defaults.csv: interior_annual_hours; {row.provenance})",
        stated=False,
    )


def dusk_to_dawn_hours(tables: Tables, latitude: float | None) -> Hours:
    """Hours a year from dusk to dawn; ``stated`` is true where the place is known, since the night then follows."""
    if latitude is None:
        row = _default(tables, "dusk_to_dawn_hours")
        return Hours(
            value=float(row.value),
            low=float(row.value_low),
            high=float(row.value_high),
            source="dusk to dawn, place unknown (defaults.csv: dusk_to_dawn_hours)",
            stated=False,
        )
    base = dark_hours_per_year(latitude, SUNSET_ALTITUDE)
    return Hours(
        value=base,
        low=dark_hours_per_year(latitude, CIVIL_ALTITUDE),
        high=max(base, HALF_OF_ALL_HOURS),
        source=f"dusk to dawn: sunset to sunrise computed for latitude {latitude:.1f}; low: civil twilight",
        stated=True,
    )


def part_night_hours(latitude: float, off_at: float, on_again_at: float | None = None) -> float:
    """Hours a year lit from sunset until ``off_at`` and, if said, from ``on_again_at`` until sunrise [h/yr].

    Args:
        latitude: north [degrees].
        off_at: local solar hour when the lights go off, 0 to 24: 23 is before midnight, 1.5 after it.
        on_again_at: local solar hour of the morning when they come on again, 0 to 12.
    """
    off = _after_noon(off_at)
    total = 0.0
    for night in nights(latitude, SUNSET_ALTITUDE):
        total += overlap(night, _DAY / 2, off)
        if on_again_at is not None:
            total += overlap(night, max(off, _after_noon(on_again_at)), _DAY * 1.5)
    return total


def photocell_and_timer_hours(
    latitude: float, start: float, end: float, days_per_week: float = 7.0, altitude: float = SUNSET_ALTITUDE
) -> float:
    """Hours a year when a timer from ``start`` to ``end`` is on and it is dark too [h/yr].

    Args:
        latitude: north [degrees].
        start: local solar hour when the timer goes on, 0 to 24.
        end: local solar hour when it goes off; not after ``start`` means the next day, equal means all day.
        days_per_week: days a week that the timer runs.
        altitude: of the sun's center at which the photocell switches [degrees].
    """
    stop = end if end > start else end + _DAY
    hours = sum(
        overlap(night, start + shift, stop + shift)
        for night in nights(latitude, altitude)
        for shift in (-_DAY, 0.0, _DAY)
    )
    return hours * days_per_week / 7


def full_power_hours(hours: float, occupied_share: float, standby_level: float) -> float:
    """Hours at full power that use the energy of lights dimmed to ``standby_level`` while nobody is there [h/yr].

    Args:
        hours: hours a year that the lights are on at all [h/yr].
        occupied_share: share of those hours at full power, 0 to 1.
        standby_level: share of full power on standby, 0 (off) to 1.
    """
    for name, share in (("occupied_share", occupied_share), ("standby_level", standby_level)):
        if not 0.0 <= share <= 1.0:
            raise ValueError(f"{name} {share} is not between 0 and 1")
    return hours * (occupied_share + (1.0 - occupied_share) * standby_level)


def _exactly(hours: float, source: str, days: float | None = None) -> Hours:
    return Hours(hours, hours, hours, source, stated=True, days_per_week=days)


def _from_stated(tables: Tables, said: StatedHours, outdoors: bool, known: BuildingTypeRow | None) -> Hours:
    if said.hours_per_year is not None:
        return _exactly(said.hours_per_year, f"stated: {said.hours_per_year:g} h a year")
    if said.hours_per_day is None:
        raise ValueError("stated hours hold neither hours a day nor hours a year")
    daily = said.hours_per_day
    if said.days_per_week is not None:
        days = said.days_per_week
        source = f"stated: {daily:g} h a day, {days:g} days a week, {_days_in_year(days):g} days a year"
        return _exactly(daily * _days_in_year(days), source, days)
    if known is not None and not outdoors:
        low, base, high = known.days_per_week_low, known.days_per_week, known.days_per_week_high
        why = f"building_types.csv: {known.building}"
    else:
        row = _default(tables, "exterior_days_per_week" if outdoors else "interior_days_per_week")
        low, base, high = float(row.value_low), float(row.value), float(row.value_high)
        why = f"defaults.csv: {row.key}"
    return Hours(
        value=daily * _days_in_year(base),
        low=daily * _days_in_year(low),
        high=daily * _days_in_year(high),
        source=f"stated: {daily:g} h a day; assumed: {base:g} days a week ({why})",
        stated=False,
        days_per_week=base,
    )


def _days_in_year(days_per_week: float) -> float:
    """52 weeks of that many days, as the trade counts (2,600 h for 10 h on 5 days); every day of the week is 365."""
    return float(DAYS_IN_YEAR) if days_per_week >= 7 else days_per_week * WEEKS_PER_YEAR


def _of_building(row: BuildingTypeRow) -> Hours:
    return Hours(
        value=row.annual_hours,
        low=row.annual_hours_low,
        high=row.annual_hours_high,
        source=f"assumed: usual hours, {row.title} (building_types.csv: {row.building})",
        stated=False,
    )


def _default(tables: Tables, key: str) -> DefaultRow:
    row = default(tables, key)
    if isinstance(row, NoSuchRow):
        raise ConfigurationError(f"defaults.csv: found no row {key!r}, allowed: a table with that row")
    return row


def _after_noon(hour: float) -> float:
    """An hour of the clock, counted on from noon: 23 stays 23, 1.5 becomes 25.5."""
    if not 0.0 <= hour <= _DAY:
        raise ValueError(f"hour {hour} is not between 0 and 24")
    return hour if hour >= _DAY / 2 else hour + _DAY
