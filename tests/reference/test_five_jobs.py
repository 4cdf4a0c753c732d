"""Five realistic jobs: every main figure of the engine against plain hand arithmetic (see `tests.reference.five_jobs`)."""

import pytest

from tests.reference.five_jobs import JOBS, HandJob, quoted, side_by_side

CENT = 0.01
SHARE = 0.001
MAIN = (
    "kw_before", "kw_after", "kw_saved", "kwh_before_per_year", "kwh_saved_per_year", "energy_cost_saved_per_year",
    "maintenance_saved_per_year", "saved_per_year", "project_cost", "rebate", "net_cost", "simple_payback_years",
    "energy_payback_years", "npv",
)  # fmt: skip


@pytest.fixture(scope="module", params=JOBS, ids=lambda job: job.name)
def job(request: pytest.FixtureRequest) -> HandJob:
    found: HandJob = request.param
    return found


def test_the_engine_agrees_with_the_hand_arithmetic_figure_by_figure(job: HandJob) -> None:
    totals = quoted(job).totals
    for name, hand in job.by_hand().items():
        engine = float(totals[name].value)
        # Money is kept to the cent at each step of the engine; by hand it is not.
        assert abs(engine - hand) <= max(CENT, SHARE * abs(hand)), (name, engine, hand)


def test_the_money_agrees_to_a_few_cents_and_not_only_to_a_share(job: HandJob) -> None:
    totals = quoted(job).totals
    hand = job.by_hand()
    for name in (
        "energy_cost_saved_per_year",
        "maintenance_saved_per_year",
        "saved_per_year",
        "project_cost",
        "rebate",
    ):
        assert abs(float(totals[name].value) - hand[name]) <= 1.5 * CENT, name


def test_every_main_figure_is_worked_by_hand(job: HandJob) -> None:
    assert set(MAIN) <= set(job.by_hand())


def test_the_engine_offers_the_products_that_the_arithmetic_is_for(job: HandJob) -> None:
    offered = tuple(line.options[line.chosen or 0].product.part_number for line in quoted(job).lines)

    assert offered == tuple(job.parts)


def test_the_jobs_are_of_different_kinds() -> None:
    totals = [set(quoted(job).totals) for job in JOBS]

    assert any("lift_cost" in t for t in totals)
    assert any("demand_cost_saved_per_year" in t for t in totals)
    assert any("contingency" in t for t in totals)
    assert any("sales_tax" in t for t in totals)
    assert any(quoted(job).lines[0].options[0].pieces_each > 1 for job in JOBS)
    assert any(len(quoted(job).lines) > 1 for job in JOBS)


def test_the_table_shows_each_figure_once() -> None:
    text = "\n".join(side_by_side())

    for job in JOBS:
        assert job.name in text
    assert text.count("simple_payback_years") == len(JOBS)
