"""What quotes of one catalogue and one set of tables share, so that the next quote need not find it out again.

Everything kept follows from the catalogue, the tables and its key alone, and the key holds all that it hangs on: with
nothing kept a quote comes out the same. What is kept is bounded: where a shelf is full it is emptied.
"""

from collections.abc import Callable, Hashable
from functools import lru_cache
from typing import Any, Final, TypeVar

from engine.catalog.catalogue import Catalogue
from engine.existing import Lookups
from engine.tables.tables import Tables

MOST_KEPT: Final = 512
"""Things on one shelf. The largest is why the other products don't fit a line: some 20 kB."""
T = TypeVar("T")


class Known:
    """What was found out about a catalogue and tables."""

    def __init__(self, catalogue: Catalogue, tables: Tables) -> None:
        self.catalogue = catalogue
        self.tables = tables
        self.lookups = Lookups(tables)
        self._shelves: dict[str, dict[Hashable, Any]] = {}

    def get(self, shelf: str, key: Hashable, make: Callable[[], T]) -> T:
        """What ``make`` gives, which must hang on nothing but catalogue, tables and ``key``; made when first asked for."""
        kept = self._shelves.setdefault(shelf, {})
        found: T | None = kept.get(key)
        if found is None:
            found = make()
            if len(kept) >= MOST_KEPT:
                kept.clear()
            kept[key] = found
        return found


class _Same:
    """A catalogue with tables, compared by identity: equal ones are as far apart as others, and comparing takes long."""

    def __init__(self, catalogue: Catalogue, tables: Tables) -> None:
        self.catalogue, self.tables = catalogue, tables

    def __hash__(self) -> int:
        return hash((id(self.catalogue), id(self.tables)))

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and self.catalogue is other.catalogue and self.tables is other.tables


@lru_cache(maxsize=4)
def _known(both: _Same) -> Known:
    return Known(both.catalogue, both.tables)


def known_of(catalogue: Catalogue, tables: Tables) -> Known:
    """What is known of these two; the last few pairs are remembered, while they are the very same objects."""
    return _known(_Same(catalogue, tables))
