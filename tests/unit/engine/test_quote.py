"""The quote as a whole: traced, repeatable, and behaving as money behaves when the job changes."""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.catalog.catalogue import Catalogue
from engine.figure import MONEY_UNIT, SUM, Figure, in_order, is_amount
from engine.formula import add_up, evaluate
from engine.keys import CAUTION_KEYS, CONCERN_KEYS, PASSED_OVER_KEYS, PROBLEM_KEYS, REASON_KEYS
from engine.proposal import Quote
from engine.quantities import cents, decimal
from engine.quote import make_quote
from engine.request import Request
from engine.tables.tables import Tables

Quoter = Callable[..., Quote]

JOBS: list[dict[str, Any]] = [
    {"job": {"rate_per_kwh": 0.11, "schedule": "dusk_to_dawn"}, "lines": [{"qty": 12, "family": "wall_pack", "watts": 250, "height_ft": 20}]},
    {"job": {"place": {"city": "Toledo"}}, "lines": [{"qty": 8, "family": "area", "watts": 400, "source": "MH", "height_ft": 25, "voltage": 480, "finish": "bronze"}]},
    {"job": {"rate_per_kwh": 0.13, "schedule": {"hours_per_day": 11, "days_per_week": 5}}, "lines": [{"qty": 36, "family": "troffer", "size": "2x4", "source": "T8", "lamps": 4}], "context": {"building": "office"}},
    {"job": {"rate_per_kwh": 0.085, "schedule": {"hours_per_day": 16, "days_per_week": 6}, "rebate_per_luminaire": 75, "demand_rate_per_kw": 12}, "lines": [{"qty": 20, "family": "high_bay", "source": "MH", "watts": 400, "height_ft": 28, "voltage": 277}]},
    {"job": {}, "lines": [{"family": "wall_pack", "source": "HPS", "watts": 150, "optic": "full_cutoff", "cct_k": 3000}, {"qty": 4, "family": "flood", "watts": 1000, "source": "MH"}]},
    {"job": {"labor_per_luminaire": 85, "place": {"zip": "43604"}}, "lines": [{"qty": 40, "family": "strip", "source": "T12", "lamps": 2, "lamp_feet": 8, "keep_housing": True}, {"qty": 3, "family": "bollard", "watts": 70, "source": "MH", "controls": ["motion"]}]},
    {"job": {}, "lines": [{"qty": 6, "family": "high_bay", "led_watts": 150}]},
]  # fmt: skip


@pytest.fixture(scope="session")
def quoted(catalogue: Catalogue, tables: Tables) -> Quoter:
    return lambda request: make_quote(Request.model_validate(request), catalogue, tables)


def _all_figures(quote: Quote) -> list[Figure]:
    roots = [*quote.totals.values()]
    for line in quote.lines:
        for option in line.options:
            roots.extend(option.figures.values())
    return in_order(roots)


ALIKE: list[dict[str, Any]] = [
    {"family": "area", "watts": watts, "source": source, "voltage": voltage, "finish": finish, "cct_k": cct_k}
    for watts, source in ((400, "MH"), (250, "HPS"))
    for voltage in (None, 480)
    for finish, cct_k in ((None, None), ("bronze", 3000), ("white", 2700))
]


def test_what_a_catalogue_remembers_of_lines_before_changes_no_choice(
    catalogue: Catalogue, tables: Tables
) -> None:
    """Lines that share a place but not a light, one after another, and each asked of a catalogue that remembers nothing."""
    used = replace(catalogue)
    for line in [*ALIKE, *reversed(ALIKE)]:
        request = Request.model_validate({"lines": [line]})
        after, alone = (make_quote(request, goods, tables).lines[0] for goods in (used, replace(catalogue)))

        assert after.passed_over == alone.passed_over
        assert [o.product for o in after.options] == [o.product for o in alone.options]
        assert [o.reasons for o in after.options] == [o.reasons for o in alone.options]
    assert used.misfits


@pytest.mark.parametrize("job", JOBS)
def test_every_printed_formula_gives_the_printed_number(quoted: Quoter, job: dict[str, Any]) -> None:
    quote = quoted(job)

    for figure in _all_figures(quote):
        if figure.formula is None:
            assert figure.origin is not None
            assert figure.origin.source
            continue
        money = figure.unit.startswith(MONEY_UNIT)
        if figure.formula == SUM:
            again = add_up([i.value for i in figure.inputs])
        else:
            values = {i.name: decimal(i.value) if money else float(i.value) for i in figure.inputs}
            again = evaluate(figure.formula, values)
        if money and is_amount(figure.unit) and figure.formula != SUM:
            again = cents(decimal(again))
        assert again == figure.value, figure.name


@pytest.mark.parametrize("job", JOBS)
def test_lines_add_up_to_totals_to_the_cent(quoted: Quoter, job: dict[str, Any]) -> None:
    quote = quoted(job)

    for name in (
        "product_cost",
        "labor_cost",
        "energy_cost_saved_per_year",
        "maintenance_saved_per_year",
        "rebate",
    ):
        if name in quote.totals:
            parts = [line.figures[name].value for line in quote.lines if name in line.figures]
            assert sum(parts, Decimal(0)) == quote.totals[name].value
            assert quote.totals[name].value == cents(decimal(quote.totals[name].value))
    once = ("lift_cost", "freight_cost", "sales_tax", "contingency")
    on_top = sum((quote.totals[name].value for name in once if name in quote.totals), Decimal(0))
    of_lines = sum((line.figures["project_cost"].value for line in quote.lines if line.options), Decimal(0))
    assert of_lines + on_top == quote.totals["project_cost"].value


