"""Whether answers take longer from a store that holds much: 100,000 conversations with 1 M messages, beside an empty one.

    python -m tests.bench.volume                                    # some minutes; fills 4 GB
    python -m tests.bench.volume --messages 1000000 --body 13000    # bodies as long as real ones: 25 GB
    python -m tests.bench.volume --messages 20000                   # to see that it works

What is filled in are the rows of real answers, under ids of their own, with bodies cut to ``--body`` bytes. Both stores are
then asked the same in turns, for new conversations and for old ones, and every statement's plan is looked at.
"""

import argparse
import hashlib
import itertools
import os
import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any, Final

from bot.answering import Answered, Before, Question, answered
from bot.assistant import Assistant
from bot.contents import Versions
from bot.settings import Settings
from bot.store.catalogue import open_served, read_files
from bot.store.records import KeptTurn, Message
from bot.store.sqlite import SqliteStore
from tests.bench.durable import load, serving, told
from tests.bench.load import talk_of

NOW: Final = "2026-01-31T09:05:00.000Z"
TURNS: Final = 10
"""Messages of a filled-in conversation."""
LOOKS: Final = 20
AT_ONCE: Final = 2_000
"""Conversations filled in with one transaction."""


def an_id(kind: str, number: int) -> str:
    """As long and as scattered as those of the server."""
    return hashlib.blake2b(f"{kind}{number}".encode(), digest_size=16).hexdigest()


