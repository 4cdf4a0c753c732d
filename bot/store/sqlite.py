"""The default store: one SQLite file, written ahead (WAL) and flushed at every commit.

"We have it" is said only after a commit, so ``synchronous`` is FULL: a power loss takes nothing that was acknowledged.
One server at a time serves a file and is its one writer but for commands, which wait their turn.
"""

import fcntl
import os
import sqlite3
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from sqlite_utils import Database

from bot.store.records import StoreUnusable
from bot.store.session import Session
from bot.store.sqlite_schema import migrations
from bot.store.statements import Row

BUSY_MS: Final = 5000
HOLDER: Final = 1
"""The one server's number."""
MOST_WATCHERS: Final = 64
"""Processes that work on mail at once."""


class SqliteStore:
    """Keeps everything in one file. Each of its two connections is used by one thread at a time."""

    shared = False

    def __init__(self, path: Path) -> None:
        """Opens the file, makes it where it is missing, and brings an older one up to date.

        Raises:
            StoreUnusable: the folder or the file can't be used.
        """
        self._path = path
        self._lock: int | None = None
        self._watching: tuple[int, int] | None = None
        with plainly(path):
            path.parent.mkdir(parents=True, exist_ok=True)
            # What customers wrote is nobody else's business on this machine.
            path.touch(mode=0o600, exist_ok=True)
            self._writing = _Link(path)
            try:
                with _alone_in(path.parent):
                    # Two first starts at once: the second waits, and finds the work done.
                    _write_ahead(self._writing.database)
                    migrations.apply(self._writing.database)
                self._reading = _Link(path)
            except BaseException:
                self._writing.close()
                raise

    @property
    def database(self) -> Database:
        """The writing connection."""
        return self._writing.database

    @contextmanager
    def transaction(self) -> Iterator[Session]:
        """A transaction that may write; a body that raises has changed nothing.

        Raises:
            StoreUnusable: the file can't be written; the line says why.
        """
        with plainly(self._path), self._writing.begin("immediate"):
            yield Session(self._writing, _RowsAreTheQueue(), self._holder)

    @property
    def _holder(self) -> int | None:
        """Of conversations where this serves the file; of mails, under numbers of their own, where it works on mail."""
        if self._watching is not None:
            return self._watching[0]
        return HOLDER if self._lock is not None else None

    @contextmanager
    def snapshot(self) -> Iterator[Session]:
        """One state of the store, read beside whoever writes.

        Raises:
            StoreUnusable: the file can't be read.
        """
        with plainly(self._path), self._reading.begin("deferred"):
            yield Session(self._reading, _RowsAreTheQueue())

    def serve(self) -> None:
        """Becomes the server of the file, until it is closed or the process ends, however it ends.

        Raises:
            StoreUnusable: another process serves it.
        """
        with plainly(self._path):
            lock = os.open(self._path.with_name(self._path.name + "-serving"), os.O_RDWR | os.O_CREAT, 0o600)
            try:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                os.close(lock)
                raise StoreUnusable(
                    f"{self._path}: another server has this store: stop it first (--workers makes one server use all cores;"
                    " several servers share a PostgreSQL store)"
                ) from None
            self._lock = lock
            # Whoever held a conversation is gone.
            with self._writing.begin("immediate"):
                self._writing.run("update conversations set held_by = null where held_by is not null")

    def watch(self) -> None:
        """Becomes a worker on mail, under a number that is locked until the store is closed or the process ends.

        Raises:
            StoreUnusable: there are too many already.
        """
        with plainly(self._path):
            for number in range(1, MOST_WATCHERS + 1):
                lock = _locked(self._path, number)
                if lock is not None:
                    self._watching = number, lock
                    with self._writing.begin("immediate"):
                        # Whoever had this number before is gone.
                        self._writing.run("update mails set held_by = null where held_by = ?", number)
                    return
        raise StoreUnusable(f"{self._path}: {MOST_WATCHERS} processes work on mail already: stop one first")

    def listen(self, settled: Callable[[list[int]], None]) -> None:
        """There is no other server to hear of."""

    def backup(self, target: Path) -> None:
        """Writes a consistent copy of the file, while it is in use.

        Raises:
            StoreUnusable: the copy can't be written, or isn't sound.
        """
        part = target.with_name(target.name + ".part")
        with plainly(target):
            part.unlink(missing_ok=True)
            part.touch(mode=0o600)
            copy = sqlite3.connect(part, isolation_level=None)
            try:
                # In one step: a copy in several would begin anew whenever somebody else writes.
                self._reading.database.conn.backup(copy, pages=-1)
                copy.execute("pragma journal_mode = delete")
                faults = [row[0] for row in copy.execute("pragma integrity_check(5)")]
            finally:
                copy.close()
            if faults != ["ok"]:
                raise StoreUnusable(f"{self._path}: the copy is not sound ({faults[0]}): check the disk")
            with part.open("rb") as file:
                os.fsync(file.fileno())
            part.replace(target)

    def sweep(self) -> None:
        """Empties the write-ahead log, whose older pages still hold what was deleted from the file.

        Raises:
            StoreUnusable: somebody reads all the time.
        """
        with plainly(self._path):
            apart = sqlite3.connect(self._path, timeout=BUSY_MS / 1000, isolation_level=None)
            try:
                busy = apart.execute("pragma wal_checkpoint(truncate)").fetchone()[0]
            finally:
                apart.close()
        if busy:
            raise StoreUnusable(
                f"{self._path}: it is in use all the time, so traces of what was erased may remain: try again"
            )

    def close(self) -> None:
        """Closes the file, and serves it no longer."""
        self._reading.close()
        self._writing.close()
        if self._lock is not None:
            os.close(self._lock)
            self._lock = None
        if self._watching is not None:
            os.close(self._watching[1])
            self._watching = None


