"""Choosing by light, and the light before and after in a quote: every level traced, and checked point by point."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from catalog_demo.light import photometry_of, shapes
from engine.catalog.catalogue import Catalogue
from engine.catalog.fault import CatalogueFault
from engine.figure import leaves
from engine.light.before_after import FAINT_FC, BeforeAfter
from engine.light.distribution import distribution
from engine.light.illuminance import Placed, horizontal_fc
from engine.light.lm63_writer import lm63_text
from engine.light.photometric_file import read_photometry
from engine.proposal import Quote, QuoteLine
from engine.quote import make_quote
from engine.request import Request
from engine.selection.light_goal import LEAST_LIGHT_HELD
from engine.tables.tables import Tables

WALL: dict[str, Any] = {"qty": 12, "family": "wall_pack", "source": "MH", "watts": 250, "height_ft": 20}
AREA: dict[str, Any] = {
    "qty": 8,
    "family": "area",
    "source": "MH",
    "watts": 400,
    "height_ft": 25,
    "voltage": 480,
}
BAYS: dict[str, Any] = {"qty": 20, "family": "high_bay", "source": "MH", "watts": 400, "height_ft": 25}
FLOOD: dict[str, Any] = {"qty": 4, "family": "flood", "source": "MH", "watts": 400, "height_ft": 28}

SOUND = Path(__file__).parents[1] / "light" / "files" / "sound"
Liner = Callable[..., QuoteLine]


@pytest.fixture
def line_of(catalogue: Catalogue, tables: Tables) -> Liner:
    def made(slots: dict[str, Any], goods: Catalogue = catalogue, **more: Any) -> QuoteLine:
        request = Request.model_validate({"lines": [slots | more]})
        return make_quote(request, goods, tables).lines[0]

    return made


def light_of(line: QuoteLine) -> BeforeAfter:
    assert line.light is not None
    return line.light


def value(line: QuoteLine, name: str) -> float:
    return float(light_of(line).figures[name].value)


def without_light(catalogue: Catalogue) -> Catalogue:
    return replace(catalogue, light={})


def test_the_trade_s_own_check_the_50_w_class_led_matches_the_250_w_wall_pack_within_15_percent(
    line_of: Liner,
) -> None:
    """Common practice, no source: about half a footcandle two mounting heights out, both maintained."""
    line = line_of(WALL)
    product = line.options[0].product

    assert value(line, "level_ahead_before") == pytest.approx(0.5, rel=0.05)
    assert value(line, "level_ahead_after") == pytest.approx(value(line, "level_ahead_before"), rel=0.15)
    assert 45 <= product.input_watts <= 60
    assert line.matched_by == "light"
    assert value(line, "throw_ahead_after") == pytest.approx(40, abs=1.5)


@pytest.mark.parametrize("slots", [WALL, AREA, FLOOD, BAYS], ids=["wall", "pole", "aim", "grid"])
def test_levels_and_throws_are_those_of_the_point_by_point_calculation(
    line_of: Liner, slots: dict[str, Any]
) -> None:
    light = light_of(line_of(slots))
    scene = light.scene
    above, layout = float(scene.above_ft.value), scene.layout
    for side in (light.before, light.after):
        even = distribution(side.photometry)
        llf = float(side.lumens.value) / even.lumens

        def placed(x: float, y: float, tilt: float = 0.0, even: Any = even, llf: float = llf) -> Placed:
            return Placed(even, x, y, above, tilt_deg=tilt, llf=llf)

        for spot in light.spots:
            at = np.array([[spot.x, spot.y]]) * above
            if layout.arrangement == "grid":
                steps = layout.spacing * above * np.arange(-8, 9)
                cell = layout.spacing * above * (np.arange(8) + 0.5) / 8
                x, y = np.meshgrid(cell, cell)
                at = np.column_stack([x.ravel(), y.ravel()]) if spot.key == "average" else at
                lamps = [placed(float(x), float(y)) for x in steps for y in steps]
            elif layout.arrangement == "pole":
                lamps = [placed(0.0, 0.0), placed(2 * spot.x * above, 0.0)]
            else:
                lamps = [placed(0.0, 0.0, float(np.degrees(np.arctan(2.0))) if slots is FLOOD else 0.0)]
            shown = float(light.figures[f"level_{spot.key}_{side.when}"].value)
            assert shown == pytest.approx(
                horizontal_fc(lamps, at).mean(), rel=0.02 if slots is BAYS else 1e-6
            )
        for name, along in (("ahead", (0.0, 1.0)), ("side", (1.0, 0.0))):
            throw = light.figures.get(f"throw_{name}_{side.when}")
            if throw is not None:
                there = np.array([along]) * float(throw.value)
                assert horizontal_fc([placed(0.0, 0.0)], there)[0] == pytest.approx(light.level_fc, rel=1e-3)


def test_a_line_s_figures_hold_its_light_and_every_leaf_says_where_it_is_from(line_of: Liner) -> None:
    line = line_of(WALL)
    assert set(light_of(line).figures) <= set(line.figures)
    origins = {leaf.name: leaf.origin for leaf in leaves([line.figures["level_ahead_before"]])}
    after = [leaf for leaf in leaves([line.figures["level_ahead_after"]]) if leaf.name == "light_there"]

    assert origins["light_there"] is not None
    assert origins["light_there"].reference == "generic_light.csv: wall_pack refractor"
    assert "generic" in origins["light_there"].source
    assert origins["light_there"].low is not None
    assert after[0].origin is not None
    assert after[0].origin.kind == "catalogue"
    assert "DUNLIN-05P.ies" in after[0].origin.source


def test_every_option_holds_the_light_or_says_that_it_gives_less(line_of: Liner) -> None:
    for slots in (WALL, AREA, FLOOD, BAYS):
        line = line_of(slots)
        for option in line.options:
            before_after = {
                key: float(option.figures[f"level_{key}_after"].value)
                / float(option.figures[f"level_{key}_before"].value)
                for key in (spot.key for spot in light_of(line).spots)
            }
            assert min(before_after.values()) >= LEAST_LIGHT_HELD
            told = [r for r in option.reasons if "spot" in r.values]
            assert len(told) == 1
            key = told[0].values["spot"][0]
            assert before_after[key] == pytest.approx(min(before_after.values()))


def test_products_that_are_too_dim_there_are_passed_over_with_the_place_and_the_levels(
    line_of: Liner,
) -> None:
    line = line_of(WALL)
    dim = [p.reason for p in line.passed_over if p.reason.key == "too_dim_there"]

    assert dim
    for reason in dim:
        assert reason.values["then"] < LEAST_LIGHT_HELD * reason.values["now"]
        assert reason.values["spot"] in (("ahead", 40.0), ("side", 40.0))


def test_a_product_with_the_lumens_and_not_the_throw_is_passed_over(
    catalogue: Catalogue, tables: Tables
) -> None:
    """The same 6,900 lm thrown at the wall's foot: total light would match, the light at 40 ft does not."""
    product = catalogue.by_part_number["DUNLIN/05P"]
    name = product.photometry
    assert name is not None
    assert "spot" in shapes()
    dull = photometry_of("spot", product.part_number, "made", "made", product.lumens, product.input_watts)
    spoiled = replace(catalogue, light={**catalogue.light, name: lm63_text(dull).encode()})
    request = Request.model_validate({"lines": [WALL]})

    line = make_quote(request, spoiled, tables).lines[0]
    by_lumens = make_quote(request, without_light(catalogue), tables).lines[0]

    reasons = {p.part_number: p.reason for p in line.passed_over}
    assert reasons["DUNLIN/05P"].key == "too_dim_there"
    assert by_lumens.options[0].product.part_number == "DUNLIN/05P"


