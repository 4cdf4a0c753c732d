"""Pasted tables: tabs, bars, semicolons, commas or aligned columns, with or without a row of heads."""

import re
import tomllib
from functools import lru_cache
from typing import NamedTuple

from bot.reading.words import FOLDER

_RULE = re.compile(r"^[\s|:+=_-]+$")
_WIDE = re.compile(r" {2,}|\t")
_DIGIT = re.compile(r"\d")


class Cell(NamedTuple):
    """A cell: its characters in the text as sent, blanks trimmed."""

    start: int
    end: int


class Table(NamedTuple):
    """A block of rows.

    Attributes:
        start, end: characters of the block.
        heads: the role of each column, ``None`` where there is no row of heads.
        head_cells: the cells of the row of heads.
        rows: the cells of each row.
    """

    start: int
    end: int
    heads: tuple[str, ...] | None
    head_cells: tuple[Cell, ...]
    rows: tuple[tuple[Cell, ...], ...]


@lru_cache(maxsize=1)
def columns() -> dict[str, str]:
    """Head of a column -> role."""
    raw = tomllib.loads((FOLDER / "columns.toml").read_text(encoding="utf-8"))
    out: dict[str, str] = {}
    for role, heads in raw.items():
        for head in heads.split(", "):
            out.setdefault(head, role)
    return out


def role_of(head: str) -> str | None:
    """The role of a column by its folded head; ``None`` where it is not known."""
    table = columns()
    head = " ".join(head.split()).strip(" *:.")
    if head in table:
        return table[head]
    bare = head.split("(")[0].strip()
    if bare in table:
        return table[bare]
    if head.rstrip("s") in table:
        return table[head.rstrip("s")]
    return None


def _cells(folded: str, start: int, end: int, delimiter: str) -> tuple[Cell, ...]:
    """The cells of one line."""
    bounds: list[tuple[int, int]] = []
    at = start
    if delimiter == "  ":
        for match in _WIDE.finditer(folded, start, end):
            bounds.append((at, match.start()))
            at = match.end()
    else:
        while (found := folded.find(delimiter, at, end)) >= 0:
            bounds.append((at, found))
            at = found + 1
    bounds.append((at, end))
    cells = []
    for low, high in bounds:
        while low < high and folded[low].isspace():
            low += 1
        while high > low and folded[high - 1].isspace():
            high -= 1
        cells.append(Cell(low, high))
    if delimiter == "|":
        if cells and cells[0].start == cells[0].end:
            cells = cells[1:]
        if cells and cells[-1].start == cells[-1].end:
            cells = cells[:-1]
    if delimiter == "  ":
        cells = [cell for cell in cells if cell.start < cell.end]
    return tuple(cells)


def _delimiter(line: str) -> str | None:
    """The mark that splits this line into cells, if it looks like a row."""
    if line.count("\t") >= 1:
        return "\t"
    if line.count("|") >= 1:
        return "|"
    if line.count(";") >= 2:
        return ";"
    if line.count(",") >= 2:
        return ","
    if len(_WIDE.findall(line.strip())) >= 2:
        return "  "
    return None


def _head_roles(folded: str, cells: tuple[Cell, ...]) -> tuple[str, ...] | None:
    """The roles of a row of heads; ``None`` where the row is none."""
    roles = [role_of(folded[cell.start : cell.end]) for cell in cells]
    known = sum(role is not None for role in roles)
    if known < 2 or known * 2 < len(cells):
        return None
    return tuple(role or "text" for role in roles)


def _align(
    folded: str, heads: tuple[Cell, ...], cells: tuple[Cell, ...], line_starts: tuple[int, int]
) -> tuple[Cell, ...]:
    """Cells of an aligned row put under their heads by horizontal overlap, where their number differs."""
    if len(cells) == len(heads):
        return cells
    head_line, row_line = line_starts
    out: list[Cell] = [Cell(row_line, row_line)] * len(heads)
    for cell in cells:
        middle = (cell.start - row_line + cell.end - row_line) / 2
        best = min(
            range(len(heads)),
            key=lambda n: abs((heads[n].start - head_line + heads[n].end - head_line) / 2 - middle),
        )
        if out[best].start == out[best].end:
            out[best] = cell
        else:
            out[best] = Cell(out[best].start, cell.end)
    return tuple(out)


def find_tables(folded: str) -> list[Table]:
    """The tables of a folded text, in order."""
    if "\n" not in folded:
        return []
    lines: list[tuple[int, int]] = []
    at = 0
    for part in folded.split("\n"):
        lines.append((at, at + len(part)))
        at += len(part) + 1
    tables: list[Table] = []
    number = 0
    while number < len(lines):
        start, end = lines[number]
        line = folded[start:end]
        delimiter = _delimiter(line) if line.strip() else None
        if delimiter is None or _RULE.match(line):
            number += 1
            continue
        head = _cells(folded, start, end, delimiter)
        roles = _head_roles(folded, head) if len(head) >= 2 else None
        rows: list[tuple[Cell, ...]] = []
        stop = number + (1 if roles else 0)
        while stop < len(lines):
            low, high = lines[stop]
            text = folded[low:high]
            if not text.strip():
                if rows or not roles:
                    break
                stop += 1
                continue
            if _RULE.match(text):
                stop += 1
                continue
            cells = _cells(folded, low, high, delimiter)
            if roles and delimiter == "  ":
                if len(cells) < 2:
                    break
                cells = _align(folded, head, cells, (start, low))
            elif roles:
                if len(cells) < 2 or abs(len(cells) - len(roles)) > 2:
                    break
            elif len(cells) != len(head) or len(cells) < 3 or _delimiter(text) != delimiter:
                break
            if _DIGIT.search(text) or roles:
                rows.append(cells)
            stop += 1
        good = len(rows) >= (1 if roles else 2)
        if not roles and good and delimiter in (",", "  "):
            # a list of sentences with commas is no table: rows must be short, and numbers at least half of a column
            good = (
                delimiter == "," and all(_numeric_column(folded, rows, n) is not None for n in range(1))
            ) or any(_all_numbers(folded, rows, n) for n in range(len(rows[0])))
        if good:
            tables.append(Table(start, lines[stop - 1][1], roles, head if roles else (), tuple(rows)))
            number = stop
        else:
            number += 1
    return tables


def _all_numbers(folded: str, rows: list[tuple[Cell, ...]], column: int) -> bool:
    return all(folded[row[column].start : row[column].end].strip().isdigit() for row in rows)


def _numeric_column(folded: str, rows: list[tuple[Cell, ...]], column: int) -> int | None:
    return column if _all_numbers(folded, rows, column) else None
