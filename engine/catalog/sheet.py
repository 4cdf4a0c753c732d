"""A CSV text as rows of cells, under one discipline for every sheet of a catalogue.

What a cell means is the row model's business; here is what any cell must be: short, printable, no formula, and a
plain number where its column holds numbers.
"""

import csv
import io
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, TypeVar

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from engine.catalog.fault import MAX_FAULTS, Fault, quoted

MAX_ROWS: Final = 50_000
MAX_CELL_CHARACTERS: Final = 400
MAX_COLUMNS: Final = 200

_FORMULA_STARTS: Final = ("=", "+", "@", "-")
_NUMBER: Final = re.compile(r"-?[0-9]{1,12}(?:\.[0-9]{1,20})?")
_WHOLE: Final = re.compile(r"-?[0-9]{1,12}")
_NUMBER_WORDS: Final = "a plain number: digits and a decimal point, no commas, units or signs of currency"
_WHOLE_WORDS: Final = "a whole number: digits only, no commas or units"

Row = TypeVar("Row", bound=BaseModel)


@dataclass(frozen=True, slots=True)
class SheetShape:
    """What a kind of sheet must look like.

    Attributes:
        columns: columns that must be there.
        further: says whether a column that is not among them may be there all the same.
        numbers: columns that hold a number. ``whole``: columns that hold whole numbers, one or several parted by ``|``.
        patterns: by column, in words, what its pattern allows.
        optional: those of ``columns`` that may be left out as a whole.
    """

    columns: tuple[str, ...]
    numbers: frozenset[str]
    whole: frozenset[str]
    patterns: Mapping[str, str]
    further: Callable[[str], bool] = field(default=lambda _: False)
    optional: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One row that passed the discipline: where it stands, and its cells by column."""

    file: str
    row: int
    cells: dict[str, str]


class Findings:
    """Faults as they are found. It stops taking them at the limit, so that a hopeless file costs little."""

    def __init__(self) -> None:
        self._faults: list[Fault] = []

    def add(self, file: str, row: int | None, column: str, found: str, allowed: str) -> None:
        """Note one fault, unless there are enough."""
        if not self.enough:
            self._faults.append(Fault(file, row, column, found, allowed))

    @property
    def enough(self) -> bool:
        """Whether looking further would tell nobody more."""
        return len(self._faults) >= MAX_FAULTS

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What was found, in order."""
        return tuple(self._faults)


def read_sheet(file: str, text: str, shape: SheetShape, findings: Findings) -> Iterator[SheetRow]:
    """The rows of one CSV text that are fit to be understood; what is not fit goes to ``findings``.

    Rows that hold nothing at all are passed over but counted, as a spreadsheet counts them.
    """
    if "\0" in text:
        row = text.count("\n", 0, text.index("\0")) + 1
        findings.add(file, row, "", "a NUL byte", "text only (save the sheet as CSV UTF-8)")
        return
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    number = 0
    try:
        header = next(reader, None)
        number = 1
        columns = _header_columns(file, header, shape, findings)
        if columns is None:
            return
        for cells in reader:
            number += 1
            if findings.enough:
                return
            if number > MAX_ROWS:
                findings.add(file, number, "", "more rows", f"at most {MAX_ROWS} rows, header included")
                return
            if not any(map(str.strip, cells)):
                continue
            if len(cells) != len(columns):
                findings.add(file, number, "", f"{len(cells)} cells", f"{len(columns)}, as in the header row")
                continue
            named = dict(zip(columns, (cell.strip() for cell in cells), strict=True))
            if _cells_are_fit(file, number, named, shape, findings):
                yield SheetRow(file, number, named)
    except csv.Error as error:
        findings.add(
            file, number + 1, "", f"text that is not CSV ({error})", "CSV with commas and paired quotes"
        )


def understand(
    row: SheetRow, values: Mapping[str, Any], model: type[Row], shape: SheetShape, findings: Findings
) -> Row | None:
    """The row as its model, or ``None`` with every reason in ``findings``."""
    try:
        return model.model_validate(values)
    except ValidationError as error:
        for detail in error.errors(include_url=False):
            _add_detail(row, detail, shape, findings)
        return None


