"""What a draft says of the files: the mapping of columns, and what was left out."""

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Final

from bot.mail.attachments.columns import Column
from bot.mail.attachments.files import Files
from bot.mail.attachments.schedule import Schedule
from bot.replies.clean import one_line
from bot.replies.draft import Point
from bot.replies.heard import Language
from bot.replies.words import Words, words_in

MOST_SCHEDULES: Final = 6
MOST_COLUMNS_SAID: Final = 12
MOST_ROWS_SAID: Final = 14
MOST_POINTS: Final = 14


def read_points(files: Files, language: Language) -> tuple[Point, ...]:
    """Of each schedule how many rows were read and what each column was taken for."""
    words, out = words_in(language), []
    for schedule in files.schedules[:MOST_SCHEDULES]:
        columns = ", ".join(_column(column, words) for column in schedule.heads.used[:MOST_COLUMNS_SAID])
        count = len(schedule.rows)
        key = "file_columns_one" if count == 1 else "file_columns"
        out.append(Point.of(key, file=_where(schedule, words), count=f"{count:,}", columns=columns))
    return tuple(out)


def left_points(files: Files, language: Language) -> tuple[Point, ...]:
    """What was not read or not quoted, the most telling first; bounded."""
    words = words_in(language)
    out = [
        Point.of(f"file_refused_{why}", file=one_line(each.name or each.content_type, 60))
        for each, why in files.refused
    ]
    for schedule in files.schedules[:MOST_SCHEDULES]:
        out += _left(schedule, words)
    out += [
        Point.of("file_hidden_sheet", file=one_line(file, 60), sheet=sheet)
        for file, sheet in files.hidden_sheets
    ]
    out += [
        Point.of("file_no_list", file=one_line(file, 60), sheet=sheet) for file, sheet in files.unread_sheets
    ]
    return tuple(out[:MOST_POINTS])


def _left(schedule: Schedule, words: Words) -> list[Point]:
    where, out = _where(schedule, words), []
    if schedule.left:
        out.append(_rows_left(schedule, where, words))
    if schedule.hidden:
        out.append(Point.of("file_hidden_rows", file=where, rows=ranges(schedule.hidden)))
    if schedule.hidden_heads:
        out.append(Point.of("file_hidden_columns", file=where, columns=_heads(schedule.hidden_heads)))
    if schedule.cut:
        out.append(Point.of("file_cut", file=where, count=f"{len(schedule.rows):,}"))
    if schedule.unstored:
        out.append(Point.of("file_unstored", file=where, count=str(schedule.unstored)))
    if schedule.totals:
        out.append(Point.of("file_totals", file=where, rows=ranges(schedule.totals)))
    if schedule.headings:
        out.append(Point.of("file_headings", file=where, rows=ranges(schedule.headings)))
    if schedule.heads.unused:
        out.append(Point.of("file_unused", file=where, columns=_heads(schedule.heads.unused)))
    return out


def _rows_left(schedule: Schedule, where: str, words: Words) -> Point:
    by_why: dict[str, list[int]] = {}
    for number in sorted(schedule.left):
        by_why.setdefault(schedule.left[number], []).append(number)
    items, room = [], MOST_ROWS_SAID
    for why, numbers in by_why.items():
        if room <= 0:
            break
        items.append(
            str(words.of("mail", "row_item")).format(
                rows=ranges(numbers[:room]), why=words.of("mail", f"row_{why}")
            )
        )
        room -= len(numbers)
    key = "file_left" if room >= 0 else "file_left_more"
    return Point.of(key, file=where, count=str(len(schedule.left)), rows=", ".join(items))


def ranges(numbers: Iterable[int]) -> str:
    """The numbers as runs: "4, 7-9, 12"; the first twelve runs.

    >>> ranges([4, 7, 8, 9, 12])
    '4, 7-9, 12'
    """
    runs = []
    for _, run in groupby(enumerate(sorted(numbers)), key=lambda each: each[1] - each[0]):
        held = [number for _, number in run]
        runs.append(str(held[0]) if len(held) == 1 else f"{held[0]}-{held[-1]}")
    return ", ".join(runs[:12]) + (", ..." if len(runs) > 12 else "")


def _heads(heads: Sequence[str]) -> str:
    return ", ".join(one_line(head, 30) for head in heads[:MOST_COLUMNS_SAID])


def _where(schedule: Schedule, words: Words) -> str:
    file = one_line(schedule.file, 60)
    if not schedule.sheet:
        return file
    return str(words.of("mail", "file_sheet")).format(file=file, sheet=one_line(schedule.sheet, 40))


def _column(column: Column, words: Words) -> str:
    own = words.find("mail", f"column_{column.role}")
    slot = own or (words.find("names", column.role) or column.role.replace("_", " ")).lower()
    if column.unit == "m":
        slot = str(words.of("mail", "in_metres")).format(slot=slot)
    return str(words.of("mail", "column_item")).format(head=f'"{one_line(column.head, 30)}"', slot=slot)
