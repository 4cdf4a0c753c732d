"""The reading: what was said, where it was said, and how sure we are. The public shape of `wattclerk read`.

Offsets are into the text as sent, in Unicode code points, one text a turn.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Generic, Literal, TypeVar

from bot.reading.stated import CONTEXT_SLOTS, JOB_SLOTS, LINE_SLOTS, Forms, in_json
from engine.vocabulary import Intent

if TYPE_CHECKING:
    from engine.request import Context, StatedJob, StatedLine

Span = tuple[int, int, int]
"""(turn, start, end): characters ``start`` to ``end`` of the text of that turn."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A slot whose value could honestly be something else.

    Attributes:
        path: ``"lines.0.source"`` or ``"job.rate_per_kwh"``.
        value: the value taken (JSON form).
        others: what else it could be, most likely first.
        why: one short sentence for the person who settles it.
    """

    path: str
    value: Any
    others: tuple[Any, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Fault:
    """Something said that can't be part of a job: zero luminaires, a mounting height of 900 ft, 11 $/kWh.

    Attributes:
        path: the slot it would have filled.
        span: where it stands.
        text: one plain line that says what is wrong and what to do, in the reading's language.
    """

    path: str
    span: Span
    text: str


_Model = TypeVar("_Model")


def _job(held: Any) -> "StatedJob":
    from engine.request import StatedJob

    return StatedJob.model_validate(held or {})


def _lines(held: Any) -> "tuple[StatedLine, ...]":
    from engine.request import StatedLine

    return tuple([StatedLine.model_validate(line) for line in held])


def _context(held: Any) -> "Context":
    from engine.request import Context

    return Context.model_validate(held or {})


class Modelled(Generic[_Model]):
    """A field that may be given as plain values and is the model of `engine.request` to whoever asks for it.

    The models are loaded and built when they are first asked for: reading a message does not pay for them.
    """

    def __init__(self, build: Callable[[Any], _Model], nothing: Any) -> None:
        self.build = build
        self.nothing = nothing
        self.given = self.built = ""

    def __set_name__(self, owner: type, name: str) -> None:
        self.given, self.built = f"given_{name}", f"built_{name}"

    def __get__(self, reading: Any, owner: type | None = None) -> _Model:
        if reading is None:
            default: _Model = self.nothing
            return default
        held = reading.__dict__
        if self.built not in held:
            held[self.built] = self.build(held[self.given])
        model: _Model = held[self.built]
        return model

    def __set__(self, reading: Any, value: Any) -> None:
        reading.__dict__[self.given] = value
        reading.__dict__.pop(self.built, None)


@dataclass(frozen=True)
class Reading:
    """The whole state after a turn.

    Attributes:
        intent: what the writer wants of us in this turn.
        job: slots that hold for the whole job, stated only.
        lines: one luminaire type each, in order of mention.
        spans: slot path -> where it came from. Paths are ``"job.<slot>"`` and ``"lines.<i>.<slot>"``.
        doubts: slots that could be something else.
        unread: text that carries a number or a trade word and was used for nothing.
        faults: what was said and can't be; such a slot stays empty.
        context: what was said beside the public slots (the building type).
        reason: for a handoff: "person_wanted", "danger", "hazardous_location", "over_600_volts", "live_work" (see `engine.keys`).
        language: "en" or "es": the language to answer in.
        confidence: probability that every slot is right, calibrated on the development corpus.
        not_known: the slot that was asked about and that the writer does not know; "" unless that is all the message says.
        put_off: all that the writer was asked about and did not know.
    """

    intent: Intent
    job: "Modelled[StatedJob]" = Modelled(_job, None)
    lines: "Modelled[tuple[StatedLine, ...]]" = Modelled(_lines, ())
    spans: dict[str, Span] = field(default_factory=dict)
    doubts: tuple[Doubt, ...] = ()
    unread: tuple[Span, ...] = ()
    faults: tuple[Fault, ...] = ()
    context: "Modelled[Context]" = Modelled(_context, None)
    reason: str = ""
    language: Literal["en", "es"] = "en"
    confidence: float = 1.0
    not_known: str = ""
    put_off: tuple[str, ...] = ()

    def __init__(
        self,
        intent: Intent,
        job: Any = None,
        lines: Any = (),
        spans: dict[str, Span] | None = None,
        doubts: tuple[Doubt, ...] = (),
        unread: tuple[Span, ...] = (),
        faults: tuple[Fault, ...] = (),
        context: Any = None,
        reason: str = "",
        language: Literal["en", "es"] = "en",
        confidence: float = 1.0,
        not_known: str = "",
        put_off: tuple[str, ...] = (),
    ) -> None:
        # written out: the one that is made for a frozen class takes five times as long
        self.__dict__.update(
            intent=intent,
            given_job=job,
            given_lines=lines,
            spans={} if spans is None else spans,
            doubts=doubts,
            unread=unread,
            faults=faults,
            given_context=context,
            reason=reason,
            language=language,
            confidence=confidence,
            not_known=not_known,
            put_off=put_off,
        )

    def as_json(self) -> dict[str, Any]:
        """The contract's READING object (with ``confidence`` beside it)."""
        held = self.__dict__
        return {
            "intent": self.intent,
            "job": _in_json(held["given_job"], JOB_SLOTS),
            "lines": [_in_json(line, LINE_SLOTS) for line in held["given_lines"]],
            "spans": {path: list(span) for path, span in self.spans.items()},
            "doubts": [
                {"path": d.path, "value": d.value, "others": list(d.others), "why": d.why}
                for d in self.doubts
            ],
            "unread": [list(span) for span in self.unread],
            "faults": [{"path": f.path, "span": list(f.span), "text": f.text} for f in self.faults],
            "context": _in_json(held["given_context"], CONTEXT_SLOTS),
            "language": self.language,
            "confidence": round(self.confidence, 4),
        }


def _in_json(held: Any, forms: Forms) -> dict[str, Any]:
    if held is None or isinstance(held, Mapping):
        return in_json(held or {}, forms)
    stated: dict[str, Any] = held.stated()
    return stated
