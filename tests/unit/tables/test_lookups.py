"""Look-ups into the tables: what they find, how they estimate, and how they say that they found nothing."""

from decimal import Decimal

import pytest

from engine.tables import (
    NoSuchRow,
    ballast_factor,
    building_type,
    carbon,
    control_savings,
    default,
    dirt_depreciation,
    electric_rate,
    family_facts,
    lamp,
    lamp_depreciation,
    load_tables,
    maintenance,
    optics_factor,
    state_facts,
    system_watts,
    usual_lamps,
)
from engine.vocabulary import FAMILIES, LAMP_SOURCES

TABLES = load_tables()


def test_a_row_of_its_own_is_taken_as_it_stands():
    found = system_watts(TABLES, "MH", 250)

    assert (found.low, found.watts, found.high) == (285, 295, 304)
    assert found.reference == "system_watts.csv: MH 250 W 1 lamp CWA"
    assert found.how == "row"
    assert found.ballast_assumed


@pytest.mark.parametrize(
    ("asked", "watts", "ballast"),
    [
        (("T8", 32, 4), 114, "electronic"),
        (("T12", 40, 4), 176, "energy-saving magnetic"),
        (("T12", 75, 2), 158, "energy-saving magnetic"),
        (("T12", 20, 2), 56, "magnetic"),
        (("CMH", 70, 1), 79, "electronic"),
        (("CFL", 26, 2), 53, "electronic"),
        (("CFL", 23, 1), 23, "self-ballasted"),
        (("LPS", 90, 1), 125, "magnetic"),
        (("HAL", 500, 1), 500, "none"),
    ],
)
def test_no_ballast_said_takes_the_usual_one_for_the_lamp(asked, watts, ballast):
    found = system_watts(TABLES, *asked)

    assert (found.watts, found.ballast, found.how) == (watts, ballast, "row")


def test_a_ballast_that_was_said_is_taken_and_not_assumed():
    found = system_watts(TABLES, "T8", 32, 4, 4, "electronic, low ballast factor")

    assert found.watts == 98
    assert not found.ballast_assumed


def test_no_length_said_takes_four_feet_where_there_is_such_a_lamp():
    assert system_watts(TABLES, "T8", 32, 2).reference.endswith("32 W 2 lamps 4 ft electronic")
    assert system_watts(TABLES, "T8", 59, 2).reference.endswith("59 W 2 lamps 8 ft electronic")
    assert system_watts(TABLES, "T8", 17, 3).reference.endswith("17 W 3 lamps 2 ft electronic")


def test_lamps_beyond_the_table_are_summed_from_several_ballasts_with_a_wider_range():
    found = system_watts(TABLES, "T8", 32, 8)

    assert found.how == "scaled"
    assert found.watts == 175 + 59
    assert found.low == pytest.approx((168 + 57) * 0.97)
    assert found.high == pytest.approx((182 + 61) * 1.03)
    assert "6 + 2 lamps" in found.reference


def test_a_lamp_between_two_rows_is_interpolated_and_says_so():
    found = system_watts(TABLES, "MH", 200)
    below, above = system_watts(TABLES, "MH", 175), system_watts(TABLES, "MH", 250)

    assert found.how == "interpolated"
    assert below.watts < found.watts < above.watts
    assert found.low < found.watts < found.high
    assert "between the rows of 175 and 250 W" in found.reference
    assert found.provenance.startswith("interpolated")


def test_a_ballast_without_a_row_falls_back_to_the_usual_one_and_says_so():
    found = system_watts(TABLES, "PSMH", 100, ballast="reactor")

    assert found.how == "other ballast"
    assert found.watts == 124
    assert found.high > 131
    assert "no row for reactor" in found.reference


def test_a_lamp_beyond_the_table_but_near_it_takes_the_ratio_of_its_kind_with_a_wide_range():
    found = system_watts(TABLES, "MH", 2000)

    assert found.how == "ratio"
    assert found.reference.startswith("watts_per_lamp_watt.csv")
    assert found.high - found.low > 0.2 * found.watts


def test_a_lamp_that_nobody_makes_is_not_made_up():
    found = system_watts(TABLES, "HPS", 5)

    assert isinstance(found, NoSuchRow)
    assert found.asked == "HPS 5 W 1 lamp"
    assert found.nearest[0] == "system_watts.csv: HPS 35 W 1 lamp CWA"


