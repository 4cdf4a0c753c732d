"""Opens the store that the settings name."""

from bot.settings import Settings
from bot.store.protocol import Store
from bot.store.sqlite import SqliteStore


def open_store(settings: Settings) -> Store:
    """The store, made or brought up to date where it has to be.

    Raises:
        bot.store.records.StoreUnusable: it can't be used; the line says what to do.
    """
    return SqliteStore(settings.sqlite_file)
