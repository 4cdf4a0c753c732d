"""A sheet as plain cells, whatever file it came in; and the one error that opening a file ends in."""

from dataclasses import asdict, dataclass, field
from typing import Any, Final, Literal

MOST_FILE_BYTES: Final = 10_000_000
MOST_ROWS: Final = 5_000
"""Rows below the heads; as many types as one job holds."""
MOST_ROWS_ABOVE: Final = 60
"""Titles, addresses and heads above the rows."""
MOST_COLUMNS: Final = 60
MOST_SHEETS: Final = 12
MOST_CELL: Final = 160
"""Characters of a cell; the rest of it is left out."""

Why = Literal[
    "too_big", "bomb", "broken", "too_long", "old_format", "other_format", "locked", "scan", "empty", "none"
]
"""Why a file was not read, as keys of the wording table "mail" after "file_"."""


class FileRefused(Exception):
    """The file is not read; ``why`` says the reason."""

    def __init__(self, why: Why) -> None:
        super().__init__(why)
        self.why: Why = why


@dataclass(frozen=True, slots=True)
class Grid:
    """One sheet, or one table of a page.

    Attributes:
        name: of the sheet; "" for none.
        rows: cells as text, the first row is row 1.
        hidden: numbers of hidden rows.
        hidden_columns: of hidden columns, 1 the first.
        merged: (first row, first column, last row, last column), counted from 1.
        unstored: (row, column) of formulas that carry no value.
        cut: there are more rows or columns than are read.
    """

    name: str
    rows: list[list[str]]
    hidden: list[int] = field(default_factory=list)
    hidden_columns: list[int] = field(default_factory=list)
    merged: list[tuple[int, int, int, int]] = field(default_factory=list)
    unstored: list[tuple[int, int]] = field(default_factory=list)
    cut: bool = False


@dataclass(frozen=True, slots=True)
class Book:
    """What a file holds: its sheets that are shown, and the names of those that are hidden."""

    grids: list[Grid]
    hidden_sheets: list[str] = field(default_factory=list)
    more_sheets: int = 0

    def as_plain(self) -> dict[str, Any]:
        """For JSON."""
        return asdict(self)

    @classmethod
    def of_plain(cls, held: dict[str, Any]) -> "Book":
        """From `as_plain`."""
        grids = [
            Grid(
                each["name"],
                each["rows"],
                each["hidden"],
                each["hidden_columns"],
                [(a, b, c, d) for a, b, c, d in each["merged"]],
                [(a, b) for a, b in each["unstored"]],
                each["cut"],
            )
            for each in held["grids"]
        ]
        return cls(grids, held["hidden_sheets"], held["more_sheets"])


def plain(text: str) -> str:
    """A cell's text on one line, without control characters, cut."""
    text = text[: 4 * MOST_CELL]
    return " ".join("".join(char if char.isprintable() else " " for char in text).split())[:MOST_CELL]
