"""The fault of a JSON value that no model takes, in one line: where it stands and what is wrong with it."""

from typing import Final

from pydantic import ValidationError

_CHOICES: Final = ("literal[", "function-", "constrained-", "tuple[", "lax-or-strict")


def first_fault(error: ValidationError) -> str:
    """The fault with its place: "lines.0.qty: Input should be greater than 0".

    Where a slot takes one of several shapes, each of them has its say; the one that got furthest into the value knows best
    what was meant. The names of the shapes are left out of the place.
    """
    faults = error.errors(include_url=False, include_input=False, include_context=False)
    slot = faults[0]["loc"][:2]
    fault = max((f for f in faults if f["loc"][:2] == slot), key=lambda f: len(f["loc"]))
    place = ".".join(str(part) for part in fault["loc"] if not _is_shape(str(part)))
    return f"{place}: {fault['msg']}" if place else fault["msg"]


def _is_shape(part: str) -> bool:
    return part.startswith(_CHOICES) or part[:1].isupper() or part in {"int", "float", "str", "bool"}
