"""What is kept, and the one protocol that every store keeps it by."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from bot.replies.heard import Language
from engine.errors import WattclerkError

Json = Mapping[str, Any]


class StoreUnusable(WattclerkError):
    """The store can't be opened or written; the message says what to do, in one line."""


@dataclass(frozen=True, slots=True)
class KeptQuote:
    """A quote as it was answered.

    Attributes:
        id: what it is asked for by; can't be guessed.
        made_at: ISO 8601, UTC.
        request: the engine's input, JSON form.
        quote: the public quote JSON.
        figures: the figure graph, as `bot.store.figures.Traces.as_json` gives it.
        language: of the conversation.
    """

    id: str
    made_at: str
    request: Json
    quote: Json
    figures: Json
    language: Language = "en"


@dataclass(frozen=True, slots=True)
class KeptTurn:
    """One message and the answer to it.

    Attributes:
        turn: 0 for the first message of the conversation.
        message_id: the channel's own id of the message.
        received_at: ISO 8601, UTC.
        text: as sent.
        changes: slots set by pressing, ``[{"path", "value"}]``; empty for a written message.
        asked: the slot that the preceding answer asked about.
        reading: the reading after the message, JSON form.
        answer: what was sent back, JSON form.
        quote_id: the quote that the answer carries.
    """

    turn: int
    message_id: str
    received_at: str
    text: str
    changes: Sequence[Json]
    asked: str | None
    reading: Json
    answer: Json
    quote_id: str | None


class Store(Protocol):
    """Conversations and quotes. Each call is one transaction; a call that raises has changed nothing."""

    def begin(self, conversation: str, channel: str, at: str, opened_by: str | None = None) -> None:
        """Opens a conversation. ``opened_by``: id of the message that opened it, where the sender knew no conversation."""

    def opened_by(self, message_id: str) -> str | None:
        """The conversation that this message opened."""

    def exists(self, conversation: str) -> bool:
        """True for a conversation that was begun."""

    def turns(self, conversation: str) -> list[KeptTurn]:
        """All turns, first to last; empty for an unknown conversation."""

    def turn_of(self, conversation: str, message_id: str) -> KeptTurn | None:
        """The turn that a message led to, if it came before."""

    def state(self, conversation: str) -> str | None:
        """What the conversation had come to after its last kept turn, as it was handed in; ``None`` before the first."""

    def keep(self, conversation: str, turn: KeptTurn, quote: KeptQuote | None, state: str) -> None:
        """Keeps a message with its answer, its quote and the state after it, all or nothing."""

    def keep_quote(self, quote: KeptQuote) -> None:
        """Keeps a quote that belongs to no conversation."""

    def quote(self, quote_id: str) -> KeptQuote | None:
        """The quote of that id."""

    def close(self) -> None:
        """Closes the store."""
