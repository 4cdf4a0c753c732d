"""A message that opens a conversation, as a whole reading."""

from typing import Any

from bot.reading.message import Message
from bot.reading.reader import read_message
from bot.reading.shape import Doubt, Reading


def read_first(text: str) -> Reading:
    """Read a message that opens a conversation.

    Raises:
        TextTooLong: the text is longer than the bound.
        NotText: the text is no text.
    """
    return reading_of(read_message(text))


def reading_of(message: Message) -> Reading:
    """The reading of a first message."""
    spans: dict[str, tuple[int, int, int]] = {}
    doubts: list[Doubt] = []
    job: dict[str, Any] = {}
    for slot, said in message.job.items():
        job[slot] = said.value
        spans[f"job.{slot}"] = (0, said.start, said.end)
        if said.others:
            doubts.append(Doubt(f"job.{slot}", said.value, said.others, said.why))
    lines: list[dict[str, Any]] = []
    passages = [passage for passage in message.passages if passage.slots and passage.action != "remove"]
    for number, passage in enumerate(passages):
        values = {}
        for slot, said in passage.slots.items():
            values[slot] = said.value
            spans[f"lines.{number}.{slot}"] = (0, said.start, said.end)
            if said.others:
                doubts.append(Doubt(f"lines.{number}.{slot}", said.value, said.others, said.why))
        lines.append(values)
    return Reading(
        intent=message.intent,
        job=job,
        lines=tuple(lines),
        spans=spans,
        doubts=tuple(doubts),
        unread=tuple((0, start, end) for start, end in message.unread),
        faults=message.faults,
        context=None if message.building is None else {"building": message.building},
        reason=message.reason,
        language=message.language,
    )
