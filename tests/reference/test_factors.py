"""Published factors (``data/published_factors.csv``) and bills reckoned by hand (``data/tariff_by_hand.toml``)."""

import csv
import tomllib
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from engine.energy.carbon import carbon_rate, carbon_saved, in_kilograms
from engine.energy.controls import control_saving
from engine.energy.interactive import fuel_saved, interactive, net_kwh_saved
from engine.energy.load_shape import LoadShape, always_on, within_hours
from engine.figure import defined, derive
from engine.money.bill import demand_worth, energy_price, yearly_bill
from engine.money.tariff import sample_tariffs
from engine.quantities import cents, decimal
from engine.tables import load_tables

DATA = Path(__file__).parent / "data"
FACTORS = list(csv.DictReader((DATA / "published_factors.csv").read_text(encoding="utf-8").splitlines()))
BILLS = tomllib.loads((DATA / "tariff_by_hand.toml").read_text(encoding="utf-8"))["bill"]
SHAPES = {"always": always_on(), "20 to 4": within_hours(20, 4)}
TABLES = load_tables()
KWH = defined("kwh_saved", 1000.0, "kWh/yr", "test")


def of(kind: str) -> list[Any]:
    rows = [row for row in FACTORS if row["kind"] == kind]
    return [pytest.param(row, id=f"{row['what']}, {row['where']}") for row in rows]


@pytest.mark.parametrize("row", of("control"))
def test_a_control_saves_its_published_share(row: dict[str, str]) -> None:
    saving = control_saving(TABLES, row["what"].split("+"), row["where"])  # type: ignore[arg-type]

    assert saving.figure is not None
    assert saving.figure.value == pytest.approx(float(row["value"]))


@pytest.mark.parametrize("row", of("heating"))
def test_saved_lighting_counts_for_its_published_yield(row: dict[str, str]) -> None:
    factors = interactive(TABLES, row["where"], row["what"], conditioned=True)  # type: ignore[arg-type]

    assert net_kwh_saved(KWH, factors).value == pytest.approx(1000 * float(row["value"]))


@pytest.mark.parametrize("row", of("fuel"))
def test_saved_lighting_takes_its_published_heating_fuel(row: dict[str, str]) -> None:
    fuel = fuel_saved(KWH, interactive(TABLES, row["where"], "fuel", conditioned=True))

    assert fuel is not None
    assert fuel.value == pytest.approx(1000 * float(row["value"]))


@pytest.mark.parametrize("row", of("carbon"))
def test_a_states_carbon_is_its_grid_regions_published_rate(row: dict[str, str]) -> None:
    saved = carbon_saved(KWH, carbon_rate(TABLES, row["what"]))

    assert saved.value == pytest.approx(float(row["value"]))
    assert in_kilograms(saved).value == pytest.approx(saved.value * 0.45359237)


def test_an_unknown_place_has_the_countrys_average() -> None:
    """EPA eGRID2023, US average output rate: 767.2 lb of CO2 per MWh (read second hand)."""
    assert carbon_rate(TABLES, None).value == pytest.approx(767.2)


@pytest.mark.parametrize("bill", BILLS, ids=lambda b: b["what"])
def test_a_bill_is_the_one_reckoned_by_hand(bill: dict[str, Any]) -> None:
    found = yearly_bill(
        sample_tariffs()[bill["tariff"]], bill["kw"], SHAPES[bill["shape"]],
        bill.get("other_kwh_per_month", 0.0), bill.get("own_meter", False),
    )  # fmt: skip

    assert cents(found.energy) == Decimal(bill["energy"])
    assert cents(found.demand) == Decimal(bill["demand"])
    assert cents(found.tax) == Decimal(bill["tax"])


@pytest.mark.parametrize("bill", [b for b in BILLS if b["tariff"] != "blocks"], ids=lambda b: b["what"])
def test_price_of_a_kwh_and_worth_of_a_kw_make_the_same_bill(bill: dict[str, Any]) -> None:
    tariff, shape = sample_tariffs()[bill["tariff"]], SHAPES[bill["shape"]]
    kw = defined("kw", float(bill["kw"]), "kW", "test")
    kwh = defined("kwh", bill["kw"] * shape.hours_per_year, "kWh/yr", "test")
    price = energy_price(tariff, shape).figure
    worth = demand_worth(tariff, shape, bill.get("own_meter", False)).figure

    year = derive("year", "USD/yr", "kwh * rate_per_kwh + kw * demand_usd_per_kw_year", kwh, price, kw, worth)

    by_hand = Decimal(bill["energy"]) + Decimal(bill["demand"]) + Decimal(bill["tax"])
    assert year.value == pytest.approx(by_hand, abs=Decimal("0.015"))


def test_the_hand_made_hours_are_those_of_the_calendar() -> None:
    shape: LoadShape = within_hours(20, 4)

    assert always_on().hours_per_year == pytest.approx(8760)
    assert shape.hours_per_year == pytest.approx(8 * 365)
    assert decimal(round(within_hours(8, 18, 5).hours_per_year, 2)) == Decimal("2607.14")
