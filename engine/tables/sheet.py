"""Reads one table, a CSV file beside a TOML sidecar that describes its columns, and refuses what does not fit.

A sidecar holds ``title``, ``key`` (the columns that make a row unique), ``source`` (what holds for most rows),
``seen`` (``opened``, ``memory`` or ``mixed``), ``licence``, ``note``, ``ordered`` (columns whose values must not
fall from left to right) and one ``[columns.NAME]`` table per column, in the order of the file:
``type`` (text, number, integer, money, flag, choice, list), ``unit``, ``meaning``, ``least``, ``most``,
``allowed`` and ``blank`` (true where a row may leave the cell empty).
"""

import csv
import io
import re
import tomllib
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final, TypeVar

from engine.errors import TableError

MAX_BYTES: Final = 4_000_000
MAX_ROWS: Final = 20_000
MAX_CHARACTERS: Final = 600
_NUMBER: Final = re.compile(r"-?[0-9]{1,12}(?:\.[0-9]{1,9})?")
_INTEGER: Final = re.compile(r"-?[0-9]{1,12}")
_TYPES: Final = ("text", "number", "integer", "money", "flag", "choice", "list")
_SIDECAR_KEYS: Final = frozenset({"title", "key", "source", "seen", "licence", "note", "ordered", "columns"})
_COLUMN_KEYS: Final = frozenset({"type", "unit", "meaning", "least", "most", "allowed", "blank"})

Row = TypeVar("Row")
Cell = str | float | int | Decimal | bool | tuple[str, ...] | None


@dataclass(frozen=True, slots=True)
class Column:
    """One column's description. ``least`` and ``most`` bound numbers; ``allowed`` bounds choices and lists."""

    name: str
    type: str
    meaning: str
    unit: str = ""
    least: float | None = None
    most: float | None = None
    allowed: tuple[str, ...] = ()
    blank: bool = False

    @property
    def rule(self) -> str:
        """What a cell may hold, in words."""
        if self.type in ("number", "integer", "money"):
            text = {"number": "a number", "integer": "a whole number", "money": "an amount"}[self.type]
            if self.least is not None and self.most is not None:
                text += f" from {self.least:g} to {self.most:g}"
            elif self.least is not None:
                text += f" of at least {self.least:g}"
            if self.unit:
                text += f" {self.unit}"
        elif self.type == "flag":
            text = "yes or no"
        elif self.type == "choice":
            text = "one of " + ", ".join(self.allowed)
        elif self.type == "list":
            text = "words divided by semicolons"
            if self.allowed:
                text += ", of " + ", ".join(self.allowed)
        else:
            text = f"text of at most {MAX_CHARACTERS} printable characters"
        return text + (", or nothing" if self.blank else "")


@dataclass(frozen=True, slots=True)
class Sidecar:
    """What a table says about itself."""

    file: str
    title: str
    key: tuple[str, ...]
    source: str
    seen: str
    licence: str
    note: str
    ordered: tuple[tuple[str, ...], ...]
    columns: tuple[Column, ...]


def read_sidecar(file: str, content: bytes) -> Sidecar:
    """The description in ``content``, a TOML file named ``file``.

    Raises:
        TableError: not TOML, a key too many or missing, a column type that does not exist.
    """
    try:
        raw = tomllib.loads(content.decode("utf-8"))
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise TableError(file, None, None, str(error), "a TOML file in UTF-8") from error
    if unknown := sorted(raw.keys() - _SIDECAR_KEYS):
        raise TableError(file, None, None, unknown[0], "only " + ", ".join(sorted(_SIDECAR_KEYS)))
    for name in ("title", "key", "source", "seen", "columns"):
        if name not in raw:
            raise TableError(file, None, None, f"no {name}", f"a sidecar with {name}")
    columns = tuple(_column(file, name, body) for name, body in raw["columns"].items())
    names = {column.name for column in columns}
    ordered = tuple(tuple(group) for group in raw.get("ordered", []))
    for name in [*raw["key"], *(name for group in ordered for name in group)]:
        if name not in names:
            raise TableError(file, None, str(name), "no such column", "a column that [columns] describes")
    return Sidecar(
        file=file,
        title=str(raw["title"]),
        key=tuple(raw["key"]),
        source=str(raw["source"]),
        seen=str(raw["seen"]),
        licence=str(raw.get("licence", "")),
        note=str(raw.get("note", "")),
        ordered=ordered,
        columns=columns,
    )


def _column(file: str, name: str, body: Any) -> Column:
    if not isinstance(body, dict):
        raise TableError(file, None, name, str(body), "a [columns.NAME] table")
    if unknown := sorted(body.keys() - _COLUMN_KEYS):
        raise TableError(file, None, name, unknown[0], "only " + ", ".join(sorted(_COLUMN_KEYS)))
    kind = body.get("type")
    if kind not in _TYPES:
        raise TableError(file, None, name, f"type {kind}", "a type of " + ", ".join(_TYPES))
    return Column(
        name=name,
        type=kind,
        meaning=str(body.get("meaning", "")),
        unit=str(body.get("unit", "")),
        least=body.get("least"),
        most=body.get("most"),
        allowed=tuple(body.get("allowed", ())),
        blank=body.get("blank", False),
    )


