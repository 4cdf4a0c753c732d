"""The one protocol of every store."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import Protocol

from bot.store.session import Session


class Store(Protocol):
    """Conversations, messages, quotes, replies, and what quotes are made from.

    ``transaction`` and ``snapshot`` stand on connections of their own; each is used by one thread at a time.

    Attributes:
        shared: whether several servers may serve it at once.
    """

    shared: bool

    def transaction(self) -> AbstractContextManager[Session]:
        """A transaction that may write; a body that raises has changed nothing.

        Raises:
            bot.store.records.StoreUnusable: the store can't be written; the line says why.
            bot.store.ledger.StoreGone: the connection broke; what was asked for may or may not have been done.
        """

    def snapshot(self) -> AbstractContextManager[Session]:
        """One state of the store, read beside whoever writes."""

    def serve(self) -> None:
        """Becomes a server of the store: from now on conversations can be held.

        Raises:
            bot.store.records.StoreUnusable: it has a server, and takes one only.
        """

    def watch(self) -> None:
        """Becomes a worker on mail: from now on mails can be held. Any number of processes may, beside a server.

        Raises:
            bot.store.records.StoreUnusable: there are too many already.
        """

    def listen(self, settled: Callable[[list[int]], None]) -> None:
        """Has ``settled`` told, from another thread, which messages other servers have settled."""

    def backup(self, target: Path) -> None:
        """Writes a consistent copy to a file, while the store is in use.

        Raises:
            bot.store.records.StoreUnusable: the copy can't be written.
        """

    def sweep(self) -> None:
        """Writes over what was deleted, so that it is in no file of the store any more; its backups are others' business.

        Raises:
            bot.store.records.StoreUnusable: it can't be done now.
        """

    def close(self) -> None:
        """Closes the store."""
