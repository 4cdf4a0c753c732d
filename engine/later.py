"""Rows that are only worked out when somebody looks at them: most messages are answered without."""

from collections.abc import Callable, Sequence
from typing import TypeVar, overload

T = TypeVar("T")


class LaterRows(Sequence[T]):
    """A sequence of known length, made when first looked into."""

    __slots__ = ("_length", "_made", "_make")

    def __init__(self, length: int, make: Callable[[], Sequence[T]]) -> None:
        self._length = length
        self._make: Callable[[], Sequence[T]] | None = make
        self._made: Sequence[T] = ()

    def __len__(self) -> int:
        return self._length

    @overload
    def __getitem__(self, index: int) -> T: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[T]: ...
    def __getitem__(self, index: int | slice) -> T | Sequence[T]:
        if self._make is not None:
            self._made, self._make = self._make(), None
        return self._made[index]
