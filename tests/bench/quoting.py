"""How long a quote takes: `python -m tests.bench.quoting`. One line, a 60-line audit, a 2,000-line audit, and the ratio of time to lines.

Times are processor time, reported, never asserted: the machine decides them. Each includes ranges over all draws, trace and questions.
"""

import statistics
import sys
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

from engine.catalog.loader import load_catalogue
from engine.money.draws import DRAWS
from engine.quote import make_quote
from engine.request import Request
from engine.tables.tables import load_tables

DEMO = Path(__file__).parents[2] / "catalog_demo"
KINDS: list[dict[str, Any]] = [
    {"family": "wall_pack", "watts": 250},
    {"family": "area", "watts": 400, "source": "MH", "voltage": 480},
    {"family": "troffer", "size": "2x4", "source": "T8", "lamps": 4},
    {"family": "high_bay", "watts": 400, "source": "MH", "voltage": 277},
    {"family": "wall_pack", "source": "HPS", "watts": 150},
    {"family": "strip", "source": "T12", "lamps": 2, "lamp_feet": 8},
    {"family": "flood", "watts": 1000, "source": "MH"},
    {"family": "downlight", "source": "CFL", "watts": 26},
    {"family": "street", "source": "HPS", "watts": 250},
    {"family": "canopy", "watts": 175},
]


def audit(lines: int) -> Request:
    """A job of ``lines`` lines, kinds and counts all different enough that no line repeats within sixty."""
    return Request.model_validate(
        {
            "job": {"place": {"zip": "43604"}},
            "lines": [
                {**KINDS[i % len(KINDS)], "qty": 1 + i % 97, "height_ft": 9 + i % 23} for i in range(lines)
            ],
        }
    )


def main() -> int:
    """Print the table."""
    catalogue, tables = load_catalogue(DEMO), load_tables()
    make_quote(audit(10), catalogue, tables)
    print(f"{'lines':>6} {'runs':>5} {'median ms':>10} {'ms a line':>10}   ({DRAWS} draws)")
    for lines, runs in ((1, 200), (10, 40), (60, 20), (500, 3), (2000, 3)):
        request = audit(lines)
        times = []
        for _ in range(runs):
            start = time.process_time()
            make_quote(request, catalogue, tables)
            times.append(1000 * (time.process_time() - start))
        median = statistics.median(times)
        print(f"{lines:>6} {runs:>5} {median:>10.2f} {median / lines:>10.3f}")
    print()
    light()
    return 0


def light() -> None:
    """What choosing and telling by light adds to a quote of one line, and what a product's file costs when it is first read."""
    catalogue, tables = load_catalogue(DEMO), load_tables()
    without = replace(catalogue, light={})
    start = time.process_time()
    catalogue.check_light()
    each = 1000 * (time.process_time() - start) / len(catalogue.light)
    print(f"{len(catalogue.light)} photometric files read in {each:.2f} ms each")
    print(
        f"{'one line of':>12} {'by lumens ms':>13} {'by light ms':>12} {'added ms':>9}   (medians, in turns)"
    )
    for kind in KINDS:
        request = Request.model_validate({"lines": [{**kind, "qty": 8, "height_ft": 20}]})
        times: tuple[list[float], list[float]] = ([], [])
        for _ in range(60):
            for goods, told in zip((without, catalogue), times, strict=True):
                start = time.process_time()
                make_quote(request, goods, tables)
                told.append(1000 * (time.process_time() - start))
        dark, lit = (statistics.median(each) for each in times)
        print(f"{kind['family']:>12} {dark:>13.2f} {lit:>12.2f} {lit - dark:>9.2f}")


if __name__ == "__main__":
    sys.exit(main())
