"""Pasted tables: tabs, bars, semicolons, commas or aligned columns, with or without a row of heads."""

import re
from functools import lru_cache
from typing import NamedTuple

from bot.reading.compiled import table as source_table
from bot.reading.words import words_of

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
def cell_families() -> dict[str, str]:
    """What a whole cell in a table of luminaires names though the word is too common for prose: "Area", "Exit", "Roadway"."""
    raw = source_table("cells")
    return {word: family for family, words in raw["family"].items() for word in words.split(", ")}


@lru_cache(maxsize=1)
def columns() -> dict[str, str]:
    """Head of a column -> role."""
    raw = source_table("columns")
    out: dict[str, str] = {}
    for role, heads in raw.items():
        for head in heads.split(", "):
            out.setdefault(head, role)
    return out


_WORD = re.compile(r"[a-z]+|[#%$]")
_LAMP_WORDS = words_of("lamp lamps lmp lmps bulb bulbs tube tubes tubos lampara lamparas focos foco")
_FIXTURE_WORDS = words_of(
    "fixture fixtures fixt fixts fix fixtr luminaire luminaires luminaria luminarias unit units light lights heads head"
)
_COUNT_WORDS = words_of("qty qnty quantity quan count cnt number no # cant cantidad pcs pieces piezas total")
_NAME_WORDS = words_of(
    """tag location loc room rm circuit ckt cat catalog sku building bldg area zone floor level space site mark id panel
    breaker asset ref address street part model tail serial date year age install installed mfr maker manufacturer brand
    edificio ubicacion salon piso dept department sheet pos page drawing key"""
)
_WANTED_WORDS = words_of(
    "led suggested retrofit proposed prop wanted want new replacement propuesto nuevo future requested repl"
)
_MONEY_WORDS = words_of(
    "price cost costs $ rebate rebates savings save payback total ext extended kwh mwh therms bill amount labor incentive precio costo"
)


def _guessed(head: str) -> str | None:
    """The role that the words of an unknown head tell: "No. of lamps", "Mounting height (AFF)", "Annual kWh"."""
    words = _WORD.findall(head)
    if not words:
        return None
    have = frozenset(words)
    counts = bool(_COUNT_WORDS & have)
    if have & _WANTED_WORDS:
        # what is asked for in place of what hangs there
        if have & {"watts", "watt", "wattage", "w", "vatios"}:
            return "led_watts"
        if have & {"lumens", "lumen", "lm"}:
            return "led_lumens"
        if not have & {
            "voltage",
            "volts",
            "cct",
            "kelvin",
            "k",
            "color",
            "colour",
            "qty",
            "quantity",
            "count",
            "cost",
            "price",
            "height",
            "ht",
            "kwh",
            "kw",
        }:
            return "wanted"
    if "cri" in have:
        return "cri"
    if have & {"lumens", "lumen", "lm"}:
        return "led_lumens" if "led" in have else "ignore"
    if have & {"emergency", "em", "emer", "emerg", "battery", "backup", "bbu"} and not have & {
        "location",
        "panel",
    }:
        return "emergency"
    if (
        have & {"kelvin", "cct"}
        or ("color" in have and "temp" in have)
        or ("colour" in have and "temp" in have)
    ):
        return "cct_k"
    if have & {"volt", "volts", "voltage", "voltaje", "vac", "tension"}:
        return "voltage"
    if have & {"height", "ht", "hgt", "altura", "aff", "tall", "elevation"} or have >= {"how", "high"}:
        return "height_ft"
    if have & {"days", "dias"} and have & {"wk", "week", "semana"} and not have & {"hrs", "hours"}:
        return "days_per_week"
    if have & {"hours", "hrs", "horas"}:
        return (
            "hours_per_year"
            if have & {"year", "yr", "annual", "annually", "ano"}
            else "hours_per_day"
            if have & {"day", "daily", "dia"}
            else "ignore"
        )
    if have & {"pole", "poles", "poste", "postes"}:
        if have & {"heads", "head", "per", "fixtures"} and have & {"per", "each", "heads"}:
            return "heads_per_pole"
        return "poles" if have & {"poles", "qty", "count", "quantity", "postes"} else "ignore"
    if have & {"watts", "watt", "wattage", "w", "vatios"}:
        return (
            "input_watts"
            if have & {"input", "system", "sys", "total", "line", "connected", "fixture", "ballast"}
            else "watts"
        )
    if have & {"spacing"}:
        return "spacing_ft"
    if have & {"total", "totals"} and have & _LAMP_WORDS and not have & {"per", "ea", "each", "w", "watts"}:
        return "ignore"  # lamps of all of them together
    if counts and have & _LAMP_WORDS and not have & {"fixture"} - {"per"}:
        return "lamps"
    if have & {"per"} and have & _LAMP_WORDS:
        return "lamps"
    if have & {"length", "largo", "len"}:
        return "lamp_feet"
    if (
        have & {"pay", "paid", "paying"}
        or (have & {"now", "current", "currently", "present", "today"} and have & {"price", "cost", "$"})
    ) and not have & {"total", "ext", "extended", "kwh", "payback"}:
        return "price_now"
    if have & _MONEY_WORDS and not have & {"qty", "quantity", "count"}:
        return "ignore"
    if counts and have & {"qty", "quantity", "count", "cantidad", "cant", "qnty", "cnt"}:
        return "qty"
    if counts and have & _FIXTURE_WORDS:
        # "# of fixtures" counts; "fixture #" is a name
        return "qty" if words[0] in ("#", "no", "number", "total") else "ignore"
    if have & _NAME_WORDS:
        return "ignore"
    if have & (_LAMP_WORDS | _FIXTURE_WORDS):
        return "text"
    if have & {"type", "description", "desc", "descripcion", "existing", "tipo", "kind", "style", "product"}:
        return "text"
    if have & {
        "notes",
        "note",
        "remarks",
        "comments",
        "comment",
        "notas",
        "finish",
        "color",
        "controls",
        "mounting",
        "optics",
    }:
        return "text"
    return None


