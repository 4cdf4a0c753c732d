"""Load shapes: hours by month and kind of day."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.energy.daylight import dark_hours_by_month, dark_share_by_hour
from engine.energy.load_shape import (
    LoadShape,
    always_on,
    days_in,
    dusk_to_dawn,
    hours_between,
    shape_of,
    within_hours,
)
from engine.request import StatedHours


def test_an_average_year_has_365_days_five_sevenths_of_them_weekdays() -> None:
    weekdays = sum(days_in(month, "weekday") for month in range(1, 13))
    weekends = sum(days_in(month, "weekend") for month in range(1, 13))

    assert weekdays + weekends == pytest.approx(365)
    assert weekdays / weekends == pytest.approx(2.5)


@pytest.mark.parametrize(
    ("start", "end", "days", "hours"),
    [(0, 24, 7, 8760), (8, 18, 7, 3650), (8, 18, 5, 2607.142857), (20, 4, 7, 2920), (7.5, 8.25, 7, 273.75),
     (8, 18, 6, 3128.571429), (9, 17, 3, 1251.428571), (6, 6, 7, 8760)],
)  # fmt: skip
def test_hours_by_the_clock_add_up(start: float, end: float, days: float, hours: float) -> None:
    assert within_hours(start, end, days).hours_per_year == pytest.approx(hours)


def test_a_day_of_25_hours_is_refused() -> None:
    with pytest.raises(ValueError, match="a day has 24 hours"):
        within_hours(8, 25)


@given(st.floats(-60, 60), st.booleans())
def test_dusk_to_dawn_keeps_the_hours_of_the_night_whatever_the_clock_says(
    latitude: float, summer_time: bool
) -> None:
    shape = dusk_to_dawn(dark_share_by_hour(latitude), summer_time)

    assert shape.hours_by_month == pytest.approx(dark_hours_by_month(latitude))


def test_summer_time_moves_dusk_an_hour_later_by_the_clock() -> None:
    dark = dark_share_by_hour(41.9)

    assert dusk_to_dawn(dark).on[6][0][19] < dusk_to_dawn(dark, summer_time=False).on[6][0][19]


def test_lights_on_motion_burn_their_share_at_every_hour() -> None:
    assert always_on().scaled(0.25).hours_per_year == pytest.approx(2190)


def test_hours_may_run_over_midnight() -> None:
    assert hours_between([(22, 2), (12, 13)]) == frozenset({22, 23, 0, 1, 12})


@pytest.mark.parametrize(
    "on",
    [
        always_on().on[:11],
        (((1.0,) * 23, (1.0,) * 24),) * 12,
        (((1.5,) * 24, (1.0,) * 24),) * 12,
        (((float("nan"),) * 24, (1.0,) * 24),) * 12,
    ],
    ids=["eleven months", "23 hours", "more than an hour", "not a number"],
)
def test_a_shape_that_is_no_year_is_refused(on: object) -> None:
    with pytest.raises(ValueError):
        LoadShape(on)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("schedule", "outdoors", "hours"),
    [
        ("always_on", False, 8760),
        ("dusk_to_dawn", True, 4300),
        (None, True, 4300),
        (None, False, 3650),
        (StatedHours(hours_per_day=10, days_per_week=5), False, 2607),
        (StatedHours(hours_per_day=14), True, 5110),
        (StatedHours(hours_per_year=2600), False, 2600),
        (StatedHours(hours_per_year=8784), False, 8760),
        (StatedHours(hours_per_day=24), True, 8760),
    ],
)
def test_a_stated_schedule_keeps_its_hours(schedule: object, outdoors: bool, hours: float) -> None:
    shape = shape_of(schedule, outdoors, None)  # type: ignore[arg-type]

    assert shape.hours_per_year == pytest.approx(hours, rel=0.002)


def test_hours_said_without_a_clock_lie_by_day_indoors_and_in_the_evening_outdoors() -> None:
    ten = StatedHours(hours_per_day=10)
    indoors, outdoors = shape_of(ten, False, None).on[0][0], shape_of(ten, True, None).on[0][0]

    assert [hour for hour in range(24) if indoors[hour]] == list(range(8, 18))
    assert [hour for hour in range(24) if outdoors[hour]] == [0, 1, 2, 3, *range(18, 24)]
