"""What a server asks again and again goes by an index, so that it takes no longer however much is kept."""

from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from bot.store.session import Session
from bot.store.sqlite import SqliteStore
from bot.watch.depths import depths, oldest_seconds

NOW, FAR = "2026-01-31T09:05:00.000Z", "2026-01-31T10:05:00.000Z"
AT = datetime(2026, 1, 31, 9, 5, tzinfo=UTC)

ASKED_AGAIN: dict[str, Callable[[Session], object]] = {
    "the queue: messages": lambda s: s.free_conversations(NOW, FAR),
    "the queue: replies": lambda s: s.due_replies(NOW, FAR),
    "metrics": lambda s: depths(s.connection, "root", AT),
    "readiness": lambda s: oldest_seconds(s.connection, AT),
    "what staff must look at": lambda s: s.aside(50),
    "the mail watcher: open mails": lambda s: s.open_mails("desk", "INBOX", NOW),
    "the mail watcher: what the dead held": lambda s: s.free_mails_of_the_dead(),
    "the mail watcher: next due": lambda s: s.next_mail_due(),
    "the mail watcher: tags": lambda s: s.untagged("desk", "INBOX", 1),
}


@pytest.mark.parametrize("asked", ASKED_AGAIN)
def test_no_table_is_read_through(asked: str, tmp_path: Path) -> None:
    statements: list[str] = []
    with closing(SqliteStore(tmp_path / "store.db")) as store:
        connection = store._reading.database.conn
        with store.snapshot() as session:
            connection.set_trace_callback(statements.append)
            ASKED_AGAIN[asked](session)
            connection.set_trace_callback(None)
        tables = {row[0] for row in connection.execute("select name from sqlite_master where type = 'table'")}
        steps = [
            (statement, row[3])
            for statement in statements
            if statement.startswith("select")
            for row in connection.execute(f"explain query plan {statement}")
        ]

    assert steps
    # an index that holds only what waits or failed may be read through, and so may what was found by one
    aliases = {"m", "o", "c", "p", "s"}
    assert [step for step in steps if step[1].removeprefix("SCAN ") in tables | aliases] == []
