"""A sheet as a schedule: the rows that state luminaires as one table of text, and what was left out, row by row."""

import re
from dataclasses import dataclass, field
from typing import Final, Literal

from bot.mail.attachments.columns import Column, Heads, heads_of
from bot.mail.attachments.grid import MOST_ROWS, Grid
from bot.reading.text import fold

_TOTAL: Final = re.compile(
    r"(?:grand |sub[- ]?|project |running |gran )?(?:totals?|totales|sum|suma|subtotal(?:es)?)(?: .{0,40})?:?"
)
_NUMBER: Final = re.compile(r"-?\d{1,9}(?:[.,]\d{1,6})?")
_ERROR: Final = re.compile(r"#(?:REF|VALUE|NAME|DIV/0|N/A|NUM|NULL)[!?]?")
_DITTO: Final = frozenset({'"', "''", "ditto", "do.", "same", "idem", '""'})
Trouble = Literal["no_count", "unknown_light", "impossible", "no_value", "merged", "not_read", "too_many"]
"""Why a row states nothing that is quoted, as keys of the wording table "mail" after "row_"."""


@dataclass(frozen=True, slots=True)
class Row:
    """A row that goes to the reader.

    Attributes:
        number: in the sheet, 1 the first.
        cells: of the used columns.
    """

    number: int
    cells: tuple[str, ...]


@dataclass(slots=True)
class Schedule:
    """One sheet as it is read.

    Attributes:
        file: the file's name.
        sheet: the sheet's; "" for none.
        grid: all that is in it.
        heads: its row of heads.
        rows: that go to the reader.
        left: number of a row -> why it states nothing that is quoted.
        totals: numbers of the rows that sum others up.
        hidden: numbers of hidden rows that hold something; they are not read.
        hidden_heads: heads of hidden columns that are read all the same.
        headings: numbers of rows that only name a part of the list.
        unstored: how many cells hold a formula without a value.
        cut: there are more rows than are read.
    """

    file: str
    sheet: str
    grid: Grid
    heads: Heads
    rows: list[Row]
    left: dict[int, Trouble] = field(default_factory=dict)
    totals: list[int] = field(default_factory=list)
    hidden: list[int] = field(default_factory=list)
    hidden_heads: list[str] = field(default_factory=list)
    headings: list[int] = field(default_factory=list)
    unstored: int = 0
    cut: bool = False

    @property
    def told(self) -> tuple[Column, ...]:
        """The columns that go to the reader: a place names the luminaire only where no other cell does."""
        named = any(column.role in ("text", "wanted") for column in self.heads.used)
        return tuple(column for column in self.heads.used if column.role != "place" or not named)

    def text(self) -> tuple[str, list[tuple[int, int, int]]]:
        """The table as text, tabs between cells; and of each row (start, end, number of the row)."""
        told = self.told
        picked = [index for index, column in enumerate(self.heads.used) if column in told]
        lines = ["\t".join(column.table_head for column in told)]
        at, places = len(lines[0]) + 1, []
        for row in self.rows:
            line = "\t".join(row.cells[index] or "-" for index in picked)
            places.append((at, at + len(line), row.number))
            lines.append(line)
            at += len(line) + 1
        return "\n".join(lines), places


def schedule_of(grid: Grid, file: str) -> Schedule | None:
    """The schedule in a sheet; ``None`` where it holds none."""
    heads = heads_of(grid)
    if heads is None or sum(column.role != "place" for column in heads.used) < 2:
        return None
    out = Schedule(file, grid.name, grid, heads, [], cut=grid.cut)
    hidden, unstored = set(grid.hidden), set(grid.unstored)
    out.hidden_heads = [column.head for column in heads.used if column.index + 1 in set(grid.hidden_columns)]
    filled, merged_counts = _filled(grid, heads)
    count = heads.of("qty") or heads.of("poles")
    running = 0.0
    head_cells = [cell for cell in grid.rows[heads.last] if cell]
    above: tuple[str, ...] = ()
    for index in range(heads.last + 1, len(grid.rows)):
        number, whole = index + 1, grid.rows[index]
        cells = tuple(
            filled.get((index, column.index), whole[column.index] if column.index < len(whole) else "")
            for column in heads.used
        )
        if not any(whole) or [cell for cell in whole if cell] == head_cells:
            # Heads are said again at the top of each page.
            continue
        if number in hidden:
            out.hidden.append(number)
            continue
        if len(out.rows) >= MOST_ROWS:
            out.cut = True
            break
        missing = [column for column in heads.used if (number, column.index + 1) in unstored]
        value = _count(cells, heads, count)
        if _sums_up(whole, cells, heads, count, value, running):
            out.totals.append(number)
            continue
        out.unstored += len(missing)
        if any(_ERROR.fullmatch(cell) for cell in cells) or any(
            column is count or column.role == "watts" for column in missing
        ):
            out.left[number] = "no_value"
            continue
        if len(above) == len(cells):
            cells = tuple(up if cell in _DITTO else cell for cell, up in zip(cells, above, strict=True))
            value = _count(cells, heads, count)
        if count is not None and value is None:
            stated = sum(bool(cell) for cell in cells)
            if (index, count.index) in merged_counts:
                out.left[number] = "merged"
            elif stated <= 1 and sum(bool(cell) for cell in whole) <= 2:
                out.headings.append(number)
            else:
                out.left[number] = "no_count"
            continue
        if value is not None and value <= 0:
            out.left[number] = "no_count"
            continue
        running += value or 0
        above = cells
        out.rows.append(Row(number, cells))
    return out if out.rows or out.left else None


def _filled(grid: Grid, heads: Heads) -> tuple[dict[tuple[int, int], str], set[tuple[int, int]]]:
    """What merged cells say of the rows that they span; counts are not repeated, their places are told instead."""
    out: dict[tuple[int, int], str] = {}
    counts: set[tuple[int, int]] = set()
    roles = {column.index: column.role for column in heads.used}
    for first, first_column, last, last_column in grid.merged:
        role = roles.get(first_column - 1)
        if role is None or first_column != last_column or first - 1 <= heads.last or first > len(grid.rows):
            continue
        row = grid.rows[first - 1]
        value = row[first_column - 1] if first_column <= len(row) else ""
        for index in range(first, min(last, len(grid.rows))):
            if role in ("qty", "poles", "heads_per_pole"):
                counts.add((index, first_column - 1))
            elif value:
                out[index, first_column - 1] = value
    return out, counts


def _count(cells: tuple[str, ...], heads: Heads, count: Column | None) -> float | None:
    if count is None:
        return None
    cell = cells[heads.used.index(count)].replace(",", "")
    found = _NUMBER.search(cell)
    return float(found.group()) if found else (1.0 if any(char.isalpha() for char in cell) else None)


def _sums_up(
    whole: list[str],
    cells: tuple[str, ...],
    heads: Heads,
    count: Column | None,
    value: float | None,
    running: float,
) -> bool:
    """Whether a row is a total: it says so where no luminaire is named, or its count is the sum of those above it and it names nothing."""
    filled = [fold(cell).strip() for cell in whole if cell]
    words = [cell for cell in filled if any(char.isalpha() for char in cell)]
    if words and any(_TOTAL.fullmatch(cell) for cell in words) and len(words) <= 3:
        return True
    named = any(
        cell for cell, column in zip(cells, heads.used, strict=True) if column.role in ("text", "wanted")
    )
    return not named and not words and value is not None and running > 0 and value == running
