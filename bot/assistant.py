"""Joins the parts: text → reading → job → quote. Pure: the same conversation and text give the same turn.

A conversation is a fold: a state and a message give the next state. Nothing is stored, sent or timed here; that
is the shell's.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final, TypeVar

from pydantic import ValidationError

from bot.reading import CannotRead, read_first
from bot.reading.shape import Reading
from bot.usable import UnusableInput
from engine.catalog.catalogue import Catalogue
from engine.errors import WattclerkError
from engine.proposal import Quote
from engine.quote import make_quote
from engine.request import JOB_SLOTS, LINE_SLOTS, Request, StatedJob, StatedLine
from engine.tables import Tables

Slots = TypeVar("Slots", StatedJob, StatedLine)

QUOTED_INTENTS: Final = frozenset({"quote", "revise", "layout", "compare", "accept", "explain", "status"})
"""Intents whose answer looks at a quote, where the conversation has something to quote."""


class ChangeRefused(WattclerkError):
    """A structured change names no slot of the job, or a value that can't be."""


@dataclass(frozen=True, slots=True)
class Change:
    """A slot set by pressing instead of writing.

    Attributes:
        path: ``job.rate_per_kwh``, ``lines.0.source``, or ``lines.*.voltage`` for every line.
        value: in the reading's JSON form; ``None`` takes the slot back.
    """

    path: str
    value: Any


@dataclass(frozen=True, slots=True)
class Conversation:
    """What a conversation has come to.

    Attributes:
        reading: the whole state after the last message; ``None`` before the first.
        texts: of all messages, as sent.
    """

    reading: Reading | None = None
    texts: tuple[str, ...] = ()

    @property
    def turns(self) -> int:
        """How many messages there were."""
        return len(self.texts)


@dataclass(frozen=True, slots=True)
class Turn:
    """What one message led to.

    Attributes:
        reading: the whole state after the message.
        quote: ``None`` where there is nothing to quote, something said can't be, or a person must take over.
        conversation: what the next message is taken with.
    """

    reading: Reading
    quote: Quote | None
    conversation: Conversation = field(default_factory=Conversation)

    @property
    def question(self) -> str | None:
        """The slot that the answer asks about, if it asks."""
        return self.quote.questions[0].path if self.quote is not None and self.quote.questions else None


def read_next(conversation: Conversation, text: str, asked: str | None = None) -> Conversation:
    """The conversation after one more message.

    Args:
        conversation: so far.
        text: as sent.
        asked: the slot that our preceding question was about, if it asked one.

    Raises:
        UnusableInput: this is no text that can be read.
    """
    try:
        reading = read_first(text)
    except CannotRead as error:
        raise UnusableInput(str(error)) from None
    return Conversation(reading, (*conversation.texts, text))


@dataclass(frozen=True, slots=True)
class Assistant:
    """A catalogue and the reference tables, ready to answer."""

    catalogue: Catalogue
    tables: Tables

    def take_turn(self, conversation: Conversation, text: str, asked: str | None = None) -> Turn:
        """The answer to one more message."""
        return self._turn(read_next(conversation, text, asked))

    def take_changes(self, conversation: Conversation, text: str, changes: Sequence[Change]) -> Turn:
        """The answer to slots set by pressing; ``text`` says the same in words and becomes the message's text.

        Raises:
            ChangeRefused: a path that is no slot, or a value that can't be.
        """
        reading = conversation.reading or Reading("quote")
        for change in changes:
            reading = changed(reading, change)
        reading = replace(reading, intent="revise", faults=(), unread=(), reason="")
        return self._turn(Conversation(reading, (*conversation.texts, text)))

    def quote(self, request: Request) -> Turn:
        """The quote of a job that was not written as text."""
        reading = Reading(
            "quote", request.job, request.lines, context=request.context or Reading("quote").context
        )
        return self._turn(Conversation(reading))

    def _turn(self, conversation: Conversation) -> Turn:
        reading = conversation.reading
        assert reading is not None  # noqa: S101  a turn was just read
        return Turn(reading, self._quote(reading), conversation)

    def _quote(self, reading: Reading) -> Quote | None:
        if reading.intent not in QUOTED_INTENTS or reading.faults or not reading.lines:
            return None
        return make_quote(
            Request(job=reading.job, lines=reading.lines, context=reading.context),
            self.catalogue,
            self.tables,
        )


def changed(reading: Reading, change: Change) -> Reading:
    """``reading`` with one slot set or taken back; its span goes, since no text said it.

    Raises:
        ChangeRefused: no such slot or line, or a value that can't be.
    """
    part, _, slot = change.path.rpartition(".")
    spans = {path: span for path, span in reading.spans.items() if path != change.path}
    doubts = tuple(doubt for doubt in reading.doubts if doubt.path != change.path)
    if part == "job" and slot in JOB_SLOTS:
        job = _set(reading.job, slot, change.value)
        return replace(reading, job=job, spans=spans, doubts=doubts)
    head, _, index = part.partition(".")
    if head != "lines" or slot not in LINE_SLOTS:
        raise ChangeRefused(f"{change.path!r} is not a slot that can be changed")
    if index == "*":
        for i in range(len(reading.lines)):
            reading = changed(reading, Change(f"lines.{i}.{slot}", change.value))
        return reading
    if not (index.isascii() and index.isdigit()) or int(index[:6]) >= len(reading.lines):
        raise ChangeRefused(f"{change.path!r}: the job has {len(reading.lines)} lines")
    i = int(index)
    line = _set(reading.lines[i], slot, change.value)
    return replace(
        reading, lines=(*reading.lines[:i], line, *reading.lines[i + 1 :]), spans=spans, doubts=doubts
    )


def _set(stated: Slots, slot: str, value: Any) -> Slots:
    try:
        return type(stated).model_validate(stated.stated() | {slot: value})
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        raise ChangeRefused(f"{slot.replace('_', ' ')}: {first['msg']}") from None
