"""Night lengths against an independent sun-position library and against published almanac figures.

pvlib (BSD-3) implements the solar position algorithm of Reda and Andreas (NREL/TP-560-34302, 2008).
Its arrays are asked for directly, every ten minutes of 2025; between two samples the moment of crossing is interpolated.
"""

import csv
from datetime import UTC, date, datetime
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from engine.energy.daylight import (
    CIVIL_ALTITUDE,
    SUNSET_ALTITUDE,
    dark_hours_by_month,
    dark_hours_per_year,
    night_hours,
)
from engine.tables import load_tables

HERE = Path(__file__).parent
PLACES = list(csv.DictReader((HERE / "sun_places.csv").read_text(encoding="utf-8").splitlines()))
ALMANAC = list(csv.DictReader((HERE / "sun_almanac.csv").read_text(encoding="utf-8").splitlines()))
STEP_SECONDS = 1200
"""Between the steps the elevation is taken as straight: beside steps of two minutes a year differs by less than 0.2 hours."""
START = datetime(2025, 1, 1, tzinfo=UTC).timestamp()
TIMES = START + np.arange(0, 365 * 86400 + 1, STEP_SECONDS, dtype=float)
TT_MINUS_UT1_SECONDS = 69.1


def _dark_hours(latitude: float, longitude: float, altitudes: tuple[float, ...]) -> list[np.ndarray]:
    """Dark hours in each step of the year for each altitude, by linear interpolation of the true elevation."""
    from pvlib import spa  # a second to import, which every worker would pay when it looks for tests

    elevation = spa.solar_position_numpy(
        TIMES, latitude, longitude, 0.0, 1013.25, 12.0, TT_MINUS_UT1_SECONDS, 0.0, 1
    )[3]
    hours = []
    for altitude in altitudes:
        before, after = elevation[:-1] - altitude, elevation[1:] - altitude
        crossing = np.where(before != after, before / np.where(before == after, 1.0, before - after), 0.0)
        share = np.where(
            (before < 0) & (after < 0),
            1.0,
            np.where((before >= 0) & (after >= 0), 0.0, np.where(before < 0, crossing, 1.0 - crossing)),
        )
        hours.append(share * STEP_SECONDS / 3600)
    return hours


def test_there_are_at_least_forty_places_and_twenty_almanac_figures():
    assert len(PLACES) >= 40
    assert len(ALMANAC) >= 20
    assert all(row["source"] for row in ALMANAC)


@pytest.mark.parametrize("place", PLACES, ids=lambda place: place["place"])
def test_a_years_dark_hours_are_within_half_a_percent_of_the_library(place):
    latitude, longitude = float(place["latitude"]), float(place["longitude"])
    sunset, civil = _dark_hours(latitude, longitude, (SUNSET_ALTITUDE, CIVIL_ALTITUDE))

    assert dark_hours_per_year(latitude) == pytest.approx(sunset.sum(), rel=0.005)
    assert dark_hours_per_year(latitude, CIVIL_ALTITUDE) == pytest.approx(civil.sum(), rel=0.005)


@pytest.mark.parametrize(("latitude", "longitude"), [(25.77, -80.19), (41.88, -87.63), (47.61, -122.33)])
def test_each_months_dark_hours_are_within_one_percent_of_the_library(latitude, longitude):
    (steps,) = _dark_hours(latitude, longitude, (SUNSET_ALTITUDE,))
    days = [date(2025, month, 1).toordinal() - date(2025, 1, 1).toordinal() for month in range(1, 13)] + [365]
    per_day = 86400 // STEP_SECONDS
    months = [steps[first * per_day : last * per_day].sum() for first, last in pairwise(days)]

    assert list(dark_hours_by_month(latitude)) == pytest.approx(months, rel=0.01)


@pytest.mark.parametrize("row", ALMANAC, ids=lambda row: f"{row['place']} {row['day']}")
def test_a_days_length_is_that_of_the_almanac(row):
    month, day = map(int, row["day"].split("-"))
    of_year = date(2025, month, day).toordinal() - date(2025, 1, 1).toordinal()

    assert 24 - night_hours(float(row["latitude"]), of_year) == pytest.approx(
        float(row["hours"]), abs=float(row["tolerance_hours"])
    )


@pytest.mark.parametrize("row", load_tables().dusk_to_dawn, ids=lambda row: row.city)
def test_the_reference_table_of_fourteen_cities_agrees(row):
    """Computed beforehand with two libraries (pvlib 0.16.1 in one-minute steps, astral 3.2)."""
    assert dark_hours_per_year(row.latitude) == pytest.approx(row.sunset_to_sunrise_hours, rel=0.0005)
    assert dark_hours_per_year(row.latitude, CIVIL_ALTITUDE) == pytest.approx(row.civil_hours, rel=0.0005)
    assert dark_hours_per_year(row.latitude, -3.0) == pytest.approx(row.three_degrees_hours, rel=0.0005)
    lengths = [night_hours(row.latitude, day) for day in range(365)]
    assert min(lengths) == pytest.approx(row.shortest_night_hours, abs=0.05)
    assert max(lengths) == pytest.approx(row.longest_night_hours, abs=0.05)
