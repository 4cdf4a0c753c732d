"""10,000 made-up cash flows, the engine against numpy-financial 1.0.0 and numpy's own root finder (fixed seed)."""

from itertools import pairwise

import numpy as np
import numpy_financial as npf
import pytest

from engine.money.flows import NoRate, OneRate, SeveralRates, internal_rates, present_value

ORDINARY, MIXED = 9_000, 1_000


def ordinary_flows() -> list[list[float]]:
    """One outlay and then 2 to 20 years of savings, some growing, some with a year that brings nothing."""
    rng = np.random.default_rng(135)
    out = []
    for _ in range(ORDINARY):
        years = int(rng.integers(2, 21))
        outlay = -float(np.round(rng.uniform(200, 90_000), 2))
        savings = np.round(
            -outlay * rng.uniform(0.01, 0.9) * (1 + rng.uniform(-0.1, 0.1)) ** np.arange(years), 2
        )
        savings[rng.random(years) < 0.05] = 0.0
        out.append([outlay, *map(float, savings)])
    return out


def mixed_flows() -> list[list[float]]:
    """Signs at random, in whole dollars, so that none, one or several rates exist."""
    rng = np.random.default_rng(436)
    return [[float(x) for x in rng.integers(-100, 101, size=int(rng.integers(3, 8)))] for _ in range(MIXED)]


def worth_scale(rate: float, flows: list[float]) -> float:
    """How big the discounted terms are that cancel at a root."""
    return max(abs(f) * (1 + rate) ** -k for k, f in enumerate(flows))


def test_present_value_is_that_of_numpy_financial() -> None:
    rng = np.random.default_rng(8)
    for flows in ordinary_flows() + mixed_flows():
        rate = float(rng.uniform(-0.1, 0.4))
        assert present_value(rate, flows) == pytest.approx(
            float(npf.npv(rate, flows)), rel=1e-9, abs=1e-9 * worth_scale(rate, flows)
        )


def test_one_outlay_and_savings_have_one_rate_and_it_is_that_of_numpy_financial() -> None:
    for flows in ordinary_flows():
        ours = internal_rates(flows)
        theirs = float(npf.irr(flows))

        assert isinstance(ours, OneRate)
        assert ours.rate == pytest.approx(theirs, abs=1e-7)


def test_every_rate_found_leaves_no_present_value() -> None:
    for flows in mixed_flows():
        found = internal_rates(flows)
        rates = (
            found.rates
            if isinstance(found, SeveralRates)
            else (found.rate,)
            if isinstance(found, OneRate)
            else ()
        )
        for rate in rates:
            assert abs(present_value(rate, flows)) <= 1e-6 * worth_scale(rate, flows)


def test_as_many_rates_are_found_as_the_polynomial_has_positive_roots() -> None:
    counted = {0: 0, 1: 0, 2: 0}
    for flows in mixed_flows():
        trimmed = np.trim_zeros(flows)
        roots = np.roots(trimmed[::-1]) if len(trimmed) > 1 else np.array([])
        real = sorted(r.real for r in roots if abs(r.imag) < 1e-9 * max(1.0, abs(r)) and r.real > 0)
        if any(b - a < 1e-5 for a, b in pairwise(real)):
            continue  # a double root: floating point can't tell it from two or none, the engine can
        found = internal_rates(flows)
        ours = (
            found.rates
            if isinstance(found, SeveralRates)
            else (found.rate,)
            if isinstance(found, OneRate)
            else ()
        )

        assert len(ours) == len(real), flows
        assert ours == pytest.approx(sorted(1 / x - 1 for x in real), rel=1e-6, abs=1e-6)
        counted[min(len(ours), 2)] += 1

    assert all(count > 20 for count in counted.values()), counted


def test_numpy_financials_rate_is_among_ours_wherever_it_gives_one() -> None:
    for flows in mixed_flows():
        theirs = float(npf.irr(flows))
        found = internal_rates(flows)
        if np.isnan(theirs):
            continue
        assert not isinstance(found, NoRate), flows
        rates = found.rates if isinstance(found, SeveralRates) else (found.rate,)
        assert min(abs(rate - theirs) for rate in rates) < 1e-6
