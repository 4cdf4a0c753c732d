"""Holds what the reader hands over to the slots' own bounds, so that a state never holds what a request would refuse."""

from collections.abc import Callable
from functools import lru_cache
from typing import Annotated, Any, Final

from pydantic import BaseModel, TypeAdapter, ValidationError

from bot.conversation.state import firm
from engine.request import JOB_SLOTS, LINE_SLOTS, StatedJob, StatedLine


class NoSuchValue(ValueError):
    """The slot does not exist or can't have this value."""


_PLAIN: Final = frozenset({str, int, float, bool})


@lru_cache(maxsize=256)
def _taker(part: str, slot: str) -> Callable[[Any], Any]:
    if slot not in (JOB_SLOTS if part == "job" else LINE_SLOTS):
        raise NoSuchValue(f"there is no slot {slot!r}")
    field = (StatedJob if part == "job" else StatedLine).model_fields[slot]
    shape: Any = field.annotation
    take: Callable[[Any], Any] = TypeAdapter(Annotated[shape, field]).validator.validate_python
    return take


@lru_cache(maxsize=4096, typed=True)
def _plain_of_line(slot: str, value: Any) -> Any:
    """A line's plain values are few, and asked about again and again."""
    return _checked("line", slot, value)


def checked(part: str, slot: str, value: Any) -> Any:
    """``value`` as the slot holds it, lists as tuples.

    Args:
        part: "job" or "line".
        slot: by name.
        value: in the public shape's form, not ``None``.

    Raises:
        NoSuchValue: no such slot, or a value out of its bounds.
    """
    return (
        _plain_of_line(slot, value)
        if part == "line" and type(value) in _PLAIN
        else _checked(part, slot, value)
    )


def _checked(part: str, slot: str, value: Any) -> Any:
    try:
        taken = _taker(part, slot)(value)
    except ValidationError as error:
        raise NoSuchValue(error.errors(include_url=False)[0]["msg"]) from None
    if taken is None:
        raise NoSuchValue(f"{slot} without a value")
    return firm(taken.model_dump(mode="json", exclude_none=True) if isinstance(taken, BaseModel) else taken)
