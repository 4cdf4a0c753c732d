"""What a project costs: rows, the lift, and what doubles with the quantity."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.figure import Figure, assumed, defined, in_order
from engine.money.allowances import allowance
from engine.money.project_cost import (
    CostTerms,
    JobCosts,
    LineCost,
    disposal_cost,
    job_costs,
    line_labor_minutes,
    premium_cost,
)
from tests.unit.money.conftest import usd

LIFT = assumed("lift_usd_per_day", Decimal(350), "USD/day", Decimal(250), Decimal(550), "test")
FROM = assumed("lift_from_height_ft", 14.0, "ft", 12.0, 16.0, "test")
BARE = CostTerms(LIFT, FROM)


def line(goods: str = "2520", labor: str = "475", minutes: float = 300, height: float = 20) -> LineCost:
    return LineCost(
        usd("product_cost", goods), usd("labor_cost", labor), None, defined("minutes", minutes, "min", "test"), height
    )  # fmt: skip


def rows(found: JobCosts) -> list[Figure]:
    parts = (
        found.product_cost, found.labor_cost, found.disposal_cost, found.lift_cost, found.freight_cost,
        found.sales_tax, found.contingency,
    )  # fmt: skip
    return [figure for figure in parts if figure is not None]


def test_a_small_job_by_hand() -> None:
    """Goods 2,520, labor 475; one lift day 350 + 200 delivery; tax 6.5 % of goods; 5 % contingency on 3,545."""
    tax = defined("sales_tax_share", 0.065, "1", "test")

    found = job_costs([line()], CostTerms(LIFT, FROM, None, tax, allowance("contingency_share")))

    assert found.lift_cost is not None
    assert found.lift_cost.value == Decimal("550.00")
    assert found.sales_tax is not None
    assert found.sales_tax.value == Decimal("163.80")
    assert found.contingency is not None
    assert found.contingency.value == Decimal("177.25")
    assert found.freight_cost is None
    assert found.project_cost.value == Decimal("3886.05")


def test_a_lift_is_rented_by_whole_days() -> None:
    seven_hours, a_minute_more = 7 * 60.0, 7 * 60.0 + 1

    assert job_costs([line(minutes=seven_hours)], BARE).lift_cost.value == 550  # type: ignore[union-attr]
    assert job_costs([line(minutes=a_minute_more)], BARE).lift_cost.value == 900  # type: ignore[union-attr]


def test_one_lift_serves_all_high_lines_and_none_serves_the_low() -> None:
    both = job_costs([line(), line(), line(height=9)], BARE)
    low = job_costs([line(height=9)], BARE)

    assert both.lift_cost is not None
    assert {f.value for f in in_order([both.lift_cost]) if f.name == "minutes_at_height"} == {600}
    assert low.lift_cost is None
    assert low.access == "ladder"


def test_above_the_reach_of_common_lifts_a_bigger_one_is_rented() -> None:
    found = job_costs([line(height=60)], BARE)

    assert found.access == "high_lift"
    assert found.lift_cost is not None
    assert found.lift_cost.value == Decimal("900.00")
    assert job_costs([line(height=9), line(height=60), line(height=20)], BARE).access == "high_lift"


def test_labor_stated_as_a_price_brings_no_lift_of_its_own() -> None:
    stated_labor = LineCost(usd("product_cost", 100), usd("labor_cost", 90), None, None, 30)

    assert job_costs([stated_labor], BARE).lift_cost is None


def test_a_job_without_lines_has_no_cost() -> None:
    with pytest.raises(ValueError, match="nothing to add up"):
        job_costs([], BARE)


@given(
    st.lists(st.tuples(st.integers(1, 5_000_000), st.integers(0, 500_000), st.floats(1, 5000), st.floats(5, 60)),
             min_size=1, max_size=6)
)  # fmt: skip
def test_rows_add_up_to_the_project_cost_to_the_cent(jobs: list[tuple[int, int, float, float]]) -> None:
    share = defined("freight_share", 0.0137, "1", "test")
    tax = defined("sales_tax_share", 0.0825, "1", "test")
    lines = [line(str(Decimal(g) / 100), str(Decimal(w) / 100), m, h) for g, w, m, h in jobs]

    found = job_costs(lines, CostTerms(LIFT, FROM, share, tax, allowance("contingency_share")))

    assert sum((figure.value for figure in rows(found)), Decimal(0)) == found.project_cost.value
    assert found.product_cost.value == sum((each.product_cost.value for each in lines), Decimal(0))


@given(st.integers(1, 1000), st.integers(1, 8))
def test_disposal_doubles_with_the_quantity(qty: int, lamps: int) -> None:
    each = usd("recycling_usd_per_lamp", "1.35")
    count = defined("lamps", lamps, "1", "test")

    once = disposal_cost(defined("qty", qty, "1", "test"), count, each)
    twice = disposal_cost(defined("qty", 2 * qty, "1", "test"), count, each)

    assert twice.value == 2 * once.value


def test_labor_minutes_of_a_line() -> None:
    minutes = line_labor_minutes(
        defined("qty", 12, "1", "test"), defined("labor_minutes", 25.0, "min", "test")
    )

    assert minutes.value == 300


def test_the_premium_may_be_less_than_nothing() -> None:
    """Where the rebate makes the better luminaire the cheaper one."""
    premium = premium_cost(usd("product_cost", 2000), usd("rebate", 700), usd("like_for_like_cost", 1500))

    assert premium.value == Decimal("-200.00")
