"""Facts of the trade, common practice, no source: what any counter clerk would check a quote against.

A 250 W metal halide wall pack draws 285 to 295 W with its ballast; an LED wall pack in the 50 W class replaces it at a
20 ft mounting; input watts fall by about 80 % and demand by about 235 W a luminaire; paying about 130 more for the LED
than for like for like against 86 a year of energy is a payback well under two years.
"""

from decimal import Decimal
from pathlib import Path

import pytest

from engine.catalog.loader import load_catalogue
from engine.figure import derive, stated
from engine.line_figures import payback_figures
from engine.proposal import Quote
from engine.quote import make_quote
from engine.request import Request
from engine.tables.tables import load_tables

DEMO = Path(__file__).parents[2] / "catalog_demo"


@pytest.fixture(scope="module")
def quote() -> Quote:
    request = Request.model_validate(
        {
            "job": {"rate_per_kwh": 0.11, "schedule": "dusk_to_dawn"},
            "lines": [{"qty": 12, "family": "wall_pack", "watts": 250, "source": "MH", "height_ft": 20}],
        }
    )
    return make_quote(request, load_catalogue(DEMO), load_tables())


def test_a_250_w_metal_halide_wall_pack_draws_285_to_295_w(quote: Quote) -> None:
    assert 285 <= quote.lines[0].figures["input_watts_before"].value <= 295


def test_an_led_in_the_50_w_class_replaces_it(quote: Quote) -> None:
    assert 50 <= quote.lines[0].options[0].product.input_watts < 60


def test_input_watts_fall_by_about_80_percent(quote: Quote) -> None:
    f = quote.lines[0].figures

    assert 1 - f["input_watts_after"].value / f["input_watts_before"].value == pytest.approx(0.80, abs=0.04)


def test_demand_falls_by_about_235_w_a_luminaire(quote: Quote) -> None:
    assert 1000 * quote.totals["kw_saved"].value / 12 == pytest.approx(235, abs=12)


def test_the_premium_over_like_for_like_is_about_130_and_paid_back_well_under_two_years(quote: Quote) -> None:
    assert float(quote.totals["premium_cost"].value) / 12 == pytest.approx(130, abs=40)
    assert quote.totals["premium_payback_years"].value < 2


def test_130_more_against_86_a_year_is_a_year_and_a_half() -> None:
    """The trade's own numbers through the engine's formula: 130 / 86 = 1.51 years."""
    premium = stated("premium_cost", Decimal(130), "USD", "test")
    energy = stated("energy", Decimal(86), "USD/yr", "test")
    saved = derive("saved_per_year", "USD/yr", "energy * 1", energy)

    years = payback_figures({"premium_cost": premium, "saved_per_year": saved})["premium_payback_years"].value

    assert years == pytest.approx(1.51, abs=0.01)
