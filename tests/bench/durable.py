"""The whole durable path over HTTP (keep, read, quote, render, keep), beside a bare server with one committed insert.

    python -m tests.bench.durable                         # SQLite, one and two answering processes, and where the time goes
    python -m tests.bench.durable --store postgres        # the same, and two servers, on a private PostgreSQL
    python -m tests.bench.durable --unlike                # lines that hardly ever come twice, so that little of them is known
    python -m tests.bench.durable --soak 600              # memory over ten minutes, two answering processes at 50 messages/s

Sender, server and database share the machine's cores; the sender's own processor time a message is reported.
"""

import argparse
import json
import os
import signal
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from bot.answer import answer_of
from bot.answering import Answered, Before, Question, answered, draft_of
from bot.assistant import Conversation
from bot.settings import Settings
from bot.store.catalogue import open_served, read_files
from bot.store.opened import open_store
from bot.store.records import KeptTurn, Message
from tests.bench.load import distinct_shares, talk_of
from tests.postgres import Cluster, postgres_programs
from tests.system.faults import free_port

ALL_LOADS: Final[list[str]] = []
"""Options of every load of this run."""
ROOT: Final = Path(__file__).resolve().parents[2]


@dataclass(frozen=True, slots=True)
class Running:
    """A server process and those that it started.

    Attributes:
        address: as clients reach it.
        pid: of the server itself.
    """

    address: str
    pid: int

    def spent_ms(self) -> tuple[float, float]:
        """Processor time so far of the server itself, and of all that it started [ms]."""
        parents: dict[int, int] = {}
        spent: dict[int, float] = {}
        for path in Path("/proc").glob("[0-9]*/stat"):
            try:
                after_name = path.read_text().rpartition(")")[2].split()
            except OSError:
                continue  # it ended between being listed and being read
            parents[int(path.parent.name)] = int(after_name[1])
            spent[int(path.parent.name)] = sum(map(int, after_name[11:13])) * 1000 / os.sysconf("SC_CLK_TCK")
        below = _below(self.pid, parents)
        return spent[self.pid], sum(spent[pid] for pid in below)

    def memory_mb(self) -> tuple[float, float]:
        """Resident memory of the server itself, and of all that it started together, what they share counted once each [MB]."""
        parents: dict[int, int] = {}
        resident: dict[int, float] = {}
        for path in Path("/proc").glob("[0-9]*/status"):
            try:
                told = dict(line.split(":", 1) for line in path.read_text().splitlines() if ":" in line)
            except OSError:
                continue
            parents[int(path.parent.name)] = int(told["PPid"])
            resident[int(path.parent.name)] = int(told.get("VmRSS", "0 kB").split()[0]) / 1000
        return resident[self.pid], sum(resident[pid] for pid in _below(self.pid, parents))


def _below(pid: int, parents: dict[int, int]) -> set[int]:
    """Processes that it started, directly or not."""
    below, new = set[int](), {pid}
    while new:
        new = {each for each, parent in parents.items() if parent in new}
        below |= new
    return below


def idle_seconds() -> float:
    """For how long cores had nothing to do, all together, since the machine was started [s]."""
    fields = Path("/proc/stat").read_text().split("\n", 1)[0].split()
    return int(fields[4]) / os.sysconf("SC_CLK_TCK")


@contextmanager
def running(*command: str, **environ: str) -> Iterator[Running]:
    """A server process."""
    port = free_port()
    kept = {k: v for k, v in os.environ.items() if not k.startswith("WATTCLERK_")}
    process = subprocess.Popen(
        [sys.executable, "-m", *(part.replace("PORT", str(port)) for part in command)],
        cwd=ROOT, env=kept | environ, stdout=subprocess.DEVNULL,
    )  # fmt: skip
    address = f"http://127.0.0.1:{port}"
    try:
        until = time.monotonic() + 60
        while True:
            try:
                with urllib.request.urlopen(f"{address}/healthz", timeout=5):  # noqa: S310  our own server
                    break
            except OSError:
                if time.monotonic() > until:
                    raise
                time.sleep(0.05)
        yield Running(address, process.pid)
    finally:
        process.send_signal(signal.SIGTERM)
        process.wait(60)


