"""The fold of a conversation: a state and a message give the next state. Pure; undo gives back the very state before."""

from collections.abc import Callable
from dataclasses import replace
from typing import Final

from bot.conversation.desk import Desk
from bot.conversation.state import MOST_JOBS, MOST_UNDO, JobState, Snapshot, State
from bot.reading.message import Command, Message

MOST_PUT_OFF: Final = 40
"""Slots that are remembered as not known to the writer; the first are forgotten."""

STILL: Final = frozenset({"explain", "status", "greet", "other", "compare"})
"""Intents that leave the state as it is."""


def fold(state: State, message: Message, turn: int) -> State:
    """The state after ``message``.

    Args:
        state: before it; it is not changed.
        message: as read, with the slot that had been asked about.
        turn: its number in the conversation, for the spans.
    """
    if (asked := not_known(message)) and asked not in state.put_off:
        state = replace(state, put_off=(*state.put_off, asked)[-MOST_PUT_OFF:])
    if message.intent in STILL:
        return state
    start, history = state.now, state.history
    if state.accepted and message.command in ("undo", "start_over") and _orders_back(message):
        return replace(state, accepted=False)
    if message.command == "undo" and history:
        start, history = history[-1], history[:-1]
    opened = _opened(start, message.command, message.which_job)
    if message.command == "previous_job" and len(start.jobs) == 1 and _orders_back(message):
        opened = _as_it_was(history, start, message.which_job)
    desk = Desk(opened.job, message, turn, _earlier(history, opened.at))
    desk.take_all()
    now = opened.with_job(desk.result())
    if not now.same_as(start):
        history = (*history, start)[-MOST_UNDO:]
    language = message.language if message.language_shown else state.language
    return State(
        now,
        history,
        tuple(desk.rows.unplaced),
        language,
        message.intent == "accept" and now.same_as(state.now),
        () if message.command in ("new_job", "start_over") else state.put_off,
    )


def not_known(message: Message) -> str:
    """The slot that was asked about, where all that the message says is that its writer does not know it; else ""."""
    said = message.reply is not None and message.reply.kind == "unknown" and message.intent == "other"
    return (message.asked or "") if said else ""


def _as_it_was(history: tuple[Snapshot, ...], now: Snapshot, which: int | None) -> Snapshot:
    """The only job as it was first, or before its last change: "go back to the original", "back to the previous one"."""
    told = [snapshot for snapshot in history if not snapshot.job.empty]
    if not told:
        return now
    return told[0] if which == 0 else told[-1]


def _orders_back(message: Message) -> bool:
    """Whether the message does nothing but take back what came last."""
    return not message.job and not any(
        passage.slots or passage.action != "change" or passage.more or passage.same or passage.times
        for passage in message.passages
    )


def _earlier(history: tuple[Snapshot, ...], at: int) -> list[JobState]:
    """The present job as it was before each change, the latest first."""
    return [snapshot.jobs[at] for snapshot in history[::-1] if at < len(snapshot.jobs)]


def _opened(now: Snapshot, command: Command | None, which: int | None) -> Snapshot:
    """The jobs once a command about whole jobs is carried out."""
    if command is None or command == "undo":
        return now
    return _COMMANDS[command](now, which)


def _start_over(now: Snapshot, _: int | None) -> Snapshot:
    return now.with_job(JobState())


def _new_job(now: Snapshot, _: int | None) -> Snapshot:
    if now.job.empty:
        return now.with_job(JobState())
    jobs = (*now.jobs, JobState())[-MOST_JOBS:]
    return Snapshot(jobs, len(jobs) - 1)


def _previous_job(now: Snapshot, which: int | None) -> Snapshot:
    if which is None:
        # From the first job there is only the way forward.
        which = now.at - 1 if now.at > 0 else min(1, len(now.jobs) - 1)
    elif which < 0:
        which += len(now.jobs)
    return Snapshot(now.jobs, which) if 0 <= which < len(now.jobs) else now


_COMMANDS: Final[dict[str, Callable[[Snapshot, int | None], Snapshot]]] = {
    "start_over": _start_over,
    "new_job": _new_job,
    "previous_job": _previous_job,
}