def test_led_watts_are_input_watts():
    found = system_watts(TABLES, "LED", 55, 2)

    assert found.watts == 110
    assert found.how == "ratio"


def test_system_watts_always_lie_between_low_and_high():
    for source in LAMP_SOURCES:
        for watts in (13, 26, 32, 54, 60, 100, 150, 225, 300, 400, 1000):
            for lamps in (1, 2, 3, 5, 12):
                found = system_watts(TABLES, source, watts, lamps)
                if not isinstance(found, NoSuchRow):
                    assert found.low <= found.watts <= found.high, (source, watts, lamps)


def test_lumens_of_a_lamp_between_two_rows_lie_between_theirs():
    found = lamp(TABLES, "MH", 300)

    assert found.how == "interpolated"
    assert 20500 < found.initial_lumens < 36000
    assert found.mean_lumens_low < found.mean_lumens < found.mean_lumens_high
    assert found.mean_lumens < found.initial_lumens


def test_a_lamp_has_its_own_row_by_length():
    assert lamp(TABLES, "T8", 32).initial_lumens == 2900
    assert lamp(TABLES, "T8", 32, 2).initial_lumens == 2850
    assert lamp(TABLES, "MH", 250).mean_lumens == 13500


def test_an_unknown_lamp_names_its_nearest():
    found = lamp(TABLES, "MH", 5)

    assert isinstance(found, NoSuchRow)
    assert found.nearest[0] == "lamps.csv: MH 32 W"


@pytest.mark.parametrize(
    ("asked", "group"),
    [
        (("MH", 175), "metal_halide_small"),
        (("MH", 250), "metal_halide_medium"),
        (("PSMH", 750), "metal_halide_large"),
        (("HPS", 150), "sodium_small"),
        (("HPS", 400), "sodium_medium"),
        (("HPS", 1000), "sodium_large"),
        (("T8", 32), "linear_4ft"),
        (("T12", 75, 8), "linear_8ft"),
        (("T5HO", 54), "t5"),
        (("HAL", 90), "screw_base"),
        (("HAL", 500), "halogen_flood"),
        (("IND", 100), "induction"),
    ],
)
def test_a_lamp_finds_what_its_upkeep_costs(asked, group):
    assert maintenance(TABLES, *asked).group == group


def test_every_lamp_of_the_table_but_led_has_upkeep():
    for row in TABLES.lamps:
        assert not isinstance(maintenance(TABLES, row.lamp_source, row.lamp_watts, row.lamp_feet), NoSuchRow)
    assert isinstance(maintenance(TABLES, "LED", 50), NoSuchRow)


@pytest.mark.parametrize(
    ("family", "said", "likeliest"),
    [
        ("wall_pack", {"lamp_watts": 250}, ("MH", 250, 1)),
        ("wall_pack", {"lamp_watts": 150}, ("HPS", 150, 1)),
        ("wall_pack", {"lamp_watts": 175}, ("MH", 175, 1)),
        ("wall_pack", {"lamp_watts": 400}, ("MH", 400, 1)),
        ("street", {"lamp_watts": 250}, ("HPS", 250, 1)),
        ("street", {"lamp_watts": 175}, ("MV", 175, 1)),
        ("area", {}, ("MH", 400, 1)),
        ("high_bay", {}, ("MH", 400, 1)),
        ("high_bay", {"lamp_watts": 54, "lamps": 6}, ("T5HO", 54, 6)),
        ("troffer", {"size": "2x4"}, ("T8", 32, 4)),
        ("troffer", {"size": "2x2"}, ("T8", 32, 2)),
        ("troffer", {"size": "1x4"}, ("T8", 32, 2)),
        ("troffer", {"source": "T12", "lamps": 4}, ("T12", 34, 4)),
        ("strip", {"lamp_feet": 8}, ("T8", 59, 2)),
    ],
)
def test_a_family_has_a_likeliest_lamp_given_what_was_said(family, said, likeliest):
    first = usual_lamps(TABLES, family, **said).likeliest

    assert (first.lamp_source, first.lamp_watts, first.lamps) == likeliest


def test_seventy_watts_on_a_wall_are_metal_halide_and_sodium_alike():
    shares = {one.lamp_source: one.share for one in usual_lamps(TABLES, "wall_pack", lamp_watts=70).lamps}

    assert shares["MH"] == shares["HPS"]


