"""The table of a luminaire's light: exact at any angle of the file, whatever its steps, symmetry and type; and its classes."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.light.bug import bug_rating
from engine.light.distribution import MOST_CELLS, distribution
from engine.light.flood import flood_type
from engine.light.illuminance import Placed, horizontal_fc, lamp_tilt_factor
from engine.light.lateral import lateral_class, longitudinal_class
from engine.light.lumens import outdoor_zones, planes_of, zone_lumens
from engine.light.photometry import LampTilt, Photometry
from engine.light.toward import candela_toward
from engine.tables import load_tables

RANGES = {
    "axial": (0.0, 0.0),
    "quarter": (0.0, 90.0),
    "half": (0.0, 180.0),
    "half_sideways": (90.0, 270.0),
    "none": (0.0, 360.0),
}
GAMMA = np.arange(0.0, 90.5, 1.0)


def photometry(
    vertical: np.ndarray,
    horizontal: np.ndarray,
    candela: np.ndarray,
    symmetry: str = "none",
    kind: str = "C",
    forward: float = 0.0,
) -> Photometry:
    return Photometry(
        "made.ies", "generic", kind, symmetry, vertical, horizontal, candela, forward_deg=forward  # type: ignore[arg-type]
    )  # fmt: skip


def axial(candela: np.ndarray, vertical: np.ndarray = GAMMA) -> Photometry:
    return photometry(vertical, np.zeros(1), np.atleast_2d(candela), "axial")


@st.composite
def files(draw: st.DrawFn) -> Photometry:
    symmetry = draw(st.sampled_from(sorted(RANGES)))
    decimals = draw(st.sampled_from([0, 1, 2, 3]))
    seed = draw(st.integers(0, 10_000))
    dice = np.random.default_rng(seed)

    def angles(low: float, high: float, most: int) -> np.ndarray:
        inner = np.round(dice.uniform(low, high, dice.integers(0, most)), decimals)
        found = np.unique(np.concatenate([[low, high], inner]))
        keep = np.concatenate([np.diff(found) > 0.3, [True]])
        keep[0] = True
        return np.asarray(found[keep])

    vertical = angles(*draw(st.sampled_from([(0.0, 90.0), (0.0, 180.0), (90.0, 180.0)])), 12)
    horizontal = np.zeros(1) if symmetry == "axial" else angles(*RANGES[symmetry], 9)
    candela = dice.uniform(0.0, 9_000.0, (len(horizontal), len(vertical)))
    if symmetry == "none":
        candela[-1] = candela[0]
    # straight down and straight up, planes have no meaning
    for column, pole in ((0, 0.0), (-1, 180.0)):
        if vertical[column] == pole:
            candela[:, column] = candela[0, column]
    forward = draw(st.sampled_from([0.0, 90.0, 33.3]))
    return photometry(vertical, horizontal, candela, symmetry, forward=forward)


@given(files(), st.integers(0, 1000), st.sampled_from([0.0, 90.0, -47.11]))
def test_the_table_says_what_the_file_says(file: Photometry, seed: int, spin: float) -> None:
    """Beside an independent look-up in the stored planes, at the file's own angles and between them."""
    light = distribution(file, spin)
    dice = np.random.default_rng(seed)
    gamma = np.concatenate([dice.uniform(0.0, 180.0, 50), dice.choice(file.vertical_deg, 10)])
    c = dice.uniform(-400.0, 800.0, 60)
    wanted = candela_toward(file, gamma, c + file.forward_deg + spin)

    np.testing.assert_allclose(light.candela(gamma, c), wanted, rtol=1e-9, atol=1e-6)
    right, forward, down = (
        -np.sin(np.radians(gamma)) * np.sin(np.radians(c)),
        np.sin(np.radians(gamma)) * np.cos(np.radians(c)),
        np.cos(np.radians(gamma)),
    )
    inside = np.abs(gamma - 90.0) > 1e-6  # the file may end there, and rounding goes either way
    np.testing.assert_allclose(
        light.towards(right, forward, down)[inside], wanted[inside], rtol=1e-7, atol=1e-4
    )


@given(files())
def test_lumens_are_those_of_any_finer_table(file: Photometry) -> None:
    light = distribution(file)
    gamma = np.arange(0.125, 180.0, 0.25)
    c = np.arange(0.5, 360.0, 1.0)
    rings = light.candela(gamma[None, :], c[:, None]).mean(axis=0)
    by_rings = float((rings * np.sin(np.radians(gamma))).sum() * 2 * math.pi * math.radians(0.25))
    assert light.lumens == pytest.approx(by_rings, rel=0.005)
    assert float(sum(outdoor_zones(planes_of(file)).values())) == pytest.approx(light.lumens, rel=1e-9)


def test_steps_are_the_largest_that_meet_the_file() -> None:
    light = distribution(axial(np.ones(5), np.array([0.0, 10.0, 25.0, 40.0, 90.0])))
    assert (light.vertical.step_deg, light.vertical.count) == (5.0, 19)
    uneven = distribution(axial(np.ones(4), np.array([0.0, 33.333, 61.27, 90.0])))
    assert (uneven.vertical.step_deg, uneven.vertical.count) == (None, 4)


