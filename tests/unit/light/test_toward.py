"""Look-ups straight from a stored table agree with the even tables that whole grids are computed from."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from catalog_demo import FOLDER
from engine.light.distribution import distribution
from engine.light.illuminance import Placed, horizontal_fc
from engine.light.photometric_file import read_photometry
from engine.light.photometry import Photometry
from engine.light.spots import Layout, Spot, light_there, spots_of, unit_level
from engine.light.throw import reach_ft
from engine.light.toward import as_type_c, candela_toward, lumens_below, reach_in_heights, total_lumens

NAMES = (
    "DUNLIN-05P",
    "AVOCET-03C",
    "AVOCET-03E",
    "GODWIT-03W",
    "GANNET-04W",
    "FULMAR-03N",
    "SISKIN-07A",
    "WRYNECK-01T",
)
SOUND = Path(__file__).parent / "files" / "sound"
STORED = (
    "mirrored_about_90_270.ies",
    "whole_circle.ies",
    "symmetry_3.ldt",
    "symmetry_0.ldt",
    "upward_only.ies",
    "type_b.ies",
)


def demo(name: str) -> Photometry:
    return read_photometry((FOLDER / "photometry" / f"{name}.ies").read_bytes(), f"{name}.ies")


def stored(name: str) -> Photometry:
    return as_type_c(read_photometry((SOUND / name).read_bytes(), name))


EVERY = [demo(name) for name in NAMES] + [stored(name) for name in STORED]


@pytest.mark.parametrize("photometry", EVERY, ids=lambda p: p.name)
@settings(max_examples=40, deadline=None)
@given(gamma=st.floats(0, 180), around=st.floats(-720, 720))
def test_a_direction_has_the_same_intensity_as_in_the_even_table(
    photometry: Photometry, gamma: float, around: float
) -> None:
    got = candela_toward(photometry, np.array([gamma]), np.array([around + photometry.forward_deg]))[0]
    wanted = distribution(photometry).candela(np.array([gamma]), np.array([around]))[0]

    assert got == pytest.approx(wanted, rel=1e-6, abs=1e-6 * photometry.candela.max())


@pytest.mark.parametrize("photometry", EVERY, ids=lambda p: p.name)
def test_lumens_are_those_of_the_even_table(photometry: Photometry) -> None:
    assert total_lumens(photometry) == pytest.approx(distribution(photometry).lumens, rel=1e-9)
    assert 0 <= lumens_below(photometry) <= total_lumens(photometry) * (1 + 1e-12)


def test_lumens_below_level_cut_a_cell_that_reaches_over_it() -> None:
    straddling = Photometry(
        name="made", form="generic", type="C", symmetry="axial", vertical_deg=np.array([0.0, 60.0, 120.0]),
        horizontal_deg=np.array([0.0]), candela=np.array([[100.0, 100.0, 100.0]]),
    )  # fmt: skip

    assert lumens_below(straddling) == pytest.approx(2 * np.pi * 100.0)


@pytest.mark.parametrize("tilt_deg", [0.0, 25.0, 63.4])
@pytest.mark.parametrize("name", NAMES)
def test_a_level_is_that_of_the_point_by_point_calculation(name: str, tilt_deg: float) -> None:
    photometry, height = demo(name), 17.0
    x, y = np.array([0.0, 1.0, -2.0, 0.5, 0.0]), np.array([0.0, 2.0, 0.3, -1.0, 2.5])
    placed = Placed(distribution(photometry), 0.0, 0.0, height, tilt_deg=tilt_deg)

    got = unit_level(photometry, x, y, tilt_deg) / height**2

    assert got == pytest.approx(
        horizontal_fc([placed], np.column_stack([x, y]) * height), rel=1e-9, abs=1e-12
    )


@pytest.mark.parametrize("level", [0.1, 0.5, 2.0])
@pytest.mark.parametrize("bearing", [0.0, 90.0, 200.0])
@pytest.mark.parametrize("name", ["DUNLIN-05P", "AVOCET-03C", "GANNET-04W"])
def test_a_reach_is_that_of_the_search_on_the_ground(name: str, bearing: float, level: float) -> None:
    photometry, height = demo(name), 22.0
    wanted = reach_ft([Placed(distribution(photometry), 0.0, 0.0, height)], level, bearing)
    got = reach_in_heights(photometry, bearing, level * height**2)

    assert (got is None) == (wanted is None)
    if got is not None and wanted is not None:
        assert got * height == pytest.approx(wanted, rel=1e-3, abs=0.02)


def test_a_reach_of_a_lambertian_source_has_its_closed_form() -> None:
    """I = 3000 cos g at 20 ft to 0.5 fc: sqrt(20 sqrt(6000) - 400) = 33.900 ft (shared worked example, closed form)."""
    gamma = np.arange(0.0, 90.1, 1.0)
    source = Photometry(
        name="made", form="generic", type="C", symmetry="axial", vertical_deg=gamma,
        horizontal_deg=np.array([0.0]), candela=3000 * np.cos(np.radians(gamma))[np.newaxis],
    )  # fmt: skip

    found = reach_in_heights(source, 0.0, 0.5 * 400)

    assert found is not None
    assert found * 20 == pytest.approx(33.900, abs=0.002)


def test_a_level_reached_nowhere_has_no_reach() -> None:
    assert reach_in_heights(demo("DUNLIN-05P"), 0.0, 1e9) is None


def test_the_place_midway_between_poles_gets_both_poles_light() -> None:
    photometry = demo("AVOCET-03C")
    layout = Layout("pole", 4.0, 1.0)
    (spot,) = spots_of(layout)
    two = [Placed(distribution(photometry), x, 0.0, 25.0) for x in (-50.0, 50.0)]

    got = light_there(photometry, layout, spot) * total_lumens(photometry) / 25.0**2

    assert got == pytest.approx(horizontal_fc(two, np.array([[0.0, 25.0]]))[0], rel=1e-9)


def test_the_average_under_a_grid_is_that_of_many_luminaires_on_many_points() -> None:
    photometry, height, spacing = demo("GANNET-04W"), 20.0, 24.0
    layout = Layout("grid", spacing / height)
    steps = spacing * np.arange(-6, 7)
    many = [Placed(distribution(photometry), float(x), float(y), height) for x in steps for y in steps]
    cells = spacing * ((np.arange(10) + 0.5) / 10 - 0.5)
    x, y = np.meshgrid(cells, cells)
    mean = horizontal_fc(many, np.column_stack([x.ravel(), y.ravel()])).mean()

    average = (
        light_there(photometry, layout, Spot("average", 0.0, 0.0)) * total_lumens(photometry) / height**2
    )
    between = next(spot for spot in spots_of(layout) if spot.key == "between")
    midway = light_there(photometry, layout, between) * total_lumens(photometry) / height**2

    assert average == pytest.approx(mean, rel=0.01)
    assert midway == pytest.approx(horizontal_fc(many, np.array([[spacing / 2, spacing / 2]]))[0], rel=0.01)


def test_levels_grow_with_lumens_and_fall_with_the_square_of_the_height() -> None:
    photometry = demo("DUNLIN-05P")
    twice = replace(photometry, candela=2 * photometry.candela)
    layout = Layout("wall", 4.0)
    for spot in spots_of(layout):
        assert light_there(twice, layout, spot) == pytest.approx(light_there(photometry, layout, spot))