def fill(settings: Settings, answer: Answered, versions: Versions, messages: int, body: int) -> None:
    """Fills the store directly: its indexes are kept up as the server's statements keep them."""
    assert answer.quote is not None
    answers, quotes = answer.quote.body[: body // 2], answer.quote.body[:body]
    with closing(sqlite3.connect(settings.sqlite_file, isolation_level=None)) as database:
        database.execute("pragma synchronous = off")
        database.execute("pragma cache_size = -400000")
        talks = messages // TURNS
        begun = time.monotonic()
        for start in range(0, talks, AT_ONCE):
            some = range(start, min(start + AT_ONCE, talks))
            database.execute("begin")
            database.executemany(
                "insert into conversations (id, channel, begun_at, state, turns, language, quote)"
                " values (?, 'web', ?, ?, ?, 'en', ?)",
                [
                    (an_id("t", t), NOW, answer.after.state, TURNS, an_id("q", t * TURNS + TURNS - 1))
                    for t in some
                ],
            )
            numbers = [t * TURNS + turn for t in some for turn in range(TURNS)]
            database.executemany(
                "insert into quotes (id, conversation, made_at, language, revision, program, catalogue, tables, terms, digest,"
                " body) values (?, ?, ?, 'en', ?, ?, ?, ?, ?, ?, ?)",
                [
                    (an_id("q", n), an_id("t", n // TURNS), NOW, n % TURNS + 1, versions.program, versions.catalogue,
                     versions.tables, versions.terms, an_id("d", n), quotes)
                    for n in numbers
                ],
            )  # fmt: skip
            database.executemany(
                "insert into messages (number, conversation, channel, message_id, received_at, text, changes, state, attempts,"
                " turn, reading, answer, quote) values (?, ?, 'web', ?, ?, ?, '[]', 'answered', 0, ?, ?, ?, ?)",
                [
                    (n + 1, an_id("t", n // TURNS), an_id("m", n), NOW, "12 wallpacks 250w", n % TURNS, answer.reading,
                     answers, an_id("q", n))
                    for n in numbers
                ],
            )  # fmt: skip
            database.executemany(
                "insert into outbox (message, conversation, channel, state, attempts, sent_at) values (?, ?, 'web', 'sent', 0, ?)",
                [(n + 1, an_id("t", n // TURNS), NOW) for n in numbers],
            )
            database.execute("commit")
            if sys.stderr.isatty():
                print(
                    f"\r{some[-1] + 1} of {talks} conversations, {time.monotonic() - begun:.0f} s",
                    end="",
                    file=sys.stderr,
                )
        database.execute("pragma wal_checkpoint(truncate)")
    print(
        f"{talks} conversations, {talks * TURNS} messages: {settings.sqlite_file.stat().st_size / 1e9:.2f} GB"
        f" filled in {time.monotonic() - begun:.0f} s",
        flush=True,
    )


class Asked:
    """One of the two stores, and how long it took [ms]: wall clock, processor."""

    def __init__(self, settings: Settings, talks: int) -> None:
        self.settings, self.talks = settings, talks
        self.store = SqliteStore(settings.sqlite_file)
        self.store.serve()
        self.took: dict[str, list[tuple[float, float]]] = {}
        self._count = 0

    def new_talk(self, assistant: Assistant, versions: Versions, text: str) -> None:
        self._one("a new conversation", assistant, versions, text, None, 0)

    def old_talk(self, assistant: Assistant, versions: Versions, text: str) -> None:
        """A conversation somewhere among those that are filled in, with what it has come to read from the store."""
        number = self._count * 7919 % self.talks
        self._one("an old conversation", assistant, versions, text, an_id("t", number), TURNS)

    def look(self) -> None:
        """What the server asks every second, whatever comes in."""
        begun = time.perf_counter(), time.process_time()
        with self.store.snapshot() as session:
            session.free_conversations(NOW, NOW)
            session.due_replies(NOW, NOW)
        wall, processor = (
            1000 * (b - a) for a, b in zip(begun, (time.perf_counter(), time.process_time()), strict=True)
        )
        self.took.setdefault("a look for what waits", []).append((wall, processor))

    def _one(
        self, name: str, assistant: Assistant, versions: Versions, text: str, talk: str | None, turns: int
    ) -> None:
        self._count += 1
        fresh = an_id("new", self._count)
        begun = time.perf_counter(), time.process_time()
        with self.store.transaction() as session:
            receipt = session.accept(
                Message(an_id("n", self._count), text, conversation=talk), NOW, fresh, 200
            )
        work = receipt.work
        assert work is not None
        before = Before()
        if talk is not None:
            with self.store.snapshot() as session:
                kept = session.conversation(talk)
            assert kept is not None
            before = Before(kept[0], kept[1], "en", kept[3])
        paused = time.perf_counter(), time.process_time()
        outcome = answered(assistant, versions, Question(before, text))
        assert isinstance(outcome, Answered)
        on = time.perf_counter(), time.process_time()
        turn = KeptTurn(
            work.turns,
            work.message_id,
            NOW,
            text,
            "[]",
            None,
            outcome.reading,
            outcome.answer,
            an_id("nq", self._count),
        )
        with self.store.transaction() as session:
            session.settle(
                work,
                turn,
                state=outcome.after.state or "",
                language="en",
                asks=None,
                quote=outcome.quote,
                body=None,
                now=NOW,
            )
        end = time.perf_counter(), time.process_time()
        wall, processor = (1000 * (b - a) for a, b in zip(begun, end, strict=True))
        answering = tuple(1000 * (b - a) for a, b in zip(paused, on, strict=True))
        self.took.setdefault(name, []).append((wall, processor))
        self.took.setdefault(f"{name}: the store's part", []).append(
            (wall - answering[0], processor - answering[1])
        )


def scans(asked: Asked, ask: Any) -> tuple[int, list[str]]:
    """How many statements ``ask`` leads to, and those that look through a whole table."""
    told: dict[str, None] = {}
    links = (asked.store._writing, asked.store._reading)
    for link in links:
        link._connection.set_trace_callback(lambda text: told.setdefault(text))
    ask()
    for link in links:
        link._connection.set_trace_callback(None)
    found = []
    count = 0
    for text in told:
        if text.split(maxsplit=1)[0].lower() not in ("select", "insert", "update", "delete"):
            continue
        count += 1
        plan = links[1]._connection.execute(f"explain query plan {text}")
        said = [row[3] for row in plan if row[3].startswith("SCAN") and "CONSTANT" not in row[3]]
        found += [f"{each}: {' '.join(text.split())[:150]}" for each in said]
    return count, found


def medians(asked: Asked, name: str) -> tuple[float, float]:
    return tuple(statistics.median(each) for each in zip(*asked.took[name], strict=True))  # type: ignore[return-value]


def over_http(name: str, settings: Settings, seconds: str, first: str) -> None:
    with serving(settings.data_folder, 2) as server:
        told(
            f"{name}, 2 answering, at 50/s",
            load(server, "--seconds", seconds, "--rate", "50", "--first", first),
        )


def texts() -> Iterator[str]:
    return (talk_of(number)[0] for number in itertools.count())


def main() -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--messages", type=int, default=1_000_000)
    parser.add_argument("--body", type=int, default=1_000, help="bytes of a filled-in quote [%(default)s]")
    parser.add_argument(
        "--asked", type=int, default=400, help="messages of either kind, to either store [%(default)s]"
    )
    parser.add_argument("--seconds", default="10", help="of the run over HTTP; 0 for none [%(default)s]")
    arguments = parser.parse_args()
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} before", flush=True)
    with tempfile.TemporaryDirectory(prefix="wattclerk-volume-") as folder:
        little, much = (
            Settings(data_folder=Path(folder, name), messages_per_minute=0) for name in ("little", "much")
        )
        for settings in (little, much):
            with closing(SqliteStore(settings.sqlite_file)) as store:
                served = open_served(settings, read_files(settings), store)
        assistant, versions = served.assistant, served.versions
        example = answered(assistant, versions, Question(Before(), talk_of(0)[0]))
        assert isinstance(example, Answered)
        fill(little, example, versions, 100 * TURNS, arguments.body)
        fill(much, example, versions, arguments.messages, arguments.body)
        stores = (Asked(little, 100), Asked(much, arguments.messages // TURNS))
        for text in itertools.islice(texts(), arguments.asked):
            for asked in stores:
                asked.new_talk(assistant, versions, text)
                asked.old_talk(assistant, versions, text)
        for asked in stores:
            for _ in range(LOOKS):
                asked.look()
        print(
            f"{'median of a message [ms]':<40} {'little':>8} {'much':>8} {'ratio':>6}   {'of processor time':>26}"
        )
        for name in stores[0].took:
            (wall, processor), (wall_much, processor_much) = (medians(asked, name) for asked in stores)
            print(
                f"{name:<40} {wall:>8.2f} {wall_much:>8.2f} {wall_much / wall:>6.2f}"
                f"   {processor:>8.2f} {processor_much:>8.2f} {processor_much / processor:>6.2f}"
            )
        for name, ask in (("new", stores[1].new_talk), ("old", stores[1].old_talk)):
            count, found = scans(stores[1], lambda ask=ask: ask(assistant, versions, "8 troffers 4 lamp t8"))
            print(
                f"statements for a message of a conversation that is {name}: {count}, through a whole table: {len(found)}"
            )
            for line in found:
                print(f"    {line}")
        for asked in stores:
            asked.store.close()
        if float(arguments.seconds):
            over_http("little kept", little, arguments.seconds, "10000")
            over_http("much kept", much, arguments.seconds, "20000")
    return 0


if __name__ == "__main__":
    sys.exit(main())
