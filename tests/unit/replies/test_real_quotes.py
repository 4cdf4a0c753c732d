"""Replies of quotes that the engine itself made: every key, figure and unit it gives can be said."""

import json
from pathlib import Path

import jsonschema
import pytest

from bot.reading.shape import Reading
from bot.replies import CHANNELS, explain, gsm, quote_json, render, schema
from bot.replies.pictures import cash_flow_picture, energy_picture, spread_picture
from bot.replies.words import LANGUAGES, words_in
from engine.catalog.loader import load_catalogue
from engine.figure import in_order
from engine.quote import make_quote
from engine.request import Context, Request
from engine.tables import load_tables
from engine.terms import RebateTerms, Terms

JOBS = {
    "wall_packs": {
        "job": {"rate_per_kwh": 0.11, "schedule": "dusk_to_dawn"},
        "lines": [{"qty": 12, "family": "wall_pack", "watts": 250, "height_ft": 20}],
    },
    "poles": {
        "job": {"place": {"city": "Toledo"}},
        "lines": [{"qty": 8, "family": "area", "source": "MH", "watts": 400, "height_ft": 25, "voltage": 480, "finish": "bronze"}],
    },
    "troffers": {
        "job": {"rate_per_kwh": 0.13, "schedule": {"hours_per_day": 11, "days_per_week": 5}, "place": {"zip": "44114"}},
        "lines": [
            {"qty": 36, "family": "troffer", "source": "T8", "lamps": 4, "size": "2x4", "controls": ["motion"]},
            {"qty": 5, "family": "strip", "source": "T12", "lamps": 2, "lamp_feet": 8, "keep_housing": True},
        ],
        "context": {"building": "office"},
    },
    "high_bays": {
        "job": {
            "rate_per_kwh": 0.085, "demand_rate_per_kw": 12, "rebate_per_luminaire": 75, "labor_per_luminaire": 85,
            "schedule": {"hours_per_day": 16, "days_per_week": 6}, "budget": 1000, "payback_limit_years": 1,
        },
        "lines": [{"qty": 20, "family": "high_bay", "source": "MH", "watts": 400, "height_ft": 28, "voltage": 277}],
    },
    "led_asked_for": {"job": {}, "lines": [{"qty": 4, "family": "wall_pack", "led_watts": 60}]},
    "problems": {
        "job": {},
        "lines": [{"qty": 2}, {"qty": 1, "family": "exit"}, {"qty": 3, "family": "wall_pack", "source": "LED", "watts": 50},
                  {"qty": 1, "family": "wall_pack", "watts": 250, "voltage": 24}],
    },
    "lamp_swap": {
        "job": {"rate_per_kwh": 0.12, "schedule": {"hours_per_day": 10, "days_per_week": 5}},
        "lines": [{"qty": 40, "family": "troffer", "source": "T8", "lamps": 4, "lamp_feet": 4, "keep_housing": True}],
    },
    "sodium": {"job": {"metric": True}, "lines": [{"family": "wall_pack", "source": "HPS", "watts": 150, "optic": "full_cutoff", "cct_k": 3000}]},
}  # fmt: skip
TERMS = {
    "plain": Terms(),
    "full": Terms(
        sales_tax_share="0.07", freight_share="0.03", contingency_share="0.05", relamping="group", loan_rate="0.08",
        loan_months=60, analysis_years=15, inflation="0.02",
        rebate=RebateTerms(basis="per_kwh", amount="0.10", share_of_cost="0.5", per_account="2000"),
    ),
}  # fmt: skip


@pytest.fixture(scope="module")
def quotes():
    catalogue = load_catalogue(Path(__file__).parents[3] / "catalog_demo")
    tables = load_tables()
    out = {}
    for job, value in JOBS.items():
        request = Request.model_validate(value)
        for name, terms in TERMS.items():
            out[job, name] = make_quote(request, catalogue, tables, terms)
    return out


EVERY = [(job, terms) for job in JOBS for terms in TERMS]


def reading_of(quote):
    return Reading(
        "quote", quote.request.job, quote.request.lines, context=quote.request.context or Context()
    )


@pytest.mark.parametrize("key", EVERY, ids=".".join)
def test_the_engines_quotes_can_be_said_in_every_channel_and_language(quotes, key):
    quote = quotes[key]
    for channel in CHANNELS:
        for language in LANGUAGES:
            text = render(quote, reading_of(quote), channel, language, ("",))
            assert "None" not in text
            assert "_" not in text or channel == "chat"
            if channel == "sms":
                assert gsm.segments(text) <= 3


@pytest.mark.parametrize("key", EVERY, ids=".".join)
def test_the_engines_quotes_fit_the_schema(quotes, key):
    value = quote_json(quotes[key], reading_of(quotes[key]))

    jsonschema.Draft202012Validator(schema("quote")).validate(json.loads(json.dumps(value, allow_nan=False)))


@pytest.mark.parametrize("key", EVERY, ids=".".join)
def test_every_figure_and_assumption_of_the_engine_has_a_name_in_both_languages(quotes, key):
    quote = quotes[key]
    roots = [*quote.totals.values()]
    for line in quote.lines:
        for option in line.options:
            roots.extend(option.figures.values())
    names = {f.name for f in in_order(roots)}
    names |= {(a.name or a.path).rpartition(".")[2] for a in quote.assumptions}
    for language in LANGUAGES:
        assert {n for n in names if words_in(language).find("names", n) is None} == set()


@pytest.mark.parametrize("key", EVERY, ids=".".join)
def test_every_total_of_the_engine_can_be_explained_and_drawn(quotes, key):
    quote = quotes[key]
    for language in LANGUAGES:
        for name in quote.totals:
            assert (
                "_"
                not in explain(quote, f"totals.{name}", language)
                .replace("maintenance_costs", "")
                .split("\n")[0]
            )
        for picture in (energy_picture, cash_flow_picture, spread_picture):
            svg = picture(quote, language)
            assert svg == "" or svg.startswith("<svg")


def test_the_wall_pack_reply_says_what_the_trade_expects(quotes):
    text = render(quotes["wall_packs", "plain"], reading_of(quotes["wall_packs", "plain"]), "terminal", "en")

    assert len(text.splitlines()) <= 72
    assert "12 x 250 W wall pack, 20 ft up" in text
    assert "Lamp: metal halide" in text
    assert (
        "wall pack (most likely metal halide), now about 295 W each with CWA (magnetic) ballast"
        in " ".join(text.split())
    )
    assert "licensed electrician" in text
