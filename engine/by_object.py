"""What was made of an object, kept for when the very same object comes again: quotes share much of what they are made of."""

from collections.abc import Callable, Hashable
from typing import Any, Generic, TypeVar

T = TypeVar("T")


class ByObject(Generic[T]):
    """Things made of objects that never change; bounded: where it is full it is emptied.

    By identity, since such objects hold mappings and have no hash, and comparing them takes longer than making the thing anew.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: dict[tuple[int, Hashable], tuple[object, T]] = {}

    def get(self, thing: object, how: Hashable, make: Callable[..., T], *given: Any) -> T:
        """``make(*given)``, which must hang on nothing but ``thing`` and ``how``; made when first asked for."""
        key = (id(thing), how)
        kept = self._kept.get(key)
        # while it is kept beside what was made of it, nothing else can have its id
        if kept is None or kept[0] is not thing:
            if len(self._kept) >= self._most:
                self._kept.clear()
            kept = self._kept[key] = (thing, make(*given))
        return kept[1]
