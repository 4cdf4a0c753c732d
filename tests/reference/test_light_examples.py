"""Light beside published constants, worked examples and closed forms, each with its source."""

import math

import numpy as np
import pytest

from engine.light.bug import bug_rating
from engine.light.distribution import Distribution, distribution
from engine.light.illuminance import Placed, horizontal_fc, vertical_fc
from engine.light.lumens import planes_of, zone_lumens
from engine.light.photometry import Photometry
from engine.quantities import LUX_PER_FOOTCANDLE, feet_to_metres

FEET = 1 / feet_to_metres(1.0)


def axial(candela: np.ndarray, gamma: np.ndarray) -> Photometry:
    return Photometry("made", "generic", "C", "axial", gamma, np.zeros(1), np.atleast_2d(candela))


def even(candela: float) -> Distribution:
    """The same intensity all around."""
    return distribution(axial(np.full(2, candela), np.array([0.0, 180.0])))


def lux(placed: list[Placed], x_m: float, y_m: float) -> float:
    point = np.array([(x_m * FEET, y_m * FEET)])
    return float(horizontal_fc(placed, point)[0]) * LUX_PER_FOOTCANDLE


# IES Lighting Handbook, zonal constants of 10-degree zones, from memory: lumens of one candela.
TENS = (0.095, 0.283, 0.463, 0.628, 0.774, 0.897, 0.993, 1.058, 1.091)


@pytest.mark.parametrize(("zone", "constant"), list(enumerate(TENS)))
def test_zonal_constants(zone: int, constant: float) -> None:
    planes = planes_of(even(1.0).photometry)
    assert zone_lumens(planes, 10.0 * zone, 10.0 * zone + 10.0) == pytest.approx(constant, abs=0.0006)
    assert zone_lumens(planes, 170.0 - 10.0 * zone, 180.0 - 10.0 * zone) == pytest.approx(
        constant, abs=0.0006
    )


def test_the_zonal_way_of_the_handbook() -> None:
    """Mean intensity of each 10-degree zone, read in its middle, times its constant: within half a percent of the integral."""
    gamma = np.arange(0.0, 90.1, 2.5)
    candela = 2600.0 * np.cos(np.radians(gamma)) ** 1.6 * (1 + 0.5 * np.sin(2 * np.radians(gamma)))
    light = distribution(axial(candela, gamma))
    middles = light.candela(np.arange(5.0, 90.0, 10.0), np.zeros(9))
    assert float(middles @ np.array(TENS)) == pytest.approx(light.lumens, rel=0.005)


# A public lecture sheet, "Point by Point Calculation": sample problems 1 to 3 (its formula E = I cos / d2; answers worked by hand).


def test_a_lamp_straight_above() -> None:
    """100 cd, 4 m up: 100 / 16 = 6.25 lux."""
    assert lux([Placed(even(100.0), 0, 0, 4 * FEET)], 0, 0) == pytest.approx(6.25, rel=1e-6)


def test_the_corners_of_a_table() -> None:
    """100 cd, 2.5 m above the middle of a table 3 m square: d2 = 10.75, 100 / 10.75 x 2.5 / 3.2787 = 7.0930 lux."""
    lamp = [Placed(even(100.0), 0, 0, 2.5 * FEET)]
    for x, y in ((1.5, 1.5), (-1.5, 1.5), (1.5, -1.5), (-1.5, -1.5)):
        assert lux(lamp, x, y) == pytest.approx(7.0930, abs=5e-4)


def test_four_lamps_around_a_lawn() -> None:
    """250 cd each, 6 m up at the corners of a lawn 4 m square: in its middle 4 x 250 x 6 / 44^1.5 = 20.5576 lux."""
    light = even(250.0)
    lamps = [Placed(light, x * FEET, y * FEET, 6 * FEET) for x in (-2, 2) for y in (-2, 2)]
    assert lux(lamps, 0, 0) == pytest.approx(20.5576, abs=5e-4)


def test_the_sine_law_on_a_wall() -> None:
    """Architects' exam notes, public: on an upright face E = I / d2 x sin, the angle being that from straight down."""
    light = even(900.0)
    for across in (3.0, 11.0, 40.0):
        d2 = across**2 + 12.0**2
        found = vertical_fc([Placed(light, 0, 0, 12.0)], np.array([(0.0, across)]), 0.0, 180.0)
        assert found[0] == pytest.approx(900.0 / d2 * across / math.sqrt(d2), rel=1e-9)


