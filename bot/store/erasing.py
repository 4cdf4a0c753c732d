"""A person's data: found, taken out, erased with the books kept, and what is old erased by itself.

Erasing a conversation takes away its messages, readings, answers and replies. Its quotes stay with their figures (what
was offered, at which price, with which savings), cleared of names, places and the words of the person.
"""

import hashlib
import json
import zlib
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from bot.json_bytes import json_bytes
from bot.store.listing import customer_in
from bot.store.quote_body import told_by, whole_of
from bot.store.records import packed
from bot.store.session import Connection

ERASED: Final = "(erased)"
PERSONAL_SLOTS: Final = ("customer", "site", "po", "needed_by")
_PAGE: Final = 500
_SHORTEST_WORD: Final = 3
_SHORTEST_NUMBER: Final = 7


@dataclass(frozen=True, slots=True)
class Erased:
    """How much was erased."""

    conversations: int = 0
    messages: int = 0
    replies: int = 0
    quotes_cleared: int = 0
    mails: int = 0

    def __add__(self, other: "Erased") -> "Erased":
        return Erased(
            self.conversations + other.conversations,
            self.messages + other.messages,
            self.replies + other.replies,
            self.quotes_cleared + other.quotes_cleared,
            self.mails + other.mails,
        )


# Finding


def talks_of_sender(connection: Connection, address: str) -> list[str]:
    """Conversations with messages from a mail address or a telephone number, however it is written."""
    wanted = normal_address(address)
    found = {
        conversation: None
        for sender, conversation in connection.rows(
            "select distinct sender, conversation from messages where sender is not null"
        )
        if normal_address(sender) == wanted
    }
    for thread, conversation in connection.rows(
        "select thread, id from conversations where thread is not null"
    ):
        if normal_address(thread) == wanted:
            found[conversation] = None
    return list(found)


def talks_of_customer(connection: Connection, name: str) -> list[str]:
    """Conversations in which a reading named this customer; large and small letters are the same."""
    wanted = " ".join(name.casefold().split())
    found: dict[str, None] = {}
    for conversation, reading in _readings(connection):
        if " ".join(customer_in(reading).casefold().split()) == wanted:
            found[conversation] = None
    return list(found)


def _readings(connection: Connection) -> Iterator[Sequence[Any]]:
    last = 0
    while True:
        rows = connection.rows(
            "select number, conversation, reading from messages where number > ? and reading like ? order by number limit ?",
            last, '%"customer"%', _PAGE,
        )  # fmt: skip
        for number, conversation, reading in rows:
            last = number
            yield conversation, reading
        if len(rows) < _PAGE:
            return


def normal_address(text: str) -> str:
    """An address as it is compared: a telephone number by its last ten digits, else in small letters."""
    text = text.strip()
    digits = "".join(ch for ch in text if ch in "0123456789")
    if len(digits) >= _SHORTEST_NUMBER and not any(ch.isalpha() for ch in text):
        return digits[-10:]
    return text.casefold()


def talks_before(connection: Connection, before: str, most: int) -> list[str]:
    """Conversations in which nothing was said since ``before``, the oldest first."""
    rows = connection.rows(
        "select id from conversations c where begun_at < ? and not exists"
        " (select 1 from messages m where m.conversation = c.id and m.received_at >= ?) order by begun_at limit ?",
        before, before, most,
    )  # fmt: skip
    return [row[0] for row in rows]


# Taking out