def test_without_files_lumens_are_matched_and_the_line_says_so(line_of: Liner, catalogue: Catalogue) -> None:
    line = line_of(WALL, without_light(catalogue))

    assert line.matched_by == "lumens"
    assert line.light is None
    assert {r.key for r in line.options[0].reasons} >= {"closest_light"}


def test_what_was_asked_for_goes_before_light_and_the_light_is_told_all_the_same(line_of: Liner) -> None:
    line = line_of(WALL, led_watts=30)

    assert line.matched_by == "asked"
    assert value(line, "level_ahead_after") < LEAST_LIGHT_HELD * value(line, "level_ahead_before")
    assert "less_light_there" in {concern.key for concern in line.options[0].concerns}


def test_where_nothing_holds_the_light_lumens_are_matched_and_the_options_say_what_they_keep(
    catalogue: Catalogue, tables: Tables
) -> None:
    """Every wall pack of the shop thrown at the wall's foot."""
    dull = dict(catalogue.light)
    for product in catalogue.of_kind("luminaire", "wall_pack"):
        assert product.photometry is not None
        made = photometry_of("spot", product.part_number, "made", "made", product.lumens, product.input_watts)
        dull[product.photometry] = lm63_text(made).encode()
    request = Request.model_validate({"lines": [WALL]})

    line = make_quote(request, replace(catalogue, light=dull), tables).lines[0]

    assert line.matched_by == "lumens"
    assert {c.key for c in line.options[0].concerns} >= {"less_light_there"}
    assert value(line, "level_ahead_after") < 0.1 * value(line, "level_ahead_before")


