"""A CSV as cells: the charset, the delimiter and the quotes are told from what is there."""

import csv
import re
from typing import Final, Literal

from bot.mail.attachments.grid import (
    MOST_COLUMNS,
    MOST_ROWS,
    MOST_ROWS_ABOVE,
    Book,
    FileRefused,
    Grid,
    plain,
)
from bot.mail.charsets import text_of

MOST_BYTES: Final = 4_000_000
MOST_BREAKS: Final = 12
"""Line breaks within one cell."""
_LOOKED_AT: Final = 40
"""Lines that the delimiter is told from."""
_DELIMITERS: Final = (",", ";", "\t", "|")
_COMMA_DECIMAL: Final = re.compile(r"-?\d{1,6},\d{1,2}")


def open_delimited(data: bytes) -> Book:
    """The one sheet of a text of delimited values.

    Raises:
        FileRefused: "too_big"; "broken" where it is no text; "other_format" where it is markup; "empty".
    """
    if len(data) > MOST_BYTES:
        raise FileRefused("too_big")
    text = _text(data)
    if text.lstrip()[:200].lower().startswith(("<!doctype", "<html", "<?xml", "<table")):
        raise FileRefused("other_format")
    if text.count("\0"):
        raise FileRefused("broken")
    lines = text.replace("\r\n", "\n").replace("\r", "\n")
    first = lines.split("\n", 1)[0].strip().lower()
    if re.fullmatch(r'"?sep=[,;|\t]"?', first):
        delimiter = first.strip('"')[4]
        # The line tells the delimiter and is none of the rows; it is kept empty so that rows keep their numbers.
        lines = "\n" + lines.split("\n", 1)[1] if "\n" in lines else ""
    else:
        delimiter = _delimiter(lines)
    rows, cut = _rows(lines, delimiter)
    if not any(any(row) for row in rows):
        raise FileRefused("empty")
    if delimiter == ";":
        # Where a semicolon parts the cells, a comma parts the decimals.
        rows = [
            [cell.replace(",", ".") if _COMMA_DECIMAL.fullmatch(cell) else cell for cell in row]
            for row in rows
        ]
    return Book([Grid("", rows, cut=cut)])


def _text(data: bytes) -> str:
    if not data.startswith((b"\xff\xfe", b"\xfe\xff")) and len(data) >= 8:
        start = data[:2000]
        for codec, zeros in (("utf-16-le", start[1::2]), ("utf-16-be", start[0::2])):
            if zeros.count(0) * 10 > len(zeros) * 7:
                return data.decode(codec, "replace")
    return text_of(data)


def _delimiter(text: str) -> str:
    """The mark that cuts the first lines into the most even rows."""
    sample = "\n".join(text.split("\n")[: 3 * _LOOKED_AT])
    best, most = ",", 0.0
    for delimiter in _DELIMITERS:
        widths = [
            sum(bool(cell) for cell in row) and len(row) for row in _rows(sample, delimiter)[0][:_LOOKED_AT]
        ]
        widths = [width for width in widths if width]
        wide = [width for width in widths if width > 1]
        if not wide:
            continue
        common = max(set(wide), key=wide.count)
        score = wide.count(common) / len(widths) * min(common, 12)
        if score > most:
            best, most = delimiter, score
    return best


def _rows(
    text: str, delimiter: str, quoting: Literal[0, 3] = csv.QUOTE_MINIMAL
) -> tuple[list[list[str]], bool]:
    rows: list[list[str]] = []
    last = MOST_ROWS + MOST_ROWS_ABOVE
    reader = csv.reader(
        [f"{line}\n" for line in text.split("\n")],
        delimiter=delimiter,
        skipinitialspace=True,
        quoting=quoting,
    )
    while True:
        try:
            row = next(reader, None)
        except csv.Error:
            row = ["\n" * (MOST_BREAKS + 1)]
        if row is None:
            return rows, False
        if len(rows) >= last:
            return rows, True
        if any(cell.count("\n") > MOST_BREAKS for cell in row):
            # A quote that never closes has swallowed the rows after it.
            if quoting == csv.QUOTE_NONE:
                raise FileRefused("broken")
            return _rows(text, delimiter, csv.QUOTE_NONE)
        rows.append([plain(cell) for cell in row[:MOST_COLUMNS]])
