"""The demo catalogue is what the demo needs: whole, plausible, and invented throughout."""

import re
import tomllib
from collections import defaultdict
from decimal import Decimal
from itertools import pairwise

import pytest

from catalog_demo import DISTRIBUTOR, FOLDER
from catalog_demo.build import photometric_files, sheets
from engine.catalog.distributor import load_distributor
from engine.catalog.loader import load_catalogue
from engine.catalog.product import Product
from engine.light.bug import bug_rating
from engine.light.distribution import distribution
from engine.light.lateral import lateral_class
from engine.light.lumens import outdoor_zones, planes_of
from engine.light.toward import lumens_below, total_lumens
from engine.vocabulary import EXTERIOR_FAMILIES, FAMILIES

DEMO = load_catalogue(FOLDER)
LUMINAIRES = [product for product in DEMO.products if product.kind == "luminaire"]
PART_NUMBER = re.compile(r"([A-Z]{4,12})/([0-9]{2})([A-Z](?:\.2)?)")

EFFICACY = {
    "wall_pack": (100, 150), "flood": (110, 150), "area": (115, 155), "street": (115, 160), "canopy": (110, 150),
    "garage": (110, 150), "high_bay": (130, 180), "low_bay": (120, 165), "troffer": (110, 150), "panel": (110, 150),
    "strip": (120, 160), "wrap": (110, 145), "vapor_tight": (115, 150), "downlight": (75, 110), "bollard": (60, 100),
    "post_top": (90, 130), "security": (100, 140), "sconce": (60, 110), "sign": (90, 140), "track": (60, 110),
    "landscape": (50, 110), "exit": (5, 60),
}  # fmt: skip
"""Lumens per watt of today's LED luminaires by family: as in the reference table of luminaires; sconce, sign, track,
landscape and exit from memory."""

TRADE_WORDS = {
    "LED", "HID", "II", "III", "IV", "V", "W", "A", "B", "AB", "PL", "MR16", "PAR30", "PAR38", "A19", "T8", "T5", "NRTL", "UL",
}  # fmt: skip


def _ladders() -> dict[tuple[str, str], list[Product]]:
    ladders: dict[tuple[str, str], list[Product]] = defaultdict(list)
    for product in DEMO.products:
        match = PART_NUMBER.fullmatch(product.part_number)
        assert match is not None, product.part_number
        ladders[match[1], match[3]].append(product)
    return ladders


def test_the_sheets_are_what_the_ladders_make() -> None:
    for name, text in sheets().items():
        assert (FOLDER / name).read_text(encoding="utf-8") == text, (
            f"run python -m catalog_demo.build: {name}"
        )


def test_every_product_sheet_has_its_ladders() -> None:
    on_disk = {path.name for path in FOLDER.glob("*.csv")} - {"like_for_like.csv"}

    assert on_disk == set(sheets())


def test_there_is_enough_to_choose_from() -> None:
    assert len(DEMO.products) >= 240


@pytest.mark.parametrize("family", FAMILIES)
def test_every_family_of_the_vocabulary_can_be_had_as_a_luminaire(family: str) -> None:
    assert [product for product in LUMINAIRES if product.family == family]


def test_every_kind_and_supply_voltage_is_there() -> None:
    assert {product.kind for product in DEMO.products} == {"luminaire", "retrofit_kit", "lamp"}
    assert {product.voltage for product in DEMO.products} == {"12", "120", "120-277", "277-480", "347-480"}


@pytest.mark.parametrize("family", ["wall_pack", "area", "flood", "high_bay", "low_bay", "canopy"])
def test_families_on_industrial_supplies_come_for_both_voltage_classes(family: str) -> None:
    assert {"120-277", "347-480"} <= {p.voltage for p in LUMINAIRES if p.family == family}


def test_wall_packs_reach_from_ten_to_a_hundred_and_fifty_watts() -> None:
    watts = [product.input_watts for product in LUMINAIRES if product.family == "wall_pack"]

    assert min(watts) <= 10
    assert max(watts) >= 150


