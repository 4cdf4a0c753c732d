"""Formulas as text that is also the code: what a trace prints is what was computed.

A formula is an arithmetic expression over named inputs: ``+ - * / **``, brackets, whole numbers and the functions
in `FUNCTIONS`. Decimal fractions are not allowed as literals: a factor such as 0.85 is an input with an origin.
The same compiled code runs on floats, on Decimals (money) and on numpy arrays (ranges).
"""

import ast
from collections.abc import Callable, Mapping, Sequence
from decimal import ROUND_CEILING, Decimal
from functools import lru_cache
from math import ceil
from types import CodeType
from typing import Any, Final, Literal

import numpy as np

from engine.money.flows import discounted_payback, internal_rate
from engine.quantities import cents, decimal

_ALLOWED: Final = (
    ast.Expression, ast.BinOp, ast.UnaryOp, ast.USub, ast.Add, ast.Sub, ast.Mult, ast.Div, ast.Pow,
    ast.Name, ast.Load, ast.Call, ast.Constant,
)  # fmt: skip


def _least(first: Any, *others: Any) -> Any:
    out = first
    for other in others:
        if isinstance(out, np.ndarray) or isinstance(other, np.ndarray):
            out = np.minimum(out, other)
        elif other < out:
            out = other
    return out


def _greatest(first: Any, *others: Any) -> Any:
    out = first
    for other in others:
        if isinstance(out, np.ndarray) or isinstance(other, np.ndarray):
            out = np.maximum(out, other)
        elif other > out:
            out = other
    return out


def _spv(discount: Any, years: Any) -> Any:
    """Single present value factor 1/(1+d)^N (NIST Handbook 135)."""
    return 1 / (1 + discount) ** years


def _upv(discount: Any, years: Any) -> Any:
    """Uniform present value factor (1-(1+d)^-N)/d, N when d = 0 (NIST Handbook 135)."""
    if isinstance(discount, np.ndarray):
        safe = np.where(discount == 0, 1, discount)
        return np.where(discount == 0, years, (1 - (1 + safe) ** -years) / safe)
    if discount == 0:
        return years
    return (1 - (1 + discount) ** -years) / discount


def _upv_growing(discount: Any, escalation: Any, years: Any) -> Any:
    """Modified uniform present value factor UPV* for a price that grows by ``escalation`` a year (NIST Handbook 135).

    Sum over k = 1..N of ((1+e)/(1+d))^k.
    """
    terms = (discount, escalation, years)
    arrays = [term for term in terms if isinstance(term, np.ndarray)]
    if not arrays or any(array.flags.writeable for array in arrays):
        return _growth_factors(*terms)
    return _factors_of_fixed(*[_Fixed(term) if isinstance(term, np.ndarray) else term for term in terms])


def _growth_factors(discount: Any, escalation: Any, years: Any) -> Any:
    ratio = (1 + escalation) / (1 + discount)
    if isinstance(ratio, np.ndarray):
        steady = ratio == 1
        if steady.any():
            safe = np.where(steady, 2, ratio)
            return np.where(steady, years, safe * (1 - safe**years) / (1 - safe))
    elif ratio == 1:
        return years
    return ratio * (1 - ratio**years) / (1 - ratio)


class _Fixed:
    """An array that can't be written to, compared by identity: quotes share those that leaves are ranged by."""

    __slots__ = ("array",)

    def __init__(self, array: Any) -> None:
        self.array = array

    def __hash__(self) -> int:
        return id(self.array)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Fixed) and self.array is other.array


@lru_cache(maxsize=256)
def _factors_of_fixed(*terms: Any) -> Any:
    """Kept, since to raise a thousand numbers to a power takes as long as ten figures."""
    factors = _growth_factors(*[term.array if isinstance(term, _Fixed) else term for term in terms])
    factors.setflags(write=False)
    return factors


def _whole_up(value: Any) -> Any:
    """``value`` up to the next whole number: a lift is rented by the day."""
    if isinstance(value, Decimal):
        return value.to_integral_value(ROUND_CEILING)
    return np.ceil(value) if isinstance(value, np.ndarray) else ceil(value)


FUNCTIONS: Final[Mapping[str, Callable[..., Any]]] = {
    "least": _least,
    "greatest": _greatest,
    "spv": _spv,
    "upv": _upv,
    "upv_growing": _upv_growing,
    "whole_up": _whole_up,
    "discounted_payback": discounted_payback,
    "internal_rate": internal_rate,
}

_GLOBALS: Final[dict[str, Any]] = {"__builtins__": {}, **FUNCTIONS}
_FIGURE_GLOBALS: Final[dict[str, Any]] = {
    **_GLOBALS, "__Decimal": Decimal, "__cents": cents, "__decimal": decimal, "__float": float, "__int": int, "__len": len,
    "__type": type,
}  # fmt: skip
"""Named so that no input of a formula is."""
ValueKind = Literal["plain", "exact", "amount"]
FigureWork = Callable[[tuple[Any, ...]], Any]


