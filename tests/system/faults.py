"""Faults under load, and what they did: messages lost, doubled, out of order; and whether the store is sound.

    python -m tests.system.faults --kills 200                  # everything, on both stores
    python -m tests.system.faults --kills 200 --store sqlite
    python -m tests.system.faults --kills 200 --workers 2      # every server with two answering processes: a minute for twenty kills

How far it has come is told on standard error; with ``--only kills`` nothing but the kills is done.

Every conversation here sends its messages one after another, as a chat page does: again and again under the same id until
it is answered, some of them twice at once, and now and then one that was answered long ago.
"""

import argparse
import asyncio
import hashlib
import json
import math
import os
import random  # noqa: TID251  which fault comes when
import resource
import signal
import socket
import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Iterator
from contextlib import asynccontextmanager, closing, contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final

import psycopg
from aiohttp import ClientError, ClientSession, ClientTimeout, TCPConnector
from aiohttp.test_utils import TestServer

from bot.app import build_app
from bot.settings import Settings
from bot.store.opened import open_store
from bot.store.protocol import Store
from tests.postgres import Cluster, postgres_programs
from tests.system.forks import forked

ROOT: Final = Path(__file__).resolve().parents[2]
PATIENCE: Final = 120.0
SENDERS_PATIENCE: Final = 600.0
"""Long: where servers are killed faster than a busy machine starts them, an answer may take many lives of a server."""
STARTING_PATIENCE: Final = 900.0
"""For a server to start; with little of a busy machine, and answering processes to start too, that has taken minutes."""
LONGEST: Final = 25
"""Turns of a conversation; then its sender begins another."""


@dataclass
class Counts:
    """What a fault did.

    Attributes:
        acknowledged: turns that senders were given.
        tries: requests that were made for them.
        faults: how often the fault was injected.
        unsound: what checks of the database found.
    """

    name: str
    acknowledged: int = 0
    tries: int = 0
    faults: int = 0
    lost: int = 0
    doubled: int = 0
    misplaced: int = 0
    unsound: list[str] = field(default_factory=list)

    @property
    def clean(self) -> bool:
        return not (self.lost or self.doubled or self.misplaced or self.unsound) and self.acknowledged > 0

    def __str__(self) -> str:
        sound = "sound" if not self.unsound else "; ".join(self.unsound)
        return (
            f"{self.name:<48} faults {self.faults:>4}  acknowledged {self.acknowledged:>6}  requests {self.tries:>6}"
            f"  lost {self.lost}  doubled {self.doubled}  wrong order {self.misplaced}  database {sound}"
        )


@dataclass
class Talk:
    """One conversation as its sender knows it."""

    number: int
    conversation: str | None = None
    turns: list[dict[str, Any]] = field(default_factory=list)

    @staticmethod
    def text(turn: int) -> str:
        return "12 wallpacks 250w" if turn == 0 else f"make it {turn + 20}"

    @staticmethod
    def quantity(turn: int) -> int:
        return 12 if turn == 0 else turn + 20


