"""Processor and wall time of the mail desk: `python -m tests.bench.mail`. Median and 95th percentile, in milliseconds.

Long schedules and a bomb are timed once, in a process of their own, with the most memory that it and its children held.
"""

import io
import itertools
import multiprocessing
import resource
import time
import zipfile
from collections.abc import Callable
from datetime import UTC, datetime
from email import message_from_bytes, policy
from pathlib import Path

from bot.mail.desk import MailDesk
from bot.mail.headers import Address
from bot.mail.parsing import parse
from bot.opening import open_assistant
from tests.corpus.mail.files import workbook

AT = datetime(2026, 11, 24, 15, 0, tzinfo=UTC)
CORPUS = Path(__file__).parent.parent / "corpus" / "mail"
THREE_LINES = b"""From: Dan Hale <dan.hale@example.com>
To: quotes@example.org
Subject: LED for our lot
Message-ID: <three@example.com>

We have twelve 250W wallpacks at 20 ft on the warehouse.
They burn dusk-to-dawn and we pay $0.11/kWh.
What would LED save us?
"""


def timed(run: Callable[[], object], times: int = 60) -> tuple[float, float, float]:
    """Median and 95th percentile of wall time, median of processor time [ms]."""
    wall, cpu = [], []
    run()
    for _ in range(times):
        began, began_cpu = time.perf_counter(), time.process_time()
        run()
        wall.append(1000 * (time.perf_counter() - began))
        cpu.append(1000 * (time.process_time() - began_cpu))
    wall.sort()
    cpu.sort()
    return wall[times // 2], wall[int(times * 0.95)], cpu[times // 2]


_COUNTS = itertools.count(13)


def varied() -> bytes:
    """The three lines with another count each time: neither the reader nor the typesetter has seen it before."""
    return THREE_LINES.replace(b"twelve", str(next(_COUNTS)).encode())


def schedule(count: int, *, alike: bool) -> bytes:
    """A mail with an XLSX of so many rows: of four kinds, or each of a kind of its own."""
    kinds = (
        ("Wall pack", "HPS", 150),
        ("Shoebox area light", "MH", 400),
        ("2x4 troffer 3 lamp", "T8", 32),
        ("High bay", "MH", 400),
    )
    rows: list[list[str | int | float | None]] = [
        ["Location", "Qty", "Fixture", "Lamp", "Watts", "Mtg Ht", "Volts"]
    ]
    for number in range(count):
        kind, lamp, watts = kinds[number % 4]
        height = 9 + number % 4 if alike else 8 + number * 0.01
        rows.append([f"Room {number}", number % 13 + 1, kind, lamp, watts, height, 277])
    held = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(workbook([("Audit", rows)]))) as source,
        zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as out,
    ):
        for name in source.namelist():
            out.writestr(name, source.read(name))
    return attached(held.getvalue())


def bomb() -> bytes:
    """A mail with an XLSX that unpacks to a gigabyte."""
    held = io.BytesIO()
    with (
        zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as out,
        out.open("xl/worksheets/sheet1.xml", "w") as part,
    ):
        for _ in range(1024):
            part.write(bytes(1 << 20))
    return attached(held.getvalue())


def attached(data: bytes) -> bytes:
    message = message_from_bytes(THREE_LINES, policy=policy.default)
    message.set_content("Please quote the attached, $0.12/kWh, two shifts.\n")  # type: ignore[attr-defined]
    message.add_attachment(data, maintype="application", subtype="octet-stream", filename="audit.xlsx")  # type: ignore[attr-defined]
    return message.as_bytes()


def most_held() -> int:
    """The most memory that this program has held [kB]; getrusage counts what was before it was loaded too."""
    status = Path("/proc/self/status").read_text("ascii")
    return next(int(line.split()[1]) for line in status.splitlines() if line.startswith("VmHWM:"))


def once(name: str, data: bytes, with_pdf: bool) -> None:
    """One mail answered by a process that has answered a short one before."""
    desk = MailDesk(open_assistant(), (Address("", "quotes@example.org"),), with_pdf=with_pdf)
    desk.answer(THREE_LINES, AT)
    before = most_held()
    began = time.perf_counter()
    answer = desk.answer(data, AT)
    took = time.perf_counter() - began
    own, children = (
        resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    lines = len(answer.turn.quote.lines) if answer.turn is not None and answer.turn.quote is not None else 0
    print(
        f"{name:40} {took:8.2f} s {own / 1024:8.0f} MB ({(own - before) / 1024:.0f} more than before, children {children / 1024:.0f}) "
        f"{len(answer.reading.lines)} rows, {lines} lines quoted"
    )


def main() -> None:
    desk = MailDesk(open_assistant(), (Address("", "quotes@example.org"),))
    without = MailDesk(desk.assistant, desk.own, with_pdf=False)
    html = (CORPUS / "html_table.eml").read_bytes()
    rows = (
        ("three lines to a draft with PDF", lambda: desk.answer(varied(), AT)),
        ("three lines to a draft without PDF", lambda: without.answer(varied(), AT)),
        ("three lines, decided and read only", lambda: desk.answer(THREE_LINES, AT, composing=False)),
        ("an HTML table to a draft without PDF", lambda: without.answer(html, AT)),
        ("taken apart only", lambda: parse(THREE_LINES)),
        ("a bounce", lambda: desk.answer((CORPUS / "bounce_report.eml").read_bytes(), AT)),
    )
    medians = []
    for name, run in rows:
        median, late, cpu = timed(run)
        medians.append(median)
        print(f"{name:40} {median:8.1f} median {late:8.1f} p95 {cpu:8.1f} processor")
    print(f"{'with PDF / without':40} {medians[0] / medians[1]:8.2f}")
    fresh = multiprocessing.get_context("spawn")
    for name, data, with_pdf in (
        ("60 rows, with PDF", schedule(60, alike=True), True), ("60 rows, without PDF", schedule(60, alike=True), False),
        ("5,000 rows of a few kinds, with PDF", schedule(5000, alike=True), True), ("5,000 rows, without PDF", schedule(5000, alike=True), False),
        ("5,000 rows, each its own kind, with PDF", schedule(5000, alike=False), True), ("a bomb of 1 GB", bomb(), True),
    ):  # fmt: skip
        process = fresh.Process(target=once, args=(name, data, with_pdf))
        process.start()
        process.join()


if __name__ == "__main__":
    main()
