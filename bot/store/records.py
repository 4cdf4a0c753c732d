"""What is kept: messages on their way in, turns, quotes, replies on their way out; and how a store is opened and used."""

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from bot.contents import Versions
from bot.json_bytes import json_bytes
from bot.pressing import Change
from bot.replies.heard import Language
from engine.errors import WattclerkError
from engine.record import record

Json = Mapping[str, Any]
MessageState = Literal["waiting", "answered", "refused", "aside"]
ReplyState = Literal["waiting", "sent", "failed"]


class StoreUnusable(WattclerkError):
    """The store can't be opened or written; the message says what to do, in one line."""


class UnknownConversation(WattclerkError):
    """No conversation of that id was begun here."""


class DifferentMessage(WattclerkError):
    """The message id was used before for another text."""


class TooManyTurns(WattclerkError):
    """The conversation is as long as it may get."""


class LeaseLost(WattclerkError):
    """Another server took the conversation over, since this one seemed gone: what was worked out here is dropped."""


def packed(value: Any) -> bytes:
    """A JSON value as it is kept: its bytes (no spaces, UTF-8, NaN refused), deflated."""
    return zlib.compress(json_bytes(value), 1)


@record
class Message:
    """A message as a channel hands it in.

    Attributes:
        id: the channel's own id of it.
        text: as sent; for ``changes``, the same in words.
        changes: slots set by pressing; empty for a written message.
        conversation: which it belongs to; ``None`` begins one, or goes on with that of ``thread``.
        channel: "web", "sms", ...
        sender: the address that the reply goes to, where the channel sends it; ``None`` where the sender fetches it.
        thread: the channel's own name of the conversation: a telephone number, the first mail's id.
        request_id: of the request that it came with, as it stands in the logs.
    """

    id: str
    text: str
    changes: tuple[Change, ...] = ()
    conversation: str | None = None
    channel: str = "web"
    sender: str | None = None
    thread: str | None = None
    request_id: str | None = None


def changes_text(changes: Sequence[Change]) -> str:
    """Changes as they are kept: JSON text, "[]" for none."""
    if not changes:
        return "[]"
    return json_bytes([{"path": c.path, "value": c.value} for c in changes]).decode()


@dataclass(frozen=True, slots=True)
class KeptQuote:
    """A quote as it was answered.

    Attributes:
        id: what it is asked for by; can't be guessed.
        made_at: ISO 8601, UTC.
        request: the engine's input, JSON form.
        quote: the public quote JSON.
        figures: the figure graph, as `bot.store.figures.kept_figures` gives it.
        language: of the conversation.
        reading: what it was made from, JSON form; ``None`` where a version before 0.2 kept it.
        versions: what it was made from; ``None`` where a version before 0.2 kept it.
        digest: SHA-256 of what was kept of quote and figures; "" where a version before 0.2 kept it.
        revision: 1 for the first. ``revises``: the quote that it is a revision of.
        conversation: that it was answered in; ``None`` for one of the command line.
        erased_at: when its customer's data was erased; what named the customer is gone from it then.
    """

    id: str
    made_at: str
    request: Json
    quote: Json
    figures: Json
    language: Language = "en"
    reading: Json | None = None
    versions: Versions | None = None
    digest: str = ""
    revision: int = 1
    revises: str | None = None
    conversation: str | None = None
    erased_at: str | None = None


@record
class DraftQuote:
    """A quote to be kept.

    Attributes:
        body: see `bot.store.quote_body`.
        digest: SHA-256 of quote and figures in it: the same digest is the same quote.
        goes_on: whether it stands in for the conversation's quote before it, rather than for another job.
    """

    language: Language
    versions: Versions
    digest: str
    body: bytes
    goes_on: bool = True


@record
class KeptTurn:
    """One message and the answer to it.

    Attributes:
        turn: 0 for the first message of the conversation.
        message_id: the channel's own id of the message.
        received_at: ISO 8601, UTC.
        text: as sent.
        changes: slots set by pressing, ``[{"path", "value"}]`` as JSON text; "[]" for a written message.
        asked: the slot that the preceding answer asked about.
        reading: the reading after the message, JSON text.
        answer: what was sent back, as JSON bytes.
        quote_id: the quote that the answer carries.
    """

    turn: int
    message_id: str
    received_at: str
    text: str
    changes: str
    asked: str | None
    reading: str
    answer: bytes
    quote_id: str | None

    def as_json(self, conversation: str) -> bytes:
        """The turn as clients get it: put together from what is JSON already."""
        head = json_bytes(
            {
                "conversation": conversation,
                "turn": self.turn,
                "message_id": self.message_id,
                "received_at": self.received_at,
                "text": self.text,
                "quote_id": self.quote_id,
            }
        )
        return b"".join(
            (head[:-1], b',"changes":', self.changes.encode(), b',"reading":', self.reading.encode(),
             b',"answer":', self.answer, b"}")
        )  # fmt: skip


@record
class Work:
    """A waiting message, the first of its conversation, that its holder answers next.

    Attributes:
        number: of the message; they go up in the order of acceptance.
        turns: that the conversation had before it.
        attempts: that failed before.
    """

    conversation: str
    number: int
    message_id: str
    channel: str
    received_at: str
    text: str
    changes: tuple[Change, ...]
    attempts: int
    turns: int


@record
class Receipt:
    """That a message is kept, and what became of it so far.

    Attributes:
        turn: once it is answered.
        reason: why it was refused, or set aside.
        work: what to answer now, where the conversation became ours by this message; not always this message.
        already: it had been kept before.
    """

    conversation: str
    number: int
    state: MessageState
    turn: KeptTurn | None = None
    reason: str = ""
    work: Work | None = None
    already: bool = False


@record
class Settled:
    """What keeping an answer led to.

    Attributes:
        turn: the turn as kept; ``None`` where the message got none.
        reply: number of the outbox row, where a gateway has to send it.
        next: the conversation's next message; ``None`` where none waits, and the conversation is let go.
    """

    turn: KeptTurn | None
    reply: int | None = None
    next: Work | None = None


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A reply that a gateway has to send.

    Attributes:
        key: the same at every try, for gateways that drop a second one of the same key.
        in_reply_to: the channel's id of the message.
        body: the words, in the channel's form.
    """

    number: int
    key: str
    channel: str
    address: str
    in_reply_to: str
    thread: str | None
    body: str
    attempts: int


@dataclass(frozen=True, slots=True)
class SetAside:
    """A message or a reply that failed for good, for staff to look at.

    Attributes:
        kind: whether answering or sending failed.
    """

    kind: Literal["message", "reply"]
    number: int
    conversation: str
    channel: str
    received_at: str
    attempts: int
    reason: str


@dataclass(frozen=True, slots=True)
class Counts:
    """How much is where, for metrics and checks."""

    messages: Mapping[str, int] = field(default_factory=dict)
    replies: Mapping[str, int] = field(default_factory=dict)
    conversations: int = 0
    quotes: int = 0
