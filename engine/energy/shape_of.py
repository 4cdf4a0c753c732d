"""The load shape of a schedule: at which hours the lights stand, as far as what was said tells.

Hours a day without clock times are laid round midday indoors and round midnight outdoors (common practice, no source);
only tariffs with times or demand look at this, and `engine.price` says when it was taken.
"""

from typing import Final

from engine.energy.daylight import DAYS_IN_YEAR, dark_share_by_hour
from engine.energy.load_shape import LoadShape, always_on, dusk_to_dawn, within_hours
from engine.request import Schedule, StatedHours

MIDDLE_OF_US_LATITUDE: Final = 39.0
"""Where no place is known; the year's night is the same within 1 % from 25 to 48 degrees."""
_MIDDAY: Final = 13.0
_MIDNIGHT: Final = 0.0
_DAY: Final = 24.0


def shape_of(
    schedule: Schedule | None, outdoors: bool, latitude: float | None, hours_per_year: float
) -> LoadShape:
    """When lights burn.

    Args:
        schedule: what was said; ``None`` burns by night outdoors, round midday indoors.
        outdoors: whether the lights hang outside.
        latitude: north [degrees], if known.
        hours_per_year: from `engine.energy.hours`, for schedules that only give a sum [h/yr].
    """
    if schedule == "always_on" or hours_per_year >= 8760:
        return always_on()
    if schedule == "dusk_to_dawn" or (schedule is None and outdoors):
        return dusk_to_dawn(dark_share_by_hour(MIDDLE_OF_US_LATITUDE if latitude is None else latitude))
    days = 7.0
    daily = hours_per_year / DAYS_IN_YEAR
    if isinstance(schedule, StatedHours):
        days = schedule.days_per_week or (7.0 if outdoors or daily > 12 else 5.0)
        daily = schedule.hours_per_day or hours_per_year / DAYS_IN_YEAR * 7 / days
    elif not outdoors:
        days = 5.0 if hours_per_year <= 260 * _DAY else 7.0
        daily = hours_per_year / DAYS_IN_YEAR * 7 / days
    daily = min(daily, _DAY)
    if daily == _DAY:
        return within_hours(0.0, _DAY, days)
    middle = _MIDNIGHT if outdoors else _MIDDAY
    start = (middle - daily / 2) % _DAY
    return within_hours(start, (start + daily) % _DAY, days)