class Load:
    """Conversations that go on whatever happens to the servers."""

    def __init__(self, addresses: list[str], talks: int, seed: int = 1) -> None:
        self.addresses = addresses
        self.talks: list[Talk] = []
        self._side_by_side = talks
        self.tries = 0
        self.differed: list[str] = []
        self.gave_up: list[str] = []
        self._chance = random.Random(seed)  # noqa: S311  no secret
        self._ending = False

    async def run(self, session: ClientSession) -> None:
        await asyncio.gather(*(self._talk_on(session) for _ in range(self._side_by_side)))

    def end(self) -> None:
        self._ending = True

    @property
    def acknowledged(self) -> int:
        return sum(len(talk.turns) for talk in self.talks)

    async def _talk_on(self, session: ClientSession) -> None:
        while not self._ending:
            self.talks.append(Talk(len(self.talks)))
            await self._talk(session, self.talks[-1])

    async def _talk(self, session: ClientSession, talk: Talk) -> None:
        while not self._ending and len(talk.turns) < LONGEST:
            turn = len(talk.turns)
            copies = 2 if self._chance.random() < 0.15 else 1
            answers = await asyncio.gather(
                *(self._until_answered(session, talk, turn) for _ in range(copies))
            )
            if answers[0] is None:
                return
            if any(other != answers[0] for other in answers[1:] if other is not None):
                self.differed.append(f"talk {talk.number}, turn {turn}: two answers to one id")
            talk.conversation = answers[0]["conversation"]
            talk.turns.append(answers[0])
            if turn > 1 and self._chance.random() < 0.1:
                earlier = self._chance.randrange(turn)
                again = await self._until_answered(session, talk, earlier)
                if again is not None and again != talk.turns[earlier]:
                    self.differed.append(f"talk {talk.number}, turn {earlier}: answered differently later")

    async def _until_answered(self, session: ClientSession, talk: Talk, turn: int) -> dict[str, Any] | None:
        message = {"message_id": f"talk-{talk.number:06d}-turn-{turn:06d}", "text": talk.text(turn)}
        if turn > 0 and talk.conversation is not None:
            message["conversation"] = talk.conversation
        until = time.monotonic() + SENDERS_PATIENCE
        while time.monotonic() < until:
            self.tries += 1
            address = self._chance.choice(self.addresses)
            try:
                async with session.post(f"{address}/api/messages", json=message) as answer:
                    body = await answer.json()
                    if answer.status == 200:
                        # The text alone is long; what is compared is all of it.
                        body["answer"] = hashlib.sha256(json.dumps(body["answer"]).encode()).hexdigest()
                        return body
                    if answer.status < 500:
                        self.gave_up.append(f"{message['message_id']}: {answer.status} {body}")
                        return None
            except (ClientError, TimeoutError, OSError, ValueError):
                pass
            await asyncio.sleep(0.02 + 0.08 * self._chance.random())
        self.gave_up.append(f"{message['message_id']}: no answer within {SENDERS_PATIENCE:g} s")
        return None


@asynccontextmanager
async def under_load(addresses: list[str], talks: int = 8, seed: int = 1) -> AsyncIterator[Load]:
    """A load that ends, every message answered, when the block does; it never ends before."""
    load = Load(addresses, talks, seed)
    timeout = ClientTimeout(total=20)
    async with ClientSession(timeout=timeout, connector=TCPConnector(limit=0)) as session:
        running = asyncio.create_task(load.run(session))
        try:
            yield load
        finally:
            load.end()
            await running


def checked(name: str, load: Load, settings: Settings, faults: int) -> Counts:
    """What became of all that was acknowledged, once no server runs any more."""
    counts = Counts(name, load.acknowledged, load.tries, faults)
    counts.unsound += load.differed + load.gave_up + soundness(settings)
    with closing(open_store(settings)) as store, store.snapshot() as session:
        for talk in load.talks:
            kept = [] if talk.conversation is None else session.turns(talk.conversation)
            names = [turn.message_id for turn in kept]
            counts.lost += sum(turn["message_id"] not in names for turn in talk.turns)
            counts.doubled += len(names) - len(set(names))
            for place, turn in enumerate(kept):
                reading = json.loads(turn.reading)
                right = (
                    turn.turn == place
                    and turn.message_id == f"talk-{talk.number:06d}-turn-{place:06d}"
                    and reading["lines"][0]["qty"] == talk.quantity(place)
                )
                counts.misplaced += not right
            quotes = [turn.quote_id for turn in kept]
            counts.doubled += len(quotes) - len(set(quotes))
            same = [turn["quote_id"] for turn in talk.turns] == quotes[: len(talk.turns)]
            if not same:
                counts.unsound.append(f"talk {talk.number}: acknowledged quotes are not those that are kept")
        all_of_it = session.counts()
        turns = sum(len(session.turns(talk.conversation)) for talk in load.talks if talk.conversation)
        counts.doubled += abs(all_of_it.quotes - turns) + abs(sum(all_of_it.replies.values()) - turns)
        if all_of_it.messages.get("waiting", 0) or all_of_it.messages.get("aside", 0):
            counts.unsound.append(f"messages left: {dict(all_of_it.messages)}")
    return counts


