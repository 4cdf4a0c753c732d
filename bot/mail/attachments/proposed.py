"""The schedule given back as XLSX: the rows as they came, with the proposed columns beside them."""

import io
import re
import zipfile
from typing import Any, Final

import openpyxl
from openpyxl.cell import WriteOnlyCell
from openpyxl.styles import Font

from bot.mail.attachments.files import Files
from bot.mail.attachments.kinds import Kinds
from bot.mail.attachments.schedule import Schedule
from bot.mail.composing import File
from bot.replies.heard import Language
from bot.replies.words import Words, words_in
from engine.proposal import Quote, QuoteLine

XLSX: Final = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_NUMBER: Final = re.compile(r"-?(?:0|[1-9]\d{0,11})(?:\.\d{1,6})?")
_STAMP: Final = (1980, 1, 1, 0, 0, 0)
_MADE: Final = re.compile(rb"<dcterms:(created|modified)([^>]*)>[^<]*<")
_Rows = dict[tuple[int, int], tuple[QuoteLine, float]]
"""(schedule, number of the row) -> its kind, and its part of the kind's count."""
_NOT_IN_TITLE: Final = re.compile(r"[\\/*?:\[\]]")


def proposed(files: Files, kinds: Kinds, quote: Quote | None, language: Language) -> list[File]:
    """One workbook for each file of which rows are quoted; the same bytes for the same input."""
    if quote is None or not files.lines:
        return []
    words, by_row = words_in(language), _by_row(files, kinds, quote)
    out = []
    for number, attached in enumerate(files.opened):
        name = attached.name or attached.content_type
        schedules = [each for each in files.schedules if each.file == name]
        stem = re.sub(r"[^\w .()-]", "_", name.rpartition(".")[0] or name).strip(". ")[:60] or "schedule"
        suffix = words.of("mail", "proposed_name")
        again = "" if number == 0 or len({each.name for each in files.opened}) > number else f" {number + 1}"
        out.append(File(f"{stem} {suffix}{again}.xlsx", XLSX, _workbook(schedules, by_row, words)))
    return out


def _by_row(files: Files, kinds: Kinds, quote: Quote) -> _Rows:
    quoted = {line.index: line for line in quote.lines}
    return {
        (id(schedule), number): (quoted[kinds.kind_of[index]], kinds.share[index])
        for index, (schedule, number) in files.lines.items()
        if kinds.kind_of.get(index) in quoted
    }


def _workbook(schedules: list[Schedule], by_row: _Rows, words: Words) -> bytes:
    book = openpyxl.Workbook(write_only=True)
    for number, schedule in enumerate(schedules):
        title = _NOT_IN_TITLE.sub(" ", schedule.sheet).strip(" '")[:24] or f"{number + 1}"
        sheet = book.create_sheet(title)
        width = max((len(row) for row in schedule.grid.rows), default=0)
        while width and not any(len(row) >= width and row[width - 1] for row in schedule.grid.rows):
            width -= 1
        heads = [words.of("mail", f"proposed_{key}") for key in ("part", "watts", "price", "saved", "note")]
        last = max((row.number for row in schedule.rows), default=0)
        last = max([last, *schedule.left, *schedule.totals, *schedule.hidden, *schedule.headings])
        for index, row in enumerate(schedule.grid.rows[:last]):
            cells: list[Any] = [value_of(cell) for cell in row[:width]] + [None] * (width - len(row))
            if index == schedule.heads.last:
                made = []
                for cell in [*cells, *heads]:
                    bold = WriteOnlyCell(sheet, value=cell)
                    bold.font = Font(bold=True)
                    made.append(bold)
                sheet.append(made)
            else:
                sheet.append(cells + _added(schedule, index + 1, by_row, words))
    held = io.BytesIO()
    book.save(held)
    return _steady(held.getvalue())


def value_of(cell: str) -> str | float | int | None:
    """A cell as a spreadsheet may hold it without harm: a number where it is one, else text that begins no formula."""
    if not cell:
        return None
    if _NUMBER.fullmatch(cell):
        return float(cell) if "." in cell else int(cell)
    return f"'{cell}" if cell.lstrip()[:1] in ("=", "+", "-", "@") else cell


def _added(schedule: Schedule, number: int, by_row: _Rows, words: Words) -> list[Any]:
    found = by_row.get((id(schedule), number))
    if found is None:
        key = schedule.left.get(number)
        note = (
            words.of("mail", f"row_{key}")
            if key is not None
            else words.of("mail", "row_total")
            if number in schedule.totals
            else words.of("mail", "row_hidden")
            if number in schedule.hidden
            else None
        )
        return [None, None, None, None, note]
    line, share = found
    if line.chosen is None:
        return [None, None, None, None, words.of("mail", "proposed_none")]
    figures = line.figures
    part = line.options[line.chosen].product.part_number

    def figure(name: str, digits: int, times: float = 1.0) -> float | None:
        held = figures.get(name)
        return None if held is None else round(float(held.value) * times, digits)

    return [
        value_of(part),
        figure("input_watts_after", 1),
        figure("unit_price", 2),
        figure("saved_per_year", 2, share),
        None,
    ]


def _steady(data: bytes) -> bytes:
    """The same workbook without the time that it was made at."""
    held = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as out:
        for name in source.namelist():
            part = source.read(name)
            if name == "docProps/core.xml":
                part = _MADE.sub(rb"<dcterms:\1\2>1980-01-01T00:00:00Z<", part)
            info = zipfile.ZipInfo(name, _STAMP)
            info.compress_type = zipfile.ZIP_DEFLATED
            out.writestr(info, part)
    return held.getvalue()
