"""Generic shapes of legacy luminaires: whole, marked, of the type that they are called by, and the trade's own check."""

from dataclasses import fields

import numpy as np
import pytest

from catalog_demo.light import shapes
from engine.light.distribution import distribution
from engine.light.generic import generic_light, generic_photometry, horizontals, verticals
from engine.light.lateral import lateral_class
from engine.light.legacy_file import legacy_photometry
from engine.light.lm63_writer import lm63_text
from engine.light.photometric_file import read_photometry
from engine.light.photometry import Photometry
from engine.light.shapes import Shape, candela_per_lumen, lumens_of
from engine.light.toward import lumens_below, total_lumens
from engine.request import StatedLine
from engine.tables import load_tables
from engine.tables.miss import NoSuchRow

TABLES = load_tables()
ROWS = [(row.family, row.form) for row in TABLES.generic_light]


def made(family: str, form: str) -> Photometry:
    row = next(row for row in TABLES.generic_light if (row.family, row.form) == (family, form))
    found = generic_light(TABLES, row.family, row.lamp_sources[0], form=form)  # type: ignore[arg-type]
    assert not isinstance(found, NoSuchRow)
    return found.per_lumen


@pytest.mark.parametrize(("family", "form"), ROWS)
def test_a_generic_shape_holds_one_lumen_and_the_uplight_that_its_row_states(family: str, form: str) -> None:
    photometry = made(family, form)
    row = next(row for row in TABLES.generic_light if (row.family, row.form) == (family, form))

    assert distribution(photometry).lumens == pytest.approx(1.0, rel=1e-9)
    assert 1 - lumens_below(photometry) == pytest.approx(row.uplight_share, abs=1e-9)
    assert (photometry.candela >= 0).all()
    assert np.ptp(photometry.candela[:, 0]) == 0.0, "one intensity straight down, whatever the plane"


@pytest.mark.parametrize(("family", "form"), ROWS)
def test_nothing_shines_above_a_cut_off(family: str, form: str) -> None:
    photometry = made(family, form)
    row = next(row for row in TABLES.generic_light if (row.family, row.form) == (family, form))
    highest = max(row.cutoff_deg, row.side_cutoff_deg)
    if row.uplight_share == 0:
        assert photometry.vertical_deg[-1] == 90.0
        assert (photometry.candela[:, photometry.vertical_deg >= highest] == 0.0).all()


@pytest.mark.parametrize("form", ["type II", "type III", "type IV", "type V"])
def test_area_lights_are_of_the_lateral_type_that_they_are_called_by(form: str) -> None:
    assert lateral_class(distribution(made("area", form))) == form.removeprefix("type ")


def test_every_lamp_that_usually_hangs_in_a_family_has_a_generic_shape_there() -> None:
    lit = {row.family for row in TABLES.light_places}
    missing = {
        (row.family, row.lamp_source)
        for row in TABLES.usual_lamps
        if row.family in lit
        and row.lamp_source != "LED"
        and isinstance(generic_light(TABLES, row.family, row.lamp_source), NoSuchRow)
    }

    assert missing == set()


def test_a_stated_optic_points_to_its_own_shape_and_else_the_usual_one_is_taken() -> None:
    usual, five = (generic_light(TABLES, "area", "MH", optic) for optic in (None, "type_V"))  # type: ignore[arg-type]

    assert not isinstance(usual, NoSuchRow)
    assert not isinstance(five, NoSuchRow)
    assert (usual.form, five.form) == ("type III", "type V")


def test_a_family_without_a_shape_says_what_is_near() -> None:
    found = generic_light(TABLES, "wall_pack", "T8")

    assert isinstance(found, NoSuchRow)
    assert found.nearest[0].startswith("generic_light.csv: wall_pack")


def test_a_generic_file_says_in_its_keywords_that_it_is_generic_and_reads_back_the_same() -> None:
    light = generic_light(TABLES, "high_bay", "MH")
    assert not isinstance(light, NoSuchRow)
    written = generic_photometry(light, 36_000.0, 0.77)
    back = read_photometry(lm63_text(written).encode(), "old.ies")

    assert any("eneric" in words for key, words in back.labels if key == "LUMINAIRE")
    assert any("not a measurement" in words for key, words in back.labels if key == "TEST")
    assert total_lumens(back) / back.lamp_lumens == pytest.approx(0.77, rel=1e-6)


def test_the_trade_s_own_check_a_250_w_wall_pack_at_20_ft_gives_half_a_footcandle_at_40_ft() -> None:
    """Common practice, no source. Taken as maintained: x 0.66 lamp lumen depreciation x 0.90 dirt (our own decision)."""
    photometry = legacy_photometry(StatedLine(family="wall_pack", source="MH", watts=250), TABLES)
    assert photometry is not None
    toward = distribution(photometry).candela(np.array([np.degrees(np.arctan(2.0))]), np.array([0.0]))[0]
    initial = toward * 20.0 / (20.0**2 + 40.0**2) ** 1.5

    assert initial * 0.66 * 0.90 == pytest.approx(0.5, rel=0.05)
    assert initial == pytest.approx(0.85, rel=0.05)


def test_a_line_without_a_known_lamp_has_no_generic_file() -> None:
    assert legacy_photometry(StatedLine(family="exit"), TABLES) is None
    assert legacy_photometry(StatedLine(), TABLES) is None


@pytest.mark.parametrize("name", sorted(shapes()))
def test_finer_angles_hardly_change_where_a_shape_s_light_goes(name: str) -> None:
    shape = shapes()[name]

    def table(step: float, plane: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        vertical, horizontal = verticals(shape, step, 2 * step), horizontals(shape, plane)
        return vertical, horizontal, candela_per_lumen(shape, vertical, horizontal)

    coarse, fine = table(2.5, 15.0), table(0.5, 2.5)
    below_60 = [
        lumens_of(candela[:, vertical <= 60.0], vertical[vertical <= 60.0], horizontal)
        for vertical, horizontal, candela in (coarse, fine)
    ]

    assert below_60[0] == pytest.approx(below_60[1], abs=0.01)


def test_a_lambertian_shape_has_the_lumens_of_its_closed_form() -> None:
    """I = I0 cos g: pi I0 lumens; the lobe is made to vanish beside the body."""
    numbers = dict.fromkeys((field.name for field in fields(Shape)), 1.0) | {
        "symmetry": "axial", "peak_deg": 0.0, "side_peak_deg": 0.0, "nadir_share": 1e9,
        "cutoff_deg": 100.0, "side_cutoff_deg": 100.0, "uplight_share": 0.0,
    }  # fmt: skip
    table = candela_per_lumen(Shape(**numbers), np.arange(0.0, 90.1, 0.5), np.array([0.0]))  # type: ignore[arg-type]

    assert table[0, 0] == pytest.approx(1 / np.pi, rel=1e-4)
