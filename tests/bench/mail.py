"""Processor and wall time of the mail desk: `python -m tests.bench.mail`. Median and 95th percentile, in milliseconds."""

import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from bot.mail.desk import MailDesk
from bot.mail.headers import Address
from bot.mail.parsing import parse
from bot.opening import open_assistant

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


def main() -> None:
    desk = MailDesk(open_assistant(), (Address("", "quotes@example.org"),))
    html = (CORPUS / "html_table.eml").read_bytes()
    rows = (
        ("three lines to a draft", lambda: desk.answer(THREE_LINES, AT)),
        ("three lines, decided and read only", lambda: desk.answer(THREE_LINES, AT, composing=False)),
        ("an HTML table to a draft", lambda: desk.answer(html, AT)),
        ("taken apart only", lambda: parse(THREE_LINES)),
        ("a bounce", lambda: desk.answer((CORPUS / "bounce_report.eml").read_bytes(), AT)),
    )
    for name, run in rows:
        median, late, cpu = timed(run)
        print(f"{name:40} {median:8.1f} median {late:8.1f} p95 {cpu:8.1f} processor")


if __name__ == "__main__":
    main()
