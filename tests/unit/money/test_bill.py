"""Bills from tariffs: demand that night lights do not meet, blocks, and what holds of every bill."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.energy.daylight import dark_share_by_hour
from engine.energy.load_shape import LoadShape, always_on, dusk_to_dawn, within_hours
from engine.figure import Figure, defined, in_order, stated
from engine.formula import evaluate
from engine.money.bill import block_charge, block_price, demand_worth, energy_price, yearly_bill
from engine.money.tariff import Tariff, sample_tariffs
from engine.quantities import decimal

NIGHT = dusk_to_dawn(dark_share_by_hour(41.9))
OFFICE = within_hours(7, 18, 5)
TARIFFS = sample_tariffs()
tariffs = st.sampled_from(sorted(TARIFFS)).map(TARIFFS.__getitem__)
shapes = st.sampled_from([NIGHT, OFFICE, always_on(), within_hours(18, 2), within_hours(6, 22, 6)])


def keys(notes: tuple[object, ...]) -> list[str]:
    return [note.key for note in notes]  # type: ignore[attr-defined]


def test_night_lights_save_nothing_of_an_afternoon_peak_and_the_reason_is_given() -> None:
    worth = demand_worth(TARIFFS["time_of_use"], within_hours(21, 5))

    assert worth.figure.value == 0
    assert worth.figure.origin is not None
    assert "peak is past" in worth.figure.origin.source
    assert "demand_not_at_night" in keys(worth.notes)


def test_dusk_to_dawn_lights_save_next_to_nothing_of_demand_by_day() -> None:
    night = demand_worth(TARIFFS["time_of_use"], NIGHT).figure.value
    day = demand_worth(TARIFFS["time_of_use"], always_on()).figure.value

    assert 0 <= night < day / 100


def test_lights_on_a_meter_of_their_own_set_their_own_peak() -> None:
    tariff = TARIFFS["time_of_use"]

    own = demand_worth(tariff, NIGHT, own_meter=True).figure.value

    assert own >= decimal(4.10) * 12


def test_a_tariff_without_demand_says_so() -> None:
    worth = demand_worth(TARIFFS["flat"], always_on())

    assert worth.figure.value == 0
    assert worth.notes == ()


def test_lights_at_all_hours_meet_the_peak_in_full_and_without_a_range() -> None:
    worth = demand_worth(TARIFFS["time_of_use"], always_on()).figure

    assert not any(figure.is_ranged for figure in in_order([worth]))
    assert float(worth.value) == pytest.approx((14.20 * 4 + 4.10 * 12) * 1.04)


def test_office_lights_meet_a_window_partly_with_a_range() -> None:
    worth = demand_worth(TARIFFS["time_of_use"], OFFICE)
    ranged = [figure for figure in in_order([worth.figure]) if figure.is_ranged]

    assert "demand_partly_met" in keys(worth.notes)
    assert len(ranged) == 1
    assert ranged[0].value == pytest.approx(5 / 6)
    assert ranged[0].origin is not None
    assert (ranged[0].origin.low, ranged[0].origin.high) == (0, 1)


def test_night_hours_are_cheaper_than_office_hours_on_time_of_use() -> None:
    tariff = TARIFFS["time_of_use"]

    assert energy_price(tariff, NIGHT).figure.value < energy_price(tariff, OFFICE).figure.value


def test_on_a_flat_tariff_the_hour_does_not_matter() -> None:
    assert energy_price(TARIFFS["flat"], NIGHT).figure.value == pytest.approx(
        energy_price(TARIFFS["flat"], OFFICE).figure.value
    )


def test_lights_that_never_burn_have_no_price() -> None:
    with pytest.raises(ValueError, match="never burn"):
        energy_price(TARIFFS["flat"], always_on().scaled(0))


def test_without_the_sites_use_savings_are_priced_at_the_last_block_with_the_others_as_range() -> None:
    priced = energy_price(TARIFFS["blocks"], NIGHT)
    leaf = next(figure for figure in in_order([priced.figure]) if figure.is_ranged)

    assert "last_block_assumed" in keys(priced.notes)
    assert leaf.origin is not None
    assert (leaf.origin.low, leaf.value, leaf.origin.high) == (decimal(0.094), decimal(0.094), decimal(0.148))


@pytest.mark.parametrize("other", [0.0, 700.0, 9_500.0, 60_000.0])
def test_the_price_of_saved_kwh_on_blocks_is_the_difference_of_the_bills(other: float) -> None:
    tariff = TARIFFS["blocks"]
    before = defined("kwh_before", 3.54 * NIGHT.hours_per_year, "kWh/yr", "test")
    after = defined("kwh_after", 0.72 * NIGHT.hours_per_year, "kWh/yr", "test")

    price = block_price(tariff, NIGHT, before, after, stated("other", other, "kWh/month", "test")).figure

    saved = yearly_bill(tariff, 3.54, NIGHT, other).total - yearly_bill(tariff, 0.72, NIGHT, other).total
    assert price.value * decimal(before.value - after.value) == pytest.approx(saved, abs=decimal(0.13))


def test_block_prices_need_blocks_and_a_saving() -> None:
    one = defined("one", 1.0, "kWh/yr", "test")
    other = defined("other", 0.0, "kWh/month", "test")

    with pytest.raises(ValueError, match="seasons without blocks"):
        block_price(TARIFFS["flat"], NIGHT, one, defined("two", 2.0, "kWh/yr", "test"), other)
    with pytest.raises(ValueError, match="nothing is saved"):
        block_price(TARIFFS["blocks"], NIGHT, one, defined("two", 1.0, "kWh/yr", "test"), other)


def test_a_month_fills_its_blocks_from_below() -> None:
    blocks = TARIFFS["blocks"].seasons[0].blocks

    assert block_charge(blocks, decimal(12_400)) == decimal(1426.60)
    assert block_charge(blocks, decimal(1000)) == decimal(148)
    assert block_charge(blocks, decimal(0)) == 0


@given(tariffs, shapes, st.floats(0.1, 500), st.floats(0, 50_000))
def test_more_load_never_lowers_a_bill_and_the_parts_add_up(
    tariff: Tariff, shape: LoadShape, kw: float, other: float
) -> None:
    small, big = yearly_bill(tariff, kw, shape, other), yearly_bill(tariff, kw * 1.5, shape, other)

    assert big.total >= small.total >= 0
    assert small.total == small.energy + small.demand + small.tax


@given(tariffs, shapes)
def test_the_mean_price_lies_between_the_dearest_and_the_cheapest(tariff: Tariff, shape: LoadShape) -> None:
    rates = [price.usd_per_kwh for season in tariff.seasons for price in (*season.energy, *season.blocks)]
    tax = 1 + tariff.tax_share

    price = energy_price(tariff, shape).figure.value

    assert min(rates) * tax - decimal(1e-9) <= price <= max(rates) * tax + decimal(1e-9)


@given(tariffs, shapes, st.booleans())
def test_every_formula_gives_its_figure_again(tariff: Tariff, shape: LoadShape, own_meter: bool) -> None:
    roots: list[Figure] = [energy_price(tariff, shape).figure, demand_worth(tariff, shape, own_meter).figure]
    for figure in in_order(roots):
        if figure.formula is not None:
            again = evaluate(figure.formula, {i.name: decimal(i.value) for i in figure.inputs})
            assert again == figure.value
