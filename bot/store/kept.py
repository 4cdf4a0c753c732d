"""Keeps a single quote for the command line."""

from pathlib import Path

from bot.assistant import Turn
from bot.clock import stamp, utc_now
from bot.inbox import new_secret, quote_to_keep
from bot.store.sqlite import SqliteStore


def keep_quote(database: Path, turn: Turn) -> str:
    """Keeps the quote of ``turn`` and gives the id that it can be asked for by.

    Raises:
        bot.store.records.StoreUnusable: the store can't be written.
    """
    store = SqliteStore(database)
    try:
        kept = quote_to_keep(new_secret(), stamp(utc_now()), turn)
        store.keep_quote(kept)
        return kept.id
    finally:
        store.close()