@pytest.mark.parametrize("job", JOBS)
def test_keys_are_the_listed_ones(quoted: Quoter, job: dict[str, Any]) -> None:
    """The words for people are checked against the lists; a key outside them would have none."""
    quote = quoted(job)

    assert {c.key for c in quote.cautions} <= set(CAUTION_KEYS)
    for line in quote.lines:
        assert {p.reason.key for p in line.passed_over} <= set(PASSED_OVER_KEYS)
        assert line.problem is None or line.problem.key in PROBLEM_KEYS
        for option in line.options:
            assert {r.key for r in option.reasons} <= set(REASON_KEYS)
            assert {r.key for r in option.concerns} <= set(CONCERN_KEYS)


@pytest.mark.parametrize("job", JOBS)
def test_every_product_of_the_family_is_offered_or_passed_over_with_a_reason(
    quoted: Quoter, catalogue: Catalogue, job: dict[str, Any]
) -> None:
    quote = quoted(job)

    for line in quote.lines:
        named = {o.product.part_number for o in line.options} | {p.part_number for p in line.passed_over}
        kinds = ("retrofit_kit", "lamp") if line.stated.keep_housing else ("luminaire",)
        assert line.stated.family is not None
        for kind in kinds:
            own = {p.part_number for p in catalogue.of_kind(kind, line.stated.family)}  # type: ignore[arg-type]
            assert own <= named


@pytest.mark.parametrize("job", JOBS)
def test_the_base_lies_inside_its_range(quoted: Quoter, job: dict[str, Any]) -> None:
    for spread in quoted(job).spreads.values():
        assert spread.low <= spread.high


def test_what_was_stated_is_never_listed_as_assumed(quoted: Quoter) -> None:
    quote = quoted(JOBS[3])

    paths = {a.path for a in quote.assumptions}
    assert not paths & {"job.rate_per_kwh", "lines.0.source", "lines.0.watts", "lines.0.qty", "job.schedule"}
    assert "job.rate_per_kwh" not in {q.path for q in quote.questions}


def test_an_led_already_there_is_not_quoted_as_a_saving(quoted: Quoter) -> None:
    quote = quoted({"lines": [{"qty": 5, "family": "high_bay", "source": "LED", "watts": 150}]})

    assert quote.lines[0].problem is not None
    assert quote.lines[0].problem.key == "already_led"
    assert "simple_payback_years" not in quote.totals


def test_exit_signs_need_a_person(quoted: Quoter) -> None:
    quote = quoted({"lines": [{"qty": 5, "family": "exit"}]})

    assert quote.lines[0].problem is not None
    assert quote.lines[0].problem.key == "needs_person"


def test_an_unknown_family_is_asked_for_first(quoted: Quoter) -> None:
    quote = quoted({"lines": [{"qty": 5, "watts": 250, "source": "MH"}]})

    assert quote.questions[0].path == "lines.0.family"


jobs = st.fixed_dictionaries(
    {
        "qty": st.integers(1, 300),
        "family": st.sampled_from(["wall_pack", "area", "high_bay", "flood", "street"]),
        "watts": st.sampled_from([150.0, 175.0, 250.0, 400.0]),
        "source": st.sampled_from(["MH", "HPS"]),
    }
)
rates = st.decimals(min_value="0.04", max_value="0.45", places=3).map(float)
hours = st.integers(500, 8700)


def _one(line: dict[str, Any], rate: float, hours_per_year: int) -> dict[str, Any]:
    return {"job": {"rate_per_kwh": rate, "schedule": {"hours_per_year": hours_per_year}}, "lines": [line]}


@settings(max_examples=40, deadline=None)
@given(line=jobs, rate=rates, hours_per_year=hours)
def test_more_hours_never_lengthen_the_payback(
    quoted: Quoter, line: dict[str, Any], rate: float, hours_per_year: int
) -> None:
    fewer = quoted(_one(line, rate, hours_per_year)).totals
    more = quoted(_one(line, rate, min(8760, hours_per_year + 500))).totals

    if "simple_payback_years" in fewer:
        assert more["simple_payback_years"].value <= fewer["simple_payback_years"].value * (1 + 1e-4) + 1e-9


@settings(max_examples=40, deadline=None)
@given(line=jobs, rate=rates, hours_per_year=hours)
def test_a_higher_rate_never_lowers_the_net_present_value(
    quoted: Quoter, line: dict[str, Any], rate: float, hours_per_year: int
) -> None:
    low = quoted(_one(line, rate, hours_per_year)).totals
    high = quoted(_one(line, round(rate * 1.2, 4), hours_per_year)).totals

    if "npv" in low:
        assert high["npv"].value >= low["npv"].value


def test_the_same_request_gives_the_same_quote(quoted: Quoter) -> None:
    for job in JOBS:
        one, two = quoted(job), quoted(job)
        assert repr(one.assumptions) == repr(two.assumptions)
        assert {k: f.value for k, f in one.totals.items()} == {k: f.value for k, f in two.totals.items()}
        assert one.spreads == two.spreads
