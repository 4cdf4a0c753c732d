"""What a conversation has come to: what is held of each slot, the lines, the jobs, and the way back.

Nothing is changed once it is made: a fold makes a new state that shares what did not change. The classes are not declared frozen, and
their constructors are written out, for those that are made for frozen ones run interpreted in compiled modules.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any, Final, Literal

from bot.reading.message import Said
from bot.reading.shape import Span
from engine.request import Context

MOST_UNDO: Final = 40
"""Changes that can be undone; older ones are forgotten."""
MOST_JOBS: Final = 16
"""Jobs of one conversation that can be gone back to; the oldest is forgotten first."""
MOST_LINES: Final = 5000
"""As many as a request takes."""


_NO_CONTEXT: Final = Context()


@dataclass(slots=True, unsafe_hash=True)
class Held:
    """One slot's value and where it came from.

    Attributes:
        value: in the public shape's form, lists as tuples.
        span: (turn, start, end) of the text that said it; ``None`` where no text did (it was pressed).
        others, why: what else it could be, and the reason; a slot with others is in doubt.
        margin, rule: as the reader gave them.
        before: of a count that was set without saying on which line: what this line had (``Held(None)`` for nothing), until
            the writer confirms the line or names another.
    """

    value: Any
    span: Span | None = None
    others: tuple[Any, ...] = ()
    why: str = ""
    margin: float = 9.0
    rule: str = ""
    before: "Held | None" = None

    def __init__(
        self,
        value: Any,
        span: Span | None = None,
        others: tuple[Any, ...] = (),
        why: str = "",
        margin: float = 9.0,
        rule: str = "",
        before: "Held | None" = None,
    ) -> None:
        self.value = value
        self.span = span
        self.others = others
        self.why = why
        self.margin = margin
        self.rule = rule
        self.before = before

    @property
    def sure(self) -> "Held":
        """The same without doubt."""
        return replace(self, others=(), why="", before=None) if self.others or self.before else self


def held(said: Said, value: Any, turn: int) -> Held:
    """What is held of ``said`` once its value is checked."""
    others = tuple([firm(other) for other in said.others]) if said.others else ()
    return Held(value, (turn, said.start, said.end), others, said.why, said.margin, said.rule)


def firm(value: Any) -> Any:
    """``value`` with lists as tuples, at every depth, so that it compares the same after being stored."""
    if isinstance(value, (list, tuple)):
        return tuple([firm(part) for part in value])
    if isinstance(value, dict) or (not isinstance(value, (str, int, float)) and isinstance(value, Mapping)):
        return {key: firm(part) for key, part in value.items()}
    return value


@dataclass(slots=True, unsafe_hash=True)
class Line:
    """One luminaire type: what is held of its slots, and the place words that it goes by ("north lot")."""

    slots: Mapping[str, Held] = field(default_factory=dict)
    labels: tuple[str, ...] = ()

    def __init__(
        self,
        slots: Mapping[str, Held] | None = None,
        labels: tuple[str, ...] = (),
    ) -> None:
        self.slots = {} if slots is None else slots
        self.labels = labels


@dataclass(slots=True, unsafe_hash=True)
class JobState:
    """One job.

    Attributes:
        slots: job slots.
        lines: in the order of mention.
        context: what was said beside the public slots.
        touched: the lines that the last message which touched any was about.
        last: the line mentioned last.
    """

    slots: Mapping[str, Held] = field(default_factory=dict)
    lines: tuple[Line, ...] = ()
    context: Context = field(default_factory=Context)
    touched: tuple[int, ...] = ()
    last: int | None = None

    def __init__(
        self,
        slots: Mapping[str, Held] | None = None,
        lines: tuple[Line, ...] = (),
        context: Context | None = None,
        touched: tuple[int, ...] = (),
        last: int | None = None,
    ) -> None:
        self.slots = {} if slots is None else slots
        self.lines = lines
        self.context = _NO_CONTEXT if context is None else context
        self.touched = touched
        self.last = last

    @property
    def empty(self) -> bool:
        """Nothing was stated, or it was all taken back."""
        return not self.lines and not self.slots

    def same_as(self, other: "JobState") -> bool:
        """Whether both say the same: values, lines, labels and context; not the places in the text, not the doubts."""
        return (
            len(self.lines) == len(other.lines)
            and _values(self.slots) == _values(other.slots)
            and self.context == other.context
            and all(
                a is b or (a.labels == b.labels and _values(a.slots) == _values(b.slots))
                for a, b in zip(self.lines, other.lines, strict=True)
            )
        )


def _values(slots: Mapping[str, Held]) -> dict[str, Any]:
    return {slot: held.value for slot, held in slots.items()}


_NO_JOBS: Final = (JobState(),)


@dataclass(slots=True, unsafe_hash=True)
class Snapshot:
    """All jobs of the conversation in the order in which they were begun, and which one is talked about."""

    jobs: tuple[JobState, ...]
    at: int

    def __init__(
        self,
        jobs: tuple[JobState, ...] = _NO_JOBS,
        at: int = 0,
    ) -> None:
        self.jobs = jobs
        self.at = at

    @property
    def job(self) -> JobState:
        """The job that is talked about."""
        return self.jobs[self.at]

    def with_job(self, job: JobState) -> "Snapshot":
        """The same with the present job replaced."""
        return Snapshot((*self.jobs[: self.at], job, *self.jobs[self.at + 1 :]), self.at)

    def same_as(self, other: "Snapshot") -> bool:
        """Whether both say the same of every job and talk about the same one."""
        return (
            self.at == other.at
            and len(self.jobs) == len(other.jobs)
            and all(a is b or a.same_as(b) for a, b in zip(self.jobs, other.jobs, strict=True))
        )


@dataclass(slots=True, unsafe_hash=True)
class State:
    """A conversation.

    Attributes:
        now: what holds.
        history: what held before each change, the latest last; at most `MOST_UNDO`.
        unplaced: text of the last folded message that is about no line of the job, or that no slot can hold.
        language: of the last folded message that showed one.
        accepted: the last message that was no mere talk accepted the quote: "cancel that" takes back the order and no change.
        put_off: slots that we asked about and the writer does not know: they are not asked about again.
    """

    now: Snapshot = field(default_factory=Snapshot)
    history: tuple[Snapshot, ...] = ()
    unplaced: tuple[Span, ...] = ()
    language: Literal["en", "es"] = "en"
    accepted: bool = False
    put_off: tuple[str, ...] = ()

    def __init__(
        self,
        now: Snapshot | None = None,
        history: tuple[Snapshot, ...] = (),
        unplaced: tuple[Span, ...] = (),
        language: Literal["en", "es"] = "en",
        accepted: bool = False,
        put_off: tuple[str, ...] = (),
    ) -> None:
        self.now = Snapshot() if now is None else now
        self.history = history
        self.unplaced = unplaced
        self.language = language
        self.accepted = accepted
        self.put_off = put_off

    @property
    def job(self) -> JobState:
        """The job that is talked about."""
        return self.now.job

    @property
    def lines(self) -> tuple[Line, ...]:
        """The lines of the job that is talked about."""
        return self.now.job.lines

    @property
    def empty(self) -> bool:
        """Whether the present job says nothing, so that a message opens it rather than changes it."""
        return self.now.job.empty


EMPTY: Final = State()