def soundness(settings: Settings) -> list[str]:
    """What checks of the database itself find."""
    found = []
    questions = {
        "answered messages without a quote that is kept": "select count(*) from messages m left join quotes q"
        " on q.id = m.quote where m.state = 'answered' and q.id is null",
        "replies to nothing": "select count(*) from outbox o left join messages m on m.number = o.message"
        " where m.number is null or m.state <> 'answered'",
        "turns that don't count up": "select count(*) from conversations c where c.turns <>"
        " (select count(*) from messages m where m.conversation = c.id and m.turn is not null)",
        "conversations held by nobody that lives": "select count(*) from conversations where held_by is not null",
    }
    if settings.database is None:
        with closing(sqlite3.connect(settings.sqlite_file)) as database:
            lines = [row[0] for row in database.execute("pragma integrity_check")]
            found += [] if lines == ["ok"] else lines
            found += [f"foreign key: {row}" for row in database.execute("pragma foreign_key_check")]
            answers = {name: database.execute(query).fetchone()[0] for name, query in questions.items()}
    else:
        with psycopg.connect(settings.database) as connection:
            answers = {}
            for name, query in questions.items():
                row = connection.execute(query.encode()).fetchone()
                answers[name] = 0 if row is None else row[0]
    return found + [f"{count} {name}" for name, count in answers.items() if count]


# Servers


def free_port() -> int:
    with closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


class Serving:
    """A server process on one port, started again after every kill."""

    def __init__(self, settings: Settings, *, workers: int = 0, own_process: bool = False) -> None:
        """``own_process`` runs the command itself; else a process forked where the modules are loaded, which is quicker."""
        self.settings = settings
        self.port = free_port()
        self.address = f"http://127.0.0.1:{self.port}"
        self._workers = workers
        self._own_process = own_process
        self._environ = {
            "WATTCLERK_DATA_FOLDER": str(settings.data_folder),
            "WATTCLERK_MESSAGES_PER_MINUTE": "0",
            "PYTHONPATH": str(ROOT),
        } | ({} if settings.database is None else {"WATTCLERK_DATABASE": settings.database})
        self._process: Any = None

    async def start(self) -> None:
        self._start()
        await self.ready()

    def _start(self) -> None:
        if self._own_process:
            self._process = subprocess.Popen(
                [sys.executable, "-P", "-m", "bot", "serve", "--port", str(self.port), "--workers", str(self._workers)],
                stdout=subprocess.DEVNULL,
                stderr=subprocess.DEVNULL,
                env={k: v for k, v in os.environ.items() if not k.startswith("WATTCLERK_")} | self._environ,
            )  # fmt: skip
        else:
            self._process = forked(_serve, self._environ, self.port)

    async def ready(self) -> None:
        async with asyncio.timeout(STARTING_PATIENCE), ClientSession() as session:
            while True:
                try:
                    async with session.get(f"{self.address}/healthz") as answer:
                        if answer.status == 200:
                            return
                except (ClientError, OSError):
                    await asyncio.sleep(0.02)

    @property
    def pid(self) -> int:
        pid: int = self._process.pid
        return pid

    async def kill(self) -> None:
        os.kill(self.pid, signal.SIGKILL)
        await self._gone()

    async def stop(self) -> None:
        os.kill(self.pid, signal.SIGTERM)
        await self._gone()

    async def _gone(self) -> None:
        wait = self._process.wait if self._own_process else self._process.join
        await asyncio.to_thread(wait)


def _serve(environ: dict[str, str], port: int) -> None:
    from bot.__main__ import main

    os.environ.update(environ)
    with Path(os.devnull).open("w") as nowhere:
        sys.stdout = sys.stderr = nowhere
        main(["serve", "--port", str(port), "--workers", "0"])


# Faults


async def kills(
    settings: Settings,
    count: int,
    *,
    servers: int = 1,
    workers: int = 0,
    own_process: bool = False,
    seed: int = 1,
    gently: bool = False,
    most_seconds: float = math.inf,
    progress: Callable[[str], None] = lambda line: None,
) -> Counts:
    """``kill -9`` at random moments; with several servers, one of them at a time. ``gently`` asks them to stop instead.

    After ``most_seconds`` no more come: those that came are counted.
    """
    chance = random.Random(seed)  # noqa: S311  no secret
    running = [Serving(settings, workers=workers, own_process=own_process) for _ in range(servers)]
    for each in running:
        await each.start()
    kind = f"{'stop' if gently else 'kill -9'}, {_store(settings)}, {servers} server(s), {workers} answering"
    begun = time.monotonic()
    async with _none_left(running), under_load([each.address for each in running], seed=seed) as load:
        for number in range(count):
            if number and number % 10 == 0:
                took = time.monotonic() - begun
                progress(
                    f"{kind}: {number} of {count}, {load.acknowledged} turns acknowledged, {took:.0f} s,"
                    f" about {took / number * (count - number):.0f} s to go"
                )
            if time.monotonic() - begun > most_seconds:
                count = number
                break
            victim = running[number % servers]
            await _some_more(load, chance.randrange(8))
            await asyncio.sleep(0.03 * chance.random())
            await (victim.stop() if gently else victim.kill())
            await victim.start()
        await asyncio.sleep(0.3)
    for each in running:
        await each.stop()
    return checked(kind, load, settings, count)


