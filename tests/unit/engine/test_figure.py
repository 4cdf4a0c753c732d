"""A number without a past can't be made; a formula's text is its code."""

from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from engine.figure import Figure, assumed, defined, derive, in_order, leaves, stated, total
from engine.formula import FUNCTIONS, compiled, evaluate
from engine.quantities import cents, decimal


def test_a_figure_needs_an_origin_or_a_formula() -> None:
    with pytest.raises(ValueError, match="needs an origin or a formula"):
        Figure("watts", 250.0, "W")


def test_money_is_decimal_and_kept_to_the_cent() -> None:
    price = stated("price", Decimal("10.005"), "USD", "x")
    qty = stated("qty", 3, "1", "lines.0.qty")

    cost = derive("cost", "USD", "price * qty", price, qty)

    assert cost.value == Decimal("30.02")
    assert isinstance(cost.value, Decimal)


def test_a_rate_of_money_is_not_rounded_to_cents() -> None:
    rate = stated("rate", 0.1137, "USD/kWh", "job.rate_per_kwh")
    tax = stated("tax", 0.07, "1", "t")

    assert derive("gross", "USD/kWh", "rate * (1 + tax)", rate, tax).value == Decimal("0.121659")


def test_formula_and_inputs_must_match() -> None:
    qty = stated("qty", 3, "1", "lines.0.qty")

    with pytest.raises(ValueError, match="does not match inputs"):
        derive("cost", "USD", "price * qty", qty)


@pytest.mark.parametrize(
    "text",
    [
        "0.85 * watts",
        "__import__('os')",
        "watts.real",
        "watts if qty else 0",
        "[watts]",
        "True * watts",
        "open(watts)",
    ],
)
def test_formulas_hold_arithmetic_only(text: str) -> None:
    with pytest.raises(ValueError, match="formula"):
        compiled(text)


def test_inputs_come_before_what_they_feed_and_once_each() -> None:
    watts = assumed("watts", 295.0, "W", 285, 304, "table")
    hours = defined("hours", 8760, "h/yr", "365 days of 24 h")
    qty = stated("qty", 12, "1", "lines.0.qty")
    kwh = derive("kwh", "kWh/yr", "watts * hours * qty / 1000", watts, hours, qty)
    twice = total("both", "kWh/yr", [kwh, kwh])

    order = in_order([twice])

    assert [f.name for f in order] == ["watts", "hours", "qty", "kwh", "both"]
    assert [f.name for f in leaves([twice])] == ["watts", "hours", "qty"]
    assert twice.value == 2 * kwh.value


factor = st.floats(min_value=-0.5, max_value=0.5, allow_nan=False)
years = st.integers(min_value=1, max_value=40)


@given(discount=factor, escalation=factor, years=years)
def test_factors_agree_on_floats_decimals_and_arrays(discount: float, escalation: float, years: int) -> None:
    """The same code runs on a trace's floats, on money and on a range's draws."""
    as_float = FUNCTIONS["upv_growing"](discount, escalation, years)
    as_decimal = FUNCTIONS["upv_growing"](Decimal(repr(discount)), Decimal(repr(escalation)), years)
    as_array = FUNCTIONS["upv_growing"](
        np.array([discount, discount]), np.array([escalation, escalation]), years
    )
    by_hand = sum(((1 + escalation) / (1 + discount)) ** k for k in range(1, years + 1))

    assert float(as_decimal) == pytest.approx(by_hand, rel=1e-6)
    assert as_array[0] == pytest.approx(as_float, rel=1e-9)
    assert as_float == pytest.approx(by_hand, rel=1e-6)


@given(a=st.floats(-1e6, 1e6), b=st.floats(-1e6, 1e6))
def test_least_and_greatest_agree_on_arrays(a: float, b: float) -> None:
    assert evaluate("least(a, b)", {"a": np.array([a]), "b": np.array([b])})[0] == min(a, b)
    assert evaluate("greatest(a, b)", {"a": np.array([a]), "b": np.array([b])})[0] == max(a, b)


def test_a_float_is_the_decimal_that_a_person_would_write_whichever_was_asked_for_before() -> None:
    assert [str(decimal(value)) for value in (0.0, -0.0, 0.11, 4300.0, 0.11)] == [
        "0.0",
        "-0.0",
        "0.11",
        "4300.0",
        "0.11",
    ]


