"""The tables of a text PDF as cells. Runs confined."""

import io
import itertools
from typing import Any, Final

import pdfplumber

from bot.mail.attachments.grid import MOST_COLUMNS, MOST_ROWS, Book, FileRefused, Grid, plain
from bot.reading.table import role_of
from bot.reading.text import fold

MOST_PAGES: Final = 40
MOST_SIGNS: Final = 400_000
"""Characters of all pages."""
_GAP: Final = 1.2
"""Blank between cells where no line is drawn, in heights of the type."""


def open_pages(data: bytes) -> Book:
    """One sheet: the tables of all pages, one under the other.

    Raises:
        FileRefused: "scan" where no page holds text; "locked"; "bomb" where it holds more than a schedule can.
    """
    rows: list[list[str]] = []
    signs, cut = 0, False
    edges: list[float] | None = None
    try:
        document = pdfplumber.open(io.BytesIO(data))
    except Exception as error:
        if "password" in f"{type(error).__name__} {error!r}".lower():
            raise FileRefused("locked") from error
        raise
    with document:
        pages = document.pages
        for page in pages[:MOST_PAGES]:
            here = len(page.chars)
            signs += here
            if signs > MOST_SIGNS:
                raise FileRefused("bomb")
            found = _ruled(page) if here else []
            if found:
                rows += found
            elif here:
                more, edges = _unruled(page, edges)
                rows += more
            page.close()
            if len(rows) > MOST_ROWS:
                cut = True
                break
        cut = cut or len(pages) > MOST_PAGES
    if signs < 10:
        raise FileRefused("scan")
    return Book([Grid("", rows[: MOST_ROWS + 60], cut=cut)] if rows else [])


def _ruled(page: Any) -> list[list[str]]:
    """Rows of the tables with drawn lines, where one has at least two columns."""
    out = []
    for table in page.extract_tables():
        if table and max(len(row) for row in table) >= 2:
            out += [[plain(cell or "") for cell in row[:MOST_COLUMNS]] for row in table]
    return out


def _unruled(page: Any, edges: list[float] | None) -> tuple[list[list[str]], list[float] | None]:
    """Rows of aligned text: the row of heads tells where the columns are, on this page or the one before."""
    lines: list[list[dict[str, Any]]] = []
    for word in sorted(page.extract_words(), key=lambda each: (round(each["bottom"] / 3), each["x0"])):
        if lines and abs(lines[-1][0]["bottom"] - word["bottom"]) <= 3:
            lines[-1].append(word)
        else:
            lines.append([word])
    cells = [_runs(sorted(line, key=lambda each: each["x0"])) for line in lines]
    best = max(cells, key=_headlike, default=[])
    if _headlike(best) >= 2:
        edges = [(left["x1"] + right["x0"]) / 2 for left, right in itertools.pairwise(best)]
        middles = [(each["x0"] + each["x1"]) / 2 for each in best]
    elif edges is None:
        return [], None
    else:
        middles = None
    out = []
    for line in cells:
        row = [""] * (len(edges) + 1)
        for cell in line:
            middle = (cell["x0"] + cell["x1"]) / 2
            left = cell["x0"] + 1
            if middles is not None and len(line) == len(middles):
                column = line.index(cell)
            else:
                inside = sum(edge <= left for edge in edges)
                column = max(inside, min(sum(edge <= middle for edge in edges), inside))
            row[column] = plain(f"{row[column]} {cell['text']}")
        out.append(row)
    return out, edges


def _runs(words: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Words that stand close together are one cell."""
    out: list[dict[str, Any]] = []
    for word in words:
        height = word["bottom"] - word["top"]
        if out and word["x0"] - out[-1]["x1"] < _GAP * height * 0.6:
            out[-1] = {**out[-1], "x1": word["x1"], "text": f"{out[-1]['text']} {word['text']}"}
        else:
            out.append({"x0": word["x0"], "x1": word["x1"], "text": word["text"]})
    return out


def _headlike(line: list[dict[str, Any]]) -> int:
    known = sum(role_of(fold(cell["text"])) is not None for cell in line)
    return known if len(line) >= 2 and known * 2 >= len(line) else 0