def _header_columns(
    file: str, header: list[str] | None, shape: SheetShape, findings: Findings
) -> list[str] | None:
    """The column names, or ``None`` where rows under such a header could not be understood."""
    if not header:
        findings.add(file, 1, "", "no header row", "a first row of column names")
        return None
    if len(header) > MAX_COLUMNS:
        findings.add(file, 1, "", f"{len(header)} columns", f"at most {MAX_COLUMNS}")
        return None
    columns = [cell.strip() for cell in header]
    if len(columns) == 1 and ";" in columns[0]:
        findings.add(file, 1, "", "columns parted by semicolons", "columns parted by commas")
        return None
    sound = True
    known = frozenset(shape.columns)
    for place, column in enumerate(columns):
        if column in columns[:place]:
            findings.add(file, 1, column, "the column twice", "each column once")
            sound = False
        elif column not in known and not shape.further(column):
            findings.add(file, 1, "", f"an unknown column {quoted(column)}", _column_words(shape))
            sound = False
    missing = [c for c in shape.columns if c not in columns and c not in shape.optional]
    if missing:
        findings.add(file, 1, "", f"no column {', '.join(missing)}", "a sheet with every column")
        sound = False
    return columns if sound else None


def _column_words(shape: SheetShape) -> str:
    return "one of " + ", ".join(shape.columns)


def _cells_are_fit(
    file: str, row: int, cells: Mapping[str, str], shape: SheetShape, findings: Findings
) -> bool:
    fit = True
    for column, cell in cells.items():
        if not cell:
            continue
        allowed = ""
        if len(cell) > MAX_CELL_CHARACTERS:
            findings.add(
                file, row, column, f"{len(cell)} characters", f"at most {MAX_CELL_CHARACTERS} in a cell"
            )
            fit = False
            continue
        if not cell.isprintable():
            allowed = "printable characters on one line (no line breaks, tabs or invisible characters)"
        elif column in shape.numbers:
            allowed = "" if _NUMBER.fullmatch(cell) else _NUMBER_WORDS
        elif column in shape.whole:
            sound = all(_WHOLE.fullmatch(part.strip()) for part in cell.split("|"))
            allowed = "" if sound else _WHOLE_WORDS
        elif cell.startswith(_FORMULA_STARTS):
            allowed = "text that no spreadsheet takes for a formula: it may not start with = + - or @"
        if allowed:
            findings.add(file, row, column, quoted(cell), allowed)
            fit = False
    return fit


def _add_detail(row: SheetRow, detail: ErrorDetails, shape: SheetShape, findings: Findings) -> None:
    context = detail.get("ctx", {})
    if detail["type"] == "clash":
        findings.add(row.file, row.row, context["column"], context["found"], context["allowed"])
        return
    column = str(detail["loc"][0]) if detail["loc"] else ""
    cell = row.cells.get(column, "")
    found = quoted(cell) if cell else "a blank cell"
    findings.add(row.file, row.row, column, found, allowed_words(column, detail, shape.patterns))


def allowed_words(column: str, detail: ErrorDetails, patterns: Mapping[str, str]) -> str:
    """What may stand there, from what the model would not take; ``patterns`` has the words for its patterns."""
    kind, context = detail["type"], detail.get("ctx", {})
    bounds: Mapping[str, str] = {
        "literal_error": "one of {expected}",
        "greater_than": "more than {gt}",
        "greater_than_equal": "at least {ge}",
        "less_than": "less than {lt}",
        "less_than_equal": "at most {le}",
        "string_too_short": "at least {min_length} characters",
        "string_too_long": "at most {max_length} characters",
        "too_short": "at least {min_length} value",
        "decimal_max_places": "at most {decimal_places} decimal places",
        "decimal_max_digits": "at most {max_digits} digits",
        "decimal_whole_digits": "at most {whole_digits} digits before the point",
        "int_parsing": _WHOLE_WORDS,
        "int_from_float": _WHOLE_WORDS,
        "float_parsing": _NUMBER_WORDS,
        "decimal_parsing": _NUMBER_WORDS,
        "bool_parsing": "yes or no",
        "missing": "a value",
        "extra_forbidden": "a name that is known",
        "string_type": "text in quotes",
        "int_type": _WHOLE_WORDS,
        "uneven_list": "values parted by |, none blank and none twice",
    }
    if kind == "string_pattern_mismatch":
        return patterns.get(column, f"text of the form {context['pattern']}")
    if kind in bounds:
        return bounds[kind].format(**context)
    return detail["msg"]


def sheet_text(rows: Iterable[Mapping[str, str]]) -> str:
    """Rows of cells as one CSV text under the columns of the first row; "" where there is no row."""
    page = io.StringIO(newline="")
    writer: csv.DictWriter[str] | None = None
    for row in rows:
        if writer is None:
            writer = csv.DictWriter(page, fieldnames=list(row), lineterminator="\n")
            writer.writeheader()
        writer.writerow(row)
    return page.getvalue()
