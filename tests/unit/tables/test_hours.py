"""Hours a year: stated ones to the letter, nights from the latitude, the rest assumed with a range and in words."""

import math

import pytest

from engine.energy.daylight import (
    CIVIL_ALTITUDE,
    DAYS_IN_MONTH,
    dark_hours_by_month,
    dark_hours_per_year,
    dark_share_by_hour,
    night_hours,
    nights,
)
from engine.energy.hours import (
    annual_hours,
    dusk_to_dawn_hours,
    full_power_hours,
    part_night_hours,
    photocell_and_timer_hours,
)
from engine.errors import ConfigurationError
from engine.request import StatedHours
from engine.tables import load_tables
from engine.vocabulary import FAMILIES

TABLES = load_tables()
TOLEDO = 41.66


def test_always_on_is_every_hour_of_a_common_year():
    hours = annual_hours(TABLES, "always_on", family="troffer")

    assert (hours.low, hours.value, hours.high, hours.stated) == (8760, 8760, 8760, True)


@pytest.mark.parametrize(
    ("said", "hours"),
    [
        ({"hours_per_year": 4100}, 4100),
        ({"hours_per_day": 10, "days_per_week": 5}, 2600),
        ({"hours_per_day": 16, "days_per_week": 5}, 4160),
        ({"hours_per_day": 12, "days_per_week": 7}, 4380),
        ({"hours_per_day": 24, "days_per_week": 7}, 8760),
        ({"hours_per_day": 9.5, "days_per_week": 6}, 2964),
    ],
)
def test_stated_hours_are_taken_to_the_letter(said, hours):
    found = annual_hours(TABLES, StatedHours(**said), family="high_bay", building="warehouse")

    assert (found.low, found.value, found.high) == pytest.approx((hours, hours, hours))
    assert found.stated


def test_hours_a_day_outdoors_are_every_day():
    found = annual_hours(TABLES, StatedHours(hours_per_day=12), family="wall_pack", building="office")

    assert (found.low, found.value, found.high) == (4380, 4380, 4380)
    assert not found.stated
    assert "7 days a week" in found.source


def test_hours_a_day_in_an_office_are_five_to_seven_days_a_week():
    found = annual_hours(TABLES, StatedHours(hours_per_day=10), family="troffer", building="office")

    assert (found.low, found.value, found.high) == (2600, 2600, 3650)
    assert found.days_per_week == 5


def test_hours_a_day_indoors_without_a_building_are_every_day_or_fewer():
    found = annual_hours(TABLES, StatedHours(hours_per_day=10), family="troffer")

    assert (found.low, found.value, found.high) == (2600, 3650, 3650)


def test_dusk_to_dawn_at_a_place_is_its_nights():
    found = annual_hours(TABLES, "dusk_to_dawn", family="wall_pack", latitude=TOLEDO)

    assert found.value == pytest.approx(4303, abs=1)
    assert found.low == pytest.approx(3936, abs=1)
    assert found.high == 4380
    assert found.stated


def test_dusk_to_dawn_without_a_place_is_an_assumption():
    found = dusk_to_dawn_hours(TABLES, None)

    assert (found.low, found.value, found.high, found.stated) == (3900, 4300, 4380, False)


def test_no_schedule_outdoors_is_dusk_to_dawn_assumed():
    found = annual_hours(TABLES, None, family="wall_pack", building="warehouse", latitude=TOLEDO)

    assert found.value == pytest.approx(4303, abs=1)
    assert not found.stated
    assert found.source.startswith("assumed: dusk to dawn")


def test_no_schedule_indoors_is_the_building_or_an_average_one():
    office = annual_hours(TABLES, None, family="troffer", building="office")
    unknown = annual_hours(TABLES, None, family="troffer", building="castle")

    assert office.value == 3748
    assert "office" in office.source
    assert (unknown.low, unknown.value, unknown.high) == (2600, 4088, 5824)
    assert not office.stated
    assert not unknown.stated


def test_a_garage_may_burn_all_day_and_an_exit_sign_does():
    garage = annual_hours(TABLES, None, family="garage")
    sign = annual_hours(TABLES, None, family="exit", building="office")

    assert garage.low < garage.value < garage.high == 8760
    assert (sign.value, sign.stated) == (8760, False)


