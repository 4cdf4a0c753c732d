"""The store that several servers share: one PostgreSQL database.

A server's number is held by an advisory lock of its writing connection: the number is alive as long as that connection
is, whatever any clock says. A server that loses the connection comes back under another number, and what it held before
is free for whoever looks first.
"""

import logging
import os
import shutil
import subprocess
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any, Final

import psycopg
from psycopg import errors
from psycopg.conninfo import conninfo_to_dict, make_conninfo

from bot.store.ledger import StoreConflict, StoreGone
from bot.store.postgres_queue import JobQueue
from bot.store.postgres_schema import MIGRATIONS
from bot.store.records import StoreUnusable
from bot.store.session import Session
from bot.store.statements import Row

log = logging.getLogger("wattclerk.store")

SETTLED: Final = "wattclerk_settled"
"""The channel on which servers tell each other which messages were settled."""
HOLDERS: Final = 0x77617474
"""The class of our advisory locks ("watt")."""
_MIGRATING: Final = 0x77617475
_FREE_OF_THE_DEAD: Final = (
    "update conversations set held_by = null where held_by is not null and not exists (select 1 from pg_locks l"
    f" where l.locktype = 'advisory' and l.classid = {HOLDERS} and l.objid::bigint = held_by and l.granted"
    " and l.database = (select oid from pg_database where datname = current_database()))"
)
_DEAD: Final = (
    "select holder from unnest(?::bigint[]) as holder where not exists (select 1 from pg_locks l"
    f" where l.locktype = 'advisory' and l.classid = {HOLDERS} and l.objid::bigint = holder and l.granted"
    " and l.database = (select oid from pg_database where datname = current_database()))"
)
_CONNECTING: Final = {"connect_timeout": "5", "application_name": "wattclerk", "keepalives_idle": "20"}
_BOUNDS: Final = "set lock_timeout = '10s'; set idle_in_transaction_session_timeout = '60s'"
"""Nobody waits for ever for what somebody else has locked, nor for a server that was halted in mid-transaction."""
LISTEN_SECONDS: Final = 0.2
"""How long the listener waits at a time before it looks whether it is to end."""


class PostgresStore:
    """Keeps everything in a database. Each of its two connections is used by one thread at a time."""

    shared = True

    def __init__(self, url: str) -> None:
        """Connects, and brings the database up to date.

        Raises:
            StoreUnusable: it can't be reached or used; the line holds no password.
        """
        try:
            self._conninfo = make_conninfo(url, **_CONNECTING)
        except psycopg.ProgrammingError:
            raise StoreUnusable(
                "WATTCLERK_DATABASE: this is not an address like postgresql://user@host/name"
            ) from None
        self._place = _place(self._conninfo)
        self._writing = _Link(self._conninfo, self._place)
        self._reading = _Link(self._conninfo, self._place)
        self._listener: _Listener | None = None
        with self._writing.plainly():
            _migrate(self._writing.connection())

    @property
    def url(self) -> str:
        """What a connection is made with; holds the password, if there is one."""
        return self._conninfo

    @contextmanager
    def transaction(self) -> Iterator[Session]:
        """A transaction that may write; a body that raises has changed nothing.

        Raises:
            StoreGone, StoreConflict: asked for again it is done, and once.
            StoreUnusable: it can't be written; the line says why.
        """
        with self._writing.plainly():
            connection = self._writing.connection()
            queue = JobQueue(connection)
            with connection.transaction():
                yield Session(self._writing, queue, self._writing.holder)
                queue.tell(SETTLED)

    @contextmanager
    def snapshot(self) -> Iterator[Session]:
        """One state of the store, read beside whoever writes."""
        with self._reading.plainly():
            connection = self._reading.connection()
            with connection.transaction():
                yield Session(self._reading, JobQueue(connection))

    def serve(self) -> None:
        """Becomes one of the servers of the database."""
        self._writing.holds = True
        with self._writing.plainly():
            self._writing.connection()

    def watch(self) -> None:
        """Becomes a worker on mail: its number is held as a server's is."""
        self.serve()

    def listen(self, settled: Callable[[list[int]], None]) -> None:
        """Has ``settled`` told, in a thread of its own, which messages other servers have settled."""
        self._listener = _Listener(self._conninfo, settled, lambda: self._writing.backend)

    def backup(self, target: Path) -> None:
        """Writes the whole database to a file that ``pg_restore`` takes, while it is in use.

        Raises:
            StoreUnusable: PostgreSQL's own ``pg_dump`` is not here, or failed.
        """
        program = shutil.which("pg_dump")
        if program is None:
            raise StoreUnusable("pg_dump is not on this machine: install PostgreSQL's client programs")
        part = target.with_name(target.name + ".part")
        try:
            # The password goes by the environment: arguments can be seen by everybody on the machine.
            given = {k: str(v) for k, v in conninfo_to_dict(self._conninfo).items() if v is not None}
            secret = given.pop("password", None)
            environ = dict(os.environ) if secret is None else os.environ | {"PGPASSWORD": secret}
            part.touch(mode=0o600)
            done = subprocess.run(  # noqa: S603  the program's own path, and an address that was parsed
                [program, "--format=custom", f"--file={part}", f"--dbname={make_conninfo(**given)}"],
                env=environ,
                capture_output=True,
                text=True,
                check=False,
            )
            if done.returncode != 0:
                lines = done.stderr.strip().splitlines() or ["it gave no reason"]
                raise StoreUnusable(f"pg_dump failed: {lines[-1]}")
            part.replace(target)
        except OSError as error:
            raise StoreUnusable(f"{target}: the copy can't be written ({error.strerror})") from None
        finally:
            part.unlink(missing_ok=True)

    def sweep(self) -> None:
        """Frees the room of deleted rows, which the database then writes over.

        Raises:
            StoreUnusable: it can't be done now.
        """
        apart = _Link(self._conninfo, self._place)
        with apart.plainly():
            apart.connection().execute("vacuum")
        apart.close()

    def close(self) -> None:
        """Closes the connections; what was held is free."""
        if self._listener is not None:
            self._listener.close()
        self._reading.close()
        self._writing.close()


