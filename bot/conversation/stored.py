"""A state as JSON for the store, and back: an exact round trip. Lines and jobs that did not change are written once."""

import json
from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Final, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from bot.conversation.checked import NoSuchValue, checked
from bot.conversation.state import MOST_JOBS, MOST_UNDO, Held, JobState, Line, Snapshot, State, firm
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


def state_as_json(state: State) -> dict[str, Any]:
    """``state`` as plain JSON values."""
    shelf = _Shelf()
    return {
        "version": VERSION,
        "now": shelf.snapshot(state.now),
        "history": [shelf.snapshot(snapshot) for snapshot in state.history],
        "unplaced": [list(span) for span in state.unplaced],
        "language": state.language,
        "accepted": state.accepted,
        "lines": shelf.lines,
        "jobs": shelf.jobs,
    }


def state_from_json(stored: Mapping[str, Any]) -> State:
    """The state that `state_as_json` wrote.

    Raises:
        StoredStateUnusable: not the JSON of a state of this version.
    """
    try:
        kept = _State.model_validate(stored)
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
    return State(snapshots[0], tuple(snapshots[1:]), kept.unplaced, kept.language, kept.accepted)


class _Shelf:
    """Where lines and jobs are put once; equal ones share a place."""

    def __init__(self) -> None:
        self.lines: list[dict[str, Any]] = []
        self.jobs: list[dict[str, Any]] = []
        self._places: dict[str, int] = {}

    def snapshot(self, snapshot: Snapshot) -> dict[str, Any]:
        return {"jobs": [self._job(job) for job in snapshot.jobs], "at": snapshot.at}

    def _job(self, job: JobState) -> int:
        return self._put(
            self.jobs,
            {
                "slots": _slots_as_json(job.slots),
                "lines": [self._line(line) for line in job.lines],
                "context": job.context.stated(),
                "touched": list(job.touched),
                "last": job.last,
            },
        )

    def _line(self, line: Line) -> int:
        return self._put(self.lines, {"slots": _slots_as_json(line.slots), "labels": list(line.labels)})

    def _put(self, shelf: list[dict[str, Any]], what: dict[str, Any]) -> int:
        key = f"{'l' if shelf is self.lines else 'j'}{json.dumps(what, allow_nan=False)}"
        if key not in self._places:
            self._places[key] = len(shelf)
            shelf.append(what)
        return self._places[key]


def _slots_as_json(slots: Mapping[str, Held]) -> dict[str, Any]:
    return {slot: _held_as_json(held) for slot, held in slots.items()}


def _held_as_json(held: Held) -> dict[str, Any]:
    out: dict[str, Any] = {"value": _listed(held.value), "margin": held.margin}
    if held.span is not None:
        out["span"] = list(held.span)
    if held.others:
        out["others"] = _listed(held.others)
    if held.why:
        out["why"] = held.why
    if held.rule:
        out["rule"] = held.rule
    if held.before is not None:
        out["before"] = _held_as_json(held.before)
    return out


def _listed(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_listed(part) for part in value]
    if isinstance(value, Mapping):
        return {key: _listed(part) for key, part in value.items()}
    return value


def _slots(part: Literal["job", "line"], slots: Mapping[str, _Held]) -> dict[str, Held]:
    return {slot: _held(kept, checked(part, slot, kept.value)) for slot, kept in slots.items()}


def _held(kept: _Held, value: Any) -> Held:
    before = None if kept.before is None else _held(kept.before, firm(kept.before.value))
    return Held(value, kept.span, firm(kept.others), kept.why, kept.margin, kept.rule, before)


def _snapshot(kept: _Snapshot, jobs: Sequence[JobState]) -> Snapshot:
    if kept.at >= len(kept.jobs):
        raise StoredStateUnusable(f"the stored conversation can't be used: there is no job {kept.at}")
    return Snapshot(tuple(jobs[i] for i in kept.jobs), kept.at)
