"""What a reply needs to know of a reading, as a structural type, so that the replies do not depend on the reader."""

from collections.abc import Mapping, Sequence
from typing import Any, Literal, Protocol

from engine.request import StatedJob, StatedLine
from engine.vocabulary import Intent

Language = Literal["en", "es"]
Span = tuple[int, int, int]


class HeardDoubt(Protocol):
    """A slot that could honestly be something else."""

    @property
    def path(self) -> str: ...
    @property
    def value(self) -> Any: ...
    @property
    def others(self) -> tuple[Any, ...]: ...


class HeardFault(Protocol):
    """Something said that can't be part of a job, as one plain line in the writer's language."""

    @property
    def path(self) -> str: ...
    @property
    def text(self) -> str: ...


class Heard(Protocol):
    """The whole state after a turn."""

    @property
    def intent(self) -> Intent: ...
    @property
    def job(self) -> StatedJob: ...
    @property
    def lines(self) -> tuple[StatedLine, ...]: ...
    @property
    def spans(self) -> Mapping[str, Span]: ...
    @property
    def doubts(self) -> Sequence[HeardDoubt]: ...
    @property
    def unread(self) -> Sequence[Span]: ...
    @property
    def faults(self) -> Sequence[HeardFault]: ...
    @property
    def reason(self) -> str: ...
    @property
    def language(self) -> Language: ...
    @property
    def not_known(self) -> str: ...
    @property
    def put_off(self) -> Sequence[str]: ...
    def as_json(self) -> dict[str, Any]: ...