@asynccontextmanager
async def _none_left(running: list[Serving]) -> AsyncIterator[None]:
    """Where the block fails, its servers end with it."""
    try:
        yield
    except BaseException:
        for each in running:
            await each.kill()
        raise


async def _some_more(load: Load, turns: int) -> None:
    """Until so many more turns were acknowledged, or nothing came for a while: a slow machine is struck early too."""
    wanted, until = load.acknowledged + turns, time.monotonic() + 2
    while load.acknowledged < wanted and time.monotonic() < until:  # noqa: ASYNC110  nothing tells but the count
        await asyncio.sleep(0.003)


async def with_fault(
    name: str, settings: Settings, fault: Callable[[Serving, Load], Awaitable[int]], **how: Any
) -> Counts:
    """A fault that the server outlives."""
    serving = Serving(settings, **how)
    await serving.start()
    async with under_load([serving.address]) as load:
        await asyncio.sleep(0.3)
        faults = await fault(serving, load)
        await asyncio.sleep(0.3)
    await serving.stop()
    return checked(f"{name}, {_store(settings)}", load, settings, faults)


async def full_disk(serving: Serving, load: Load) -> int:
    """No file of the server may grow for a while; then it may again. Three times."""
    for _ in range(3):
        sizes = [path.stat().st_size for path in serving.settings.data_folder.iterdir()]
        _, hard = resource.prlimit(serving.pid, resource.RLIMIT_FSIZE)
        resource.prlimit(serving.pid, resource.RLIMIT_FSIZE, (max(sizes) + 50_000, hard))
        await until_stuck(load)
        resource.prlimit(serving.pid, resource.RLIMIT_FSIZE, (hard, hard))
        await until_moving(load)
    return 3


async def locked_sqlite(serving: Serving, load: Load) -> int:
    """Another process keeps the file locked for longer than the server waits."""
    with closing(sqlite3.connect(serving.settings.sqlite_file, isolation_level=None)) as other:
        other.execute("begin immediate")
        await asyncio.sleep(6.5)
        other.execute("rollback")
    await until_moving(load)
    return 1


async def locked_postgres(serving: Serving, load: Load) -> int:
    """Somebody locks the messages away for a while."""
    assert serving.settings.database is not None
    async with await psycopg.AsyncConnection.connect(serving.settings.database) as other:
        await other.execute("lock table messages in access exclusive mode")
        await asyncio.sleep(3)
        await other.rollback()
    await until_moving(load)
    return 1


def broken_connections(count: int, seed: int = 1) -> Callable[[Serving, Load], Awaitable[int]]:
    """The database ends the server's connections, at random moments, in the middle of whatever they do."""

    async def break_them(serving: Serving, load: Load) -> int:
        chance = random.Random(seed)  # noqa: S311  no secret
        assert serving.settings.database is not None
        async with await psycopg.AsyncConnection.connect(serving.settings.database, autocommit=True) as other:
            for _ in range(count):
                await asyncio.sleep(0.05 + 0.2 * chance.random())
                await other.execute(
                    "select pg_terminate_backend(pid) from pg_stat_activity where datname = current_database()"
                    " and pid <> pg_backend_pid()"
                )
        await until_moving(load)
        return count

    return break_them


def restarts(cluster: Cluster, count: int) -> Callable[[Serving, Load], Awaitable[int]]:
    """The whole database server goes down at once, as if the power had gone, and comes back."""

    async def restart(serving: Serving, load: Load) -> int:
        for _ in range(count):
            await asyncio.to_thread(cluster.restart)
            await until_moving(load)
        return count

    return restart