@contextmanager
def _alone_in(folder: Path) -> Iterator[None]:
    """One process at a time makes a file of this folder, or brings it up to date; it may end in the middle."""
    lock = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield
    finally:
        os.close(lock)


def _write_ahead(database: Database) -> None:
    """Has the file written ahead. Whoever asks for that while somebody writes is refused at once, whatever its patience."""
    until = time.monotonic() + BUSY_MS / 1000
    while True:
        try:
            database.enable_wal()
        except sqlite3.OperationalError as error:
            # The last byte is the fault, what stands above it its kind: another one recovers, say.
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
            time.sleep(0.02)
        else:
            return


class _Link:
    """A connection to the file. Only one of them writes at a time, from the begin of its transaction on."""

    locking = ""
    free_of_the_dead = ""

    def __init__(self, path: Path) -> None:
        self._path = path
        connection = sqlite3.connect(
            path, timeout=BUSY_MS / 1000, check_same_thread=False, isolation_level=None, cached_statements=256
        )
        self.database = Database(connection)
        self._execute = connection.execute
        self._connection = connection
        for pragma in (
            "synchronous = FULL",
            "foreign_keys = ON",
            "cache_size = -32000",
            "temp_store = MEMORY",
            # What is erased is written over in its page.
            "secure_delete = ON",
        ):
            self._execute(f"pragma {pragma}")

    @contextmanager
    def begin(self, kind: str) -> Iterator[None]:
        self._execute(f"begin {kind}")
        try:
            yield
            self._execute("commit")
        except BaseException:
            # A full disk may have ended the transaction already.
            if self._connection.in_transaction:
                self._execute("rollback")
            raise

    def rows(self, statement: str, *values: Any) -> list[Row]:
        return self._execute(statement, values).fetchall()

    def run(self, statement: str, *values: Any) -> int:
        return self._execute(statement, values).rowcount

    def dead(self, workers: Sequence[int]) -> list[int]:
        gone = []
        for number in workers:
            lock = _locked(self._path, number)
            if lock is not None:
                os.close(lock)
                gone.append(number)
        return gone

    def close(self) -> None:
        self.database.close()


def _locked(path: Path, number: int) -> int | None:
    """The lock of a mail worker's number; ``None`` where a living process has it."""
    lock = os.open(path.with_name(f"{path.name}-mail-{number}"), os.O_RDWR | os.O_CREAT, 0o600)
    try:
        fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        os.close(lock)
        return None
    return lock


class _RowsAreTheQueue:
    """With one server, the waiting rows themselves are the queue: it looks at them."""

    def answer_later(self, conversation: str, at: str | None) -> None:
        """Nothing to do."""

    def send_later(self, reply: int, at: str | None) -> None:
        """Nothing to do."""

    def settled(self, message: int) -> None:
        """Nothing to do."""


@contextmanager
def plainly(path: Path) -> Iterator[None]:
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
