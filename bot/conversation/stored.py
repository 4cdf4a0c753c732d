"""A state as JSON for the store, and back: an exact round trip. Lines and jobs that did not change are written once."""

from collections.abc import Callable, Mapping, Sequence
from typing import Annotated, Any, Final, Literal

from orjson import Fragment, dumps
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from bot.conversation.checked import NoSuchValue, checked
from bot.conversation.fold import MOST_PUT_OFF
from bot.conversation.state import MOST_JOBS, MOST_UNDO, Held, JobState, Line, Snapshot, State, firm
from bot.json_bytes import json_bytes
from engine.errors import WattclerkError
from engine.request import Context

VERSION: Final = 1
Index = Annotated[int, Field(ge=0)]
_Place = tuple[Index, Index, Index]


class StoredStateUnusable(WattclerkError):
    """What was stored is not a state of this version; fold the conversation's messages again instead."""


class _Strict(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class _Held(_Strict):
    value: Any
    span: _Place | None = None
    others: tuple[Any, ...] = ()
    why: str = ""
    margin: float = 9.0
    rule: str = ""
    before: "_Held | None" = None


class _Line(_Strict):
    slots: dict[str, _Held]
    labels: tuple[str, ...] = ()


class _Job(_Strict):
    slots: dict[str, _Held]
    lines: tuple[Index, ...]
    context: Context
    touched: tuple[Index, ...]
    last: Index | None


class _Snapshot(_Strict):
    jobs: tuple[Index, ...] = Field(min_length=1, max_length=MOST_JOBS)
    at: Index


class _State(_Strict):
    version: Literal[1]
    lines: tuple[_Line, ...]
    jobs: tuple[_Job, ...]
    now: _Snapshot
    history: tuple[_Snapshot, ...] = Field(max_length=MOST_UNDO)
    unplaced: tuple[_Place, ...]
    language: Literal["en", "es"]
    accepted: bool = False
    put_off: tuple[Annotated[str, Field(max_length=80)], ...] = Field(default=(), max_length=MOST_PUT_OFF)


def state_as_json(state: State) -> bytes:
    """``state`` as JSON.

    Raises:
        ValueError: a number in it is none.
    """
    shelf = _Shelf()
    return dumps(
        {
            "version": VERSION,
            "now": shelf.snapshot(state.now),
            "history": [shelf.snapshot(snapshot) for snapshot in state.history],
            "unplaced": state.unplaced,
            "language": state.language,
            "accepted": state.accepted,
            "put_off": state.put_off,
            "lines": shelf.lines.written,
            "jobs": shelf.jobs.written,
        }
    )


def state_from_json(stored: str | bytes) -> State:
    """The state that `state_as_json` wrote.

    Raises:
        StoredStateUnusable: not the JSON of a state of this version.
    """
    try:
        kept = _State.model_validate_json(stored)
        lines = [Line(_slots("line", line.slots), line.labels) for line in kept.lines]
        jobs = [
            JobState(_slots("job", j.slots), tuple(lines[i] for i in j.lines), j.context, j.touched, j.last)
            for j in kept.jobs
        ]
        snapshots = [_snapshot(snapshot, jobs) for snapshot in (kept.now, *kept.history)]
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        where = ".".join(str(part) for part in first["loc"])
        raise StoredStateUnusable(f"the stored conversation can't be used: {where}: {first['msg']}") from None
    except (NoSuchValue, IndexError) as error:
        raise StoredStateUnusable(f"the stored conversation can't be used: {error}") from None
    return State(
        snapshots[0], tuple(snapshots[1:]), kept.unplaced, kept.language, kept.accepted, kept.put_off
    )


class _Row:
    """Things written one after another, each once: what stands alike shares a place, and the very same is not written again."""

    def __init__(self) -> None:
        self.written: list[Fragment] = []
        self._places: dict[bytes, int] = {}
        self._known: dict[int, int] = {}

    def place(self, thing: Line | JobState, as_values: Callable[[Any], dict[str, Any]]) -> int:
        """Where ``thing`` stands, which must be there as long as this row is."""
        place = self._known.get(id(thing))
        if place is None:
            written = json_bytes(as_values(thing))
            place = self._known[id(thing)] = self._places.setdefault(written, len(self.written))
            if place == len(self.written):
                self.written.append(Fragment(written))
        return place


class _Shelf:
    """Where the lines and jobs of a state are put."""

    def __init__(self) -> None:
        self.lines, self.jobs = _Row(), _Row()

    def snapshot(self, snapshot: Snapshot) -> dict[str, Any]:
        return {"jobs": [self.jobs.place(job, self._job) for job in snapshot.jobs], "at": snapshot.at}

    def _job(self, job: JobState) -> dict[str, Any]:
        return {
            "slots": _slots_as_json(job.slots),
            "lines": [self.lines.place(line, _line_as_json) for line in job.lines],
            "context": job.context.stated(),
            "touched": job.touched,
            "last": job.last,
        }


def _line_as_json(line: Line) -> dict[str, Any]:
    return {"slots": _slots_as_json(line.slots), "labels": line.labels}


def _slots_as_json(slots: Mapping[str, Held]) -> dict[str, Any]:
    return {slot: _held_as_json(held) for slot, held in slots.items()}


def _held_as_json(held: Held) -> dict[str, Any]:
    out: dict[str, Any] = {"value": held.value, "margin": held.margin}
    if held.span is not None:
        out["span"] = held.span
    if held.others:
        out["others"] = held.others
    if held.why:
        out["why"] = held.why
    if held.rule:
        out["rule"] = held.rule
    if held.before is not None:
        out["before"] = _held_as_json(held.before)
    return out


def _slots(part: Literal["job", "line"], slots: Mapping[str, _Held]) -> dict[str, Held]:
    return {slot: _held(kept, checked(part, slot, kept.value)) for slot, kept in slots.items()}


def _held(kept: _Held, value: Any) -> Held:
    before = None if kept.before is None else _held(kept.before, firm(kept.before.value))
    return Held(value, kept.span, firm(kept.others), kept.why, kept.margin, kept.rule, before)


def _snapshot(kept: _Snapshot, jobs: Sequence[JobState]) -> Snapshot:
    if kept.at >= len(kept.jobs):
        raise StoredStateUnusable(f"the stored conversation can't be used: there is no job {kept.at}")
    return Snapshot(tuple(jobs[i] for i in kept.jobs), kept.at)