def test_a_lamp_that_keeps_its_housing_has_no_light_of_its_own(line_of: Liner) -> None:
    line = line_of(
        {"qty": 10, "family": "troffer", "source": "T8", "lamps": 4, "size": "2x4", "keep_housing": True}
    )

    assert line.options
    assert (line.matched_by, line.light) == ("lumens", None)


def test_a_height_and_a_spacing_that_were_not_said_are_assumptions_with_their_range(
    catalogue: Catalogue, tables: Tables
) -> None:
    slots = {key: v for key, v in AREA.items() if key != "height_ft"}
    quote: Quote = make_quote(Request.model_validate({"lines": [slots]}), catalogue, tables)
    assumed = {a.name: a for a in quote.assumptions}

    assert assumed["mounting_height_ft"].path == "lines.0.height_ft"
    assert (
        assumed["mounting_height_ft"].low
        < assumed["mounting_height_ft"].value
        < assumed["mounting_height_ft"].high
    )
    assert assumed["spacing_ft"].low < assumed["spacing_ft"].value < assumed["spacing_ft"].high
    assert not assumed["mounting_height_ft"].affects_money


def test_a_stated_spacing_is_the_one_that_is_looked_at(line_of: Liner) -> None:
    near, far = line_of(AREA, spacing_ft=80), line_of(AREA, spacing_ft=160)

    assert value(near, "level_midway_before") > value(far, "level_midway_before")
    assert light_of(near).scene.spacing_ft is not None
    assert "spacing_ft" in near.figures


def test_lights_hung_lower_than_the_work_plane_light_the_floor(line_of: Liner) -> None:
    light = light_of(line_of(BAYS, height_ft=3))

    assert light.scene.plane_ft.value == 0.0
    assert light.scene.above_ft.value == 3.0


def test_a_level_that_the_old_light_hardly_carries_gives_way_to_a_lower_one(line_of: Liner) -> None:
    assert light_of(line_of(WALL)).level_fc == 0.5
    assert light_of(line_of(WALL, height_ft=40)).level_fc == 0.2


def test_a_light_too_faint_to_hold_is_matched_by_lumens(line_of: Liner) -> None:
    line = line_of(WALL, watts=70, height_ft=150)

    assert line.matched_by == "lumens"
    assert value(line, "level_ahead_before") < FAINT_FC


def test_lines_alike_share_one_choice_and_lines_of_other_heights_do_not_mix(
    catalogue: Catalogue, tables: Tables
) -> None:
    lines = [WALL, WALL | {"qty": 3}, WALL | {"height_ft": 12}, AREA]
    together = make_quote(Request.model_validate({"lines": lines}), catalogue, tables)
    for n, slots in enumerate(lines):
        alone = make_quote(Request.model_validate({"lines": [slots]}), catalogue, tables)
        options = [[o.product.part_number for o in q.options] for q in (together.lines[n], alone.lines[0])]
        assert options[0] == options[1]
        assert {k: f.value for k, f in light_of(together.lines[n]).figures.items()} == {
            k: f.value for k, f in light_of(alone.lines[0]).figures.items()
        }


