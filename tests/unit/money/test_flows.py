"""Every internal rate of return, told apart; paybacks inside the year; the same on arrays."""

from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.money.flows import (
    NoRate,
    OneRate,
    SeveralRates,
    discounted_payback,
    internal_rate,
    internal_rates,
    present_value,
    stays_repaid,
    yearly_flows,
    years_until_repaid,
)

CENTS = st.integers(-1_000_000, 1_000_000).map(lambda c: Decimal(c) / 100)
NO_LATER = (0, 0, 0)


@pytest.mark.parametrize(
    ("flows", "why"),
    [
        ([0, 100, 100], "no_outlay"),
        ([500, 100], "no_outlay"),
        ([0, 0], "no_outlay"),
        ([], "no_outlay"),
        ([-500, 0, 0], "no_return"),
        ([-500, -100], "no_return"),
        ([1, -2, 1.5], "no_root"),
    ],
)
def test_where_there_is_no_rate_the_reason_is_told(flows: list[float], why: str) -> None:
    assert internal_rates(flows) == NoRate(why)  # type: ignore[arg-type]


def test_one_rate_is_found_to_the_last_digits() -> None:
    """By hand: at 43.239 % ten years are worth (1 - 0.02752) / 0.43239 = 2.2491 years, and 3000 / 1333.86 = 2.2491."""
    assert internal_rates([-100, 110]) == OneRate(pytest.approx(0.10, abs=1e-14))
    assert internal_rates([Decimal("-3000")] + [Decimal("1333.86")] * 10) == OneRate(
        pytest.approx(0.43239, abs=1e-5)
    )


def test_a_rate_below_nothing_is_a_rate() -> None:
    assert internal_rates([-100, 50]) == OneRate(pytest.approx(-0.5))


def test_two_rates_are_never_shown_as_one() -> None:
    """The pump that speeds a well up: -1600, 10000, -10000 has 25 % and 400 % (a textbook's case, from memory)."""
    assert internal_rates([-1600, 10_000, -10_000]) == SeveralRates((pytest.approx(0.25), pytest.approx(4.0)))


def test_a_rate_at_which_the_curve_only_touches_counts_once() -> None:
    assert internal_rates([Decimal("-1"), Decimal("2.2"), Decimal("-1.21")]) == OneRate(pytest.approx(0.10))


def test_two_rates_a_hair_apart_are_two() -> None:
    """(1.10 - x)(1.10001 - x): between the two the value is above zero by a hundredth of a billionth."""
    low, high = Decimal("1.10"), Decimal("1.10001")

    assert internal_rates([-1, low + high, -low * high]) == SeveralRates(
        (pytest.approx(0.10, abs=1e-9), pytest.approx(0.10001, abs=1e-9))
    )


def test_years_without_money_at_either_end_change_nothing() -> None:
    assert internal_rates([0, 0, -100, 110, 0, 0]) == internal_rates([-100, 110])


@given(st.lists(CENTS, min_size=2, max_size=7))
def test_every_rate_found_is_a_root_and_scaling_does_not_move_it(flows: list[Decimal]) -> None:
    found = internal_rates(flows)
    rates = (
        found.rates
        if isinstance(found, SeveralRates)
        else (found.rate,) if isinstance(found, OneRate) else ()
    )  # fmt: skip

    assert list(rates) == sorted(set(rates))
    for rate in rates:
        scale = max(abs(float(f)) * (1 + rate) ** -k for k, f in enumerate(flows))
        assert abs(present_value(rate, [float(f) for f in flows])) <= 1e-6 * scale
    doubled = internal_rates([flow * 2 for flow in flows])
    assert type(doubled) is type(found)


@given(st.floats(100, 1e5), st.floats(1, 1e4), st.floats(0.0, 0.3), st.integers(1, 30))
def test_a_present_value_falls_as_the_rate_rises(
    outlay: float, saved: float, rate: float, years: int
) -> None:
    flows = [-outlay, *[saved] * years]

    assert present_value(rate + 0.01, flows) < present_value(rate, flows)


def test_a_rate_of_minus_one_or_less_has_no_present_value() -> None:
    with pytest.raises(ValueError, match="above -1"):
        present_value(-1.0, [1, 2])


def test_the_balance_turns_on_a_straight_line_inside_the_year() -> None:
    assert years_until_repaid([-100, 40, 40, 40]) == pytest.approx(2.5)
    assert years_until_repaid([-100, 40]) == float("inf")
    assert years_until_repaid([0, -5]) == 0
    assert years_until_repaid([-100, 100]) == 1


def test_a_later_outlay_can_take_the_balance_below_again() -> None:
    assert stays_repaid([-100, 60, 60, 60])
    assert not stays_repaid([-100, 110, -50, 60])
    assert stays_repaid([-100, 10])


@pytest.mark.parametrize("years", [0, 61, 2.5, -3])
def test_a_study_runs_whole_years(years: float) -> None:
    with pytest.raises(ValueError, match="whole years"):
        yearly_flows(100, 10, 0, 0, 0, 0, 0, 0, years)


def test_a_later_cost_falls_within_the_study() -> None:
    with pytest.raises(ValueError, match="within the 10 years"):
        yearly_flows(100, 10, 0, 0, 0, 5, 11, 0, 10)


@given(
    st.floats(100, 1e5), st.floats(10, 1e5), st.floats(-0.02, 0.05), st.floats(0, 1e4),
    st.floats(0, 0.12), st.integers(1, 30), st.floats(0, 5000), st.integers(0, 30),
)  # fmt: skip
def test_arrays_give_what_single_numbers_give(
    outlay: float, saved: float, growth: float, upkeep: float, discount: float, years: int, later: float, when: int
) -> None:  # fmt: skip
    when = min(when, years)
    one = (outlay, saved, growth, upkeep, 0.0, later, when)
    many = tuple(np.full(3, float(x)) for x in one)

    alone = discounted_payback(discount, *one, years)
    together = discounted_payback(np.full(3, discount), *many, np.full(3, float(years)))
    if when:  # in year 0 a later outlay is part of the first
        assert together == pytest.approx(np.full(3, alone))

    rate = internal_rate(*one[:5], *NO_LATER, years)
    rates = internal_rate(*many[:5], *NO_LATER, np.full(3, float(years)))
    if -0.98 < rate < 99:
        assert rates == pytest.approx(np.full(3, rate), abs=1e-6)


def test_where_no_single_rate_exists_a_figure_would_be_no_number() -> None:
    assert np.isnan(internal_rate(0, 100, 0, 0, 0, 0, 0, 0, 10))
    assert np.isnan(internal_rate(100, -5, 0, 0, 0, 0, 0, 0, 10))
