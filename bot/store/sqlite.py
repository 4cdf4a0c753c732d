"""The default store: one SQLite file, written ahead (WAL) and flushed at every commit.

"We have it" is said only after a commit, so ``synchronous`` is FULL: a power loss takes nothing that was acknowledged.
Everything that is not a key is JSON text; a Decimal is in it as text, never as a float.
"""

import json
import sqlite3
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from sqlite_utils import Database, Migrations

from bot.store.records import KeptQuote, KeptTurn, StoreUnusable

migrations: Final = Migrations("wattclerk")
_BUSY_MS: Final = 5000


@migrations()
def m001_conversations(db: Database) -> None:
    """Conversations, their messages with answers, and quotes."""
    db.create_table(
        "conversations",
        {"id": str, "channel": str, "begun_at": str, "opened_by": str, "state": str},
        pk="id",
        not_null={"channel", "begun_at"},
        strict=True,
    ).create_index(["opened_by"], unique=True)
    db.create_table(
        "quotes",
        {
            "id": str,
            "conversation": str,
            "made_at": str,
            "language": str,
            "request": str,
            "quote": str,
            "figures": str,
            "catalog_version": str,
            "tables_version": str,
        },
        pk="id",
        not_null={"made_at", "language", "request", "quote", "figures"},
        foreign_keys=[("conversation", "conversations", "id")],
        strict=True,
    )
    db.create_table(
        "messages",
        {
            "conversation": str,
            "turn": int,
            "message_id": str,
            "received_at": str,
            "text": str,
            "changes": str,
            "asked": str,
            "reading": str,
            "answer": str,
            "quote": str,
        },
        pk=("conversation", "turn"),
        not_null={"message_id", "received_at", "text", "changes", "reading", "answer"},
        foreign_keys=[("conversation", "conversations", "id"), ("quote", "quotes", "id")],
        strict=True,
    ).create_index(["conversation", "message_id"], unique=True)


class SqliteStore:
    """Keeps conversations and quotes in one file. Used by one thread at a time."""

    def __init__(self, path: Path) -> None:
        """Opens the file, makes it where it is missing, and brings an older one up to date.

        Raises:
            StoreUnusable: the folder or the file can't be used.
        """
        with _plainly(path):
            path.parent.mkdir(parents=True, exist_ok=True)
            # What customers wrote is nobody else's business on this machine.
            path.touch(mode=0o600, exist_ok=True)
            self._connection = sqlite3.connect(path, check_same_thread=False, isolation_level=None)
            try:
                self.database = Database(self._connection)
                self.database.execute(f"pragma busy_timeout = {_BUSY_MS}")
                self.database.enable_wal()
                self.database.execute("pragma synchronous = FULL")
                self.database.execute("pragma foreign_keys = ON")
                migrations.apply(self.database)
            except BaseException:
                self._connection.close()
                raise
        self._path = path

    def begin(self, conversation: str, channel: str, at: str, opened_by: str | None = None) -> None:
        """Opens a conversation."""
        with _plainly(self._path):
            self._insert(
                "conversations",
                {"id": conversation, "channel": channel, "begun_at": at, "opened_by": opened_by},
            )

    def opened_by(self, message_id: str) -> str | None:
        """The conversation that this message opened."""
        row = self._one("select id from conversations where opened_by = ?", message_id)
        return None if row is None else str(row["id"])

    def exists(self, conversation: str) -> bool:
        """True for a conversation that was begun."""
        return self._one("select id from conversations where id = ?", conversation) is not None

    def turns(self, conversation: str) -> list[KeptTurn]:
        """All turns, first to last."""
        rows = self.database.query(
            "select * from messages where conversation = ? order by turn", [conversation]
        )
        return [_turn(row) for row in rows]

    def turn_of(self, conversation: str, message_id: str) -> KeptTurn | None:
        """The turn that a message led to, if it came before."""
        row = self._one(
            "select * from messages where conversation = ? and message_id = ?", conversation, message_id
        )
        return None if row is None else _turn(row)

    def state(self, conversation: str) -> str | None:
        """What the conversation had come to after its last kept turn, as it was handed in."""
        row = self._one("select state from conversations where id = ?", conversation)
        return None if row is None else row["state"]

    def keep(self, conversation: str, turn: KeptTurn, quote: KeptQuote | None, state: str) -> None:
        """Keeps a message with its answer, its quote and the state after it, all or nothing."""
        with _plainly(self._path), self.database.atomic():
            self.database.execute("update conversations set state = ? where id = ?", [state, conversation])
            if quote is not None:
                self._insert("quotes", _quote_row(quote, conversation))
            self._insert(
                "messages",
                {
                    "conversation": conversation,
                    "turn": turn.turn,
                    "message_id": turn.message_id,
                    "received_at": turn.received_at,
                    "text": turn.text,
                    "changes": _text(list(turn.changes)),
                    "asked": turn.asked,
                    "reading": _text(turn.reading),
                    "answer": _text(turn.answer),
                    "quote": turn.quote_id,
                },
            )

    def keep_quote(self, quote: KeptQuote) -> None:
        """Keeps a quote that belongs to no conversation."""
        with _plainly(self._path):
            self._insert("quotes", _quote_row(quote, None))

    def quote(self, quote_id: str) -> KeptQuote | None:
        """The quote of that id."""
        row = self._one("select * from quotes where id = ?", quote_id)
        if row is None:
            return None
        return KeptQuote(
            id=row["id"],
            made_at=row["made_at"],
            request=json.loads(row["request"]),
            quote=json.loads(row["quote"]),
            figures=json.loads(row["figures"]),
            language=row["language"],
        )

    def close(self) -> None:
        """Closes the file."""
        self.database.close()

    def _one(self, sql: str, *values: Any) -> dict[str, Any] | None:
        return next(iter(self.database.query(sql, list(values))), None)

    def _insert(self, table: str, row: Mapping[str, Any]) -> None:
        columns = ", ".join(f"[{name}]" for name in row)
        marks = ", ".join("?" for _ in row)
        self.database.execute(
            f"insert into [{table}] ({columns}) values ({marks})",  # noqa: S608  names are this module's own
            list(row.values()),
        )


@contextmanager
def _plainly(path: Path) -> Iterator[None]:
    """Turns what the disk refuses into one line for the operator. A key that is there twice stays a programmer's error."""
    try:
        yield
    except sqlite3.IntegrityError:
        raise
    except sqlite3.DatabaseError as error:
        raise StoreUnusable(
            f"{path}: the store can't be used ({error}): free the disk, or set WATTCLERK_DATA_FOLDER elsewhere"
        ) from None
    except OSError as error:
        raise StoreUnusable(
            f"{path}: the store can't be made ({error.strerror}): set WATTCLERK_DATA_FOLDER to a folder that can be written"
        ) from None


def _quote_row(quote: KeptQuote, conversation: str | None) -> dict[str, Any]:
    return {
        "id": quote.id,
        "conversation": conversation,
        "made_at": quote.made_at,
        "language": quote.language,
        "request": _text(quote.request),
        "quote": _text(quote.quote),
        "figures": _text(quote.figures),
        "catalog_version": quote.quote.get("catalog_version"),
        "tables_version": quote.quote.get("tables_version"),
    }


def _turn(row: Mapping[str, Any]) -> KeptTurn:
    return KeptTurn(
        turn=row["turn"],
        message_id=row["message_id"],
        received_at=row["received_at"],
        text=row["text"],
        changes=json.loads(row["changes"]),
        asked=row["asked"],
        reading=json.loads(row["reading"]),
        answer=json.loads(row["answer"]),
        quote_id=row["quote"],
    )


def _text(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