def read_rows(sidecar: Sidecar, file: str, content: bytes, row_type: type[Row]) -> tuple[Row, ...]:
    """Every row of the CSV ``content``, as ``row_type`` whose fields are the sidecar's columns in order.

    Raises:
        TableError: the first fault found, with its line and column.
    """
    lines = csv.reader(io.StringIO(_text(file, content)), strict=True)
    names = [column.name for column in sidecar.columns]
    heading = next(lines, [])
    if heading != names:
        odd = next((name for name in heading if name not in names), None)
        lost = next((name for name in names if name not in heading), None)
        found = f"column {odd}" if odd is not None else f"no column {lost}" if lost else ",".join(heading)
        raise TableError(file, 1, odd, found, "the columns " + ", ".join(names))
    readers = [_reader(column) for column in sidecar.columns]
    key_at = [names.index(name) for name in sidecar.key]
    ordered_at = [[names.index(name) for name in group] for group in sidecar.ordered]
    rows: list[Row] = []
    seen: dict[tuple[Any, ...], int] = {}
    try:
        for cells in lines:
            row = lines.line_num
            if len(cells) != len(names):
                raise TableError(file, row, None, f"{len(cells)} cells", f"{len(names)} cells")
            if len(rows) >= MAX_ROWS:
                raise TableError(file, row, None, "one row more", f"at most {MAX_ROWS} rows")
            values = []
            for column, reader, cell in zip(sidecar.columns, readers, cells, strict=True):
                try:
                    values.append(reader(cell))
                except ValueError:
                    raise TableError(file, row, column.name, cell, column.rule) from None
            for group in ordered_at:
                _check_order(file, row, names, group, values)
            key = tuple(values[at] for at in key_at)
            if key in seen:
                said = " ".join(str(part) for part in key if part is not None)
                raise TableError(
                    file, row, sidecar.key[0], said, f"a key not used before (row {seen[key]} has it)"
                )
            seen[key] = row
            rows.append(row_type(*values))
    except csv.Error as error:
        raise TableError(file, lines.line_num, None, str(error), "well-formed CSV") from error
    if not rows:
        raise TableError(file, None, None, "no rows", "at least one row")
    return tuple(rows)


def _text(file: str, content: bytes) -> str:
    if len(content) > MAX_BYTES:
        raise TableError(file, None, None, f"{len(content)} bytes", f"at most {MAX_BYTES} bytes")
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        raise TableError(file, None, None, str(error), "text in UTF-8") from error


def _check_order(file: str, row: int, names: list[str], group: list[int], values: list[Any]) -> None:
    last_at = None
    for at in group:
        value = values[at]
        if value is None:
            continue
        if last_at is not None and value < values[last_at]:
            least = f"at least {names[last_at]} ({values[last_at]})"
            raise TableError(file, row, names[at], str(value), least)
        last_at = at


def _reader(column: Column) -> Callable[[str], Cell]:
    """A function from a cell to its value, raising ValueError for what ``column.rule`` does not allow."""
    least, most, blank = column.least, column.most, column.blank
    allowed = frozenset(column.allowed)

    def bounded(value: float | int | Decimal) -> None:
        if (least is not None and value < least) or (most is not None and value > most):
            raise ValueError

    def number(cell: str) -> Cell:
        if _NUMBER.fullmatch(cell) is None:
            raise ValueError
        value = float(cell)
        bounded(value)
        return value

    def integer(cell: str) -> Cell:
        if _INTEGER.fullmatch(cell) is None:
            raise ValueError
        value = int(cell)
        bounded(value)
        return value

    def money(cell: str) -> Cell:
        if _NUMBER.fullmatch(cell) is None:
            raise ValueError
        value = Decimal(cell)
        bounded(value)
        return value

    def flag(cell: str) -> Cell:
        if cell not in ("yes", "no"):
            raise ValueError
        return cell == "yes"

    def choice(cell: str) -> Cell:
        if cell not in allowed:
            raise ValueError
        return cell

    def words(cell: str) -> Cell:
        parts = tuple(part.strip() for part in cell.split(";"))
        if not all(parts) or (allowed and not allowed.issuperset(parts)):
            raise ValueError
        return parts

    def text(cell: str) -> Cell:
        if not cell or len(cell) > MAX_CHARACTERS or not cell.isprintable() or cell != cell.strip():
            raise ValueError
        return cell

    filled = {
        "number": number,
        "integer": integer,
        "money": money,
        "flag": flag,
        "choice": choice,
        "list": words,
        "text": text,
    }[column.type]
    if not blank:
        return filled
    empty: Cell = () if column.type == "list" else None
    return lambda cell: filled(cell) if cell else empty