@pytest.mark.parametrize("family", [None, *FAMILIES])
def test_hours_lie_in_their_range_and_in_a_year_whatever_was_left_unsaid(family):
    for building in (None, *(row.building for row in TABLES.building_types)):
        for schedule in (None, "dusk_to_dawn", StatedHours(hours_per_day=11)):
            for latitude in (None, 25.8, 64.8):
                found = annual_hours(TABLES, schedule, family=family, building=building, latitude=latitude)
                assert 0 < found.low <= found.value <= found.high <= 8760
                assert found.source


def test_a_table_without_the_default_it_needs_is_said_so(tmp_path):
    (tmp_path / "defaults.csv").write_text(
        "key,value_low,value,value_high,unit,seen,provenance,note\nrate_spread,1,1,1,,memory,own,\n"
    )

    with pytest.raises(ConfigurationError, match="dusk_to_dawn_hours"):
        dusk_to_dawn_hours(load_tables(tmp_path), None)


def test_polar_day_and_polar_night_are_nothing_and_everything():
    assert night_hours(71.3, 172) == 0
    assert night_hours(71.3, 355) == 24
    assert night_hours(90, 355) == 24
    assert night_hours(-90, 172) == 24
    assert sum(night_hours(90, day) for day in range(365)) < 4380


@pytest.mark.parametrize("latitude", [90.1, -91, math.inf, math.nan])
def test_a_latitude_off_the_globe_is_refused(latitude):
    with pytest.raises(ValueError, match="between -90 and 90"):
        night_hours(latitude, 0)


@pytest.mark.parametrize("latitude", [0, 21.3, TOLEDO, 61.2, 71.3, -33.9])
def test_hours_by_month_and_by_hour_of_day_add_up_to_the_year(latitude):
    shares = dark_share_by_hour(latitude)
    by_month = dark_hours_by_month(latitude)

    assert [len(month) for month in shares] == [24] * 12
    assert all(0 <= share <= 1 for month in shares for share in month)
    assert sum(by_month) == pytest.approx(dark_hours_per_year(latitude))
    for month, days, hours in zip(shares, DAYS_IN_MONTH, by_month, strict=True):
        assert sum(month) * days == pytest.approx(hours)


def test_midnight_is_dark_and_noon_is_light_and_morning_mirrors_evening():
    for month in dark_share_by_hour(TOLEDO):
        assert (month[0], month[23], month[11], month[12]) == (1, 1, 0, 0)
        assert list(month) == pytest.approx(list(reversed(month)))


def test_civil_nights_are_shorter_than_nights_from_sunset():
    assert all(
        civil.hours < full.hours
        for civil, full in zip(nights(TOLEDO, CIVIL_ALTITUDE), nights(TOLEDO), strict=True)
    )


def test_off_at_solar_midnight_is_half_the_night_and_on_at_five_adds_the_morning():
    half = dark_hours_per_year(TOLEDO) / 2

    assert part_night_hours(TOLEDO, 0) == pytest.approx(half)
    assert part_night_hours(TOLEDO, 24) == pytest.approx(half)
    assert part_night_hours(TOLEDO, 23) == pytest.approx(half - 365)
    assert half < part_night_hours(TOLEDO, 0, 5) < dark_hours_per_year(TOLEDO) - 4.5 * 365


def test_timer_and_photocell_burn_only_when_both_say_so():
    night = dark_hours_per_year(TOLEDO)

    assert photocell_and_timer_hours(TOLEDO, 0, 0) == pytest.approx(night)
    assert photocell_and_timer_hours(TOLEDO, 11, 13) == 0
    assert photocell_and_timer_hours(TOLEDO, 23, 1) == pytest.approx(2 * 365)
    assert photocell_and_timer_hours(TOLEDO, 1, 3, days_per_week=5) == pytest.approx(2 * 365 * 5 / 7)
    split = photocell_and_timer_hours(TOLEDO, 17, 23) + photocell_and_timer_hours(TOLEDO, 23, 17)
    assert split == pytest.approx(night)


def test_standby_counts_by_its_level():
    assert full_power_hours(4300, 0.5, 0.5) == pytest.approx(4300 * 0.75)
    assert full_power_hours(4300, 1, 0) == 4300
    assert full_power_hours(4300, 0.25, 0) == 1075
    with pytest.raises(ValueError, match="standby_level"):
        full_power_hours(4300, 0.5, 1.5)


@pytest.mark.parametrize("hour", [-1, 25, math.nan])
def test_an_hour_off_the_clock_is_refused(hour):
    with pytest.raises(ValueError, match="between 0 and 24"):
        part_night_hours(TOLEDO, hour)
