"""Immutable records that are quick to make: a quote makes hundreds."""

from dataclasses import dataclass, field
from typing import TypeVar, dataclass_transform

T = TypeVar("T")


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def record(cls: type[T]) -> type[T]:
    """A slotted dataclass, compared and hashed by its fields, that is never changed once it is made.

    The type checker holds that, as it does for a frozen one; the interpreter does not, for its way of doing so makes an
    object of ten fields take eight times as long.
    """
    return dataclass(slots=True, unsafe_hash=True)(cls)
