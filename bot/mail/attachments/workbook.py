"""The sheets of an XLSX as cells: formulas by the values stored with them; what is hidden and what is merged. Runs confined."""

import datetime
import io
import re
import warnings
import zipfile
from typing import Any, Final

import openpyxl

from bot.mail.attachments.grid import (
    MOST_COLUMNS,
    MOST_ROWS,
    MOST_ROWS_ABOVE,
    MOST_SHEETS,
    Book,
    FileRefused,
    Grid,
    plain,
)

_LAST_ROW: Final = MOST_ROWS + MOST_ROWS_ABOVE
_HIDDEN_ROW: Final = re.compile(rb"<(?:\w{1,20}:)?row\b([^<>]{0,2000})>")
_NUMBER: Final = re.compile(rb"""\br=["'](\d{1,7})["']""")
_HIDDEN: Final = re.compile(rb"""\bhidden=["'](?:1|true)["']""")
_COL: Final = re.compile(rb"<(?:\w{1,20}:)?col\b([^<>]{0,2000})>")
_SPAN: Final = re.compile(rb"""\b(min|max)=["'](\d{1,6})["']""")
_MERGED: Final = re.compile(
    rb"""<(?:\w{1,20}:)?mergeCell\b[^<>]{0,200}?\bref=["']([A-Z]{1,3}\d{1,7}):([A-Z]{1,3}\d{1,7})["']"""
)
_UNSTORED: Final = re.compile(
    rb"""<(?:\w{1,20}:)?c\b[^<>]{0,200}?\br=["']([A-Z]{1,3}\d{1,7})["'][^<>]{0,200}>\s{0,9}<f\b"""
    rb"""(?:[^<>]{0,500}/>|[^<>]{0,500}>[^<]{0,9000}</f>)\s{0,9}(?:<v\s{0,3}/>|<v></v>)?\s{0,9}</c>"""
)
MOST_MERGED: Final = 20_000


def open_workbook(data: bytes) -> Book:
    """The sheets that are shown.

    Raises:
        FileRefused: "empty" where no sheet is shown.
    """
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
    grids, hidden = [], []
    shown = 0
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        for sheet in book.worksheets:
            if sheet.sheet_state != "visible":
                hidden.append(plain(sheet.title)[:40])
                continue
            shown += 1
            if shown > MOST_SHEETS:
                continue
            sheet.reset_dimensions()
            rows = [
                [_shown(value) for value in row]
                for row in sheet.iter_rows(max_row=_LAST_ROW + 1, max_col=MOST_COLUMNS, values_only=True)
            ]
            cut = len(rows) > _LAST_ROW
            while rows and not any(rows[-1]):
                rows.pop()
            cut = cut and len(rows) > _LAST_ROW
            if rows:
                source = archive.read(sheet._worksheet_path)
                grids.append(
                    Grid(
                        plain(sheet.title)[:40],
                        rows[:_LAST_ROW],
                        _hidden_rows(source),
                        _hidden_columns(source),
                        _merged(source),
                        [_place(found.group(1)) for found in _UNSTORED.finditer(source)],
                        cut,
                    )
                )
    if not shown:
        raise FileRefused("empty")
    return Book(grids, hidden[:40], max(0, shown - MOST_SHEETS))


def _shown(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return format(round(value, 6), ".12g")
    if isinstance(value, datetime.datetime):
        return value.date().isoformat()
    return plain(str(value))


def _place(written: bytes) -> tuple[int, int]:
    """(row, column) of "B5"."""
    column = 0
    for number, letter in enumerate(written):
        if letter < 65:
            return int(written[number:]), column
        column = column * 26 + letter - 64
    return 0, column


def _hidden_rows(source: bytes) -> list[int]:
    out = []
    for found in _HIDDEN_ROW.finditer(source):
        number = _NUMBER.search(found.group(1))
        if number is not None and _HIDDEN.search(found.group(1)) and int(number.group(1)) <= _LAST_ROW:
            out.append(int(number.group(1)))
    return out


def _hidden_columns(source: bytes) -> list[int]:
    out: list[int] = []
    for found in _COL.finditer(source):
        span = {name: int(value) for name, value in _SPAN.findall(found.group(1))}
        if _HIDDEN.search(found.group(1)) and len(span) == 2:
            out += range(span[b"min"], min(span[b"max"], MOST_COLUMNS) + 1)
    return sorted(set(out))


def _merged(source: bytes) -> list[tuple[int, int, int, int]]:
    out = []
    for number, found in enumerate(_MERGED.finditer(source)):
        if number >= MOST_MERGED:
            break
        out.append((*_place(found.group(1)), *_place(found.group(2))))
    return out