def test_a_table_stays_small_and_can_not_be_written_to() -> None:
    fine = np.round(np.arange(0.0, 90.05, 0.1), 1)
    around = np.round(np.concatenate([[0.0, 0.1], np.arange(1.0, 361.0, 1.0)]), 1)
    candela = np.ones((len(around), len(fine)))
    light = distribution(photometry(fine, around, candela))
    assert light.table.size <= MOST_CELLS
    assert light.candela(np.array([33.33]), np.array([0.05]))[0] == pytest.approx(1.0)
    with pytest.raises(ValueError, match="read-only"):
        light.table[0, 0] = 2.0


def lambertian(kind: str) -> Photometry:
    """1000 cd times the cosine of the angle from the axis, in the angles of each type."""
    if kind == "C":
        return axial(1000.0 * np.cos(np.radians(GAMMA)))
    angle = np.arange(-90.0, 91.0, 1.0)
    h, v = np.radians(angle)[:, None], np.radians(angle)[None, :]
    if kind == "A":
        return photometry(angle, angle, 1000.0 * np.cos(h) * np.cos(v), kind="A")
    with np.errstate(divide="ignore", over="ignore"):
        return photometry(angle, angle, 1000.0 / np.sqrt(1 + np.tan(h) ** 2 + np.tan(v) ** 2), kind="B")


@pytest.mark.parametrize("kind", ["A", "B", "C"])
def test_one_light_in_the_angles_of_each_type(kind: str) -> None:
    light = distribution(lambertian(kind))
    assert light.lumens == pytest.approx(1000.0 * math.pi, rel=0.002)
    spots = np.array([(0.0, 0.0), (5.0, 7.0), (-12.0, 3.0), (0.0, 20.0), (-8.0, -9.0)])
    wanted = [1000.0 * 400.0 / (400.0 + x * x + y * y) ** 2 for x, y in spots]
    assert horizontal_fc([Placed(light, 0, 0, 20)], spots).tolist() == pytest.approx(wanted, rel=1e-3)


def test_a_half_of_type_b_stands_for_both() -> None:
    whole = lambertian("B")
    half = photometry(whole.vertical_deg, whole.horizontal_deg[90:], whole.candela[90:], "half", "B")
    assert distribution(half).lumens == pytest.approx(distribution(whole).lumens)
    with pytest.raises(ValueError, match="can't be spun"):
        distribution(whole, 90.0)


@pytest.mark.parametrize("kind", ["A", "B"])
def test_the_axes_of_types_a_and_b(kind: str) -> None:
    """Vertical angles rise forward, horizontal ones go to the right."""
    angle = np.arange(-90.0, 91.0, 10.0)
    spot = np.zeros((19, 19))
    spot[12, 11] = 5000.0  # 30 degrees to the right, 20 forward
    light = distribution(photometry(angle, angle, spot, kind=kind))
    x, y = np.meshgrid(np.arange(-30.0, 31.0, 1.0), np.arange(-30.0, 31.0, 1.0))
    points = np.column_stack([x.ravel(), y.ravel()])
    brightest = points[horizontal_fc([Placed(light, 0, 0, 20)], points).argmax()]
    assert brightest == pytest.approx(
        [20 * math.tan(math.radians(30)), 20 * math.tan(math.radians(20))], abs=2.5
    )


@pytest.mark.parametrize(
    ("vertical", "last", "known"),
    [((0.0, 90.0), 0.0, True), ((0.0, 90.0), 5.0, False), ((0.0, 180.0), 5.0, True)],
)
def test_whether_uplight_is_known(vertical: tuple[float, float], last: float, known: bool) -> None:
    light = distribution(axial(np.array([100.0, last]), np.array(vertical)))
    assert light.uplight_known is known
    up = horizontal_fc([Placed(light, 0, 0, 5)], np.array([(0.0, 0.1, 9.0)]))
    assert up[0] == 0.0


def test_relative_photometry_has_an_efficiency() -> None:
    bare = Photometry(
        "r", "LM-63-2002", "C", "axial", GAMMA, np.zeros(1), 1000.0 * np.cos(np.radians(GAMMA))[None, :], lamp_lumens=4000.0
    )  # fmt: skip
    assert distribution(bare).efficiency == pytest.approx(math.pi / 4, rel=1e-3)
    assert distribution(axial(np.ones(91))).efficiency is None


def test_a_lamp_on_its_head() -> None:
    """A table to 90 degrees is folded there; a longer one is not; a turn too many is none."""
    to_level = LampTilt(1, (0.0, 60.0, 90.0), (1.0, 0.7, 0.6))
    assert lamp_tilt_factor(to_level, 120.0) == pytest.approx(0.7)
    assert lamp_tilt_factor(to_level, 180.0) == pytest.approx(1.0)
    assert lamp_tilt_factor(to_level, -420.0) == pytest.approx(0.7)
    whole = LampTilt(1, (0.0, 90.0, 180.0), (1.0, 0.6, 0.8))
    assert lamp_tilt_factor(whole, 135.0) == pytest.approx(0.7)


