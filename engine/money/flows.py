"""The arithmetic of dated money, on plain numbers: yearly flows, discounted payback, every internal rate of return.

Conventions of NIST Handbook 135 (1995, edition of 2022): money of year k falls at the end of year k; year 0 is today
and is not discounted; a price that grows by e a year stands at (1+e)^k in year k, so the first year is already grown once.
Nothing here knows of figures; `engine.money.life_cycle` puts these functions under traced ones.
"""

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from math import gcd, lcm
from typing import Any, Final, Literal

import numpy as np

from engine.quantities import decimal
from engine.record import record

LONGEST_YEARS: Final = 60
"""No study runs longer; a whole number of years above this is a slip of the pen."""

_STEPS: Final = 200


@record
class NoRate:
    """No internal rate of return exists, and why.

    ``no_outlay``: nothing is paid, so there is nothing to earn on; ``no_return``: nothing ever comes back;
    ``no_root``: money goes both ways, yet no rate makes the present value zero.
    """

    why: Literal["no_outlay", "no_return", "no_root"]


@record
class OneRate:
    """The one rate at which the present value is zero [1/yr]."""

    rate: float


@record
class SeveralRates:
    """Several rates make the present value zero, ascending [1/yr]: none of them may be shown as "the" return."""

    rates: tuple[float, ...]


Irr = NoRate | OneRate | SeveralRates


def present_value(rate: float, flows: Sequence[float]) -> float:
    """The sum of flows of year 0, 1, 2, ... discounted at ``rate`` [1/yr], year 0 not discounted.

    Raises:
        ValueError: the rate is not above -1.
    """
    if not rate > -1:
        raise ValueError(f"a rate of return must be above -1, not {rate}")
    factor = 1 / (1 + rate)
    value = 0.0
    for flow in reversed(flows):
        value = value * factor + flow
    return value


def internal_rates(flows: Sequence[Any]) -> Irr:
    """Every rate above -1 at which ``flows`` of year 0, 1, 2, ... have no present value.

    One change of sign means one rate exactly (the rule of signs of Descartes). With more changes the rates are counted
    and parted without rounding, by the theorem of Sturm on the exact fractions, so that two close rates never pass for one.
    """
    moved = list(flows)
    while moved and moved[0] == 0:
        moved.pop(0)
    while moved and moved[-1] == 0:
        moved.pop()
    changes = sign_changes(moved)
    if changes == 0:
        return NoRate("no_return") if moved and moved[0] < 0 else NoRate("no_outlay")
    if changes == 1:
        return OneRate(_only_rate([float(flow) for flow in moved]))
    exact = [flow if isinstance(flow, Fraction) else Fraction(decimal(flow)) for flow in moved]
    rates = sorted(float(1 / x - 1) for x in _positive_roots(exact))
    if not rates:
        return NoRate("no_root")
    return OneRate(rates[0]) if len(rates) == 1 else SeveralRates(tuple(rates))


def internal_rate(
    outlay: Any,
    first: Any,
    first_growth: Any,
    second: Any,
    second_growth: Any,
    later_cost: Any,
    later_year: Any,
    end_value: Any,
    years: Any,
) -> Any:
    """The internal rate of return of one outlay against two growing yearly savings [1/yr], on numbers or arrays.

    ``later_cost`` falls in ``later_year`` (0: there is none), ``end_value`` comes back in the last year.
    Where no single rate exists the answer is nan; a caller shows the rate only where `internal_rates` finds one.
    """
    arguments = (outlay, first, first_growth, second, second_growth, later_cost, later_year, end_value, years)
    if not any(isinstance(a, np.ndarray) for a in arguments):
        found = internal_rates(yearly_flows(*arguments))
        return found.rate if isinstance(found, OneRate) else float("nan")
    size = max(a.size for a in arguments if isinstance(a, np.ndarray))
    low = np.full(size, -0.99)
    high = np.full(size, 100.0)

    def worth(rate: Any) -> Any:
        return net_present_value(rate, *arguments)

    with np.errstate(all="ignore"):
        brackets = (worth(low) > 0) & (worth(high) < 0)
        for _ in range(52):
            middle = (low + high) / 2
            above = worth(middle) > 0
            low = np.where(above, middle, low)
            high = np.where(above, high, middle)
    return np.where(brackets, (low + high) / 2, np.nan)


