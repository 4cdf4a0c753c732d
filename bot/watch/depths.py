"""How deep the queues are, by questions that stay quick however much is kept."""

from datetime import datetime
from typing import Final

from bot.clock import stamp
from bot.store.records import Counts
from bot.store.session import Connection
from bot.watch.metrics import Depths

_WAITING: Final = {
    "messages": {
        "waiting": "select count(*) from messages where state = 'waiting'",
        "aside": "select count(*) from messages where state = 'aside'",
    },
    "replies": {
        "waiting": "select count(*) from outbox where state = 'waiting' and next_try_at is not null",
        "failed": "select count(*) from outbox where state = 'failed'",
    },
    "mails": {
        "open": "select count(*) from mails where state <> 'settled'",
        "troubled": "select count(*) from mails where state <> 'settled' and trouble is not null",
    },
    "sends": {
        "failed": "select count(*) from mail_sends where state <> 'sent' and state = 'failed'",
        "unsure": "select count(*) from mail_sends where state <> 'sent' and state = 'unsure'",
        "sending": "select count(*) from mail_sends where state <> 'sent' and state = 'sending'",
    },
}


def depths(connection: Connection, catalogue: str, now: datetime) -> Depths:
    """What waits and what failed, for how long, and how old the catalogue of that root is."""
    counts = {
        kind: {state: int(connection.rows(statement)[0][0]) for state, statement in states.items()}
        for kind, states in _WAITING.items()
    }
    imported = connection.rows("select min(imported_at) from catalogues where root = ?", catalogue)[0][0]
    # The first number is the earliest found; asked for the least moment, the store would go through all that are settled.
    found = connection.rows("select taken_at from mails where state <> 'settled' order by number limit 1")
    return Depths(
        counts=Counts(messages=counts["messages"], replies=counts["replies"]),
        oldest_seconds=oldest_seconds(connection, now),
        catalogue_seconds=_since(imported, now),
        mails=counts["mails"],
        sends=counts["sends"],
        oldest_mail_seconds=_since(found[0][0] if found else None, now),
    )


def oldest_seconds(connection: Connection, now: datetime) -> float:
    """How long the longest waiting message that is due has waited [s]; 0 where none is."""
    at = stamp(now)
    rows = connection.rows(
        "select min(received_at) from messages where state = 'waiting' and (next_try_at is null or next_try_at <= ?)",
        at,
    )
    return _since(rows[0][0], now)


def _since(at: str | None, now: datetime) -> float:
    return 0.0 if at is None else max(0.0, (now - datetime.fromisoformat(at)).total_seconds())
