"""Values of the engine in their public form: money to the cent as text, everything else to nine digits as a number."""

import math
from decimal import Decimal
from typing import Any, Final

from engine.figure import is_amount
from engine.quantities import cents, rounded

DIGITS: Final = 9


def public_value(value: Any, unit: str) -> Any:
    """Any value in its public form."""
    if type(value) is float and not is_amount(unit):
        return rounded(value, DIGITS) if math.isfinite(value) else None
    if value is None or isinstance(value, str | bool):
        return value
    if isinstance(value, tuple | list):
        return [public_value(part, unit) for part in value]
    return public_money(value) if is_amount(unit) else public_number(value)


def public_number(value: Any) -> float | int | None:
    """A plain number; null where it is no number (an endless payback has no upper end)."""
    if isinstance(value, int):
        return value
    plain = float(value)
    return rounded(plain, DIGITS) if math.isfinite(plain) else None


def public_money(value: Any) -> str | None:
    """An amount to the cent; null where it is no number."""
    amount = value if isinstance(value, Decimal) else Decimal(str(float(value)))
    return str(cents(amount)) if amount.is_finite() else None