_COUNTING = words_of(
    "two three four five six seven eight nine ten eleven twelve fourteen fifteen sixteen eighteen twenty thirty forty fifty dozen"
)
"""Words in what is said of luminaires, and in no head of a column."""


def role_of(head: str) -> str | None:
    """The role of a column by its folded head; ``None`` where it is not known."""
    table = columns()
    head = " ".join(head.split()).strip(' *:."')
    if head in table:
        return table[head]
    bare = head.split("(")[0].strip()
    if bare in table:
        return table[bare]
    if head.rstrip("s") in table:
        return table[head.rstrip("s")]
    # a cell with figures or a colon is no head but a value
    if len(head) > 40 or ":" in head or _DIGIT.search(bare or head) or not _COUNTING.isdisjoint(head.split()):
        return None
    return _guessed(head)


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
            if delimiter == "," and folded[at] == '"' and (close := folded.find('",', at + 1, end)) >= found:
                # a comma between quotes parts no cells
                found = close + 1
            bounds.append((at, found))
            at = found + 1
    bounds.append((at, end))
    cells = []
    for low, high in bounds:
        while low < high and folded[low].isspace():
            low += 1
        while high > low and folded[high - 1].isspace():
            high -= 1
        if high - low >= 2 and folded[low] == folded[high - 1] == '"' and delimiter in ",;\t":
            # the quotes that spreadsheets put around a cell
            low, high = low + 1, high - 1
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
    if {None, "text"}.issuperset(roles) and any(_DIGIT.search(folded[c.start : c.end]) for c in cells):
        return None  # "70w hps wall packs x2, white finish, type iii": what is said of a luminaire, and no head of a column
    if roles.count("watts") == 2:
        # what hangs there, then what is asked for
        roles[len(roles) - 1 - roles[::-1].index("watts")] = "led_watts"
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


