"""How long reading takes: `python -m tests.bench.reading`.

Import and lexicons in a fresh process, the first message after that, the messages of the corpus' tuning part one by one, a pasted
60-line table, doubling from 1 kB to 1 MB, peak memory. The first figures with machine code and interpreted side by side
(``WATTCLERK_INTERPRETED=1`` runs all of it interpreted; ``--short`` stops after them). Reported, never asserted: the machine decides them. One thread; processor time,
so that what else runs on the machine counts less (the load is printed, for it still counts some).
"""

import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from functools import partial
from typing import Any

from bot.conversation import read_turns
from bot.machine_code import SWITCH, used
from bot.reading import CannotRead, read_first, read_message
from bot.reading.build_lexicon import is_fresh
from tests.corpus.records import part_of, records

FRESH = """
import json, resource, sys, time
start = time.process_time()
from bot.reading import read_first
from bot.reading.codes import lamp_tables
from bot.reading.words import lexicon
imported = time.process_time()
lexicon(); lamp_tables()
loaded = time.process_time()
read_first("twelve 250W wallpacks at 20 ft, $0.11/kWh, dusk-to-dawn")
first = time.process_time()
read_first("8 floods 400W halide on 25' poles, 480v, 13c a kwh")
second = time.process_time()
print(json.dumps({"import": imported - start, "lexicons": loaded - imported, "first": first - loaded, "second": second - first,
                  "peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
                  "heavy": [name for name in ("numpy", "aiohttp", "jinja2", "sqlite_utils", "rapidfuzz") if name in sys.modules]}))
"""
TABLE_ROWS = (
    "Dock\t4 lamp T5HO high bay\t{}\t54\t277",
    "Lot\tshoebox\t{}\t400W MH\t480",
    "Wall\twall pack\t{}\t250 HPS\t277",
    "Office\t2x4 troffer\t{}\t3 lamp T8\t277",
)
PATIENCE = 6000.0
"""A doubling is not taken further past a text that took this long [ms]."""
SENTENCES = (
    "12 250w MH wallpacks at 20 ft 277v. ", "also eight 400w halide shoeboxes on 25' poles, 480v bronze. ", "22 cobra heads 150 HPS 30 ft up. ",
    "the gym has 24 4-lamp T5HO high bays at 28'. ", "power is 11 cents, lights run 6am to 10pm M-F. ",
)  # fmt: skip


def fresh(runs: int = 5, byte_code: bool = True) -> list[dict[str, Any]]:
    """Figures of new processes, each on its own; with the byte code kept by an earlier one, as an installed package has it."""
    out = []
    with tempfile.TemporaryDirectory() as kept:
        environment = os.environ | {"PYTHONDONTWRITEBYTECODE": "" if byte_code else "1"}
        if byte_code:
            environment["PYTHONPYCACHEPREFIX"] = kept
        for _ in range(runs + byte_code):
            done = subprocess.run(
                [sys.executable, "-c", FRESH], capture_output=True, text=True, check=True, env=environment
            )
            out.append(json.loads(done.stdout))
    return out[byte_code:]


def table(lines: int) -> str:
    """A fixture table as it is pasted from a sheet: tabs, a header line, ``lines`` rows."""
    rows = [TABLE_ROWS[n % len(TABLE_ROWS)].format(2 + n * 7 % 90) for n in range(lines)]
    return "\n".join(("Area\tFixture\tQty\tLamp\tVolts", *rows))


