"""Opens the store that the settings name."""

from bot.settings import Settings
from bot.store.protocol import Store
from bot.store.sqlite import SqliteStore
from bot.usable import UnusableInput


def open_store(settings: Settings) -> Store:
    """The store, made or brought up to date where it has to be.

    Raises:
        bot.store.records.StoreUnusable: it can't be used; the line says what to do.
    """
    if settings.database is None:
        return SqliteStore(settings.sqlite_file)
    # The driver takes a tenth of a second to load: only who wants it waits for it.
    from bot.store.postgres import PostgresStore

    return PostgresStore(settings.database)


def open_kept(settings: Settings) -> Store:
    """The store that the settings name, if anything was ever kept there; asking must not make it.

    Raises:
        UnusableInput: nothing was.
        bot.store.records.StoreUnusable: it can't be used; the line says what to do.
    """
    if settings.database is None and not settings.sqlite_file.exists():
        raise UnusableInput(
            f"nothing is kept in {settings.place} yet: serve, or keep a quote with quote --save"
        )
    return open_store(settings)