def talk_taken_out(connection: Connection, conversation: str) -> dict[str, Any] | None:
    """Everything that is kept of a conversation, as JSON; ``None`` for an unknown one."""
    head = connection.rows(
        "select channel, begun_at, thread, language from conversations where id = ?", conversation
    )
    if not head:
        return None
    messages = [
        dict(zip(_MESSAGE, row, strict=True))
        for row in connection.rows(
            f"select {', '.join(_MESSAGE)} from messages where conversation = ? order by number",
            conversation,
        )
    ]
    for message in messages:
        message["changes"] = json.loads(message["changes"])
        message["reading"] = None if message["reading"] is None else json.loads(message["reading"])
        message["answer"] = (
            None if message["answer"] is None else json.loads(zlib.decompress(message["answer"]))
        )
    replies = connection.rows(
        "select number, channel, address, body, state, sent_at from outbox where conversation = ? order by number",
        conversation,
    )
    quotes = [
        {"id": name, "made_at": made_at, "revision": revision, "revises": revises} | _without_figures(body)
        for name, made_at, revision, revises, body in connection.rows(
            "select id, made_at, revision, revises, body from quotes where conversation = ? order by made_at, id",
            conversation,
        )
    ]
    return {
        "conversation": conversation,
        "channel": head[0][0],
        "begun_at": head[0][1],
        "thread": head[0][2],
        "language": head[0][3],
        "messages": messages,
        "replies": [dict(zip(_REPLY, row, strict=True)) for row in replies],
        "quotes": quotes,
    }


_MESSAGE: Final = ("number", "channel", "message_id", "sender", "received_at", "text", "changes", "state", "reason",
                   "request_id", "turn", "reading", "answer", "quote")  # fmt: skip
_REPLY: Final = ("number", "channel", "address", "body", "state", "sent_at")


def _without_figures(body: bytes) -> dict[str, Any]:
    whole = told_by(body)
    return {"request": whole["request"], "reading": whole.get("reading"), "quote": whole["quote"]}


# Erasing


def erase_talk(connection: Connection, conversation: str, at: str) -> Erased:
    """Erases a conversation; its quotes' figures stay. Nothing happens to an unknown one."""
    if not connection.rows("select 1 from conversations where id = ?", conversation):
        return Erased()
    quotes = connection.rows("select id, body from quotes where conversation = ?", conversation)
    for name, body in quotes:
        clear_quote(connection, name, body, at)
    replies = connection.run("delete from outbox where conversation = ?", conversation)
    messages = connection.run("delete from messages where conversation = ?", conversation)
    connection.run("delete from conversations where id = ?", conversation)
    return Erased(1, messages, replies, len(quotes))


def clear_quote(connection: Connection, name: str, body: bytes, at: str) -> None:
    """Clears a quote of what tells of a person, takes it out of its conversation, and closes its links."""
    whole = whole_of(body)
    cleared = cleared_body(whole)
    connection.run(
        "update quotes set conversation = null, body = ?, digest = ?, erased_at = ? where id = ?",
        packed(cleared), hashlib.sha256(json_bytes(cleared["quote"])).hexdigest(), at, name,
    )  # fmt: skip
    connection.run("delete from quote_links where quote = ?", name)


def loose_quotes_before(connection: Connection, before: str, most: int) -> list[tuple[str, bytes]]:
    """Quotes of no conversation (kept at the command line) that were made before a time and are not cleared yet."""
    rows = connection.rows(
        "select id, body from quotes where conversation is null and erased_at is null and made_at < ? order by made_at limit ?",
        before, most,
    )  # fmt: skip
    return [(row[0], row[1]) for row in rows]


def cleared_body(whole: dict[str, Any]) -> dict[str, Any]:
    """A quote's body without its reading, and with every word that names a person, a site or a place taken out."""
    request = json.loads(json.dumps(whole["request"]))
    job = request.get("job", {})
    words = [job.pop(slot) for slot in PERSONAL_SLOTS if isinstance(job.get(slot), str)]
    place = job.get("place")
    if isinstance(place, dict):
        words += [place.pop(part) for part in ("city", "zip") if isinstance(place.get(part), str)]
        if not place:
            del job["place"]
    clear = _clearer([word for word in words if len(word) >= _SHORTEST_WORD])
    return {
        "request": clear(request),
        "reading": None,
        "quote": clear(whole["quote"]),
        "figures": clear(whole["figures"]),
    }


def _clearer(words: Sequence[str]) -> Callable[[Any], Any]:
    small = [word.casefold() for word in words]

    def clear(node: Any) -> Any:
        if isinstance(node, str):
            folded = node.casefold()
            return ERASED if any(word in folded for word in small) else node
        if isinstance(node, list):
            return [clear(each) for each in node]
        if isinstance(node, dict):
            return {key: clear(value) for key, value in node.items()}
        return node

    return clear