@contextmanager
def serving(folder: Path, workers: int, database: str | None = None) -> Iterator[Running]:
    environ = {"WATTCLERK_DATA_FOLDER": str(folder), "WATTCLERK_MESSAGES_PER_MINUTE": "0"}
    if database is not None:
        environ["WATTCLERK_DATABASE"] = database
    with running("bot", "serve", "--port", "PORT", "--workers", str(workers), **environ) as server:
        yield server


def load(server: Running, *options: str) -> dict[str, Any]:
    """What the sender measured, and what the server spent on it."""
    before, idle, begun = server.spent_ms(), idle_seconds(), time.monotonic()
    done = subprocess.run(
        [sys.executable, "-m", "tests.bench.load", server.address, *options, *ALL_LOADS], cwd=ROOT, capture_output=True, text=True,
        check=True,
    )  # fmt: skip
    after, idle = server.spent_ms(), (idle_seconds() - idle) / (time.monotonic() - begun)
    found: dict[str, Any] = json.loads(done.stdout)
    found["idle_cores"] = idle
    sent = found["messages"] + found["warming"]
    found["server_ms_each"], found["answering_ms_each"] = (
        (b - a) / sent for a, b in zip(before, after, strict=True)
    )
    return found


def told(name: str, found: dict[str, Any], floor: float | None = None) -> None:
    ratio = "" if floor is None else f"  1 : {floor / found['per_second']:.1f} of the floor"
    print(
        f"{name:<44} {found['per_second']:>7.1f}/s  p50 {found['p50_ms']:>7.1f}  p95 {found['p95_ms']:>7.1f}"
        f"  p99 {found['p99_ms']:>7.1f} ms  failed {found['failed']}  {found['kilobytes_each']:.0f} kB"
        f"  processor: sender {found['sender_ms_each']:.2f} + server {found['server_ms_each']:.2f}"
        f" + answering {found['answering_ms_each']:.2f} ms, {found['idle_cores']:.1f} cores idle{ratio}",
        flush=True,
    )


def where_the_time_goes(folder: Path) -> None:
    """Processor time of each part of one message, measured here one after another [ms]."""
    settings = Settings(data_folder=folder, messages_per_minute=0)
    spent: dict[str, float] = {}
    count = 0

    def add(name: str, begun: float) -> float:
        now = time.process_time()
        spent[name] = spent.get(name, 0.0) + now - begun
        return now

    with closing(open_store(settings)) as store:
        store.serve()
        served = open_served(settings, read_files(settings), store)
        assistant = served.assistant
        for number in range(240):
            text = talk_of(number)[0]
            at = time.process_time()
            turn = assistant.take_turn(Conversation(), text)
            at = add("read and quote", at)
            answer_of(turn, assistant.tables)
            at = add("render, to JSON", at)
            if turn.quote is not None:
                draft_of(turn, served.versions)
            at = add("quote to JSON, figures, packed", at)
            outcome = answered(assistant, served.versions, Question(Before(), text))
            assert isinstance(outcome, Answered)
            begun = time.process_time()
            with store.transaction() as session:
                receipt = session.accept(
                    Message(f"m{number}", text), "2026-01-31T09:05:00.000Z", f"t{number}", 200
                )
            begun = add("keep the message", begun)
            work = receipt.work
            assert work is not None
            kept = KeptTurn(0, work.message_id, work.received_at, text, "[]", None, outcome.reading, outcome.answer, f"q{number}")  # fmt: skip
            with store.transaction() as session:
                session.settle(
                    work, kept, state=outcome.after.state or "", language="en", asks=None, quote=outcome.quote,
                    body=None, now="2026-01-31T09:05:00.000Z",
                )  # fmt: skip
            begun = add("keep the answer", begun)
            kept.as_json("t")
            add("turn to JSON", begun)
            count += 1
        size = settings.sqlite_file.stat().st_size
    for name, seconds in spent.items():
        print(f"    {name:<34} {1000 * seconds / count:6.2f} ms")
    print(
        f"    {'in all':<34} {1000 * sum(spent.values()) / count:6.2f} ms; {size / count / 1000:.1f} kB a message kept"
    )


