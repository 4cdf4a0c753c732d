"""The quotes as a table for a spreadsheet. A cell that a stranger wrote never begins like a formula."""

import csv
import io
from collections.abc import Iterable
from typing import Final

from bot.replies.clean import one_line
from bot.store.listing import ListedQuote

COLUMNS: Final = ("quote", "made_at", "revision", "revises", "customer", "types_of_light", "first_type", "part_numbers",
                  "project_cost", "net_cost", "saved_per_year", "payback_years", "erased_at")  # fmt: skip
_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r", "\n", "|", "%")
"""What spreadsheets take for the beginning of a formula or a command (OWASP, CSV injection)."""


def quotes_csv(quotes: Iterable[ListedQuote]) -> str:
    """The table, with a mark by which spreadsheets know that it is UTF-8."""
    out = io.StringIO()
    out.write("\ufeff")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows(_row(each) for each in quotes)
    return out.getvalue()


def text_cell(text: str, limit: int = 120) -> str:
    """A text that a spreadsheet shows as it is: an apostrophe before what looks like a formula."""
    line = one_line(text, limit)
    return f"'{line}" if line.startswith(_FORMULA) else line


def _row(each: ListedQuote) -> tuple[object, ...]:
    lines, totals = each.quote["lines"], each.quote["totals"]
    parts = [
        line["options"][line["chosen"]]["part_number"]
        for line in lines
        if line.get("chosen") is not None and line.get("options")
    ]
    payback = totals.get("simple_payback_years")
    return (
        each.id,
        each.made_at,
        each.revision,
        each.revises or "",
        text_cell(str(each.request.get("job", {}).get("customer") or "")),
        len(lines),
        text_cell(lines[0]["title"]) if lines else "",
        text_cell(", ".join(parts), 400),
        totals.get("project_cost", ""),
        totals.get("net_cost", ""),
        totals.get("saved_per_year", ""),
        "" if payback is None else f"{payback:.2f}",
        each.erased_at or "",
    )
