"""One message answered: everything between keeping a message and keeping its answer, as a function of plain values.

What goes in and comes out can be handed to another process; nothing is stored, sent or timed here.
"""

import hashlib
from dataclasses import dataclass

from bot.answer import answer_of
from bot.assistant import Assistant, Conversation, Turn
from bot.contents import Versions
from bot.conversation.stored import StoredStateUnusable, state_as_json, state_from_json
from bot.json_bytes import json_bytes
from bot.pressing import Change, ChangeRefused
from bot.replies import Channel, render
from bot.replies.heard import Language
from bot.replies.quote_json import quote_told
from bot.store.figures import as_kept_before, kept_figures
from bot.store.quote_body import body_of
from bot.store.records import DraftQuote
from bot.usable import UnusableInput
from engine.record import record

Told = tuple[str, tuple[Change, ...], str | None]
"""An earlier message: text, changes, and what had been asked before it."""


@record
class Before:
    """What a conversation has come to.

    Attributes:
        state: as it was kept; ``None`` before the first message.
        texts: of all messages so far.
        asked: the slot that the last answer asked about.
        told: all messages so far; only where ``state`` turned out to be of another version.
    """

    state: str | None = None
    texts: tuple[str, ...] = ()
    language: Language = "en"
    asked: str | None = None
    told: tuple[Told, ...] | None = None


@record
class Question:
    """A message to be answered.

    Attributes:
        form: of the words that go back over the channel; ``None`` where the sender fetches the turn itself.
    """

    before: Before
    text: str
    changes: tuple[Change, ...] = ()
    form: Channel | None = None


@record
class Answered:
    """The answer.

    Attributes:
        reading, answer: JSON.
        doubts: slots that could be something else.
        after: what the next message is answered with.
        quote: to be kept with it.
        body: in the question's form.
    """

    reading: str
    answer: bytes
    doubts: int
    after: Before
    quote: DraftQuote | None
    body: str | None


@dataclass(frozen=True, slots=True)
class CannotTake:
    """The message can't be part of its conversation; the line says why."""

    line: str


class ToldAgain:
    """The state is of another version: ask again with the messages themselves."""


Outcome = Answered | CannotTake | ToldAgain


def answered(assistant: Assistant, versions: Versions, question: Question) -> Outcome:
    """The answer to a message."""
    before = question.before
    try:
        conversation = _conversation(assistant, before)
    except StoredStateUnusable:
        return ToldAgain()
    try:
        turn = _take(assistant, conversation, question.text, question.changes, before.asked)
    except (UnusableInput, ChangeRefused) as error:
        return CannotTake(str(error))
    answer = answer_of(turn, assistant.tables)
    reading = json_bytes(turn.reading.as_json())
    return Answered(
        reading=reading.decode(),
        answer=answer,
        doubts=len(turn.reading.doubts),
        after=Before(
            state_as_json(turn.conversation.state).decode(),
            turn.conversation.texts,
            turn.conversation.language,
            turn.question,
        ),
        quote=None
        if turn.quote is None or not turn.quote.lines
        else draft_of(turn, versions, goes_on=_same_job(conversation, turn), reading=reading),
        body=None if question.form is None else _words(turn, question.form, assistant),
    )


def draft_of(
    turn: Turn, versions: Versions, *, goes_on: bool = False, reading: bytes | None = None
) -> DraftQuote:
    """The quote of ``turn`` as it is kept; ``reading`` is that of the turn as JSON, where it was written already."""
    assert turn.quote is not None  # noqa: S101  the caller looked
    told, graph = quote_told(turn.quote, turn.reading)
    figures = kept_figures(turn.quote, graph)
    return DraftQuote(
        language=turn.reading.language,
        versions=versions,
        digest=hashlib.sha256(told + figures).hexdigest(),
        body=body_of(told, reading or json_bytes(turn.reading.as_json()), figures),
        goes_on=goes_on,
    )


def digest_before(turn: Turn) -> str:
    """The digest of the quote of ``turn`` as the version before kept it."""
    assert turn.quote is not None  # noqa: S101  the caller looked
    told, graph = quote_told(turn.quote, turn.reading)
    return hashlib.sha256(told + json_bytes(as_kept_before(turn.quote, graph))).hexdigest()


def _same_job(before: Conversation, turn: Turn) -> bool:
    """Whether the message went on with the job that was talked about before it."""
    now, then = turn.conversation.state.now, before.state.now
    return before.turns > 0 and (now.at, len(now.jobs)) == (then.at, len(then.jobs))


def _words(turn: Turn, form: Channel, assistant: Assistant) -> str:
    return render(
        turn.quote, turn.reading, form, turn.reading.language, turn.conversation.texts, assistant.tables
    )


def _conversation(assistant: Assistant, before: Before) -> Conversation:
    if before.told is not None:
        conversation = Conversation()
        for text, changes, asked in before.told:
            conversation = _take(assistant, conversation, text, changes, asked).conversation
        return conversation
    if before.state is None:
        return Conversation()
    return Conversation(state_from_json(before.state), before.texts, before.language)


def _take(
    assistant: Assistant,
    before: Conversation,
    text: str,
    changes: tuple[Change, ...],
    asked: str | None,
) -> Turn:
    if changes:
        return assistant.take_changes(before, text, changes)
    return assistant.take_turn(before, text, asked)