def net_present_value(
    rate: Any,
    outlay: Any,
    first: Any,
    first_growth: Any,
    second: Any,
    second_growth: Any,
    later_cost: Any,
    later_year: Any,
    end_value: Any,
    years: Any,
) -> Any:
    """The closed form that `internal_rate` solves, on arrays of draws."""
    return (
        first * _growing(rate, first_growth, years)
        + second * _growing(rate, second_growth, years)
        - outlay
        - later_cost / (1 + rate) ** later_year
        + end_value / (1 + rate) ** years
    )


def _growing(rate: Any, growth: Any, years: Any) -> Any:
    ratio = (1 + growth) / (1 + rate)
    safe = np.where(ratio == 1, 2.0, ratio)
    return np.where(ratio == 1, years, safe * (1 - safe**years) / (1 - safe))


@lru_cache(maxsize=64, typed=True)
def growth_by_year(growth: Any, years: int) -> tuple[Any, ...]:
    """What a yearly growth, or discount, has come to at the ends of years 0 to ``years``; few are ever asked for."""
    return tuple([(1 + growth) ** k for k in range(years + 1)])


def yearly_flows(
    outlay: Any,
    first: Any,
    first_growth: Any,
    second: Any,
    second_growth: Any,
    later_cost: Any,
    later_year: Any,
    end_value: Any,
    years: Any,
) -> list[Any]:
    """What goes out (-) and comes back (+) in years 0 to ``years``, in the money that the savings are given in.

    Raises:
        ValueError: the years are not a whole number from 1 to `LONGEST_YEARS`, or the later year lies outside them.
    """
    count = int(years)
    if count != years or not 1 <= count <= LONGEST_YEARS:
        raise ValueError(f"a study runs 1 to {LONGEST_YEARS} whole years, not {years}")
    if not 0 <= later_year <= count:
        raise ValueError(
            f"a later cost must fall within the {count} years of the study, not in year {later_year}"
        )
    factors = zip(growth_by_year(first_growth, count), growth_by_year(second_growth, count), strict=True)
    flows = [first * one + second * other for one, other in factors]
    flows[0] = -outlay
    flows[int(later_year)] -= later_cost
    flows[count] += end_value
    return flows


def discounted_payback(
    discount: Any,
    outlay: Any,
    first: Any,
    first_growth: Any,
    second: Any,
    second_growth: Any,
    later_cost: Any,
    later_year: Any,
    years: Any,
) -> Any:
    """Years until the discounted savings have repaid ``outlay``, on numbers or arrays; ``inf`` if not within ``years``.

    Inside the year in which the balance turns, the time is found on a straight line between the two year ends
    (a rule of ours, fixed here: the alternative, a logarithm, differs by days). 0 where nothing is outlaid.
    """
    arguments = (discount, outlay, first, first_growth, second, second_growth, later_cost, later_year, years)
    if not any(isinstance(a, np.ndarray) for a in arguments):
        flows = yearly_flows(
            outlay, first, first_growth, second, second_growth, later_cost, later_year, 0, years
        )
        factors = growth_by_year(discount, len(flows) - 1)
        return years_until_repaid([flow / factor for flow, factor in zip(flows, factors, strict=True)])
    with np.errstate(all="ignore"):
        balance = np.asarray(-outlay, dtype=np.float64) + np.zeros(1)
        answer = np.where(balance >= 0, 0.0, np.inf)
        first_now: Any = 1.0
        second_now: Any = 1.0
        for k in range(1, int(np.max(years)) + 1):
            first_now = first_now * (1 + first_growth) / (1 + discount)
            second_now = second_now * (1 + second_growth) / (1 + discount)
            flow = first * first_now + second * second_now
            flow = flow - np.where(later_year == k, later_cost, 0) / (1 + discount) ** k
            after = balance + flow
            turns = np.isinf(answer) & (after >= 0) & (k <= years)
            answer = np.where(turns, k - 1 + np.where(turns, -balance / flow, 0), answer)
            balance = after
    return answer


def years_until_repaid(flows: Sequence[Any]) -> float:
    """Years until the running sum of ``flows`` (year 0 first) is no longer below zero; ``inf`` where it stays below.

    A straight line is drawn inside the year. The first time counts, even where a later flow takes the sum below again
    (`stays_repaid` tells).
    """
    balance = flows[0]
    if balance >= 0:
        return 0.0
    for k, flow in enumerate(flows[1:], start=1):
        after = balance + flow
        if after >= 0:
            return k - 1 + float(-balance / flow)
        balance = after
    return float("inf")


