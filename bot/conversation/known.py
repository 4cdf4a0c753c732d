"""What the reader is told of a conversation so far."""

from typing import Any, Final

from bot.conversation.state import EMPTY, JobState, State
from bot.reading.message import Known


def known_of(state: State) -> Known:
    """What the job of a state says, as far as it helps to understand the next message."""
    if state is EMPTY:
        return _NOTHING
    lines = state.job.lines
    return Known(
        tuple([{slot: held.value for slot, held in line.slots.items()} for line in lines]),
        tuple([line.labels for line in lines]),
        {slot: held.value for slot, held in state.job.slots.items()},
        _earlier(state),
        _words(state.job) if len(state.now.jobs) > 1 else frozenset(),
        tuple([(n, _words(job)) for n, job in enumerate(state.now.jobs) if n != state.now.at]),
        _latest(state),
        max(0, _joined(state)),
        max(0, -_joined(state)),
    )


_NOTHING: Final = Known()


def _joined(state: State) -> int:
    """How many types the last change brought to those that were there; below 0 how many it took away."""
    before = state.history[-1].jobs if state.history else ()
    was = len(before[state.now.at].lines) if state.now.at < len(before) else 0
    return len(state.lines) - was if was else 0


def _latest(state: State) -> dict[str, Any]:
    """The slots that the last change set."""
    now, at = state.now.job, state.now.at
    before = state.history[-1].jobs if state.history else ()
    was = before[at] if at < len(before) else JobState()
    out = {
        slot: held.value
        for slot, held in now.slots.items()
        if slot not in was.slots or was.slots[slot].value != held.value
    }
    several = set()
    for number, line in enumerate(now.lines if len(now.lines) >= len(was.lines) else ()):
        old = was.lines[number].slots if number < len(was.lines) else {}
        if line.slots is old:
            continue
        for slot, held in line.slots.items():
            if slot in old and old[slot].value == held.value:
                continue
            if slot in out and out[slot] != held.value:
                several.add(slot)
            out[slot] = held.value
    return {slot: value for slot, value in out.items() if slot not in several or slot == "qty"}


def _earlier(state: State) -> frozenset[tuple[str, float]]:
    """The numbers of the lines before the last changes that are there no more."""
    now, at = state.now, state.now.at
    if not state.history:
        return frozenset()
    jobs = [snapshot.jobs[at] for snapshot in state.history[-4:] if at < len(snapshot.jobs)]
    there, was = (
        {
            (slot, float(held.value))
            for job in some
            for line in job.lines
            for slot, held in line.slots.items()
            if isinstance(held.value, (int, float)) and not isinstance(held.value, bool)
        }
        for some in ([now.job], jobs)
    )
    return frozenset(was - there)


def _words(job: JobState) -> frozenset[str]:
    """What a job may be called by."""
    names = [held.value for slot, held in job.slots.items() if slot in ("customer", "site", "po")]
    place = job.slots.get("place")
    if place is not None:
        names += place.value.values()
    names += [label for line in job.lines for label in line.labels]
    words = {word for name in names for word in str(name).lower().split() if len(word) > 2}
    words |= {str(line.slots["family"].value) for line in job.lines if "family" in line.slots}
    return frozenset(words | ({job.context.building} if job.context.building else set()))