# Ratings and classes.

NOTHING = dict.fromkeys(("FL", "FM", "FH", "FVH", "BL", "BM", "BH", "BVH", "UL", "UH"), 0.0)


@pytest.mark.parametrize("row", load_tables().bug_limits, ids=lambda row: f"{row.zone} {row.types}")
def test_a_zone_at_its_limit_and_just_above(row) -> None:
    for rating, most in enumerate((row.to_0, row.to_1, row.to_2, row.to_3, row.to_4)):
        for lumens, wanted in ((most, rating), (most + 0.6, rating + 1)):
            bug = bug_rating({**NOTHING, row.zone: lumens}, round_type=row.types == "round")
            found = {"B": bug.backlight, "U": bug.uplight, "G": bug.glare}[row.letter]
            assert found == wanted, (row.zone, lumens)


def test_a_rating_tells_what_is_not_verified() -> None:
    bug = bug_rating(NOTHING, round_type=False)
    assert str(bug) == "B0-U0-G0"
    assert bug.unverified == ("G",)
    assert str(bug_rating(NOTHING, round_type=True, uplight_known=False)) == "B0-U?-G0"


def ridge(gamma: float, c: float, spread: float = 12.0) -> Photometry:
    """Two peaks at ``c`` and -``c`` from forward."""
    vertical, around = np.arange(0.0, 90.5, 2.5), np.arange(0.0, 181.0, 5.0)
    v, h = np.meshgrid(vertical, around)
    table = 200 + 5000 * np.exp(-(((v - gamma) / spread) ** 2) - ((h - c) / (2 * spread)) ** 2)
    table[:, 0] = table[0, 0]
    table[:, -1] = 0.0
    return photometry(vertical, around, table, "half")


def test_longitudinal_class_by_where_the_peak_lands() -> None:
    for along, wanted in ((0.7, "very_short"), (1.6, "short"), (3.0, "medium"), (4.8, "long")):
        light = distribution(ridge(math.degrees(math.atan(along)), 90.0, 6.0))
        assert longitudinal_class(light) == wanted


def test_lateral_class_by_how_far_across_half_the_peak_reaches() -> None:
    """Peaks ahead, whose half lies at 0.83 of their spread further out."""
    for half_mh, wanted in ((1.4, "II"), (2.4, "III"), (3.3, "IV")):
        gamma = math.degrees(math.atan(half_mh)) - 6.0 * math.sqrt(math.log(2.0))
        assert lateral_class(distribution(ridge(gamma, 0.0, 6.0))) == wanted
    assert lateral_class(distribution(ridge(45.0, 90.0, 4.0))) == "I"


def test_round_and_square_light() -> None:
    assert lateral_class(distribution(axial(1000 + 3000 * np.sin(np.radians(GAMMA)) ** 2))) == "V"
    vertical, around = np.arange(0.0, 90.5, 5.0), np.arange(0.0, 91.0, 5.0)
    v, h = np.radians(np.meshgrid(vertical, around))
    square = 500 + 3000 * np.sin(v) ** 2 * np.cos(2 * (h - math.pi / 4)) ** 2
    assert lateral_class(distribution(photometry(vertical, around, square, "quarter"))) == "VS"


def test_floodlights_by_their_field() -> None:
    """cos^n falls to a tenth where cos a = 0.1^(1/n): the field is twice that angle."""
    for power, wanted in (
        (300.0, "1"),
        (130.0, "2"),
        (40.0, "3"),
        (15.0, "4"),
        (6.0, "5"),
        (3.0, "6"),
        (1.0, "7"),
    ):
        gamma = np.arange(0.0, 90.1, 0.5)
        found = flood_type(distribution(axial(1e5 * np.cos(np.radians(gamma)) ** power, gamma)))
        field = 2 * math.degrees(math.acos(0.1 ** (1 / power)))
        assert (found.horizontal_deg, found.vertical_deg) == pytest.approx((field, field), abs=0.3)
        assert str(found) == f"{wanted} x {wanted}"
    angle = np.arange(-90.0, 91.0, 1.0)
    h, v = np.meshgrid(angle, angle, indexing="ij")
    wide = 1e4 * np.exp(-((h / 30) ** 2) - (v / 8) ** 2)
    assert str(flood_type(distribution(photometry(angle, angle, wide, kind="B")))) == "5 x 2"
    pencil = np.exp(-((np.arange(0.0, 90.1, 0.5) / 2) ** 2))
    assert str(flood_type(distribution(axial(pencil, np.arange(0.0, 90.1, 0.5))))) == "- x -"


def test_a_zone_may_end_anywhere() -> None:
    isotropic = planes_of(axial(np.full(91, 10.0)))
    for low, high in ((0.0, 90.0), (12.3, 45.6), (89.9, 90.0)):
        closed = 20 * math.pi * (math.cos(math.radians(low)) - math.cos(math.radians(high)))
        assert zone_lumens(isotropic, low, high) == pytest.approx(closed, rel=1e-9)