def small_tablespace(folder: Path) -> Callable[[Serving, Load], Awaitable[int]]:
    """The disk below the messages fills up (a small file system in ``folder``), then has room again."""

    async def fill(serving: Serving, load: Load) -> int:
        assert serving.settings.database is not None
        async with await psycopg.AsyncConnection.connect(serving.settings.database, autocommit=True) as other:
            await other.execute("alter table quotes set tablespace small")
            await until_stuck(load)
            await other.execute("alter table quotes set tablespace pg_default")
        await until_moving(load)
        return 1

    return fill


@contextmanager
def small_disk(cluster: Cluster, megabytes: int) -> Iterator[Path]:
    """A small file system as a tablespace; needs root.

    Raises:
        OSError: it can't be mounted here.
    """
    folder = cluster.folder / "small"
    folder.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={megabytes}m,mode=0777", "tmpfs", str(folder)], check=False, capture_output=True
    )  # fmt: skip
    if mounted.returncode != 0:
        raise OSError("a small file system can't be mounted here")
    cluster.give(folder)
    try:
        with psycopg.connect(cluster.url(), autocommit=True) as connection:
            connection.execute(f"create tablespace small location '{folder}'".encode())
        yield folder
    finally:
        subprocess.run(["umount", "-l", str(folder)], check=False, capture_output=True)


class Jumping:
    """A clock that jumps back an hour every so often."""

    def __init__(self) -> None:
        self.by = timedelta()

    def __call__(self) -> datetime:
        return datetime.now(UTC) - self.by  # noqa: TID251  a clock made for the test


async def clock_jumps(settings: Settings, count: int = 5) -> Counts:
    """The server's clock jumps back an hour, again and again."""
    clock = Jumping()
    server = TestServer(build_app(settings, clock))
    await server.start_server()
    async with under_load([str(server.make_url("")).rstrip("/")]) as load:
        for _ in range(count):
            await asyncio.sleep(0.3)
            clock.by += timedelta(hours=1)
        await asyncio.sleep(0.3)
    await server.close()
    return checked(f"clock jumps back an hour, {_store(settings)}", load, settings, count)


async def backup_under_load(settings: Settings, folder: Path, cluster: Cluster | None) -> Counts:
    """A copy taken under load holds all that was acknowledged before it was begun, and a server goes on from it."""
    serving = Serving(settings)
    await serving.start()
    async with under_load([serving.address]) as load:
        await until_moving(load)
        before = {talk.number: list(talk.turns) for talk in load.talks}
        with closing(open_store(settings)) as store:
            await asyncio.to_thread(store.backup, folder / "copy")
        await asyncio.sleep(0.3)
    await serving.stop()
    restored = settings.model_copy(update={"data_folder": folder / "restored"})
    restored.data_folder.mkdir()
    if cluster is None:
        (folder / "copy").rename(restored.sqlite_file)
    else:
        restored = restored.model_copy(update={"database": cluster.new_database()})
        await asyncio.to_thread(_restore, cluster, folder / "copy", restored.database)
    # What was being answered in the moment of the copy is answered now; then the check is that of any store.
    again = Serving(restored)
    await again.start()
    with closing(open_store(restored)) as store:
        async with asyncio.timeout(PATIENCE):
            while await asyncio.to_thread(_waiting, store):  # noqa: ASYNC110  nothing tells but the count
                await asyncio.sleep(0.1)
    await again.stop()
    for talk in load.talks:
        talk.turns = before[talk.number]
    return checked(f"backup under load, {_store(settings)}", load, restored, 1)


def _waiting(store: Store) -> int:
    with store.snapshot() as session:
        return session.waiting()


def _restore(cluster: Cluster, copy: Path, url: str | None) -> None:
    subprocess.run(
        [str(cluster.programs / "pg_restore"), f"--dbname={url}", "--no-owner", str(copy)], check=True, capture_output=True
    )  # fmt: skip


async def until_stuck(load: Load) -> None:
    """Until nothing has been acknowledged for half a second."""
    async with asyncio.timeout(PATIENCE):
        seen, since = load.acknowledged, time.monotonic()
        while time.monotonic() - since < 0.5:
            await asyncio.sleep(0.05)
            if load.acknowledged != seen:
                seen, since = load.acknowledged, time.monotonic()


