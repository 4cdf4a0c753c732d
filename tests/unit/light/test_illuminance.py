"""Illuminance, throw, spacing, grids and zones: worked examples, closed forms, and what must hold of any light."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.light.bug import bug_rating
from engine.light.contours import iso_lines
from engine.light.distribution import Distribution, distribution
from engine.light.grid import cell_centres, levels_of
from engine.light.illuminance import CELLS_AT_ONCE, Placed, horizontal_fc, vertical_fc
from engine.light.lateral import lateral_class, longitudinal_class
from engine.light.lumens import outdoor_zones, planes_of, zone_lumens
from engine.light.photometric_file import read_photometry
from engine.light.photometry import LampTilt, Photometry
from engine.light.spacing import largest_spacing_ft
from engine.light.throw import reach_ft, widest_half_width_ft

EXAMPLE = b"""IESNA:LM-63-2002
[TEST] worked example, own synthetic data
[TESTLAB] none
[ISSUEDATE] 2026-11-25
[MANUFAC] Plover Hollow Lighting
TILT=NONE
1 -1 1 7 3 1 1 0 0 0
1 1 60
0 30 50 60 70 80 90
0 90 180
1200 1600 3400 4200 3000 600 0
1200 1400 1800 1500 700 150 0
1200 700 300 150 60 20 0
"""
READ = read_photometry(EXAMPLE, "example.ies")
LIGHT = distribution(READ)
H = 20.0


def made(
    candela: np.ndarray, vertical: np.ndarray, horizontal: tuple[float, ...] = (0.0,), symmetry: str = "axial"
) -> Distribution:
    table = np.atleast_2d(candela).astype(float)
    return distribution(
        Photometry("made", "generic", "C", symmetry, vertical.astype(float), np.array(horizontal), table)  # type: ignore[arg-type]
    )


def of_cosine(nadir_cd: float, power: float = 1.0, step_deg: float = 1.0) -> Distribution:
    gamma = np.arange(0.0, 90.0 + step_deg / 2, step_deg)
    return made(nadir_cd * np.clip(np.cos(np.radians(gamma)), 0.0, None) ** power, gamma)


def at(light: Distribution, *spots: tuple[float, float], **aim: float) -> list[float]:
    height = aim.pop("height_ft", H)
    return horizontal_fc([Placed(light, 0.0, 0.0, height, **aim)], np.array(spots)).tolist()


# Worked examples: values agreed to within 1.6 parts in 10,000 with Radiance 6 (ies2rad, rtrace) when they were made.


def test_points_of_a_level_luminaire() -> None:
    levels = at(LIGHT, (20, 10), (0, 0), (0, 10), (0, 20), (0, 30), (0, 40), (0, -10))
    assert levels == pytest.approx([1.6286, 3.0, 2.7802, 2.6075, 1.6661, 0.8470, 1.3546], abs=5e-5)


def test_points_of_a_tilted_luminaire() -> None:
    assert at(LIGHT, (0, 20), (0, 30), (0, 40), tilt_deg=15.0) == pytest.approx(
        [1.4142, 1.1170, 0.7288], abs=5e-5
    )


def test_upright_meters_that_face_the_wall() -> None:
    spots = np.array([(0.0, 20.0), (0.0, 30.0), (0.0, 40.0)])
    levels = vertical_fc([Placed(LIGHT, 0, 0, H)], spots, 0.0, 180.0)
    assert levels.tolist() == pytest.approx([2.6075, 2.4992, 1.6940], abs=5e-5)
    assert vertical_fc([Placed(LIGHT, 0, 0, H)], spots, 0.0, 0.0).tolist() == [0.0, 0.0, 0.0]


def test_throw_ahead_and_sideways() -> None:
    placed = [Placed(LIGHT, 0, 0, H)]
    assert [reach_ft(placed, fc) for fc in (1.0, 0.5, 0.2)] == pytest.approx([37.91, 47.15, 60.52], abs=0.005)
    for side in (90.0, -90.0):
        assert [reach_ft(placed, fc, side) for fc in (1.0, 0.5, 0.2)] == pytest.approx(
            [25.76, 33.83, 43.28], abs=0.005
        )
    # On a grid of quarter feet the last place is 35.25, six feet out.
    widest = widest_half_width_ft(placed[0], 0.5)
    assert widest is not None
    assert 35.25 <= widest < 35.5
    fine = np.linspace(0.0, 20.0, 4001)
    there = horizontal_fc(placed, np.column_stack([np.full_like(fine, widest), fine]))
    assert there.max() == pytest.approx(0.5, abs=1e-5)
    assert reach_ft(placed, 100.0) is None
    assert widest_half_width_ft(placed[0], 100.0) is None


def test_throw_finds_a_far_peak_that_just_reaches_the_level() -> None:
    """Steps of the search fall on either side of it, both a little too dark."""
    gamma = np.arange(0.0, 90.5, 0.5)
    light = made(300.0 + 8000.0 * np.exp(-(((gamma - 66.0) / 2.0) ** 2)) * (gamma < 90.0), gamma)
    placed = [Placed(light, 0, 0, H)]
    d = np.linspace(35.0, 60.0, 250_001)
    levels = horizontal_fc(placed, np.column_stack([0 * d, d]))
    level = float(levels.max()) * (1 - 1e-5)
    assert reach_ft(placed, level) == pytest.approx(d[np.flatnonzero(levels >= level)[-1]], abs=0.02)


@given(st.floats(0.02, 3.0), st.floats(-180.0, 180.0), st.floats(0.0, 60.0))
def test_throw_is_the_last_place_that_has_the_level(level: float, bearing: float, tilt: float) -> None:
    placed = [Placed(LIGHT, 1.0, -2.0, H, 15.0, tilt)]
    found = reach_ft(placed, level, bearing, (1.0, -2.0))
    along = np.array([-math.sin(math.radians(bearing)), math.cos(math.radians(bearing))])
    d = np.linspace(0.0, 400.0, 4001)
    levels = horizontal_fc(placed, np.array([1.0, -2.0]) + d[:, None] * along)
    if found is None:
        assert (levels < level * (1 + 1e-3)).all()
        return
    assert (levels[d > found + 1e-4] < level * (1 + 1e-6)).all()
    spot = (np.array([1.0, -2.0]) + found * along)[None, :]
    assert horizontal_fc(placed, spot)[0] >= level * (1 - 1e-9)


def test_spacing_of_a_row() -> None:
    one = Placed(LIGHT, 0, 0, H)
    for luminaires in (5, 6):
        assert largest_spacing_ft(one, 0.5, 0.0, luminaires) == pytest.approx(82.02, abs=0.02)
        assert largest_spacing_ft(one, 0.5, luminaires=luminaires) == pytest.approx(84.56, abs=0.02)
    assert largest_spacing_ft(one, 1000.0) is None
    with pytest.raises(ValueError, match="5 luminaires or more"):
        largest_spacing_ft(one, 0.5, luminaires=4)


def test_a_grid_of_two() -> None:
    points = cell_centres((-40.0, 40.0), (0.0, 40.0), 8, 4)
    assert points[0].tolist() == [-35.0, 5.0]
    levels = levels_of(horizontal_fc([Placed(LIGHT, -20, 0, H), Placed(LIGHT, 20, 0, H)], points))
    assert (levels.average_fc, levels.least_fc, levels.most_fc) == pytest.approx(
        (2.2601, 0.8915, 3.4299), abs=5e-5
    )
    assert levels.average_to_least == pytest.approx(2.535, abs=5e-4)
    assert levels.most_to_least == pytest.approx(3.848, abs=5e-4)
    assert levels_of(np.array([0.0, 1.0])).average_to_least is None


def test_lumens_and_zones() -> None:
    planes = planes_of(READ)
    assert LIGHT.lumens == pytest.approx(7189.41, abs=0.005)
    zones = outdoor_zones(planes)
    wanted = {
        "FL": 588.86, "FM": 2688.03, "FH": 1748.38, "FVH": 102.03, "BL": 463.18, "BM": 1155.90, "BH": 419.90, "BVH": 23.13,
        "UL": 0.0, "UH": 0.0,
    }  # fmt: skip
    assert zones == pytest.approx(wanted, abs=0.005)
    assert str(bug_rating(zones, round_type=False)) == "B2-U0-G2"
    assert [zone_lumens(planes, 0.0, to) for to in (30.0, 40.0, 60.0, 90.0)] == pytest.approx(
        [1052.04, 1942.96, 4895.98, 7189.41], abs=0.005
    )


def test_uplight_of_a_file_that_ends_at_level_is_not_known() -> None:
    zones = outdoor_zones(planes_of(READ))
    assert bug_rating(zones, round_type=False, uplight_known=False).uplight is None


# Closed forms.


def test_lambertian() -> None:
    light = of_cosine(3000.0)
    assert at(light, (0, 0), (0, 20), (15, 20)) == pytest.approx([7.5, 1.875, 1.14218], rel=1e-4)
    throw = math.sqrt(H * math.sqrt(3000.0 / 0.5) - H * H)
    assert reach_ft([Placed(light, 0, 0, H)], 0.5) == pytest.approx(throw, abs=0.002)
    assert light.lumens == pytest.approx(math.pi * 3000.0, rel=1e-4)


def test_narrow_beam() -> None:
    light = of_cosine(12000.0, 12.0)
    assert at(light, (0, 0), (0, 20)) == pytest.approx(
        [30.0, 12000 * math.cos(math.pi / 4) ** 15 / 400], rel=5e-4
    )
    assert light.lumens == pytest.approx(2 * math.pi * 12000 / 13, rel=2e-3)


def test_inverse_square_and_cosine_cube() -> None:
    flat = made(np.array([1000.0, 1000.0]), np.array([0.0, 90.0]))
    for gamma in (0.0, 17.0, 45.0, 72.0):
        d = H * math.tan(math.radians(gamma))
        assert at(flat, (0.0, d)) == pytest.approx(
            [1000.0 * math.cos(math.radians(gamma)) ** 3 / H**2], rel=1e-9
        )


def test_an_endless_row() -> None:
    """Sum over a row of Lambertian sources d apart at height d: (I/H2) (pi/2 coth pi + pi2/2 csch2 pi), by residues."""
    light = of_cosine(1000.0, step_deg=0.25)
    row = [Placed(light, 20.0 * n, 0.0, 20.0) for n in range(-400, 401)]
    closed = 2.5 * (math.pi / 2 / math.tanh(math.pi) + math.pi**2 / 2 / math.sinh(math.pi) ** 2)
    assert horizontal_fc(row, np.array([(0.0, 0.0)]))[0] == pytest.approx(closed, rel=1e-4)


def test_a_line_source() -> None:
    """A fine row stands for a line: across its middle, E = (I/h) (a h/(a2+h2) + atan(a/h)), I per foot, half length a."""
    light = of_cosine(1.0, step_deg=0.25)
    half, height, steps = 15.0, 10.0, 3000
    gap = 2 * half / steps
    x = -half + gap * (np.arange(steps) + 0.5)
    strength = 800.0 * gap
    row = [Placed(light, float(v), 0.0, height, llf=strength) for v in x]
    closed = 800.0 / height * (half * height / (half**2 + height**2) + math.atan(half / height))
    assert horizontal_fc(row, np.array([(0.0, 0.0)]))[0] == pytest.approx(closed, rel=1e-4)


def test_upright_meter_at_eye_height() -> None:
    light = of_cosine(1000.0, step_deg=0.25)
    level = vertical_fc([Placed(light, 0, 0, 20)], np.array([(0.0, 20.0)]), 5.0, 180.0)
    assert level[0] == pytest.approx(0.768, abs=2e-4)


# What must hold of any light.

candelas = st.lists(st.floats(0.0, 20_000.0), min_size=4, max_size=12)
spots = st.tuples(st.floats(-90.0, 90.0), st.floats(-90.0, 90.0))


def any_light(values: list[float]) -> Distribution:
    vertical = np.linspace(0.0, 90.0, len(values))
    rows = np.array([values, values[::-1], [sum(values) / len(values)] * len(values)])
    rows[:, 0] = values[0]
    return made(rows, vertical, (0.0, 45.0, 180.0), "half")


@given(candelas, spots, st.floats(5.0, 60.0), st.floats(0.1, 3.0))
def test_light_adds_up_and_scales(
    values: list[float], spot: tuple[float, float], height: float, llf: float
) -> None:
    light = any_light(values)
    a, b = Placed(light, 3.0, -4.0, height, 20.0, 10.0), Placed(light, -8.0, 2.0, height, -75.0, 0.0)
    point = np.array([spot])
    both = horizontal_fc([a, b], point)
    assert both[0] == pytest.approx(horizontal_fc([a], point)[0] + horizontal_fc([b], point)[0], rel=1e-12)
    scaled = horizontal_fc([Placed(light, 3.0, -4.0, height, 20.0, 10.0, llf)], point)
    assert scaled[0] == pytest.approx(llf * horizontal_fc([a], point)[0], rel=1e-9)


@given(candelas, spots, st.floats(5.0, 60.0))
def test_a_mirrored_file_gives_mirrored_light(
    values: list[float], spot: tuple[float, float], height: float
) -> None:
    left, right = at(any_light(values), (-spot[0], spot[1]), spot, height_ft=height)
    assert left == pytest.approx(right, rel=1e-9, abs=1e-12)


@given(candelas, spots, st.floats(5.0, 60.0), st.floats(-360.0, 360.0))
def test_turning_the_luminaire_turns_its_light(
    values: list[float], spot: tuple[float, float], height: float, facing: float
) -> None:
    light = any_light(values)
    x, y = spot
    cos, sin = math.cos(math.radians(facing)), math.sin(math.radians(facing))
    still = at(light, spot, height_ft=height, tilt_deg=12.0)
    turned = at(
        light, (x * cos - y * sin, x * sin + y * cos), height_ft=height, facing_deg=facing, tilt_deg=12.0
    )
    assert turned == pytest.approx(still, rel=1e-6, abs=1e-9)


@given(candelas, st.floats(5.0, 60.0))
def test_twice_the_height_is_a_quarter_of_the_light_below(values: list[float], height: float) -> None:
    light = any_light(values)
    assert 4 * at(light, (0, 0), height_ft=2 * height)[0] == pytest.approx(
        at(light, (0, 0), height_ft=height)[0]
    )


@given(st.floats(100.0, 50_000.0), st.floats(6.0, 60.0))
def test_lambertian_light_only_falls_on_the_way_out(nadir_cd: float, height: float) -> None:
    d = np.linspace(0.0, 8 * height, 200)
    levels = horizontal_fc([Placed(of_cosine(nadir_cd), 0, 0, height)], np.column_stack([0 * d, d]))
    assert (np.diff(levels) < 0).all()


@given(candelas, st.floats(0.0, 180.0), st.floats(-720.0, 720.0))
def test_spinning_back_is_where_it_was(values: list[float], gamma: float, c: float) -> None:
    light = any_light(values)
    spun = distribution(light.photometry, spin_deg=45.0)
    wanted = light.candela(np.array([gamma]), np.array([c + 45.0]))
    assert spun.candela(np.array([gamma]), np.array([c]))[0] == pytest.approx(wanted[0], rel=1e-6, abs=1e-6)


def test_nothing_shines_behind_below_or_on_itself() -> None:
    placed = [Placed(LIGHT, 0, 0, 10.0)]
    assert horizontal_fc(placed, np.array([(0.0, 5.0, 12.0), (0.0, 0.0, 10.0)])).tolist() == [0.0, 0.0]


def test_what_is_no_number_is_refused() -> None:
    with pytest.raises(ValueError, match="can't be placed"):
        Placed(LIGHT, 0.0, 0.0, math.nan)
    with pytest.raises(ValueError, match="can't be placed"):
        Placed(LIGHT, 0.0, 0.0, 20.0, llf=-1.0)
    for points, says in (
        ([[0.0, math.inf]], "not finite"),
        ([0.0, 1.0], "rows of"),
        ([[0.0] * 4], "rows of"),
    ):
        with pytest.raises(ValueError, match=says):
            horizontal_fc([Placed(LIGHT, 0.0, 0.0, 20.0)], np.array(points))
    assert horizontal_fc([Placed(LIGHT, 0.0, 0.0, 20.0)], np.zeros((0, 2))).tolist() == []
    assert horizontal_fc([], np.zeros((2, 2))).tolist() == [0.0, 0.0]


def test_many_luminaires_of_several_aims_add_up_in_any_company() -> None:
    """Taken together by light and aim, in parts; a point's level does not hang on what else is asked for."""
    other = of_cosine(500.0)
    placed = [
        Placed((LIGHT, other)[n % 2], 7.0 * n, 3.0 * (n % 5), 12.0 + n % 3, 45.0 * (n % 4), 10.0 * (n % 2))
        for n in range(60)
    ]
    points = cell_centres((0.0, 300.0), (-40.0, 40.0), 30, 9)
    together = horizontal_fc(placed, points)
    alone = np.sum([horizontal_fc([one], points) for one in placed], axis=0)
    assert together == pytest.approx(alone, rel=1e-12)
    assert horizontal_fc(placed, points[7:8])[0] == together[7]


