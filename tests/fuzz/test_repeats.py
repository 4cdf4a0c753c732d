"""Four times the text is about four times the work, whatever is repeated. Work is counted in lines of code run, never in seconds.

What one line of code copies is not seen here; `python -m tests.bench.reading` shows that, in time, up to 1 MB.
"""

import sys
from collections.abc import Callable
from types import FrameType
from typing import Any

import pytest

from bot.reading import read_message

SHORT, FACTOR, ALLOWED = 600, 4, 5.0
UNITS = (
    "12 ", "12-", "(12) ", "6-10 ", "1,", "\n12", "555-", "12/", "12x12 ", "½", "$5 ", "@", "a@", "www.a.", "'", "|", "a\t", "1\t2\n",
    "wall packs ", "the poles ", "12 wall packs ", "and 12 floods ", "all ", "same ", "except ", "not ", "no wait 12 ", "6am ", "mon ",
    "twenty ", "one oh ", "hundred ", "po ", "street ", "cents ", "x", "é", "docena y ", "a or b ", "at 20 ", "F32T8 ", "h39kb-",
)  # fmt: skip


def work(read: Callable[[], object]) -> int:
    """Lines of the reader's code that ``read`` runs."""
    lines = 0

    def inside(_frame: FrameType, event: str, _what: Any) -> Any:
        nonlocal lines
        lines += event == "line"
        return inside

    def trace(frame: FrameType, _event: str, _what: Any) -> Any:
        return inside if "/bot/reading/" in frame.f_code.co_filename.replace("\\", "/") else None

    before = sys.gettrace()
    sys.settrace(trace)
    try:
        read()
    finally:
        sys.settrace(before)
    return lines


@pytest.mark.parametrize("unit", UNITS, ids=repr)
def test_work_grows_with_the_length_of_what_is_repeated(unit: str) -> None:
    short, long = unit * (SHORT // len(unit)), unit * (FACTOR * (SHORT // len(unit)))
    read_message(unit)  # what is made once; not the same text, parts of whose reading are remembered
    small, large = work(lambda: read_message(short)), work(lambda: read_message(long))

    assert large <= ALLOWED * small + 2000, (
        f"{large} lines of code for {FACTOR} times the text that took {small}"
    )