def test_the_user_s_own_file_takes_the_place_of_the_generic_shape(
    catalogue: Catalogue, tables: Tables
) -> None:
    own = read_photometry(catalogue.light["photometry/DUNLIN-11P.ies"], "mine.ies")
    request = Request.model_validate({"lines": [WALL]})

    line = make_quote(request, catalogue, tables, own_light={0: own}).lines[0]
    light = light_of(line)

    assert not light.before.generic
    assert light.before.reference == "mine.ies"
    assert line.existing is not None
    assert line.existing.delivered_lumens is not None
    delivered = line.existing.delivered_lumens
    assert delivered.value == pytest.approx(19_200 * 0.66 * 0.90, rel=0.005)
    assert delivered.inputs[0].origin is not None
    assert delivered.inputs[0].origin.kind == "stated"


def test_a_type_b_file_of_the_user_s_is_taken_too(catalogue: Catalogue, tables: Tables) -> None:
    own = read_photometry((SOUND / "type_b.ies").read_bytes(), "type_b.ies")
    request = Request.model_validate({"lines": [FLOOD | {"led_watts": 120}]})

    light = light_of(make_quote(request, catalogue, tables, own_light={0: own}).lines[0])

    assert own.type == "B"
    assert light.before.photometry.type == "C"
    assert light.before.reference == "type_b.ies"
    assert float(light.figures["level_aim_before"].value) > 0


def test_a_faulty_file_that_is_needed_stops_the_quote_with_its_name_and_line(
    catalogue: Catalogue, tables: Tables
) -> None:
    name = "photometry/DUNLIN-05P.ies"
    spoiled = replace(catalogue, light={**catalogue.light, name: b"IESNA:LM-63-2002\nTILT=NONE\n1 -1 1\n"})

    with pytest.raises(CatalogueFault, match=r"photometry/DUNLIN-05P.ies, line \d"):
        make_quote(Request.model_validate({"lines": [WALL]}), spoiled, tables)


def test_a_level_that_was_asked_for_serves_as_well_as_the_old_one_and_is_named(
    catalogue: Catalogue, tables: Tables
) -> None:
    """0.2 fc asked where 0.5 hang: what reaches 0.2 at both places is no longer too dim, and says why."""
    plain = make_quote(Request.model_validate({"lines": [WALL]}), catalogue, tables).lines[0]
    asked = make_quote(
        Request.model_validate({"lines": [WALL], "light": {"level_fc": 0.2}}), catalogue, tables
    ).lines[0]
    dim = {p.part_number for p in plain.passed_over if p.reason.key == "too_dim_there"}
    still = {p.part_number for p in asked.passed_over if p.reason.key == "too_dim_there"}

    assert still < dim
    for part in dim - still:
        lumens = catalogue.by_part_number[part].lumens
        assert lumens < plain.options[0].product.lumens
    for option in asked.options:
        levels = [float(option.figures[f"level_{spot}_after"].value) for spot in ("ahead", "side")]
        told = [r for r in option.reasons if r.key == "meets_level"]
        assert bool(told) == (min(levels) >= 0.2)


def test_a_reach_of_a_generic_shape_could_be_as_far_off_as_its_light(line_of: Liner) -> None:
    throw = light_of(line_of(WALL)).figures["throw_ahead_before"]
    leaf = next(leaf for leaf in leaves([throw]) if leaf.name == "reach_in_heights")

    assert leaf.origin is not None
    assert leaf.origin.low is not None
    assert leaf.origin.high is not None
    assert (
        0.85
        < float(leaf.origin.low) / float(leaf.value)
        < 1
        < float(leaf.origin.high) / float(leaf.value)
        < 1.15
    )
    assert "0.5 fc" in leaf.origin.source
