"""How long the night is, from latitude alone: by closed form, per night, month and year, and by hour of the day.

Times of day are local solar time: the sun stands highest at 12:00. Clock time differs from it by up to about an
hour and a half (place within the time zone, daylight saving time, equation of time), which moves no annual sum.

Night is the time when the sun's center stands lower than an altitude: 0.833 degrees below the horizon at sunset
and sunrise (refraction 34', half the sun's disc 16'), 6 degrees below at civil dusk and dawn.
"""

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

SUNSET_ALTITUDE: Final = -0.833
"""Altitude of the sun's center at sunset and sunrise [degrees] (almanac convention: refraction 34', half disc 16')."""
CIVIL_ALTITUDE: Final = -6.0
"""Altitude of the sun's center at civil dusk and dawn [degrees]."""
DAYS_IN_MONTH: Final = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
DAYS_IN_YEAR: Final = 365
_FOURIER: Final = ((0.006918, 0.0), (-0.399912, 0.070257), (-0.006758, 0.000907), (-0.002697, 0.00148))
_ALL_DAY: Final = 24.0


@dataclass(frozen=True, slots=True)
class Night:
    """Burning time between two clock hours of one evening and the next morning, in local solar time.

    Attributes:
        dusk: hour of the day when it gets dark [h, 12 to 24]; ``dawn``: when it gets light, counted on past
            midnight [h, 24 to 36]. Equal where there is no night.
    """

    dusk: float
    dawn: float

    @property
    def hours(self) -> float:
        return self.dawn - self.dusk


def declination(day: int) -> float:
    """The sun's declination [radians] at noon of a day.

    Seven-term Fourier series after Spencer (1971), coefficients from memory; within 0.04 degrees of an ephemeris.

    Args:
        day: days since 1 January, 0 to 364.
    """
    angle = 2 * math.pi / DAYS_IN_YEAR * (day + 0.5)
    return sum(
        cosine * math.cos(order * angle) + sine * math.sin(order * angle)
        for order, (cosine, sine) in enumerate(_FOURIER)
    )


def night_hours(latitude: float, day: int, altitude: float = SUNSET_ALTITUDE) -> float:
    """How long the sun stays below ``altitude`` around one midnight [h]: 0 in polar day, 24 in polar night.

    Args:
        latitude: north [degrees], -90 to 90.
        day: days since 1 January, 0 to 364.
        altitude: of the sun's center [degrees].

    Returns:
        24 h less the sun's time above the altitude: cos H = (sin h - sin lat sin dec) / (cos lat cos dec),
        clamped, 2 H at 15 degrees an hour.
    """
    if not -90.0 <= latitude <= 90.0:
        raise ValueError(f"latitude {latitude} is not between -90 and 90 degrees")
    radians = math.radians(latitude)
    declined = declination(day)
    across = max(math.cos(radians) * math.cos(declined), 1e-12)  # at a pole every day is all day or all night
    cosine = (math.sin(math.radians(altitude)) - math.sin(radians) * math.sin(declined)) / across
    half_day = math.degrees(math.acos(min(1.0, max(-1.0, cosine)))) / 15.0
    return _ALL_DAY - 2.0 * half_day


@lru_cache(maxsize=256)
def nights(latitude: float, altitude: float = SUNSET_ALTITUDE) -> tuple[Night, ...]:
    """The 365 nights of a common year, in local solar time, in the order of their evenings."""
    lengths = [night_hours(latitude, day, altitude) for day in range(DAYS_IN_YEAR)]
    return tuple(Night(_ALL_DAY - length / 2, _ALL_DAY + length / 2) for length in lengths)


@lru_cache(maxsize=256)
def dark_hours_per_year(latitude: float, altitude: float = SUNSET_ALTITUDE) -> float:
    """Dark hours in a common year [h/yr]: about 4,300 from sunset to sunrise anywhere in the lower 48 states.

    >>> round(dark_hours_per_year(41.66)), round(dark_hours_per_year(41.66, CIVIL_ALTITUDE))
    (4303, 3936)
    """
    return math.fsum(night.hours for night in nights(latitude, altitude))


def dark_hours_by_month(latitude: float, altitude: float = SUNSET_ALTITUDE) -> tuple[float, ...]:
    """Dark hours of January to December [h]; a night counts for the month of its midnight."""
    all_nights = nights(latitude, altitude)
    sums = []
    first = 0
    for days in DAYS_IN_MONTH:
        sums.append(math.fsum(night.hours for night in all_nights[first : first + days]))
        first += days
    return tuple(sums)


@lru_cache(maxsize=256)
def dark_share_by_hour(latitude: float, altitude: float = SUNSET_ALTITUDE) -> tuple[tuple[float, ...], ...]:
    """For each month, the share (0 to 1) of each hour of the day, 0:00 to 23:00, that is dark: 12 rows of 24.

    Local solar time. The sum over hours, times the days of the month, is ``dark_hours_by_month``.
    """
    all_nights = nights(latitude, altitude)
    months = []
    first = 0
    for days in DAYS_IN_MONTH:
        month = all_nights[first : first + days]
        months.append(
            tuple(
                math.fsum(
                    overlap(night, hour, hour + 1.0) + overlap(night, hour + _ALL_DAY, hour + _ALL_DAY + 1.0)
                    for night in month
                )
                / days
                for hour in map(float, range(24))
            )
        )
        first += days
    return tuple(months)


def overlap(night: Night, start: float, end: float) -> float:
    """Hours of ``night`` between ``start`` and ``end`` [h], counted from the noon before (12) to the noon after (36)."""
    return max(0.0, min(night.dawn, end) - max(night.dusk, start))