def prose(size: int, seed: tuple[str, ...] = SENTENCES) -> str:
    """A text of ``size`` characters made of different sentences in turn."""
    block = "".join(seed)
    return (block * (size // len(block) + 1))[:size]


def milliseconds(read: Callable[[], object], runs: int) -> list[float]:
    """Times of ``runs`` calls, sorted."""
    times = []
    for _ in range(runs):
        start = time.process_time()
        read()
        times.append(1000 * (time.process_time() - start))
    return sorted(times)


def _as_a_talk(text: str) -> None:
    """Read a message as the first of a talk, as the product does: what it takes back is read again."""
    read_turns([(text, None)])


def corpus_times(
    read: Callable[[str], object] = _as_a_talk,
) -> tuple[list[float], list[tuple[float, str]], int]:
    """Median of 5 for each single message of the tuning part [ms]; the slowest of them; how many could not be read."""
    times: list[tuple[float, str]] = []
    failed = 0
    for record in records():
        if part_of(record["id"]) != "tuning" or len(record["turns"]) > 1:
            continue
        text = record["turns"][0]["text"]
        try:
            times.append((milliseconds(partial(read, text), 5)[2], record["id"]))
        except Exception as error:
            failed += 1
            print(f"  not read: {record['id']}: {type(error).__name__}")
    times.sort()
    return [t for t, _ in times], times[-3:], failed


def doubling(make: Callable[[int], str]) -> None:
    """Time and ratio for each doubling from 1 kB to 1 MB."""
    before = 0.0
    for power in range(11):
        text = make(1000 * 2**power)
        try:
            took = milliseconds(partial(read_message, text, max_bytes=None), 5 if power < 6 else 2)[0]
        except (CannotRead, RecursionError, ValueError) as error:
            print(f"{len(text):>10} characters: {type(error).__name__}")
            return
        print(
            f"{len(text):>10} {took:>10.2f} {1000 * took / len(text):>12.3f} {took / before if before else float('nan'):>8.2f}"
        )
        before = took
        if took > PATIENCE:
            print(f"{'':>10} stopped here: more than {PATIENCE / 1000:.0f} s for one text")
            return


def figures() -> dict[str, float]:
    """The figures that are to be compared, of this process' form [ms, MB]."""
    runs = fresh()
    out = {
        f"{name}, ms": sorted(1000 * run[name] for run in runs)[2] for name in ("import", "lexicons", "first")
    }
    out["peak memory, MB"] = max(run["peak_mb"] for run in runs)
    times = corpus_times()[0]
    out["single message, median ms"] = statistics.median(times)
    out["single message, 95th percentile ms"] = times[int(0.95 * len(times))]
    out["the reader alone, median ms"] = statistics.median(corpus_times(read_first)[0])
    out["pasted table of 60 lines, ms"] = statistics.median(milliseconds(partial(read_first, table(60)), 9))
    out["text of 64 kB, ms"] = milliseconds(partial(read_message, prose(64_000), max_bytes=None), 3)[0]
    return out


def side_by_side() -> None:
    """Print the compared figures in both forms, one process after the other."""
    compared = []
    for interpreted in ("0", "1"):
        done = subprocess.run(
            [sys.executable, "-m", "tests.bench.reading", "--figures"],
            capture_output=True, text=True, check=True, env=os.environ | {SWITCH: interpreted},
        )  # fmt: skip
        compared.append(json.loads(done.stdout.splitlines()[-1]))
    print(f"{'':<36}{'machine code':>14}{'interpreted':>14}{'ratio':>8}")
    for name, value in compared[0].items():
        print(f"{name:<36}{value:>14.3f}{compared[1][name]:>14.3f}{value / compared[1][name]:>8.2f}")


def main() -> int:
    """Print the figures."""
    if "--figures" in sys.argv:
        print(json.dumps(figures()))
        return 0
    print(
        "load of the machine: "
        + ", ".join(f"{load:.1f}" for load in os.getloadavg())
        + f" on {os.cpu_count()} cores"
    )
    stale = "; ".join(why for why in used.values() if why)
    if stale or not used:
        print(f"interpreted only: {stale or SWITCH + ' is set'}")
    else:
        side_by_side()
    if "--short" in sys.argv:
        return 0
    print()
    runs = fresh()
    uncompiled = fresh(byte_code=False)
    print(
        f"compiled lexicon: {'as its sources are' if is_fresh() else 'STALE: run python -m bot.reading.build_lexicon'}"
    )
    print("fresh process, ms (median of 5, and the worst; median where no byte code is kept)")
    for name in ("import", "lexicons", "first", "second"):
        values = sorted(1000 * run[name] for run in runs)
        bare = sorted(1000 * run[name] for run in uncompiled)
        print(f"  {name:<10} {values[2]:>8.1f} {values[-1]:>8.1f} {bare[2]:>8.1f}")
    print(
        f"  peak memory {max(run['peak_mb'] for run in runs):.0f} MB; loaded beside the reader: {', '.join(runs[0]['heavy']) or 'nothing heavy'}"
    )

    # before this process grows: what it holds is counted to those that it starts
    peak = subprocess.run(
        [sys.executable, "-c", "import resource, sys\nfrom bot.reading import read_message\nread_message(sys.stdin.read(), max_bytes=None)\n"
         "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)"],
        input=prose(64_000), capture_output=True, text=True, check=True,
    )  # fmt: skip
    print(f"peak memory of a process that reads 64 kB: {peak.stdout.strip()} MB")

    times, slowest, failed = corpus_times()
    print(f"\nsingle messages of the tuning part: {len(times)} read, {failed} not")
    print(
        f"  median {statistics.median(times):.3f} ms, p95 {times[int(0.95 * len(times))]:.3f} ms, worst {times[-1]:.2f} ms"
    )
    print("  slowest: " + ", ".join(f"{name} {took:.2f} ms" for took, name in reversed(slowest)))

    for lines in (15, 30, 60, 120):
        text = table(lines)
        took = milliseconds(partial(read_first, text), 9)
        print(
            f"pasted table of {lines:>3} lines ({len(text)} characters): median {statistics.median(took):.2f} ms; {len(read_first(text).lines)} lines read"
        )

    print("\ndoubling, sentences\ncharacters         ms  us/character    ratio")
    doubling(prose)
    print("\ndoubling, a pasted table\ncharacters         ms  us/character    ratio")
    doubling(lambda size: table(size // 32)[:size])
    print("\ndoubling, one long word list without any mark\ncharacters         ms  us/character    ratio")
    doubling(
        lambda size: prose(
            size, ("twelve two fifty halide wall packs and forty two four hundred high bays ",)
        )
    )
    for name, said in (
        ("values taken back", "not 120 but 277 on those, "),
        ("second thoughts", "12 floods no 14, "),
    ):
        print(f"\ndoubling, {name}\ncharacters         ms  us/character    ratio")
        doubling(partial(prose, seed=(said,)))
    print("\ndoubling, digits and marks\ncharacters         ms  us/character    ratio")
    doubling(lambda size: prose(size, ("12-", "12/", "(12) ", "12x12 ", "6-10 ")))
    return 0


if __name__ == "__main__":
    sys.exit(main())
