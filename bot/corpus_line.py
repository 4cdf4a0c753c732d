"""A message with its right reading as one line of the message corpus, so that what was put right once stays tested."""

import hashlib
from typing import Any, Final

from pydantic import BaseModel, ConfigDict, ValidationError

from bot.faults import first_fault
from bot.reading.shape import Reading
from bot.usable import UnusableInput
from engine.request import StatedJob, StatedLine
from engine.vocabulary import Intent

KIND: Final = "user"
WHY_AS_READ: Final = "sent by a user; the reading was right"
WHY_PUT_RIGHT: Final = "sent by a user; the reading was put right by hand"
LEAST_WHY, MOST_WHY = 3, 300
_ID_DIGITS: Final = 16


class Correction(BaseModel):
    """The whole right reading of a message: every slot that its writer stated, and no other."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    intent: Intent
    job: StatedJob
    lines: tuple[StatedLine, ...]

    @classmethod
    def of(cls, reading: Reading) -> "Correction":
        """A reading that needs none."""
        return cls(intent=reading.intent, job=reading.job, lines=reading.lines)


def correction_of(text: str, name: str) -> Correction:
    """The correction in a JSON text.

    Args:
        text: ``{"intent": ..., "job": {...}, "lines": [{...}]}``.
        name: of the file, for the fault.

    Raises:
        UnusableInput: not JSON, or a slot that can't be; the line names the slot.
    """
    try:
        return Correction.model_validate_json(text)
    except ValidationError as error:
        raise UnusableInput(f"{name}: {first_fault(error)}") from None


def corpus_line(text: str, gold: Correction, why: str) -> dict[str, Any]:
    """One record of the corpus.

    Args:
        text: as sent; the id is a hash of it, so the same message is the same record.
        gold: the right reading.
        why: what is worth knowing about the case, in one sentence.

    Raises:
        UnusableInput: ``why`` is too short, too long or has a line break.
    """
    if not LEAST_WHY <= len(why.strip()) <= MOST_WHY or not why.isprintable():
        raise UnusableInput(f"--why is one sentence of {LEAST_WHY} to {MOST_WHY} characters")
    return {
        "id": f"u-{hashlib.sha256(text.encode()).hexdigest()[:_ID_DIGITS]}",
        "kind": KIND,
        "why": why.strip(),
        "turns": [{"text": text}],
        "gold": [
            {
                "intent": gold.intent,
                "job": _plain(gold.job.stated()),
                "lines": [_plain(line.stated()) for line in gold.lines],
            }
        ],
    }


def _plain(value: Any) -> Any:
    """Whole numbers without a point, as the corpus has them: 250 and not 250.0."""
    if isinstance(value, dict):
        return {key: _plain(part) for key, part in value.items()}
    if isinstance(value, list):
        return [_plain(part) for part in value]
    return int(value) if isinstance(value, float) and value.is_integer() else value
