"""The whole state after a turn in the public shape: what `wattclerk read` prints and the engine computes from."""

from typing import Any

from bot.conversation.confidence import confidence
from bot.conversation.fold import not_known
from bot.conversation.state import Held, JobState, State
from bot.reading.message import Message
from bot.reading.shape import Doubt, Fault, Reading, Span
from engine.request import JOB_SLOTS, LINE_SLOTS


def reading_of(state: State, message: Message, turn: int) -> Reading:
    """What holds after ``message``.

    Args:
        state: after the fold of the message.
        message: the last one; it gives the intent, the text that was not used, and what can't be.
        turn: its number in the conversation.
    """
    job = state.job
    spans: dict[str, Span] = {}
    doubts: list[Doubt] = []
    unread = sorted({*[(turn, start, end) for start, end in message.unread], *_unplaced(state, turn)})
    every = all_held(job)
    for path, held in every:
        if held.span is not None:
            spans[path] = held.span
        if held.others:
            others = tuple(_plain(other) for other in held.others)
            doubts.append(Doubt(path, _plain(held.value), others, held.why))
    return Reading(
        intent=message.intent,
        job=_values(job.slots),
        lines=tuple([_values(line.slots) for line in job.lines]),
        spans=spans,
        doubts=tuple(doubts),
        unread=tuple(unread),
        faults=tuple(Fault(f.path, (turn, f.span[1], f.span[2]), f.text) for f in message.faults),
        context=job.context,
        reason=message.reason,
        language=message.language if message.language_shown else state.language,
        not_known=not_known(message),
        put_off=state.put_off,
        confidence=confidence([held for _, held in every], len(unread), len(message.faults), message.risk),
    )


def _unplaced(state: State, turn: int) -> list[Span]:
    return [span for span in state.unplaced if span[0] == turn]


def all_held(job: JobState) -> list[tuple[str, Held]]:
    """All slots with their paths, in the declared order."""
    found = [(f"job.{slot}", job.slots[slot]) for slot in JOB_SLOTS if slot in job.slots]
    for i, line in enumerate(job.lines):
        found += [(f"lines.{i}.{slot}", line.slots[slot]) for slot in LINE_SLOTS if slot in line.slots]
    return found


def _values(slots: Any) -> dict[str, Any]:
    return {slot: held.value for slot, held in slots.items()}


def _plain(value: Any) -> Any:
    """In JSON form."""
    return [_plain(part) for part in value] if isinstance(value, tuple) else value
