"""Slots set by pressing instead of writing: a change of the state like any other, which undo takes back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from bot.conversation.checked import NoSuchValue, checked
from bot.conversation.state import MOST_UNDO, Held, JobState, State
from engine.errors import WattclerkError
from engine.request import JOB_SLOTS, LINE_SLOTS


class ChangeRefused(WattclerkError):
    """A change names no slot of the job, or a value that can't be."""


@dataclass(frozen=True, slots=True)
class Change:
    """One slot.

    Attributes:
        path: ``job.rate_per_kwh``, ``lines.0.source``, or ``lines.*.voltage`` for every line.
        value: in the reading's JSON form; ``None`` takes the slot back.
    """

    path: str
    value: Any


def press(state: State, changes: Sequence[Change]) -> State:
    """The state with the slots set, their doubts settled.

    Raises:
        ChangeRefused: a path that is no slot of the job, or a value that can't be.
    """
    job = state.job
    for change in changes:
        job = _changed(job, change)
    now = state.now.with_job(job)
    if now.same_as(state.now):
        return replace(state, now=now, unplaced=())
    return State(now, (*state.history, state.now)[-MOST_UNDO:], put_off=state.put_off)


def _changed(job: JobState, change: Change) -> JobState:
    part, _, slot = change.path.rpartition(".")
    if part == "job" and slot in JOB_SLOTS:
        return replace(job, slots=_set(job.slots, "job", slot, change.value))
    head, _, index = part.partition(".")
    if head != "lines" or slot not in LINE_SLOTS:
        raise ChangeRefused(f"{change.path} is not a slot that can be changed")
    if index == "*":
        numbers = range(len(job.lines))
    elif index.isascii() and index.isdigit() and len(index) < 7 and int(index) < len(job.lines):
        numbers = range(int(index), int(index) + 1)
    else:
        raise ChangeRefused(f"{change.path}: the job has {len(job.lines)} lines")
    lines = list(job.lines)
    for i in numbers:
        lines[i] = replace(lines[i], slots=_set(lines[i].slots, "line", slot, change.value))
    return replace(job, lines=tuple(lines))


def _set(slots: Mapping[str, Held], part: str, slot: str, value: Any) -> dict[str, Held]:
    kept = {name: held for name, held in slots.items() if name != slot}
    if value is None:
        return kept
    try:
        return kept | {slot: Held(checked(part, slot, value))}
    except NoSuchValue as error:
        raise ChangeRefused(f"{slot.replace('_', ' ')}: {error}") from None
