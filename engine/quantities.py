"""The one door to Decimal, the one place that converts units, the one place that rounds.

Money is `Decimal`, physics is `float`. Money amounts are kept to the cent (half up) from the moment
they are made, line by line, so that lines add up to their totals to the cent.
"""

from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import Final

FEET_PER_METRE: Final = 1 / 0.3048
"""Exact by definition of the international foot (0.3048 m), NIST SP 811 (2008) appendix B."""
LUX_PER_FOOTCANDLE: Final = FEET_PER_METRE**2
"""1 fc = 1 lm/ft2 = 10.7639 lx (NIST SP 811)."""
KG_PER_POUND: Final = 0.45359237
HOURS_PER_YEAR: Final = 8760
WEEKS_PER_YEAR: Final = 52

_CENT: Final = Decimal("0.01")


def decimal(value: Decimal | float | int | str) -> Decimal:
    """The exact Decimal of what a person would write for ``value``: 0.11 is Decimal("0.11"), not 0.110000000000000000555."""
    kind = type(value)
    if kind is Decimal:
        return value  # type: ignore[return-value]  # as just looked
    if kind is float and value:
        return _of_float(value)
    if isinstance(value, float):
        return Decimal(repr(float(value)))
    return Decimal(value)


@lru_cache(maxsize=4096)
def _of_float(value: float) -> Decimal:
    """Kept, since hours, minutes and shares come from tables. Not for zeros: those of either sign are equal, and not written alike."""
    return Decimal(repr(value))


def cents(amount: Decimal) -> Decimal:
    """``amount`` to the cent, half up."""
    return amount.quantize(_CENT, ROUND_HALF_UP)


def metres_to_feet(metres: float) -> float:
    """[m] -> [ft]."""
    return metres * FEET_PER_METRE


def feet_to_metres(feet: float) -> float:
    """[ft] -> [m]."""
    return feet / FEET_PER_METRE


def footcandles_to_lux(footcandles: float) -> float:
    """[fc] -> [lx]."""
    return footcandles * LUX_PER_FOOTCANDLE


def rounded(value: float, digits: int = 6) -> float:
    """``value`` to ``digits`` significant digits, for JSON: a binary float's tail never shows, and bytes repeat."""
    if value == 0:
        return 0.0
    if digits > 6 and -1e6 < value < 1e6 and value == int(value):
        return float(value)  # a whole number with so few digits is what it would be rounded to
    return float(f"{value:.{digits}g}")
