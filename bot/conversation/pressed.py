"""Slots set by pressing instead of writing: they join the same fold, and undo takes them back in one step."""

from collections.abc import Iterable
from typing import Any

from bot.conversation.checked import NoSuchValue, checked
from bot.conversation.short_answers import Asked
from bot.conversation.state import MOST_UNDO, Held, JobState, Line, State
from engine.errors import WattclerkError


class NotChangeable(WattclerkError):
    """A path that is no slot of the job, or a value that the slot can't have."""


def press(state: State, changes: Iterable[tuple[str, Any]]) -> State:
    """The state with slots set, or taken back where the value is ``None``. No text said them: they have no span.

    Args:
        state: before.
        changes: (path, value): ``job.rate_per_kwh``, ``lines.0.source``, or ``lines.*.voltage`` for every line.

    Raises:
        NotChangeable: nothing is changed then.
    """
    job = state.job
    for path, value in changes:
        job = _set(job, path, value)
    now = state.now.with_job(job)
    if now.same_as(state.now):
        return State(now, state.history, (), state.language, put_off=state.put_off)
    return State(now, (*state.history, state.now)[-MOST_UNDO:], (), state.language, put_off=state.put_off)


def _set(job: JobState, path: str, value: Any) -> JobState:
    asked = Asked.of(path if path.startswith(("job.", "lines.")) else None)
    if not asked.part:
        raise NotChangeable(f"{path!r} is not a slot that can be changed")
    held = _held(asked, value)
    if asked.part == "job":
        return JobState(_with(job.slots, asked.slot, held), job.lines, job.context, job.touched, job.last)
    if asked.line is not None and asked.line >= len(job.lines):
        raise NotChangeable(f"{path!r}: the job has {len(job.lines)} lines")
    numbers = range(len(job.lines)) if asked.line is None else [asked.line]
    lines = list(job.lines)
    for number in numbers:
        lines[number] = Line(_with(lines[number].slots, asked.slot, held), lines[number].labels)
    last = numbers[-1] if numbers else job.last
    return JobState(job.slots, tuple(lines), job.context, tuple(numbers) or job.touched, last)


def _held(asked: Asked, value: Any) -> Held | None:
    if value is None:
        return None
    try:
        return Held(checked(asked.part, asked.slot, value), rule="pressed")
    except NoSuchValue as error:
        raise NotChangeable(f"{asked.slot.replace('_', ' ')}: {error}") from None


def _with(slots: Any, slot: str, held: Held | None) -> dict[str, Held]:
    left = {name: kept for name, kept in slots.items() if name != slot}
    return left if held is None else left | {slot: held}