def test_a_lamp_that_minds_its_tilt() -> None:
    table = ((0.0, 30.0, 90.0), (1.0, 0.9, 0.8))
    for geometry, factor in ((1, 0.95), (2, 1.0), (3, 0.95)):
        read = Photometry(
            "t", "LM-63-2002", "C", "axial", np.array([0.0, 90.0]), np.array([0.0]), np.array([[1000.0, 1000.0]]),
            tilt=LampTilt(geometry, *table),
        )  # fmt: skip
        light = distribution(read)
        tilted = at(light, (3, 7), tilt_deg=15.0)[0]
        plain = at(made(np.array([1000.0, 1000.0]), np.array([0.0, 90.0])), (3, 7), tilt_deg=15.0)[0]
        assert tilted == pytest.approx(factor * plain)


def test_many_points_are_taken_in_parts() -> None:
    points = cell_centres((-50.0, 50.0), (0.0, 50.0), CELLS_AT_ONCE // 256 + 1, 300)
    assert len(points) > CELLS_AT_ONCE
    whole = horizontal_fc([Placed(LIGHT, 0, 0, H)], points)
    some = [0, CELLS_AT_ONCE - 1, CELLS_AT_ONCE, len(points) - 1]
    assert whole[some].tolist() == horizontal_fc([Placed(LIGHT, 0, 0, H)], points[some]).tolist()


def test_an_iso_line_has_its_level() -> None:
    placed = [Placed(LIGHT, 0, 0, H)]
    lines = iso_lines(placed, 0.5, (-80.0, 80.0), (0.0, 80.0), 321)
    assert lines
    on = horizontal_fc(placed, np.vstack(lines))
    assert on == pytest.approx(np.full(len(on), 0.5), rel=0.02)


def test_classes_of_round_and_forward_light() -> None:
    assert lateral_class(of_cosine(1000.0)) == "V"
    assert lateral_class(LIGHT) in {"II", "III", "IV"}
    assert longitudinal_class(LIGHT) == "very_short"