async def until_moving(load: Load) -> None:
    """Until something more is acknowledged."""
    seen = load.acknowledged
    async with asyncio.timeout(PATIENCE):
        while load.acknowledged < seen + 3:  # noqa: ASYNC110  nothing tells but the count
            await asyncio.sleep(0.05)


def _store(settings: Settings) -> str:
    return "SQLite" if settings.database is None else "PostgreSQL"


async def everything(
    stores: list[str],
    count: int,
    folder: Path,
    workers: int = 0,
    only_kills: bool = False,
    most_seconds: float = math.inf,
) -> list[Counts]:
    """Every fault, printed as it ends; ``workers``: answering processes of the servers that are killed most often."""
    done: list[Counts] = []
    # The command itself, with answering processes, takes seconds to start: fewer of those.
    few = max(3, count // 20)

    def fresh(database: str | None = None) -> Settings:
        return Settings(data_folder=folder / f"data{len(done)}", database=database, messages_per_minute=0)

    def note(counts: Counts) -> None:
        done.append(counts)
        print(counts, flush=True)

    async def killed(database: str | None = None, servers: int = 1) -> None:
        note(
            await kills(
                fresh(database),
                count,
                servers=servers,
                workers=workers,
                own_process=workers > 0,
                most_seconds=most_seconds,
                progress=_progress,
            )
        )

    if "sqlite" in stores:
        await killed()
    if "sqlite" in stores and not only_kills:
        note(await kills(fresh(), few, own_process=True, workers=1))
        note(await kills(fresh(), few, own_process=True, workers=1, gently=True))
        note(await with_fault("full disk", fresh(), full_disk))
        note(await with_fault("locked", fresh(), locked_sqlite))
        note(await clock_jumps(fresh(), 10))
        note(await backup_under_load(fresh(), _new(folder / "backup-sqlite"), None))
    programs = postgres_programs()
    if "postgres" in stores and programs is None:
        print("LEFT OUT: PostgreSQL is not installed")
    elif "postgres" in stores and programs is not None:
        with closing(Cluster(programs, flushing=True)) as cluster:
            await killed(cluster.new_database(), servers=2)
            if only_kills:
                return done
            note(await kills(fresh(cluster.new_database()), few, servers=2, own_process=True, workers=1))
            note(
                await with_fault(
                    "restart of the database", fresh(cluster.new_database()), restarts(cluster, 5)
                )
            )
            note(
                await with_fault(
                    "connections ended", fresh(cluster.new_database()), broken_connections(count)
                )
            )
            note(await with_fault("locked", fresh(cluster.new_database()), locked_postgres))
            note(await clock_jumps(fresh(cluster.new_database()), 10))
            note(
                await backup_under_load(
                    fresh(cluster.new_database()), _new(folder / "backup-postgres"), cluster
                )
            )
            try:
                with small_disk(cluster, 2) as small:
                    note(
                        await with_fault("full disk", fresh(cluster.new_database()), small_tablespace(small))
                    )
            except OSError as error:
                print(f"LEFT OUT: full disk under PostgreSQL ({error})")
    return done


def _progress(line: str) -> None:
    print(line, file=sys.stderr, flush=True)


def _new(folder: Path) -> Path:
    folder.mkdir()
    return folder


def main() -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--store", choices=["sqlite", "postgres", "both"], default="both")
    parser.add_argument(
        "--workers", type=int, default=0, help="answering processes of each server that is killed"
    )
    parser.add_argument(
        "--minutes", type=float, default=math.inf, help="for the kills of a store; as many as fit are counted"
    )
    parser.add_argument("--only", choices=["kills"], help="leave the other faults out")
    arguments = parser.parse_args()
    stores = ["sqlite", "postgres"] if arguments.store == "both" else [arguments.store]
    with tempfile.TemporaryDirectory(prefix="wattclerk-faults-") as folder:
        done = asyncio.run(
            everything(
                stores,
                arguments.kills,
                Path(folder),
                arguments.workers,
                arguments.only is not None,
                60 * arguments.minutes,
            )
        )
    print("all clean" if all(each.clean for each in done) else "NOT CLEAN")
    return 0 if all(each.clean for each in done) else 1


if __name__ == "__main__":
    sys.exit(main())
