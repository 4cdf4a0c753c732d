"""What one message says, before it is folded into the conversation: the reader's own result.

The reader fills it from the text alone (and the slot that we asked about); `bot.conversation` turns a state
and a `Message` into the next state. A message that opens a conversation is the case where every passage states a line.
"""

from dataclasses import dataclass, field
from typing import Any, Literal

from bot.reading.shape import Fault
from engine.request import Context
from engine.vocabulary import Family, Intent, LampSource

Command = Literal["undo", "start_over", "new_job", "previous_job"]
Action = Literal["state", "change", "add", "remove", "copy"]


@dataclass(frozen=True, slots=True)
class Said:
    """One slot's value with its place in the text (code points of the text as sent).

    Attributes:
        value: in the public shape's form.
        start, end: characters it came from.
        others: what else it could honestly be; empty when nothing.
        why: the reason of the doubt, one short sentence.
        margin: score distance to the best reading that gives this slot another value.
        rule: the lexicon entry or rule that gave it ("fuzzy" hits say so).
    """

    value: Any
    start: int
    end: int
    others: tuple[Any, ...] = ()
    why: str = ""
    margin: float = 9.0
    rule: str = ""


@dataclass(frozen=True, slots=True)
class Scope:
    """Which lines of the job so far a passage is about: "the poles", "second one", "the other ones", "all of them".

    Attributes:
        kind: ``family`` (any of ``families``; or the lamp ``source`` / ``watts``), ``ordinal`` (0-based, -1 the last),
            ``all``, ``others`` (those that the passage before did not touch), ``that`` (the one last spoken of).
    """

    kind: Literal["family", "ordinal", "all", "others", "that"]
    start: int
    end: int
    families: tuple[Family, ...] = ()
    source: LampSource | None = None
    watts: float | None = None
    ordinal: int | None = None


@dataclass(frozen=True, slots=True)
class Passage:
    """A stretch of the message about one luminaire type.

    Attributes:
        action: ``state`` (describes a luminaire type: a new line, unless the scope or likeness says which line),
            ``change``, ``add``, ``remove``, or ``copy`` ("same for the back building but 8": ``slots`` are the differences).
        scope: which lines; ``None`` where the passage does not say.
        slots: line slots.
    """

    action: Action
    slots: dict[str, Said] = field(default_factory=dict)
    scope: Scope | None = None


@dataclass(frozen=True, slots=True)
class Message:
    """All that one text says."""

    intent: Intent
    passages: tuple[Passage, ...] = ()
    job: dict[str, Said] = field(default_factory=dict)
    command: Command | None = None
    unread: tuple[tuple[int, int], ...] = ()
    faults: tuple[Fault, ...] = ()
    context: Context = field(default_factory=Context)
    language: Literal["en", "es"] = "en"
    reason: str = ""
    """Of a handoff: "person_wanted", "danger", "hazardous_location", "over_600_volts" or "live_work"."""