FORMULAS = (
    "a * b / 1000",
    "(a + b) / 2",
    "a - b",
    "greatest(a - b, 0)",
    "a * upv_growing(b, 0, 10)",
)


@given(
    formula=st.sampled_from(FORMULAS),
    a=st.one_of(
        st.integers(0, 999), st.floats(0.01, 999), st.decimals("0.01", "999", places=4), st.booleans()
    ),
    b=st.one_of(st.integers(1, 999), st.floats(0.01, 999), st.decimals("0.01", "999", places=2)),
    unit=st.sampled_from(["kW", "USD", "USD/kWh"]),
)
def test_a_figure_is_worth_what_its_formula_gives_on_its_inputs(
    formula: str, a: object, b: object, unit: str
) -> None:
    inputs = {"a": a, "b": b}
    if unit == "kW":
        as_unit = {name: float(v) if isinstance(v, Decimal) else v for name, v in inputs.items()}
    else:
        as_unit = {name: decimal(v) for name, v in inputs.items()}  # type: ignore[arg-type]
    one, other = stated("a", a, "1", "x"), stated("b", b, "1", "y")  # type: ignore[arg-type]

    figure = derive("figure", unit, formula, one, other)

    wanted = evaluate(formula, as_unit)
    assert figure.value == (cents(decimal(wanted)) if unit == "USD" else wanted)
    assert derive("figure", unit, formula, other, one).value == figure.value


@pytest.mark.parametrize("text", ["a * b  # an area", "(a\n * b)", "(a * # of\n b)"])
def test_a_formula_may_be_laid_out_as_it_likes(text: str) -> None:
    sides = stated("a", 3, "ft", "x"), stated("b", 4, "ft", "y")

    assert [derive("area", unit, text, *sides).value for unit in ("ft2", "USD")] == [12, 12]


@pytest.mark.parametrize(
    "text", ["a * b\n return 5", "a * b; open(a)", "a * b) or (a", "(a * b)\n\nimport os"]
)
def test_a_formula_is_one_expression(text: str) -> None:
    sides = stated("a", 3, "ft", "x"), stated("b", 4, "ft", "y")

    with pytest.raises((ValueError, SyntaxError)):
        derive("area", "ft2", text, *sides)


@pytest.mark.parametrize("name", ["type", "len", "int", "float", "decimal", "figures"])
def test_an_input_may_have_any_name_but_a_functions(name: str) -> None:
    figure = stated(name, 4, "1", "x")
    beside = stated("beside", Decimal("0.5"), "USD", "y")

    assert derive("double", "W", f"{name} * 2", figure).value == 8
    assert derive("cost", "USD", f"{name} * beside", figure, beside).value == Decimal("2.00")


def test_a_formula_is_not_worked_out_on_other_inputs_than_before() -> None:
    watts, qty = stated("watts", 250.0, "W", "x"), stated("qty", 3, "1", "y")
    assert derive("all", "W", "watts * qty", watts, qty).value == 750

    with pytest.raises(ValueError, match="does not match inputs"):
        derive("all", "W", "watts * qty", watts, stated("count", 3, "1", "y"))
    with pytest.raises(ValueError, match="does not match inputs"):
        derive("all", "W", "watts * qty", watts, qty, stated("count", 3, "1", "y"))


def test_figures_that_have_a_place_are_left_out_and_others_get_the_next() -> None:
    watts, qty = stated("watts", 250.0, "W", "x"), stated("qty", 3, "1", "y")
    both = derive("all", "W", "watts * qty", watts, qty)
    place = {watts: 0}

    assert in_order([both, qty], place) == [qty, both]
    assert place == {watts: 0, qty: 1, both: 2}


def test_growth_factors_of_fixed_terms_are_the_same_again() -> None:
    discount, years = np.linspace(0.01, 0.09, 50), 15.0
    first = FUNCTIONS["upv_growing"](discount, 0.02, years)
    discount.setflags(write=False)
    kept = FUNCTIONS["upv_growing"](discount, 0.02, years)

    assert np.array_equal(kept, first)
    assert FUNCTIONS["upv_growing"](discount, 0.02, years) is kept
    assert not np.array_equal(FUNCTIONS["upv_growing"](discount, 0.03, years), kept)
    assert not np.array_equal(FUNCTIONS["upv_growing"](discount, 0.02, 10.0), kept)