def test_one_body_in_the_fifty_to_sixty_watt_class_has_three_shieldings() -> None:
    shieldings: dict[str, set[str | None]] = defaultdict(set)
    for product in LUMINAIRES:
        if product.family == "wall_pack" and 50 <= product.input_watts <= 60:
            assert 6400 <= product.lumens <= 8000
            shieldings[product.series].add(product.shielding)

    assert {"standard", "cutoff", "full_cutoff"} in shieldings.values()


def test_wall_packs_of_that_class_cost_about_130_more_than_a_like_for_like_one() -> None:
    old = DEMO.like_for_like_of("wall_pack", "MH", 250)
    assert old is not None
    ordinary = [p for p in LUMINAIRES if p.series == "Dunlin" and p.shielding == "standard"]
    extra = [
        p.net_price - old.net_price for p in ordinary if 52 <= p.input_watts <= 60 and p.voltage == "120-277"
    ]

    assert len(extra) == 3
    assert all(Decimal(110) <= more <= Decimal(150) for more in extra)


def test_more_watts_give_more_light_for_more_money_within_a_ladder() -> None:
    for ladder in _ladders().values():
        for lower, higher in pairwise(ladder):
            assert lower.input_watts < higher.input_watts, higher.part_number
            assert lower.lumens < higher.lumens, higher.part_number
            assert lower.net_price < higher.net_price, higher.part_number


def test_a_rung_is_the_same_body_whatever_its_mark() -> None:
    watts: dict[str, set[float]] = defaultdict(set)
    for product in DEMO.products:
        watts[product.part_number.split("/")[0] + product.part_number.split("/")[1][:2]].add(
            product.input_watts
        )

    assert all(len(values) == 1 for values in watts.values())


@pytest.mark.parametrize("product", LUMINAIRES, ids=lambda product: product.part_number)
def test_efficacy_is_what_the_family_reaches_today(product: Product) -> None:
    low, high = EFFICACY[product.family]

    assert low <= product.efficacy_lm_per_w <= high


def test_net_is_a_usual_share_of_list() -> None:
    for product in DEMO.products:
        assert Decimal("0.55") <= product.net_price / product.list_price <= Decimal("0.75"), (
            product.part_number
        )


def test_outdoor_luminaires_stand_rain_surges_and_frost() -> None:
    for product in LUMINAIRES:
        if product.family in EXTERIOR_FAMILIES:
            assert product.wet_rating == "wet", product.part_number
            assert 6 <= product.surge_kv <= 20, product.part_number
            assert product.ambient_low_c <= -30, product.part_number


def test_dark_sky_means_no_uplight_and_a_warm_choice() -> None:
    marked = [product for product in DEMO.products if product.dark_sky]

    assert {"wall_pack", "area", "street", "bollard", "post_top", "security"} <= {p.family for p in marked}
    for product in marked:
        assert product.shielding == "full_cutoff", product.part_number
        assert min(product.cct_k) <= 3000, product.part_number
        assert product.bug is None or "-U0-" in product.bug, product.part_number


def test_a_lamp_says_its_base_and_a_lamp_on_a_ballast_its_wiring() -> None:
    for product in DEMO.products:
        if product.kind != "lamp":
            assert product.base is None
            assert product.wiring is None
            continue
        assert product.base is not None, product.part_number
        screwed_in = bool({"INC", "HAL"} & set(product.replaces_source))
        assert (product.wiring is None) == screwed_in, product.part_number


def test_some_are_out_of_stock_and_then_have_a_lead_time() -> None:
    gone = [product for product in DEMO.products if product.in_stock == 0]

    assert 0.05 <= len(gone) / len(DEMO.products) <= 0.3
    assert all(product.lead_time_days >= 7 for product in gone)


def test_some_are_not_rebate_listed() -> None:
    unlisted = [product for product in DEMO.products if not product.rebate_listed]

    assert 0.05 <= len(unlisted) / len(DEMO.products) <= 0.3


def test_like_for_like_prices_say_that_they_are_assumed() -> None:
    assert {row.basis for row in DEMO.like_for_like} == {"market assumption for the demo"}
    assert {row.family for row in DEMO.like_for_like} >= set(FAMILIES) - {"exit"}


