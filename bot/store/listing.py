"""What staff look at: the latest conversations and quotes, one of them whole. Read only."""

import json
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from bot.store.quote_body import told_by
from bot.store.session import Connection

ON_A_PAGE: Final = 30
MOST_MESSAGES: Final = 400
_JSON_BYTES: Final = 4_000_000


@dataclass(frozen=True, slots=True)
class ListedTalk:
    """A conversation in the list: its latest message and what it has come to.

    Attributes:
        number: of its latest message; the list goes on before it.
        customer: as the messages named it; "" where none did.
        state: of the latest message.
        quote: its latest quote.
    """

    id: str
    number: int
    channel: str
    at: str
    text: str
    customer: str
    state: str
    turns: int
    quote: str | None


@dataclass(frozen=True, slots=True)
class TalkMessage:
    """A message of a conversation as staff see it."""

    number: int
    at: str
    text: str
    state: str
    reason: str
    request_id: str
    said: str
    quote: str | None


@dataclass(frozen=True, slots=True)
class Talk:
    """A conversation as staff see it; ``sender`` is where its replies go, where a gateway sends them."""

    id: str
    channel: str
    begun_at: str
    sender: str
    customer: str
    messages: Sequence[TalkMessage]


@dataclass(frozen=True, slots=True)
class ListedQuote:
    """A quote in the list that is taken out, from its public form."""

    id: str
    made_at: str
    revision: int
    revises: str | None
    conversation: str | None
    erased_at: str | None
    request: dict[str, Any]
    quote: dict[str, Any]


def latest_talks(
    connection: Connection, before: int | None = None, most: int = ON_A_PAGE
) -> list[ListedTalk]:
    """Conversations by their latest message, the latest first; those before message number ``before``."""
    rows = connection.rows(
        "select m.number, m.conversation, m.channel, m.received_at, m.text, m.state, c.turns, c.quote from messages m"
        " join conversations c on c.id = m.conversation where m.number < ?"
        " and not exists (select 1 from messages n where n.conversation = m.conversation and n.number > m.number)"
        " order by m.number desc limit ?",
        _FARTHEST if before is None else before,
        most,
    )
    return [
        ListedTalk(
            id=row[1], number=row[0], channel=row[2], at=row[3], text=row[4][:300], state=row[5], turns=row[6],
            quote=row[7], customer=_customer(connection, row[1]),
        )
        for row in rows
    ]  # fmt: skip


_FARTHEST: Final = 2**62


def _customer(connection: Connection, conversation: str) -> str:
    rows = connection.rows(
        "select reading from messages where conversation = ? and turn is not null order by number desc limit 1",
        conversation,
    )
    return customer_in(rows[0][0]) if rows else ""


def customer_in(reading: str | None) -> str:
    """The customer whom a reading (JSON text) names; "" for none."""
    if reading is None or '"customer"' not in reading:
        return ""
    named = json.loads(reading).get("job", {}).get("customer")
    return named if isinstance(named, str) else ""


def whole_talk(connection: Connection, conversation: str) -> Talk | None:
    """A conversation with its messages, first to last; ``None`` for an unknown one."""
    found = connection.rows("select channel, begun_at from conversations where id = ?", conversation)
    if not found:
        return None
    rows = connection.rows(
        "select number, received_at, text, state, reason, request_id, answer, quote, sender from messages"
        " where conversation = ? order by number limit ?",
        conversation,
        MOST_MESSAGES,
    )
    messages = [
        TalkMessage(row[0], row[1], row[2], row[3], row[4] or "", row[5] or "", _said(row[6]), row[7])
        for row in rows
    ]
    sender = next((row[8] for row in rows if row[8]), "")
    return Talk(conversation, found[0][0], found[0][1], sender, _customer(connection, conversation), messages)


def _said(answer: bytes | None) -> str:
    return "" if answer is None else str(json.loads(_unpacked(answer)).get("text", ""))


def ticket_of(
    connection: Connection, conversation: str | None, quote: str
) -> tuple[dict[str, Any], str] | None:
    """The card that answered a quote (as the chat page shows it) and its language; ``None`` where none is kept."""
    if conversation is None:
        return None
    rows = connection.rows(
        "select answer from messages where conversation = ? and quote = ? and turn is not null order by number desc"
        " limit 20",
        conversation,
        quote,
    )
    for (packed,) in rows:
        answer = json.loads(_unpacked(packed))
        if answer["card"]["kind"] == "quote":
            return answer["card"], answer["language"]
    return None


def quotes_since(connection: Connection, since: str, until: str, most: int) -> list[ListedQuote]:
    """Quotes that were made from ``since`` to before ``until``, first to last."""
    rows = connection.rows(
        "select id, made_at, revision, revises, conversation, erased_at, body from quotes"
        " where made_at >= ? and made_at < ? order by made_at, id limit ?",
        since, until, most,
    )  # fmt: skip
    listed = []
    for row in rows:
        body = told_by(row[6])
        name, made_at, revision, revises, conversation, erased_at = row[:6]
        listed.append(
            ListedQuote(
                name, made_at, revision, revises, conversation, erased_at, body["request"], body["quote"]
            )
        )
    return listed


def _unpacked(packed: bytes) -> bytes:
    # What we packed ourselves, and yet: a store may come from elsewhere.
    return zlib.decompressobj().decompress(packed, _JSON_BYTES)