def _upright(folded: str, lines: list[tuple[int, int]], first: int) -> tuple[Table, int] | None:
    """A table on its side, one head a line and its values after it; and the line past it. ``None`` where none begins."""
    columns_of: list[tuple[Cell, ...]] = []
    roles: list[str] = []
    stop = first
    while stop < len(lines):
        low, high = lines[stop]
        delimiter = _delimiter(folded[low:high])
        if delimiter not in ("\t", "|", "  "):
            break
        cells = _cells(folded, low, high, delimiter)
        role = role_of(folded[cells[0].start : cells[0].end]) if len(cells) >= 2 else None
        if role is None or (columns_of and len(cells) != len(columns_of[0])):
            break
        if stop - first > 24 or (role in NUMBERS and role in roles):
            # so many heads, or one twice, and it is no table on its side (and the look ahead stays short)
            return None
        if any(role_of(folded[cell.start : cell.end]) in NUMBERS for cell in cells[1:]):
            break
        columns_of.append(cells)
        roles.append(role)
        stop += 1
    if len(columns_of) < 3 or len(NUMBERS & set(roles)) < 2 or roles.count("qty") > 1:
        return None
    rows = tuple(tuple(cells[number] for cells in columns_of) for number in range(1, len(columns_of[0])))
    heads = tuple(cells[0] for cells in columns_of)
    return Table(lines[first][0], lines[stop - 1][1], tuple(roles), heads, rows), stop


def _spaced(folded: str, lines: list[tuple[int, int]], first: int) -> tuple[Table, int] | None:
    """A table whose heads have one space between, and the line past it, where ditto marks or wide gaps below show that it is one."""
    start, end = lines[first]
    heads = _cells(folded, start, end, " ")
    if not 3 <= len(heads) <= 8:
        return None
    roles = [role_of(folded[cell.start : cell.end]) for cell in heads]
    if "qty" not in roles or None in roles:
        return None
    rows: list[tuple[Cell, ...]] = []
    stop = first + 1
    gaps = len(lines) > stop and len(_WIDE.findall(folded[lines[stop][0] : lines[stop][1]].strip())) >= 2
    while stop < len(lines):
        cells = _cells(folded, *lines[stop], "  " if gaps else " ")
        if len(cells) != len(heads):
            break
        rows.append(cells)
        stop += 1
    if not rows or not (
        gaps or any(folded[cell.start : cell.end] == '"' for row in rows[1:] for cell in row)
    ):
        return None
    return Table(
        start, lines[stop - 1][1], tuple([role or "text" for role in roles]), heads, tuple(rows)
    ), stop


NUMBERS = frozenset(
    {"qty", "watts", "input_watts", "height_ft", "voltage", "lamps", "cct_k", "lamp_feet", "spacing_ft", "price_now",
     "hours_per_year", "hours_per_day", "days_per_week", "poles", "heads_per_pole", "led_watts", "led_lumens", "cri"}
)  # fmt: skip
"""The roles whose cells hold one number."""


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
            spaced = _spaced(folded, lines, number) if delimiter is None and line.strip() else None
            if spaced is not None:
                tables.append(spaced[0])
            number = spaced[1] if spaced is not None else number + 1
            continue
        upright = _upright(folded, lines, number)
        if upright is not None:
            tables.append(upright[0])
            number = upright[1]
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
                if (
                    delimiter == "|"
                    and len(cells) == len(roles) - 1
                    and text.lstrip()[:1] == "|" != line.lstrip()[:1]
                ):
                    cells = (Cell(low, low), *cells)  # the first cell is left blank
                if len(cells) < 2 or abs(len(cells) - len(roles)) > 2:
                    break
            elif delimiter == "  " and len(cells) == len(head) - 1 >= 2 and rows:
                cells = _align(folded, head, cells, (start, low))
            elif len(cells) != len(head) or len(cells) < 3 or _delimiter(text) != delimiter:
                break
            if _DIGIT.search(text) or roles:
                rows.append(cells)
            stop += 1
        good = len(rows) >= (1 if roles else 2)
        if roles and not any(_DIGIT.search(folded[cell.start : cell.end]) for row in rows for cell in row):
            good = False  # a sentence with commas and a signature below it
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
