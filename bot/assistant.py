"""Joins the parts: text → reading → job → quote. Pure: the same conversation and text give the same turn.

A conversation is a fold: a state and a message give the next state. Nothing is stored, sent or timed here; that
is the shell's.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

from bot.conversation import EMPTY, State, read_turn, reading_of
from bot.layout_question import (
    answers_layout_question,
    lately_asked_light,
    light_asked,
    tells_size_again,
    with_nearest_watts,
    with_usual_lights,
)
from bot.pressing import Change, press
from bot.reading import CannotRead
from bot.reading.message import Message
from bot.reading.shape import Reading
from bot.reading.text import MAX_BYTES
from bot.replies.asked import next_question, questions_left
from bot.replies.heard import Language
from bot.usable import UnusableInput
from engine.catalog.catalogue import Catalogue
from engine.light.photometry import Photometry
from engine.money.tariff import Tariff
from engine.proposal import Quote
from engine.quote import NO_TERMS, make_quote
from engine.request import AskedLight, Request
from engine.tables import Tables
from engine.terms import Terms

_MAY_ANSWER: Final = frozenset({"quote", "revise", "other"})
"""What a message that only answers our question about light may be taken for by itself."""
UNQUOTED: Final = frozenset({"handoff", "greet", "other"})
"""Intents whose answer needs no quote; all others look at one where the conversation has a luminaire."""


@dataclass(frozen=True, slots=True)
class Conversation:
    """What a conversation has come to.

    Attributes:
        state: what holds.
        texts: of all messages, as sent.
        language: in which the last one was written.
    """

    state: State = EMPTY
    texts: tuple[str, ...] = ()
    language: Language = "en"

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
        if self.quote is None:
            return None
        if self.reading.not_known:
            following = next_question(self.quote.questions, self.reading.not_known, self.reading.put_off)
            return None if following is None else following.path
        if self.reading.intent == "layout":
            return next((layout.question for layout in self.quote.layouts if layout.question), None)
        left = questions_left(self.quote.questions, self.reading.put_off)
        return left[0].path if left and self.reading.intent in {"quote", "revise"} else None


def read_next(
    conversation: Conversation, text: str, asked: str | None = None, max_bytes: int = MAX_BYTES
) -> tuple[Conversation, Reading]:
    """One more message read: the conversation after it, and the whole of it as a reading.

    Args:
        conversation: so far.
        text: as sent.
        asked: the slot that our preceding question was about, if it asked one.
        max_bytes: the longest text that is read [bytes of UTF-8].

    Raises:
        UnusableInput: this is no text that can be read.
    """
    try:
        state, reading = read_turn(conversation.state, text, conversation.turns, asked, max_bytes)
    except CannotRead as error:
        raise UnusableInput(str(error)) from None
    return Conversation(state, (*conversation.texts, text), reading.language), reading


@dataclass(frozen=True, slots=True)
class Assistant:
    """A catalogue, the reference tables, the seller's terms and the utility's tariff, ready to answer.

    Attributes:
        own_light: by index of the line, the writer's own photometric file of what hangs there now.
    """

    catalogue: Catalogue
    tables: Tables
    terms: Terms = NO_TERMS
    tariff: Tariff | None = None
    own_light: Mapping[int, Photometry] = field(default_factory=dict)

    def take_turn(self, conversation: Conversation, text: str, asked: str | None = None) -> Turn:
        """The answer to one more message.

        Raises:
            UnusableInput: this is no text that can be read.
        """
        after, reading = read_next(conversation, text, asked)
        if (reading.intent in _MAY_ANSWER and answers_layout_question(asked, text)) or (
            reading.intent == "other" and tells_size_again(conversation.texts, text)
        ):
            reading = replace(reading, intent="layout")
        light = None
        if reading.intent == "layout" or (reading.intent == "explain" and lately_asked_light(after.texts)):
            light = light_asked(after.texts, reading)
        return Turn(reading, self.quoted(reading, light), after)

    def take_changes(self, conversation: Conversation, text: str, changes: Sequence[Change]) -> Turn:
        """The answer to slots set by pressing; ``text`` says the same in words and becomes the message's text.

        Raises:
            bot.pressing.ChangeRefused: a path that is no slot of the job, or a value that can't be.
        """
        state = press(conversation.state, changes)
        message = Message("revise", language=conversation.language)
        reading = reading_of(state, message, conversation.turns)
        after = replace(conversation, state=state, texts=(*conversation.texts, text))
        return Turn(reading, self.quoted(reading), after)

    def quote(self, request: Request, language: Language = "en") -> Turn:
        """The quote of a job that was not written as text."""
        reading = Reading("quote", request.job, request.lines, language=language)
        if request.context is not None:
            reading = replace(reading, context=request.context)
        return Turn(reading, self.quoted(reading, request.light))

    def quoted(self, reading: Reading, light: AskedLight | None = None) -> Quote | None:
        """The quote of what was read, with what was asked of light answered; ``None`` where there is nothing to quote."""
        if (reading.intent in UNQUOTED and not reading.not_known) or reading.faults:
            return None
        lines = reading.lines
        if light is not None:
            lines, light = with_usual_lights(lines, light, self.tables)
        if not lines and (light is None or light.space is None):
            return None
        request = Request(job=reading.job, lines=lines, context=reading.context, light=light)
        quote = make_quote(request, self.catalogue, self.tables, self.terms, self.tariff, self.own_light)
        if light is None or quote.layouts:
            return quote
        nearest = with_nearest_watts(lines, light, self.catalogue)
        if nearest == lines:
            return quote
        request = request.model_copy(update={"lines": nearest})
        return make_quote(request, self.catalogue, self.tables, self.terms, self.tariff, self.own_light)