def test_no_name_but_the_invented_ones_stands_anywhere() -> None:
    """Only series and trade words may be written with a capital, so that no brand can slip in."""
    series = {product.series for product in DEMO.products}
    for product in DEMO.products:
        assert product.maker == "Plover Hollow Lighting"
        assert product.part_number.split("/")[0] == product.series.upper()
        capitals = set(re.findall(r"\b[A-Z][A-Za-z0-9]*", f"{product.description} {product.safety_listing}"))
        assert capitals <= series | TRADE_WORDS, product.part_number
        assert re.fullmatch(r"HB79-[0-9]{4}[A-Z](\.2)?", product.lm79)
        assert re.fullmatch(r"HB80-[0-9]{3}", product.lm80)


def test_report_numbers_are_used_once() -> None:
    numbers = [product.lm79 for product in DEMO.products]

    assert len(set(numbers)) == len(numbers)


def test_the_distributors_branches_are_those_that_the_sheets_count_stock_at() -> None:
    distributor = load_distributor(DISTRIBUTOR)

    assert tuple(sorted(branch.key for branch in distributor.branches)) == DEMO.branches
    assert distributor.name == "Oxbow & Tansy Electrical Supply"
    assert distributor.currency == "USD"


def test_the_distributor_cannot_be_reached() -> None:
    """Addresses and numbers are of the ranges set aside for examples."""
    page = tomllib.loads(DISTRIBUTOR.read_text(encoding="utf-8"))
    phones = [page["phone"], *(branch["phone"] for branch in page["branches"])]

    assert page["email"].endswith("@example.com")
    assert all(re.fullmatch(r"[0-9]{3}-555-01[0-9]{2}", phone) for phone in phones)


LIT = [product for product in LUMINAIRES if product.photometry is not None]


def test_the_photometric_files_are_what_the_script_makes() -> None:
    made = photometric_files()

    assert {f"photometry/{path.name}" for path in (FOLDER / "photometry").iterdir()} == set(made)
    for name, content in made.items():
        assert (FOLDER / name).read_bytes() == content, f"run python -m catalog_demo.build_photometry: {name}"


def test_every_outdoor_and_high_bay_luminaire_has_a_photometric_file() -> None:
    without = {p.part_number for p in LUMINAIRES if p.photometry is None}

    assert {p.family for p in LUMINAIRES if p.part_number in without} == {"exit"}


def test_every_photometric_file_is_some_product_s_and_holds_its_lumens_and_watts() -> None:
    assert {p.photometry for p in LIT} == set(DEMO.light)
    for product in LIT:
        photometry = DEMO.photometry_of(product)
        assert photometry is not None
        assert total_lumens(photometry) == pytest.approx(product.lumens, rel=0.005), product.part_number
        assert distribution(photometry).lumens == pytest.approx(product.lumens, rel=0.005)
        assert photometry.input_watts == product.input_watts
        assert ("MANUFAC", "Plover Hollow Lighting") in photometry.labels


def test_ratings_are_those_that_the_files_compute() -> None:
    rated = [product for product in LIT if product.bug is not None]

    assert {p.family for p in rated} >= EXTERIOR_FAMILIES - {"landscape"}
    for product in rated:
        photometry = DEMO.photometry_of(product)
        assert photometry is not None
        round_type = lateral_class(distribution(photometry)) in ("V", "VS")
        rating = bug_rating(outdoor_zones(planes_of(photometry)), round_type=round_type)
        assert str(rating) == product.bug, product.part_number


@pytest.mark.parametrize("family", ["area", "street", "post_top", "bollard", "canopy", "garage", "security"])
def test_optics_on_poles_are_of_the_lateral_type_that_the_row_states(family: str) -> None:
    for product in (p for p in LIT if p.family == family and p.optic is not None):
        photometry = DEMO.photometry_of(product)
        assert photometry is not None
        found = lateral_class(distribution(photometry))
        named = {"forward_throw": "type_IV"}.get(product.optic or "", product.optic)
        if family == "bollard" and product.optic == "type_III":
            continue  # half round at ankle height: the classes are made for poles
        assert f"type_{found}" == named, product.part_number


def test_full_cutoff_luminaires_send_nothing_up() -> None:
    for product in (p for p in LIT if p.shielding == "full_cutoff"):
        photometry = DEMO.photometry_of(product)
        assert photometry is not None
        assert lumens_below(photometry) == pytest.approx(total_lumens(photometry)), product.part_number
