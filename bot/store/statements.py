"""The base of all statements: a connection within a transaction, and rows as the records that they stand for.

Statements are written with ``?`` for a value. Names of tables and columns never come from outside.
"""

import json
import zlib
from collections.abc import Sequence
from typing import Any, Final, Protocol

from bot.pressing import Change
from bot.store.records import KeptTurn, Work

Row = Sequence[Any]
TURN: Final = "turn, message_id, received_at, text, changes, asked, reading, answer, quote"
WORK: Final = "number, message_id, channel, received_at, text, changes, attempts"
MOST_AT_ONCE: Final = 100
"""Conversations or replies that one look finds; the next look finds the rest."""


class Connection(Protocol):
    """A connection within a transaction.

    Attributes:
        locking: ends a query so that what it found stays as it is until the transaction ends.
        free_of_the_dead: the statement that lets go of what servers held that are gone; "" where there can be none.
    """

    locking: str
    free_of_the_dead: str

    def rows(self, statement: str, *values: Any) -> list[Row]:
        """What a query gives."""

    def run(self, statement: str, *values: Any) -> int:
        """How many rows a statement changed."""

    def dead(self, workers: Sequence[int]) -> list[int]:
        """Those of these mail workers whose processes are gone."""


class Queue(Protocol):
    """Asks for work within the transaction that makes it necessary; where the rows themselves are the queue, does nothing."""

    def answer_later(self, conversation: str, at: str | None) -> None:
        """Somebody is to answer the conversation's waiting messages, not before ``at``."""

    def send_later(self, reply: int, at: str | None) -> None:
        """Somebody is to send a reply, not before ``at``."""

    def settled(self, message: int) -> None:
        """Whoever waits for a message's answer, on any server, may look once this is committed."""


class Statements:
    """What every part of a session stands on. ``holder`` is this server's number among those that share the store."""

    def __init__(self, connection: Connection, queue: Queue, holder: int | None = None) -> None:
        self._connection = connection
        self._queue = queue
        self._holder = holder

    def _one(self, statement: str, *values: Any) -> Row | None:
        rows = self._connection.rows(statement, *values)
        return rows[0] if rows else None

    def _rows(self, statement: str, *values: Any) -> list[Row]:
        return self._connection.rows(statement, *values)

    def _run(self, statement: str, *values: Any) -> int:
        return self._connection.run(statement, *values)


def turn_of(row: Row) -> KeptTurn:
    turn, message_id, received_at, text, changes, asked, reading, answer, quote = row
    return KeptTurn(
        turn, message_id, received_at, text, changes, asked, reading, zlib.decompress(answer), quote
    )


def work_of(conversation: str, row: Row) -> Work:
    number, message_id, channel, received_at, text, changes, attempts, turns = row[:8]
    return Work(
        conversation, number, message_id, channel, received_at, text, changes_of(changes), attempts, turns
    )


def changes_of(text: str) -> tuple[Change, ...]:
    return () if text == "[]" else tuple(Change(c["path"], c["value"]) for c in json.loads(text))