@pytest.mark.parametrize("family", FAMILIES)
def test_shares_add_up_to_one_and_fall(family):
    shares = [one.share for one in usual_lamps(TABLES, family).lamps]

    assert sum(shares) == pytest.approx(1)
    assert shares == sorted(shares, reverse=True)


def test_watts_a_family_does_not_hold_come_from_its_kin_then_from_any_lamp_then_from_nowhere():
    assert usual_lamps(TABLES, "sign", lamp_watts=1500).how == "kin"
    assert usual_lamps(TABLES, "wall_pack", lamp_watts=125).how == "lamp"
    missing = usual_lamps(TABLES, "wall_pack", lamp_watts=333)
    assert isinstance(missing, NoSuchRow)
    assert "wall_pack MH 400 W" in " ".join(missing.nearest)


def test_the_newest_price_that_a_state_has_is_taken():
    assert electric_rate(TABLES, "OH").period == "2025-04"
    assert electric_rate(TABLES, "OH").usd_per_kwh == Decimal("0.1102")
    assert electric_rate(TABLES, "CA").period == "2023"
    assert electric_rate(TABLES, "MO", "all").period == "2023"
    assert electric_rate(TABLES, None).usd_per_kwh == Decimal("0.127")


def test_a_price_comes_with_the_range_of_one_customer():
    found = electric_rate(TABLES, "TX", "industrial")

    assert (found.low, found.high) == (found.usd_per_kwh * Decimal("0.8"), found.usd_per_kwh * Decimal("1.3"))


def test_a_price_that_is_not_in_the_table_is_not_made_up():
    assert isinstance(electric_rate(TABLES, "WY", "industrial"), NoSuchRow)
    assert isinstance(electric_rate(TABLES, "ZZ"), NoSuchRow)


def test_carbon_is_the_grid_of_the_state_with_state_and_country_as_its_range():
    found = carbon(TABLES, "OH")

    assert found.reference == "emission_factors.csv: RFCW 2022 CO2"
    assert (found.low, found.high) == (767.2, 1068.3)
    assert carbon(TABLES, None).lb_per_mwh == 767.2
    assert isinstance(carbon(TABLES, "ZZ"), NoSuchRow)


def test_unverified_carbon_figures_are_never_used():
    untrusted = {(row.code, row.lb_per_mwh) for row in TABLES.emission_factors if not row.trusted}
    used = {(row.egrid_subregion, carbon(TABLES, row.state).lb_per_mwh) for row in TABLES.states}

    assert untrusted
    assert used & untrusted == set()


@pytest.mark.parametrize("family", FAMILIES)
def test_every_family_finds_its_depreciation_and_optics(family):
    facts = family_facts(TABLES, family)

    assert 0 < facts.efficiency_low <= facts.efficiency <= facts.efficiency_high <= 1
    assert not isinstance(dirt_depreciation(TABLES, facts.environment, "legacy"), NoSuchRow)
    assert not isinstance(dirt_depreciation(TABLES, facts.environment, "led"), NoSuchRow)
    assert not isinstance(optics_factor(TABLES, facts.environment), NoSuchRow)
    assert not isinstance(control_savings(TABLES, "motion", facts.environment), NoSuchRow)


def test_optics_take_a_fifth_off_outdoors_and_nothing_indoors():
    outdoors, indoors = optics_factor(TABLES, "exterior"), optics_factor(TABLES, "interior")

    assert (outdoors.factor_low, outdoors.factor, outdoors.factor_high) == (0.7, 0.8, 0.9)
    assert (indoors.factor_low, indoors.factor, indoors.factor_high) == (1, 1, 1)


def test_a_ballast_factor_is_found_by_ballast_or_taken_for_the_usual_one():
    assert ballast_factor(TABLES, "T8").factor == 0.88
    assert ballast_factor(TABLES, "T8", "electronic, low ballast factor").factor == 0.77
    assert isinstance(ballast_factor(TABLES, "T8", "steam"), NoSuchRow)


def test_keys_that_are_not_there_name_those_that_share_a_word():
    assert default(TABLES, "labor per hour").nearest[0] == "labor_usd_per_hour"
    assert building_type(TABLES, "dental office").nearest == ("medical_office", "office", "post_office")
    assert isinstance(state_facts(TABLES, "ZZ"), NoSuchRow)
    assert isinstance(optics_factor(TABLES, "attic"), NoSuchRow)
    assert isinstance(dirt_depreciation(TABLES, "attic", "led"), NoSuchRow)
    assert lamp_depreciation(TABLES, "LED").lld == 0.9