def stays_repaid(flows: Sequence[Any]) -> bool:
    """False where the running sum of ``flows`` falls below zero again after it had been repaid."""
    balance: Any = 0
    repaid = False
    for flow in flows:
        balance += flow
        if repaid and balance < 0:
            return False
        repaid = repaid or balance >= 0
    return True


def sign_changes(values: Sequence[Any]) -> int:
    """How often the sign changes along ``values``, zeros left out; flows whose sign changes once have one rate exactly."""
    last = 0
    changes = 0
    for value in values:
        if value == 0:
            continue
        sign = 1 if value > 0 else -1
        changes += last == -sign
        last = sign
    return changes


def _only_rate(flows: Sequence[float]) -> float:
    """The rate of flows with one change of sign, by halving in x = 1/(1+r), where their polynomial has one positive root."""
    backwards = flows[::-1]

    def worth(x: float) -> float:
        value = 0.0
        for flow in backwards:
            value = value * x + flow
        return value

    rising = flows[0] < 0
    low, high = 0.0, 1.0
    for _ in range(_STEPS):
        if (worth(high) > 0) == rising:
            break
        low, high = high, high * 2
    for _ in range(_STEPS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        if (worth(middle) > 0) == rising:
            high = middle
        else:
            low = middle
    return 1 / ((low + high) / 2) - 1


def _positive_roots(coefficients: list[Fraction]) -> list[Fraction]:
    """The distinct positive roots of a polynomial (lowest power first), each to within 1e-15 of its size."""
    chain = _sturm_chain(coefficients)
    bound = 1 + max(abs(c) for c in coefficients) / abs(coefficients[-1])
    open_intervals = [(Fraction(0), bound, _variations(chain, Fraction(0)), _variations(chain, bound))]
    roots = []
    while open_intervals:
        low, high, at_low, at_high = open_intervals.pop()
        count = at_low - at_high
        if count == 0:
            continue
        if count == 1 and high - low <= low / 4:
            roots.append(_pinned(chain, low, high, at_low))
            continue
        middle = (low + high) / 2
        at_middle = _variations(chain, middle)
        open_intervals += [(low, middle, at_low, at_middle), (middle, high, at_middle, at_high)]
    return roots


def _pinned(chain: list[list[int]], low: Fraction, high: Fraction, at_low: int) -> Fraction:
    """The one root in (low, high], by halving: on signs where the curve crosses, on the count of roots where it only touches."""
    curve = chain[0]
    sign_low = _sign_at(curve, low)
    crosses = sign_low * _sign_at(curve, high) < 0
    while high - low > low * Fraction(1, 10**15):
        middle = (low + high) / 2
        if crosses:
            below = _sign_at(curve, middle) == sign_low
        else:
            below = at_low == _variations(chain, middle)
        low, high = (middle, high) if below else (low, middle)
    return (low + high) / 2


def _sturm_chain(coefficients: list[Fraction]) -> list[list[int]]:
    """The polynomial, its derivative, and the negated remainders of dividing each by the next, as whole numbers."""
    chain = [
        _whole(coefficients),
        _whole([k * c for k, c in enumerate(coefficients)][1:]),
    ]
    while len(chain[-1]) > 1:
        rest = _remainder(chain[-2], chain[-1])
        if not rest:
            break
        chain.append(_whole([-c for c in rest]))
    return chain


def _whole(coefficients: list[Fraction]) -> list[int]:
    """The same polynomial scaled by a positive number to the least whole coefficients (signs stay)."""
    scale = lcm(*(c.denominator for c in coefficients))
    numbers = [int(c * scale) for c in coefficients]
    divisor = gcd(*numbers) or 1
    return [n // divisor for n in numbers]


def _remainder(dividend: list[int], divisor: list[int]) -> list[Fraction]:
    rest = [Fraction(c) for c in dividend]
    while len(rest) >= len(divisor):
        factor = rest[-1] / divisor[-1]
        shift = len(rest) - len(divisor)
        for i, c in enumerate(divisor):
            rest[shift + i] -= factor * c
        rest.pop()
        while rest and rest[-1] == 0:
            rest.pop()
    return rest


def _variations(chain: list[list[int]], x: Fraction) -> int:
    return sign_changes([_sign_at(polynomial, x) for polynomial in chain])


def _sign_at(polynomial: list[int], x: Fraction) -> int:
    """The exact sign of a polynomial at a fraction p/q, in whole numbers: the sign of the sum of c_k p^k q^(n-k)."""
    p, q = x.numerator, x.denominator
    value = 0
    power = 1
    for c in reversed(polynomial):
        value = value * p + c * power
        power *= q
    return (value > 0) - (value < 0)