class _Link:
    """A connection that is made again when it broke."""

    locking = " for update"
    free_of_the_dead = _FREE_OF_THE_DEAD

    def __init__(self, conninfo: str, place: str) -> None:
        self._conninfo = conninfo
        self._place = place
        self._connection: psycopg.Connection[tuple[Any, ...]] | None = None
        self._translated: dict[str, bytes] = {}
        self.holds = False
        self.holder: int | None = None
        self.backend = 0

    def connection(self) -> "psycopg.Connection[tuple[Any, ...]]":
        if self._connection is None or self._connection.closed:
            connection = psycopg.connect(self._conninfo, autocommit=True)
            connection.execute(_BOUNDS)
            self._connection = connection
            self.backend = connection.info.backend_pid
            self.holder = None
        if self.holds and self.holder is None:
            self.holder = self._new_holder(self._connection)
        return self._connection

    def _new_holder(self, connection: "psycopg.Connection[tuple[Any, ...]]") -> int:
        while True:
            row = connection.execute("select nextval('holders')").fetchone()
            assert row is not None  # noqa: S101  nextval gives a row
            got = connection.execute("select pg_try_advisory_lock(%s, %s)", [HOLDERS, row[0]]).fetchone()
            if got is not None and got[0]:
                return int(row[0])

    def rows(self, statement: str, *values: Any) -> list[Row]:
        return self._execute(statement, values).fetchall()  # type: ignore[return-value]

    def run(self, statement: str, *values: Any) -> int:
        return self._execute(statement, values).rowcount

    def _execute(self, statement: str, values: tuple[Any, ...]) -> "psycopg.Cursor[tuple[Any, ...]]":
        assert self._connection is not None  # noqa: S101  within a transaction there is one
        translated = self._translated.get(statement)
        if translated is None:
            translated = self._translated[statement] = statement.replace("?", "%s").encode()
        return self._connection.execute(translated, values)

    def dead(self, workers: Sequence[int]) -> list[int]:
        if not workers:
            return []
        return [row[0] for row in self.rows(_DEAD, list(workers))]

    @contextmanager
    def plainly(self) -> Iterator[None]:
        """Turns what the database refuses into one line for the operator, and tells what may be asked for again."""
        try:
            yield
        except (errors.UniqueViolation, errors.DeadlockDetected, errors.SerializationFailure) as error:
            raise StoreConflict(f"{self._place}: {_first_line(error)}") from error
        except psycopg.Error as error:
            broken = self._connection is None or self._connection.closed or self._connection.broken
            if broken or isinstance(error, errors.CannotConnectNow | errors.AdminShutdown):
                self.close()
                raise StoreGone(f"{self._place}: can't be reached ({_first_line(error)})") from None
            if isinstance(error, psycopg.OperationalError):
                raise StoreUnusable(f"{self._place}: can't be used ({_first_line(error)})") from None
            raise

    def close(self) -> None:
        if self._connection is not None:
            with suppress(psycopg.Error):
                self._connection.close()
        self._connection = None
        self.holder = None


class _Listener:
    """A thread that hears which messages were settled; what it misses while the connection is broken, senders look for."""

    def __init__(self, conninfo: str, settled: Callable[[list[int]], None], ours: Callable[[], int]) -> None:
        self._conninfo = conninfo
        self._settled = settled
        self._ours = ours
        self._closing = threading.Event()
        self._thread = threading.Thread(target=self._listen, name="store-listens", daemon=True)
        self._thread.start()

    def close(self) -> None:
        self._closing.set()
        self._thread.join()

    def _listen(self) -> None:
        while not self._closing.is_set():
            try:
                with psycopg.connect(self._conninfo, autocommit=True) as connection:
                    connection.execute(f"listen {SETTLED}")
                    while not self._closing.is_set():
                        for told in connection.notifies(timeout=LISTEN_SECONDS):
                            if told.pid != self._ours():
                                self._settled([int(number) for number in told.payload.split(",")])
                            if self._closing.is_set():
                                break
            except psycopg.Error as error:
                log.warning("what other servers settle can't be heard: %s", _first_line(error))
                self._closing.wait(5 * LISTEN_SECONDS)


def _migrate(connection: "psycopg.Connection[tuple[Any, ...]]") -> None:
    """One server at a time brings the tables up to date; the others wait and find it done."""
    connection.execute("select pg_advisory_lock(%s)", [_MIGRATING])
    try:
        with connection.transaction():
            connection.execute(
                "create table if not exists migrations (name text primary key, applied_at timestamptz default now())"
            )
            applied = {name for (name,) in connection.execute("select name from migrations").fetchall()}
            for name, statements in MIGRATIONS:
                if name not in applied:
                    connection.execute(statements.encode())
                    connection.execute("insert into migrations (name) values (%s)", [name])
            JobQueue(connection).make_tables()
    finally:
        if not connection.closed:
            connection.execute("select pg_advisory_unlock(%s)", [_MIGRATING])


def _place(conninfo: str) -> str:
    given = conninfo_to_dict(conninfo)
    return f"PostgreSQL {given.get('dbname') or ''} at {given.get('host') or 'this machine'}"


def _first_line(error: psycopg.Error) -> str:
    return (str(error).strip().splitlines() or [type(error).__name__])[0]