# Closed forms (any photometry textbook; derived here).


def lambertian(candela: float) -> Distribution:
    gamma = np.arange(0.0, 90.1, 0.25)
    return distribution(axial(candela * np.clip(np.cos(np.radians(gamma)), 0, None), gamma))


def test_a_disc_of_even_light() -> None:
    """Below the middle of an even disc of radius a, h below: E = M a2 / (a2 + h2), M the lumens of a square foot."""
    a, h, exitance = 6.0, 9.0, 50.0
    rings, light, placed = 40, lambertian(1.0), []
    for ring in range(rings):
        radius, count = a * (ring + 0.5) / rings, 6 + 6 * ring
        area = math.pi * a * a * (2 * ring + 1) / rings**2 / count
        for n in range(count):
            turn = 2 * math.pi * n / count
            strength = exitance * area / math.pi
            placed.append(Placed(light, radius * math.cos(turn), radius * math.sin(turn), h, llf=strength))
    assert horizontal_fc(placed, np.zeros((1, 2)))[0] == pytest.approx(
        exitance * a * a / (a * a + h * h), rel=5e-4
    )


def test_what_falls_on_an_endless_floor_is_what_goes_down() -> None:
    """Footcandles summed over the ground are the lumens below level."""
    gamma = np.array([0.0, 20.0, 45.0, 60.0, 70.0])
    table = np.array([900.0, 1500.0, 2400.0, 700.0, 0.0])
    light = distribution(axial(np.append(table, 0.0), np.append(gamma, 90.0)))
    x = np.arange(-60.0, 60.0, 0.25) + 0.125
    points = np.stack(np.meshgrid(x, x), axis=-1).reshape(-1, 2)
    floor = horizontal_fc([Placed(light, 0, 0, 20.0)], points).sum() * 0.25**2
    assert floor == pytest.approx(light.lumens, rel=1e-4)


def test_a_floor_lit_by_a_tilted_luminaire() -> None:
    """Tilting turns light about but makes none: what falls on the ground stays, as long as no ray rises above level."""
    gamma = np.array([0.0, 10.0, 25.0, 40.0, 90.0])
    light = distribution(axial(np.array([9000.0, 7000.0, 3000.0, 0.0, 0.0]), gamma))
    x, y = np.arange(-70.0, 70.0, 0.25) + 0.125, np.arange(-40.0, 160.0, 0.25) + 0.125
    points = np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    floor = horizontal_fc([Placed(light, 0, 0, 20.0, tilt_deg=35.0)], points).sum() * 0.25**2
    assert floor == pytest.approx(light.lumens, rel=2e-3)


# IDA-IES Model Lighting Ordinance (2011), user's guide to table C: no light at all for zone 0 (U0), 50 lumens each in UL and UH
# for zone 2 (U2), 500 each for zone 3 (U3). "Photometric Imprecision Can Limit BUG Rating Utility" (abstract): U0 needs zero
# lumens in the upper hemisphere; U1, or G0 at high angles, no more than 10.
NOTHING = dict.fromkeys(("FL", "FM", "FH", "FVH", "BL", "BM", "BH", "BVH", "UL", "UH"), 0.0)


@pytest.mark.parametrize(
    ("lumens", "uplight"), [(0, 0), (10, 1), (11, 2), (50, 2), (51, 3), (500, 3), (501, 4)]
)
def test_uplight_by_the_model_ordinance(lumens: float, uplight: int) -> None:
    for zones in ({"UL": lumens}, {"UH": lumens}, {"UL": lumens, "UH": lumens}):
        assert bug_rating({**NOTHING, **zones}, round_type=False).uplight == uplight


@pytest.mark.parametrize("zone", ["FVH", "BVH"])
def test_glare_at_very_high_angles(zone: str) -> None:
    assert bug_rating({**NOTHING, zone: 10.0}, round_type=False).glare == 0
    assert bug_rating({**NOTHING, zone: 11.0}, round_type=False).glare == 1
