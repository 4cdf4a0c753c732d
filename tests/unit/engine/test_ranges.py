"""Ranges: the lattice covers, known distributions come out, and what is stated does not move."""

from typing import Final

import numpy as np
import pytest

from engine.figure import assumed, derive, stated, total
from engine.money.draws import DRAWS, _unit_column, ends_of
from engine.money.ranges import ranges


def test_each_column_of_the_lattice_visits_every_level_once() -> None:
    for column in range(48):
        assert np.array_equal(np.sort(_unit_column(column)), (np.arange(DRAWS) + 0.5) / DRAWS)


def test_columns_of_the_lattice_are_nearly_uncorrelated() -> None:
    correlation = np.corrcoef([_unit_column(column) for column in range(16)])

    assert np.abs(correlation - np.eye(16)).max() < 0.1


SPREADS: Final = {
    "even": lambda draw: draw,
    "all alike": lambda draw: np.full_like(draw, 7.0),
    "never, for a third": lambda draw: np.where(draw < 1 / 3, np.inf, 1 / draw),
    "no number, now and then": lambda draw: np.where(draw < 0.02, np.nan, draw),
    "no number, mostly": lambda draw: np.where(draw < 0.95, np.nan, draw),
    "in order": np.sort,
    "backwards": lambda draw: -np.sort(draw),
    "in steps": lambda draw: np.round(4 * draw),
}


def test_ends_of_draws_are_those_of_all_of_them_in_order() -> None:
    rows = np.array([[how(_unit_column(column)) for how in SPREADS.values()] for column in range(1, 24)])
    rows = rows.reshape(-1, DRAWS)
    ordered = np.sort(rows, axis=1)

    np.testing.assert_array_equal(ends_of(rows), ordered[:, (int(0.1 * DRAWS), int(0.9 * DRAWS))])


def test_a_single_triangle_has_its_own_tenth_and_ninetieth_share() -> None:
    """For a symmetric triangle on 0..2 the tenth share lies at sqrt(0.2) = 0.447 (by hand)."""
    x = assumed("x", 1.0, "1", 0.0, 2.0, "made up")
    y = derive("y", "1", "x * 1", x)

    spread = ranges({"y": y}).spreads["y"]

    assert spread.low == pytest.approx(0.447, abs=0.005)
    assert spread.high == pytest.approx(1.553, abs=0.005)


def test_two_lines_with_the_same_row_move_as_one() -> None:
    one = assumed("input_watts", 100.0, "W", 90.0, 110.0, "row", "system_watts.csv: X")
    two = assumed("input_watts", 100.0, "W", 90.0, 110.0, "row", "system_watts.csv: X")
    other = assumed("input_watts", 100.0, "W", 90.0, 110.0, "row", "system_watts.csv: Y")
    qty = stated("qty", 1, "1", "q")
    like = [derive("w", "W", "input_watts * qty", f, qty) for f in (one, two)]
    unlike = [derive("w", "W", "input_watts * qty", f, qty) for f in (one, other)]

    together = ranges({"sum": total("sum", "W", like)}).spreads["sum"]
    apart = ranges({"sum": total("sum", "W", unlike)}).spreads["sum"]

    assert together.high - together.low > 1.25 * (apart.high - apart.low)


def test_stated_values_do_not_move() -> None:
    qty = stated("qty", 12, "1", "q")
    price = stated("price", 5, "USD", "p")

    result = ranges({"cost": derive("cost", "USD", "qty * price", qty, price)})

    assert result.spreads["cost"].low == result.spreads["cost"].high == 60
    assert result.swings("cost") == ()


def test_a_payback_that_may_never_come_is_infinite_at_its_far_end() -> None:
    saving = assumed("saving", 10.0, "USD/yr", -50.0, 40.0, "made up")
    cost = stated("cost", 100, "USD", "c")

    spread = ranges({"years": derive("years", "yr", "cost / greatest(saving, 0)", cost, saving)}).spreads[
        "years"
    ]

    assert np.isinf(spread.high)
    assert spread.base == 10


def test_swings_hold_everything_else_at_base() -> None:
    a = assumed("a", 2.0, "1", 1.0, 4.0, "made up")
    b = assumed("b", 10.0, "1", 10.0, 30.0, "made up")

    swings = {
        s.key: (s.at_low, s.at_high) for s in ranges({"p": derive("p", "1", "a * b", a, b)}).swings("p")
    }

    assert swings == {"a": (10.0, 40.0), "b": (20.0, 60.0)}
