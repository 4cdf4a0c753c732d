"""The messages that web clients send, checked as they come in, and the turns that go back."""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, JsonValue, field_validator

from bot.json_bytes import json_bytes
from bot.pressing import Change
from bot.store.records import KeptQuote, Message
from bot.watch.request_ids import current

Secret = Annotated[str, Field(min_length=8, max_length=64, pattern=r"^[A-Za-z0-9_-]+$")]
MessageId = Annotated[str, Field(min_length=16, max_length=64, pattern=r"^[A-Za-z0-9_-]+$")]


class _Incoming(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)


class ChangeIn(_Incoming):
    """One slot set by pressing; ``value`` null takes it back."""

    path: str = Field(min_length=5, max_length=60, pattern=r"^[a-z0-9_.*]+$")
    value: JsonValue

    @field_validator("value")
    @classmethod
    def _is_finite(cls, value: JsonValue) -> JsonValue:
        """JSON has no endless numbers, and yet 1e999 is read as one.

        Raises:
            ValueError: it holds one.
        """
        json_bytes(value)
        return value


class MessageIn(_Incoming):
    """A message of a conversation.

    Attributes:
        message_id: the sender's own id, unguessable (a random UUID will do): the same id is answered once.
        conversation: left out, a conversation is begun.
        text: as written; beside ``changes``, the same in words.
        changes: slots set by pressing.
    """

    message_id: MessageId
    conversation: Secret | None = None
    text: str
    changes: tuple[ChangeIn, ...] = Field(default=(), max_length=20)

    def message(self) -> Message:
        """As the inbox takes it."""
        return Message(
            id=self.message_id,
            text=self.text,
            changes=tuple(Change(c.path, c.value) for c in self.changes),
            conversation=self.conversation,
            channel="web",
            request_id=current.get() or None,
        )


class SocketMessage(MessageIn):
    """A message over the chat socket."""

    type: Literal["message"]


class SocketJoin(_Incoming):
    """The first thing a chat page says: which conversation it shows, if any, and how much of it it has."""

    type: Literal["join"]
    conversation: Secret | None = None
    have: int = Field(default=0, ge=0, le=100_000)


def kept_quote_json(kept: KeptQuote) -> dict[str, Any]:
    """A kept quote as clients get it."""
    return {
        "id": kept.id,
        "made_at": kept.made_at,
        "revision": kept.revision,
        "revises": kept.revises,
        "request": kept.request,
        "quote": kept.quote,
    }
