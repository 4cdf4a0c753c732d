"""Takes a message in, answers it, and keeps both in one transaction before anything is acknowledged.

A message is answered once: the same message id in the same conversation gets the stored answer again. Where the
sender knows no conversation yet, the message id alone finds the conversation that it opened; senders make ids
that can't be guessed.
"""

import base64
import json
import secrets
from collections import OrderedDict
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from bot.answer import answer_of
from bot.assistant import Assistant, Conversation, Turn
from bot.clock import Clock, stamp, utc_now
from bot.conversation.stored import StoredStateUnusable, state_as_json, state_from_json
from bot.pressing import Change
from bot.replies import quote_json
from bot.store.figures import Traces
from bot.store.records import KeptQuote, KeptTurn, Store
from engine.errors import WattclerkError

MOST_CACHED: Final = 512


class UnknownConversation(WattclerkError):
    """No conversation of that id was begun here."""


class DifferentMessage(WattclerkError):
    """The message id was used before for another text."""


class TooManyTurns(WattclerkError):
    """The conversation is as long as it may get."""


def new_secret() -> str:
    """An id that can't be guessed: 128 random bits, in letters and digits that can be read out and typed."""
    return base64.b32encode(secrets.token_bytes(16)).decode().rstrip("=").lower()


@dataclass(frozen=True, slots=True)
class Message:
    """A message as a channel hands it in.

    Attributes:
        id: the channel's own id of it.
        text: as sent; for ``changes``, the same in words.
        changes: slots set by pressing; empty for a written message.
        conversation: which it belongs to; ``None`` begins one.
        channel: "web", "sms", ...
    """

    id: str
    text: str
    changes: tuple[Change, ...] = ()
    conversation: str | None = None
    channel: str = "web"


@dataclass(slots=True)
class Inbox:
    """Answers messages over one store. Used by one thread at a time.

    Attributes:
        most_turns: messages that a conversation may have.
    """

    assistant: Assistant
    store: Store
    clock: Clock = utc_now
    new_id: Callable[[], str] = new_secret
    most_turns: int = 200
    _states: OrderedDict[str, tuple[Conversation, str | None]] = field(default_factory=OrderedDict)

    def begin(self, channel: str = "web") -> str:
        """Opens a conversation and gives its id."""
        conversation = self.new_id()
        self.store.begin(conversation, channel, stamp(self.clock()))
        return conversation

    def receive(self, message: Message) -> tuple[str, KeptTurn]:
        """The conversation and the turn that ``message`` led to, kept before this returns.

        Raises:
            UnknownConversation: it names one that is not there.
            DifferentMessage: its id was used for another text.
            TooManyTurns: the conversation is full.
            bot.pressing.ChangeRefused: a change that can't be.
        """
        conversation = message.conversation
        if conversation is None:
            conversation = self.store.opened_by(message.id)
        elif not self.store.exists(conversation):
            raise UnknownConversation("this conversation is not known here: begin a new one")
        if conversation is not None and (earlier := self.store.turn_of(conversation, message.id)):
            changes = [{"path": c.path, "value": c.value} for c in message.changes]
            if earlier.text != message.text or list(earlier.changes) != changes:
                raise DifferentMessage(
                    "this message id was used before for another text: give each message its own"
                )
            return conversation, earlier
        if conversation is None:
            conversation = self.new_id()
            state: tuple[Conversation, str | None] = (Conversation(), None)
            fresh = True
        else:
            state = self._state_of(conversation)
            fresh = False
        before, asked = state
        if before.turns >= self.most_turns:
            raise TooManyTurns(f"a conversation holds at most {self.most_turns} messages: begin a new one")
        turn = self._take(before, message.text, message.changes, asked)
        kept, quote = self._to_keep(message, turn, before.turns, asked)
        if fresh:
            self.store.begin(conversation, message.channel, kept.received_at, opened_by=message.id)
        self.store.keep(conversation, kept, quote, json.dumps(state_as_json(turn.conversation.state)))
        self._remember(conversation, turn)
        return conversation, kept

    def history(self, conversation: str) -> list[KeptTurn]:
        """All turns of a conversation.

        Raises:
            UnknownConversation: no such conversation.
        """
        if not self.store.exists(conversation):
            raise UnknownConversation("this conversation is not known here: begin a new one")
        return self.store.turns(conversation)

    def _take(self, before: Conversation, text: str, changes: Sequence[Change], asked: str | None) -> Turn:
        if changes:
            return self.assistant.take_changes(before, text, changes)
        return self.assistant.take_turn(before, text, asked)

    def _to_keep(
        self, message: Message, turn: Turn, number: int, asked: str | None
    ) -> tuple[KeptTurn, KeptQuote | None]:
        at = stamp(self.clock())
        quote = None
        if turn.quote is not None:
            quote = quote_to_keep(self.new_id(), at, turn)
        kept = KeptTurn(
            turn=number,
            message_id=message.id,
            received_at=at,
            text=message.text,
            changes=tuple({"path": c.path, "value": c.value} for c in message.changes),
            asked=asked,
            reading=turn.reading.as_json(),
            answer=answer_of(turn, self.assistant.tables),
            quote_id=None if quote is None else quote.id,
        )
        return kept, quote

    def _state_of(self, conversation: str) -> tuple[Conversation, str | None]:
        """What the conversation has come to and what was asked last: remembered, or as it was kept."""
        if conversation in self._states:
            self._states.move_to_end(conversation)
            return self._states[conversation]
        turns = self.store.turns(conversation)
        if not turns:
            return Conversation(), None
        asked = turns[-1].answer["asks"]
        stored = self.store.state(conversation)
        try:
            state = state_from_json(json.loads(stored or "{}"))
        except StoredStateUnusable:
            return self._folded_again(turns), asked
        return Conversation(state, tuple(t.text for t in turns), turns[-1].answer["language"]), asked

    def _folded_again(self, turns: Sequence[KeptTurn]) -> Conversation:
        """From the messages themselves, where the state was stored by an older version."""
        before = Conversation()
        for kept in turns:
            changes = tuple(Change(c["path"], c["value"]) for c in kept.changes)
            before = self._take(before, kept.text, changes, kept.asked).conversation
        return before

    def _remember(self, conversation: str, turn: Turn) -> None:
        self._states[conversation] = (turn.conversation, turn.question)
        self._states.move_to_end(conversation)
        if len(self._states) > MOST_CACHED:
            self._states.popitem(last=False)


def quote_to_keep(name: str, at: str, turn: Turn) -> KeptQuote:
    """The quote of ``turn`` as it is kept."""
    assert turn.quote is not None  # noqa: S101  the caller looked
    public: dict[str, Any] = quote_json(turn.quote, turn.reading)
    return KeptQuote(
        id=name,
        made_at=at,
        request=turn.quote.request.stated(),
        quote=public,
        figures=Traces.of(turn.quote).as_json(),
        language=turn.reading.language,
    )
