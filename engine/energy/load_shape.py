"""When lights burn: for each month, weekday or weekend, and clock hour, the share of the hour that they are on (0 to 1).

A year of 365 days with five weekdays in seven, so that no calendar year is preferred.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final, Literal

from engine.energy.daylight import DAYS_IN_MONTH, DAYS_IN_YEAR, dark_share_by_hour
from engine.request import Schedule, StatedHours

Day = Literal["weekday", "weekend"]
DAYS: Final[tuple[Day, Day]] = ("weekday", "weekend")
MONTHS: Final = tuple(range(1, 13))
HOURS: Final = 24
_MIDDLE_LATITUDE: Final = 39.0
_USUAL_HOURS: Final = 10.0
_EVENING: Final = 18.0
_MIDDAY: Final = 13.0
SUMMER_TIME: Final = frozenset(range(4, 11))
"""Months counted as daylight saving time, April to October (the law's second Sunday in March to first in November, rounded)."""

Hourly = tuple[float, ...]


@dataclass(frozen=True)
class LoadShape:
    """Shares of each hour that the lights are on.

    Attributes:
        on: [month 0..11][0 weekday, 1 weekend][hour 0..23], each 0 to 1.
    """

    on: tuple[tuple[Hourly, Hourly], ...]

    def __post_init__(self) -> None:
        if len(self.on) != len(MONTHS) or any(
            len(days) != len(DAYS) or any(len(hours) != HOURS for hours in days) for days in self.on
        ):
            raise ValueError("a load shape has 12 months of weekday and weekend of 24 hours")
        for days in self.on:
            for hours in days:
                if not all(0 <= share <= 1 for share in hours):
                    raise ValueError("a share of an hour lies between 0 and 1")

    @cached_property
    def hours_by_month(self) -> tuple[float, ...]:
        """Hours lit in each month [h]."""
        return tuple(
            sum(days_in(month, day) * sum(self.on[month - 1][d]) for d, day in enumerate(DAYS))
            for month in MONTHS
        )

    @property
    def hours_per_year(self) -> float:
        """Hours lit in a year [h/yr]."""
        return sum(self.hours_by_month)

    def hours_within(self, month: int, day: Day, hours: frozenset[int]) -> float:
        """Hours lit in a month on such days during the clock hours ``hours`` [h]."""
        row = self.on[month - 1][DAYS.index(day)]
        return days_in(month, day) * sum(row[hour] for hour in hours)

    def scaled(self, share: float) -> "LoadShape":
        """The shape of lights that are on for ``share`` (0 to 1) of the time at every hour: lights on motion."""
        return LoadShape(
            tuple(
                (tuple(x * share for x in week), tuple(x * share for x in weekend))
                for week, weekend in self.on
            )
        )


def days_in(month: int, day: Day) -> float:
    """Weekdays or weekend days of month 1 to 12 in an average year."""
    return DAYS_IN_MONTH[month - 1] * (5 if day == "weekday" else 2) / 7


def always_on() -> LoadShape:
    """Lit at all hours."""
    full: Hourly = (1.0,) * HOURS
    return LoadShape(((full, full),) * len(MONTHS))


def within_hours(start: float, end: float, days_per_week: float = 7) -> LoadShape:
    """Lit from ``start`` to ``end`` by the clock [h]; an end not after the start is the next morning.

    Args:
        start: 0 to 24.
        end: 0 to 24.
        days_per_week: five and fewer fall on weekdays, the rest on weekends.
    """
    if not (0 <= start <= HOURS and 0 <= end <= HOURS):
        raise ValueError(f"a day has 24 hours: {start} to {end} cannot be")
    spans = [(start, end)] if end > start else [(start, float(HOURS)), (0.0, end)]
    lit = tuple(
        min(1.0, sum(max(0.0, min(to, hour + 1) - max(since, hour)) for since, to in spans))
        for hour in range(HOURS)
    )
    week = min(days_per_week, 5) / 5
    weekend = max(days_per_week - 5, 0) / 2
    return LoadShape(((tuple(x * week for x in lit), tuple(x * weekend for x in lit)),) * len(MONTHS))


def dusk_to_dawn(dark_share_by_hour: Sequence[Sequence[float]], summer_time: bool = True) -> LoadShape:
    """Lit whenever it is dark.

    Args:
        dark_share_by_hour: 12 months of 24 hours, local solar time, as `engine.energy.daylight` gives them.
        summer_time: from April to October the clock stands an hour ahead.
    """
    months = []
    for month, row in zip(MONTHS, dark_share_by_hour, strict=True):
        hours = tuple(float(x) for x in row)
        if summer_time and month in SUMMER_TIME:
            hours = hours[-1:] + hours[:-1]
        months.append((hours, hours))
    return LoadShape(tuple(months))


def hours_between(spans: Sequence[tuple[int, int]]) -> frozenset[int]:
    """Clock hours from and to which ``spans`` run; a span whose end is not after its start runs over midnight.

    >>> sorted(hours_between([(22, 2)]))
    [0, 1, 22, 23]
    """
    return frozenset(hour % HOURS for start, end in spans for hour in _span(start, end))


def _span(start: int, end: int) -> Iterator[int]:
    yield from range(start, end if end > start else end + HOURS)


def shape_of(
    schedule: Schedule | None, outdoors: bool, latitude: float | None, days_per_week: float = 7
) -> LoadShape:
    """When lights burn, from what was said of their hours; the clock is assumed where only a number of hours was said.

    Args:
        schedule: as stated; ``None`` counts outdoors as dusk to dawn, indoors as ten hours a day.
        outdoors: lights outdoors start at six in the evening, indoors the hours lie around one in the afternoon.
        latitude: [degrees north]; ``None`` takes 39, the middle of the lower 48 states.
        days_per_week: where hours a day were said without days.
    """
    if schedule == "always_on":
        return always_on()
    if schedule == "dusk_to_dawn" or (schedule is None and outdoors):
        return dusk_to_dawn(dark_share_by_hour(_MIDDLE_LATITUDE if latitude is None else latitude))
    daily = _USUAL_HOURS
    if isinstance(schedule, StatedHours):
        if schedule.hours_per_day is not None:
            daily = schedule.hours_per_day
            days_per_week = schedule.days_per_week or days_per_week
        elif schedule.hours_per_year is not None:
            daily = schedule.hours_per_year / (DAYS_IN_YEAR * days_per_week / 7)
    daily = min(daily, float(HOURS))
    start = _EVENING if outdoors else max(0.0, min(_MIDDAY - daily / 2, HOURS - daily))
    end = start + daily
    return within_hours(start, end - HOURS if end > HOURS else end, days_per_week)
