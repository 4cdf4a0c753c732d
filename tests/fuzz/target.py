"""What must hold of the reading of any text at all; shared by the fuzzer, its seeds' regression test and the property tests.

A text is either refused with a typed error or read; a reading is plain JSON whose places lie inside the text as sent.
"""

import json
from collections.abc import Iterator
from typing import Any

from bot.reading import CannotRead, read_first, read_message
from bot.reading.message import Message, Said
from bot.reading.shape import Reading
from tests.fuzz.finds import Broken

ASKED = (
    None,
    "lines.0.voltage",
    "lines.*.height_ft",
    "lines.1.qty",
    "job.rate_per_kwh",
    "job.schedule",
    "lines.0.controls",
)
"""Questions that the text may be an answer to."""


def _inside(what: str, start: int, end: int, length: int) -> None:
    if not 0 <= start < end <= length:
        raise Broken(f"{what} is at {start}:{end} of a text of {length} characters")


def check_reading(text: str, reading: Reading) -> None:
    """Places inside the text, every stated slot with its place, doubts about stated slots, plain JSON.

    Raises:
        Broken: one of these does not hold.
    """
    length = len(text)
    shown = reading.as_json()
    json.dumps(shown, allow_nan=False)
    if (reading.job.stated(), [line.stated() for line in reading.lines]) != (shown["job"], shown["lines"]):
        raise Broken("the models of the reading say something else than its JSON form")
    for path, (turn, start, end) in reading.spans.items():
        if turn != 0:
            raise Broken(f"{path} is in turn {turn} of a single message")
        _inside(path, start, end, length)
    for turn, start, end in reading.unread:
        if turn != 0:
            raise Broken(f"unread text in turn {turn} of a single message")
        _inside("unread text", start, end, length)
    for fault in reading.faults:
        _inside(f"the fault of {fault.path}", fault.span[1], fault.span[2], length)
    stated = {f"job.{slot}" for slot in shown["job"]}
    stated |= {f"lines.{n}.{slot}" for n, line in enumerate(shown["lines"]) for slot in line}
    if stated - reading.spans.keys():
        raise Broken(f"stated without a place: {sorted(stated - reading.spans.keys())}")
    if reading.spans.keys() - stated:
        raise Broken(f"a place of nothing stated: {sorted(reading.spans.keys() - stated)}")
    for doubt in reading.doubts:
        if doubt.path not in stated:
            raise Broken(f"a doubt about {doubt.path}, which is not stated")
    if any(not line for line in shown["lines"]):
        raise Broken("a line that states nothing")
    if not 0.0 <= reading.confidence <= 1.0:
        raise Broken(f"a confidence of {reading.confidence}")


def _said(message: Message) -> Iterator[tuple[str, Said]]:
    yield from message.job.items()
    for passage in message.passages:
        yield from passage.slots.items()


def check_message(text: str, message: Message) -> None:
    """Places inside the text.

    Raises:
        Broken: a place is not.
    """
    for slot, said in _said(message):
        _inside(slot, said.start, said.end, len(text))
    for passage in message.passages:
        if passage.scope is not None:
            _inside("a scope", passage.scope.start, passage.scope.end, len(text))
    for start, end in message.unread:
        _inside("unread text", start, end, len(text))
    if message.reply is not None:
        _inside("a reply", message.reply.start, message.reply.end, len(text))


def try_text(text: str, asked: str | None = None) -> None:
    """Read ``text`` as a first message and inside a conversation, and check what comes out.

    Raises:
        Broken: a reading can't be true of the text.
        Exception: anything that reading raises and is not a typed refusal: a fault of the reader.
    """
    try:
        check_reading(text, read_first(text))
        check_message(text, read_message(text, asked=asked, in_conversation=True))
    except CannotRead:
        return


def plain(value: Any) -> Any:
    """A reading or message in a form that two runs can be compared by."""
    return value.as_json() if isinstance(value, Reading) else repr(value)