def sqlite(folder: Path, seconds: str) -> None:
    with running("tests.bench.floor", "PORT", str(folder)) as server:
        floor = load(server, "--seconds", seconds)
    told("floor: aiohttp, pydantic, one FULL commit", floor)
    with running("tests.bench.path_alone", "PORT", str(folder / "path")) as server:
        told("the path alone, answers made up", load(server, "--seconds", seconds), floor["per_second"])
    for workers in (1, 2):
        with serving(folder / f"sqlite{workers}", workers) as server:
            told(f"SQLite, {workers} answering", load(server, "--seconds", seconds), floor["per_second"])
            told("    at 150/s", load(server, "--seconds", seconds, "--rate", "150"))
            told("    at 50/s", load(server, "--seconds", seconds, "--rate", "50"))
    print("where the time goes, one message alone, processor time:")
    where_the_time_goes(folder / "alone")


def postgres(folder: Path, seconds: str) -> None:
    programs = postgres_programs()
    if programs is None:
        print("LEFT OUT: PostgreSQL is not installed")
        return
    with closing(Cluster(programs, flushing=True)) as cluster:
        rates = []
        for workers in (1, 2):
            with serving(folder / f"pg{workers}", workers, cluster.new_database()) as server:
                found = load(server, "--seconds", seconds)
                rates.append(found["per_second"])
                told(f"PostgreSQL, one server, {workers} answering", found)
                told("    at 50/s", load(server, "--seconds", seconds, "--rate", "50"))
        print(
            f"two answering processes bear {rates[1] / rates[0]:.2f} times what one does (wanted: 1.4 while a core is idle)"
        )
        database = cluster.new_database()
        with (
            serving(folder / "pga", 1, database) as one,
            serving(folder / "pgb", 1, database) as other,
            ThreadPoolExecutor(2) as senders,
        ):
            found = list(
                senders.map(
                    lambda server: load(server, "--seconds", seconds, "--at-once", "16"), (one, other)
                )
            )
        told("PostgreSQL, two servers: the first", found[0])
        told("PostgreSQL, two servers: the second", found[1])


def soak(folder: Path, seconds: float, rate: str) -> None:
    """Memory over time, under an even load."""
    with serving(folder / "soak", 2) as server, ThreadPoolExecutor(1) as sender:
        print(f"{'after s':>8} {'server MB':>10} {'answering MB':>13} {'store MB':>9}")
        rows = []
        begun = time.monotonic()
        sending = sender.submit(load, server, "--seconds", str(seconds), "--rate", rate)
        while not sending.done():
            time.sleep(max(1.0, seconds / 20))
            row = server.memory_mb()
            rows.append(row)
            store = sum(path.stat().st_size for path in (folder / "soak").glob("*.db*")) / 1e6
            print(
                f"{time.monotonic() - begun:>8.0f} {row[0]:>10.1f} {row[1]:>13.1f} {store:>9.1f}", flush=True
            )
        told(f"SQLite, 2 answering, at {rate}/s", sending.result())
    quarter, last = rows[len(rows) // 4], rows[-1]
    for name, early, late in zip(("server", "answering"), quarter, last, strict=True):
        print(
            f"{name}: {early:.1f} MB after a quarter of the time, {late:.1f} MB at the end ({late / early - 1:+.1%})"
        )


def main() -> int:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--store", choices=("sqlite", "postgres"), default="sqlite")
    parser.add_argument("--seconds", default="10")
    parser.add_argument("--soak", type=float, metavar="SECONDS", help="only watch memory for so long")
    parser.add_argument("--unlike", action="store_true", help="hardly any line is like one before it")
    parser.add_argument("--rate", default="50", help="messages a second of the soak")
    arguments = parser.parse_args()
    if arguments.unlike:
        ALL_LOADS.append("--unlike")
    every, first = distinct_shares(arguments.unlike)
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} before", flush=True)
    print(
        f"of the messages of 1,000 conversations {every:.0%} are distinct, of those that begin one {first:.0%}"
    )
    with tempfile.TemporaryDirectory(prefix="wattclerk-bench-") as folder:
        if arguments.soak is not None:
            soak(Path(folder), arguments.soak, arguments.rate)
            return 0
        (sqlite if arguments.store == "sqlite" else postgres)(Path(folder), arguments.seconds)
    return 0


if __name__ == "__main__":
    sys.exit(main())
