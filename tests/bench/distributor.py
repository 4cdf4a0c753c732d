"""A national distributor in figures: 1,000 branches, 50 messages a second at peak, 20 M products. Measured, then simulated.

    python -m tests.bench.distributor

Measured here: how long an answer and its two transactions take, how much a message keeps, what a product costs in memory and at start.
Simulated from that: a busy hour with bursts, by how many processes answer; and what is kept after a year. What is assumed
(the shape of a day, the bursts) stands in `PROFILE` and `BURSTS`.
"""

import heapq
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from contextlib import closing
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from bot.answering import Answered, Before, Question, answered
from bot.opening import open_assistant, open_catalogue
from bot.settings import Settings
from bot.store.catalogue import open_served, read_files
from bot.store.opened import open_store
from bot.store.records import KeptTurn, Message
from engine.catalog.loader import catalogue_of_rows
from tests.bench.load import talk_of

PEAK: Final = 50.0
PROFILE: Final = (
    0,
    0,
    0,
    0,
    0,
    0.05,
    0.2,
    0.6,
    0.95,
    1,
    1,
    0.9,
    0.7,
    0.9,
    0.95,
    0.85,
    0.6,
    0.3,
    0.15,
    0.1,
    0.05,
    0,
    0,
    0,
)
"""Share of the peak by hour of a working day, over four time zones: assumed."""
WORKING_DAYS: Final = 255
BURSTS: Final = ((600, 60, 3.0), (1800, 10, 6.0))
"""Within the busy hour: from second, for seconds, times the rate: assumed (a mailing, a price letter)."""
Seconds = NDArray[np.float64]
NOW: Final = "2026-01-31T09:05:00.000Z"


def service_times(folder: Path, count: int = 300) -> tuple[Seconds, Seconds, float]:
    """Processor time of answering and of keeping, a message each [s], and the bytes that one keeps."""
    settings = Settings(data_folder=folder)
    answering, keeping = [], []
    with closing(open_store(settings)) as store:
        store.serve()
        served = open_served(settings, read_files(settings), store)
        empty = settings.sqlite_file.stat().st_size
        number = 0
        for script in map(talk_of, range(count // 2)):
            before, talk, turns = Before(), None, 0
            for text in script[:2]:
                number += 1
                begun = time.process_time()
                with store.transaction() as session:
                    receipt = session.accept(
                        Message(f"m{number}", text, conversation=talk), NOW, f"t{number}", 200
                    )
                kept = time.process_time() - begun
                begun = time.process_time()
                outcome = answered(served.assistant, served.versions, Question(before, text))
                answering.append(time.process_time() - begun)
                assert isinstance(outcome, Answered)
                assert receipt.work is not None
                name = None if outcome.quote is None else f"q{number}"
                begun = time.process_time()
                turn = KeptTurn(
                    turns, f"m{number}", NOW, text, "[]", None, outcome.reading, outcome.answer, name
                )
                with store.transaction() as session:
                    session.settle(
                        receipt.work, turn, state=outcome.after.state or "", language="en", asks=None,
                        quote=outcome.quote, body=None, now=NOW,
                    )  # fmt: skip
                keeping.append(kept + time.process_time() - begun)
                before, talk, turns = outcome.after, receipt.conversation, turns + 1
    with closing(open_store(settings)):
        pass  # what was written ahead is in the file now
    return np.array(answering), np.array(keeping), (settings.sqlite_file.stat().st_size - empty) / number


def catalogue_costs(copies: int) -> tuple[int, float, float]:
    """Of a catalogue with every product so many times: how many, memory [bytes a product], time to load [s a product]."""
    code = "import sys; from tests.bench.distributor import grown; import json; print(json.dumps(grown(int(sys.argv[1]))))"
    run = [sys.executable, "-c", code]
    root = Path(__file__).resolve().parents[2]
    small, large = (
        json.loads(
            subprocess.run([*run, str(n)], cwd=root, capture_output=True, text=True, check=True).stdout
        )
        for n in (1, copies)
    )
    more = large[0] - small[0]
    return large[0], (large[1] - small[1]) / more, (large[2] - small[2]) / more


def grown(copies: int) -> tuple[int, int, float]:
    """Products, peak memory [bytes] and time to load [s] of a catalogue with every product so many times."""
    rows = open_catalogue().to_rows()
    begun = time.process_time()
    catalogue = catalogue_of_rows(
        {**row, "part_number": f"{row['part_number']}-{copy}"} if copy else row
        for copy in range(copies)
        for row in rows
    )
    took = time.process_time() - begun
    return len(catalogue.products), resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024, took


def arrivals(rate: float, seconds: int, chance: np.random.Generator) -> Seconds:
    """When messages come in a busy hour [s]: at random, with bursts."""
    rates = np.full(seconds, rate)
    for begin, length, times in BURSTS:
        rates[begin : begin + length] *= times
    counts = chance.poisson(rates)
    return np.sort(np.repeat(np.arange(seconds), counts) + chance.random(int(counts.sum())))


def waits(at: Seconds, needs: Seconds, processes: int) -> Seconds:
    """From coming in to being answered [s], first come first served."""
    free = [0.0] * processes
    out = np.empty(len(at))
    for n, (due, need) in enumerate(zip(at, needs, strict=True)):
        begun = max(due, free[0])
        heapq.heapreplace(free, begun + need)
        out[n] = begun + need - due
    return out


def main() -> int:
    chance = np.random.default_rng(20_260_131)
    print(f"{os.cpu_count()} cores, load {os.getloadavg()[0]:.1f} before")
    with tempfile.TemporaryDirectory(prefix="wattclerk-sizing-") as folder:
        answering, keeping, each = service_times(Path(folder))
    open_assistant()
    print(
        f"answering  mean {1000 * answering.mean():6.1f} ms  p95 {1000 * np.quantile(answering, 0.95):6.1f} ms"
    )
    print(f"keeping    mean {1000 * keeping.mean():6.2f} ms  p95 {1000 * np.quantile(keeping, 0.95):6.2f} ms")
    print(f"kept       {each / 1000:.1f} kB a message")
    products, memory, load = catalogue_costs(20)
    print(
        f"catalogue  {memory / 1000:.1f} kB and {1e6 * load:.0f} us a product, an answering process (of {products:,})"
    )
    print("\na busy hour with bursts, simulated: seconds from coming in to being answered")
    print("  peak/s  processes  busy   p50     p95     p99     worst")
    for rate in (PEAK / 2, PEAK, 2 * PEAK, 4 * PEAK):
        least = int(np.ceil(rate * answering.mean()))
        for processes in sorted({least + 1, int(np.ceil(1.5 * least)) + 1, 3 * least}):
            at = arrivals(rate, 3600, chance)
            took = waits(at, chance.choice(answering, len(at)), processes)
            busy = rate * answering.mean() / processes
            p50, p95, p99 = np.quantile(took, (0.5, 0.95, 0.99))
            print(
                f"  {rate:6.0f}  {processes:9}  {busy:4.0%}  {p50:6.3f}  {p95:6.3f}  {p99:6.2f}  {took.max():8.1f}"
            )
    day = PEAK * 3600 * sum(PROFILE)
    year = day * WORKING_DAYS
    print(f"\na day {day / 1e6:.2f} M messages, a year {year / 1e6:.0f} M: {year * each / 1e12:.1f} TB kept")
    print(f"the writing connection at peak: {PEAK * keeping.mean():.1%} of a core")
    for held in (20_000, 500_000, 20_000_000):
        print(
            f"{held:>11,} products: {held * memory / 1e9:8.1f} GB and {held * load:8.0f} s to start, a process"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
