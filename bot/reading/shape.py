"""The reading: what was said, where it was said, and how sure we are. The public shape of `wattclerk read`.

Offsets are into the text as sent, in Unicode code points, one text a turn.
"""

from dataclasses import dataclass, field
from typing import Any, Literal

from engine.request import Context, StatedJob, StatedLine
from engine.vocabulary import Intent

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


@dataclass(frozen=True, slots=True)
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
    """

    intent: Intent
    job: StatedJob = field(default_factory=StatedJob)
    lines: tuple[StatedLine, ...] = ()
    spans: dict[str, Span] = field(default_factory=dict)
    doubts: tuple[Doubt, ...] = ()
    unread: tuple[Span, ...] = ()
    faults: tuple[Fault, ...] = ()
    context: Context = field(default_factory=Context)
    reason: str = ""
    language: Literal["en", "es"] = "en"
    confidence: float = 1.0

    def as_json(self) -> dict[str, Any]:
        """The contract's READING object (with ``confidence`` beside it)."""
        return {
            "intent": self.intent,
            "job": self.job.stated(),
            "lines": [line.stated() for line in self.lines],
            "spans": {path: list(span) for path, span in self.spans.items()},
            "doubts": [
                {"path": d.path, "value": d.value, "others": list(d.others), "why": d.why}
                for d in self.doubts
            ],
            "unread": [list(span) for span in self.unread],
            "faults": [{"path": f.path, "span": list(f.span), "text": f.text} for f in self.faults],
            "context": self.context.stated(),
            "language": self.language,
            "confidence": round(self.confidence, 4),
        }