def _checked(formula: str) -> ast.Expression:
    """``formula`` taken apart; a ValueError where it is not an expression of the allowed kind."""
    tree = ast.parse(formula, mode="eval")
    for node in ast.walk(tree):
        if not isinstance(node, _ALLOWED):
            raise ValueError(f"formula {formula!r}: {type(node).__name__} is not allowed")
        if isinstance(node, ast.Constant) and not (
            isinstance(node.value, int) and not isinstance(node.value, bool)
        ):
            raise ValueError(f"formula {formula!r}: {node.value!r} must be an input with an origin")
        if isinstance(node, ast.Call) and not (isinstance(node.func, ast.Name) and node.func.id in FUNCTIONS):
            raise ValueError(f"formula {formula!r}: unknown function")
    return tree


@lru_cache(maxsize=1024)
def compiled(formula: str) -> CodeType:
    """The code of ``formula``.

    Raises:
        ValueError: the text is not an expression of the allowed kind.
    """
    return compile(_checked(formula), f"<formula {formula}>", "eval")


@lru_cache(maxsize=1024)
def names_in(formula: str) -> frozenset[str]:
    """The input names that ``formula`` uses.

    Raises:
        ValueError: the text is not an expression of the allowed kind.
    """
    tree = _checked(formula)
    return frozenset(n.id for n in ast.walk(tree) if isinstance(n, ast.Name) and n.id not in FUNCTIONS)


@lru_cache(maxsize=4096)
def working(formula: str, names: tuple[str, ...]) -> Callable[..., Any] | None:
    """``formula`` as a function of its inputs in the order of ``names``; ``None`` where these are not its inputs, each once.

    Raises:
        ValueError: the text is not an expression of the allowed kind.
    """
    if len(set(names)) != len(names) or names_in(formula) != set(names):
        return None
    arguments = ast.arguments([], [ast.arg(name) for name in names], None, [], [], None, [])
    tree = ast.Expression(ast.Lambda(arguments, ast.parse(formula, mode="eval").body))
    code = compile(ast.fix_missing_locations(tree), f"<formula {formula}>", "eval")
    function: Callable[..., Any] = eval(code, _GLOBALS)  # noqa: S307  `names_in` checked it node by node
    return function


@lru_cache(maxsize=4096)
def working_on_figures(formula: str, names: tuple[str, ...], kind: ValueKind) -> FigureWork | None:
    """`working`, with figures for inputs: takes them all in one tuple, looks at their names, and works on their values.

    The work gives ``None`` where the figures are not those of ``names``, one by one: then it is not for them. It is written
    out for each formula, since a quote does this two hundred times.

    Args:
        formula: as in `working`.
        names: of the inputs in order.
        kind: "plain" works on floats; "exact" on Decimals; "amount" does, and keeps the outcome to the cent.

    Raises:
        ValueError: the text is not an expression of the allowed kind.
    """
    if len(set(names)) != len(names) or names_in(formula) != set(names):
        return None
    # an expression of names and whole numbers, as `names_in` has seen; in one line, without what Python takes for a remark
    text = formula if formula.isprintable() and "#" not in formula else ast.unparse(_checked(formula))
    lines = [f" if __len(__figures) != {len(names)}: return None"]
    for n, name in enumerate(names):
        lines += [
            f" __figure = __figures[{n}]",
            f" if __figure.name != {name!r}: return None",
            f" {name} = __figure.value",
            f" if __type({name}) is __Decimal: {name} = __float({name})"
            if kind == "plain"
            else f" if __type({name}) is not __Decimal: {name} = __Decimal({name}) if __type({name}) is __int else __decimal({name})",
        ]
    if kind == "amount":
        lines += [
            f" __amount = {text}",
            " return __cents(__amount if __type(__amount) is __Decimal else __decimal(__amount))",
        ]
    else:
        lines.append(f" return {text}")
    made: dict[str, Any] = {}
    source = "\n".join(["def __work(__figures):", *lines])
    exec(compile(source, f"<formula {formula}>", "exec"), _FIGURE_GLOBALS, made)  # noqa: S102  as just said
    work: FigureWork = made["__work"]
    return work


def evaluate(formula: str, values: Mapping[str, Any]) -> Any:
    """``formula`` on ``values`` (floats, Decimals or arrays, not mixed with Decimals)."""
    return eval(compiled(formula), _GLOBALS, dict(values))  # noqa: S307  the tree was checked node by node


def add_up(values: Sequence[Any]) -> Any:
    """The sum of like values: floats, Decimals or arrays."""
    total: Any = Decimal(0) if values and isinstance(values[0], Decimal) else 0
    for v in values:
        total = total + v
    return total
