"""The reader beside general quantity extractors, same messages, same run: `python -m tests.bench.extractors`.

The extractors are no dependencies of the project. To have them, make an environment of its own beside the project's and run this
file there; what is not installed is said in one line and left out:

    python -m venv extractors && extractors/bin/pip install . quantulum3 numerizer text2num pint recognizers-text-suite "emoji<2"

An extractor knows nothing of luminaires, so its score is generous: a message counts as whole if every number that matters comes out
with its value and a unit of the right kind (feet or metres; watts; volts; money; hours), or with no unit where the text writes none
beside it ("150 HPS", "labor 85"), wherever it stands, and no count comes out that the text does not say. A wrong unit is wrong (25' is
no arc minute, 175MH no megahenry). The reader's score is strict: every slot exact, the right number of lines. Reported, never asserted.

"text2num, then pint" is no extractor of the package index but one put together here from a number-word library, one pattern and a
unit registry: it shows what the short way gives. The comparison is made with and without it.
"""

import json
import logging
import re
import statistics
import sys
import time
import warnings
from collections.abc import Callable
from importlib import import_module
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

from bot.reading import read_first
from tests.corpus.scoring import score_turn

MESSAGES = Path(__file__).parent / "messages.jsonl"
RUNS = 5
Quantity = tuple[float, str]
"""A value and its kind: "count", "W", "ft", "V", "K", "money" (dollars), "hours"."""
Extract = Callable[[str], list[Quantity]]

KINDS = {
    "watts": "W", "input_watts": "W", "led_watts": "W", "height_ft": "ft", "spacing_ft": "ft", "lamp_feet": "ft", "voltage": "V", "cct_k": "K",
    "qty": "count", "lamps": "count", "rate_per_kwh": "money", "rebate_per_luminaire": "money", "labor_per_luminaire": "money", "budget": "money",
}  # fmt: skip
UNITS = {
    "watt": "W", "watts": "W", "w": "W", "foot": "ft", "feet": "ft", "ft": "ft", "international_foot": "ft", "volt": "V", "volts": "V", "v": "V",
    "kelvin": "K", "k": "K", "dollar": "money", "united states dollar": "money", "hour": "hours", "hours": "hours", "dimensionless": "count", "": "count",
}  # fmt: skip
BARE = re.compile(
    r"(?<![\d.,$])(\d[\d,]*(?:\.\d+)?)(?![\d.,]*\d)(?!\s?-?(?:w|watts?|vatios|v|volts?|ft|feet|foot|pies|metres|k|c|cents?|hours?|[ap]m)\b)(?!['\"])",
    re.IGNORECASE,
)
"""A number that is written with no unit beside it."""
METRES = frozenset({"meter", "metre", "metres", "meters", "m"})
CENTS = frozenset({"cent", "cents", "united states cent"})


def expected(message: dict[str, Any]) -> list[Quantity]:
    """The quantities of the gold that a general extractor could name."""
    wanted = [(float(v), KINDS[k]) for line in message["lines"] for k, v in line.items() if k in KINDS]
    wanted += [(float(v), KINDS[k]) for k, v in message["job"].items() if k in KINDS]
    schedule = message["job"].get("schedule")
    if isinstance(schedule, dict):
        wanted += [(float(v), "hours") for k, v in schedule.items() if k != "days_per_week"]
    return wanted


def quantity(value: Any, unit: str) -> list[Quantity]:
    """A value in the unit an extractor gives it, in our kinds; nothing where the value is no number."""
    try:
        number = float(str(value).replace(",", ""))
    except ValueError:
        return []
    unit = unit.lower().strip()
    head = unit.split(" per ")[0].split("/")[0].strip()
    if head in METRES:
        return [(round(number * 3.28084, 2), "ft")]
    if head in CENTS:
        return [(number / 100, "money")]
    return [(number, UNITS.get(unit, UNITS.get(head, f"other: {unit}")))]


def whole(message: dict[str, Any], found: list[Quantity]) -> bool:
    """Whether all that matters was found, each with a right unit or none where none is written, and no count that is made up."""
    bare = {float(n.replace(",", "")) for n in BARE.findall(message["text"])}

    def near(one: float, other: float, kind: str) -> bool:
        return abs(one - other) < (0.011 if kind == "ft" else 1e-6)

    wanted = set(expected(message))
    for value, kind in wanted:
        if not any(
            near(got, value, kind) and (unit == kind or (unit == "count" and got in bare))
            for got, unit in found
        ):
            return False
    said = {float(n.replace(",", "")) for n in re.findall(r"\d[\d,]*(?:\.\d+)?|\.\d+", message["text"])}
    said |= {value for value, _ in wanted} | {1.0}
    return all(value in said for value, kind in found if kind == "count")


def package(name: str) -> Any:
    """A module that may not be there."""
    return import_module(name)


def quantulum() -> Extract:
    parser = package("quantulum3.parser")

    return lambda text: [q for found in parser.parse(text) for q in quantity(found.value, found.unit.name)]


def numerizer_then_quantulum() -> Extract:
    numerize, parser = package("numerizer").numerize, package("quantulum3.parser")

    return lambda text: [
        q for found in parser.parse(numerize(text)) for q in quantity(found.value, found.unit.name)
    ]


def text2num_then_pint() -> Extract:
    pint, alpha2digit = package("pint"), package("text_to_num").alpha2digit
    units = pint.UnitRegistry()
    shape = re.compile(r"(\d[\d,]*(?:\.\d+)?|\.\d+)\s?([A-Za-z]{1,12})?")

    def extract(text: str) -> list[Quantity]:
        out: list[Quantity] = []
        for value, word in shape.findall(alpha2digit(text, "en")):
            try:
                unit = str(units.parse_units(word, case_sensitive=False)) if word else ""
            except (pint.errors.UndefinedUnitError, ValueError, AttributeError, TypeError):
                unit = ""
            out += quantity(value, unit)
        return out

    return extract


def recognizers() -> Extract:
    english = package("recognizers_text").Culture.English
    units = package("recognizers_number_with_unit").NumberWithUnitRecognizer(english)
    models = (units.get_dimension_model(), units.get_currency_model())
    numbers = package("recognizers_number").NumberRecognizer(english).get_number_model()
    times = package("recognizers_date_time").DateTimeRecognizer(english).get_datetime_model()

    def extract(text: str) -> list[Quantity]:
        out: list[Quantity] = []
        taken: set[int] = set()
        for model in models:
            for found in model.parse(text):
                resolution = found.resolution or {}
                out += quantity(resolution.get("value"), str(resolution.get("unit") or ""))
                taken.update(range(found.start, found.end + 1))
        for found in times.parse(text):
            for value in (found.resolution or {}).get("values", ()):
                if value.get("type") == "duration":
                    out.append((float(value["value"]) / 3600, "hours"))
                elif value.get("type") == "timerange" and "start" in value and "end" in value:
                    begin, end = (int(value[k][:2]) + int(value[k][3:5]) / 60 for k in ("start", "end"))
                    out.append(((end - begin) % 24, "hours"))
        for found in numbers.parse(text):
            if found.start not in taken:
                out += quantity((found.resolution or {}).get("value"), "")
        return out

    return extract


EXTRACTORS: tuple[tuple[tuple[str, ...], Callable[[], Extract], bool], ...] = (
    (("quantulum3",), quantulum, True),
    (("numerizer", "quantulum3"), numerizer_then_quantulum, True),
    (("recognizers-text-suite",), recognizers, True),
    (("text2num", "pint"), text2num_then_pint, False),
)
"""Packages, how to make the extractor of them, and whether it comes as such (False: put together here)."""


def timed(read: Callable[[str], Any], texts: list[str]) -> tuple[float, float]:
    """Median and p95 over the messages of the median processor time of a message [ms]; read once before."""
    each = []
    for text in texts:
        read(text)
        runs = []
        for _ in range(RUNS):
            start = time.process_time()
            read(text)
            runs.append(1000 * (time.process_time() - start))
        each.append(statistics.median(runs))
    return statistics.median(each), sorted(each)[int(0.95 * len(each))]


def read_strictly(message: dict[str, Any]) -> list[str]:
    """What the reader gets wrong of a message."""
    shown = read_first(message["text"]).as_json()
    faults = [
        f"{s.path} {s.read!r} for {s.gold!r}" for s in score_turn(message, shown) if s.outcome != "right"
    ]
    return faults + ([f"{len(shown['lines'])} lines"] if len(shown["lines"]) != len(message["lines"]) else [])


def main() -> int:
    """Print the table."""
    warnings.simplefilter("ignore")
    logging.disable(logging.WARNING)
    messages = [json.loads(line) for line in MESSAGES.read_text(encoding="utf-8").splitlines()]
    texts = [m["text"] for m in messages]
    rows: list[tuple[str, list[bool], float, float]] = []
    as_such: list[bool] = []
    for packages, make, ready in EXTRACTORS:
        title = ", then ".join(packages)
        try:
            versions = ", then ".join(f"{name} {version(name)}" for name in packages)
            extract = make()
        except (ImportError, PackageNotFoundError) as missing:
            print(f"left out: {title} ({missing})")
            continue
        try:
            right = [whole(m, extract(m["text"])) for m in messages]
        except Exception as error:
            print(f"left out: {title} ({type(error).__name__}: {error})")
            continue
        rows.append((versions, right, *timed(extract, texts)))
        as_such.append(ready)
    faults = [read_strictly(m) for m in messages]
    mine = ([not f for f in faults], *timed(read_first, texts))

    print(f"{'':<44} {'whole':>8} {'share':>6} {'median ms':>10} {'p95 ms':>8}")
    for name, right, median, p95 in [*rows, ("this reader (strict: every slot)", *mine)]:
        print(
            f"{name:<44} {sum(right):>4}/{len(right):<3} {sum(right) / len(right):>6.0%} {median:>10.3f} {p95:>8.3f}"
        )
    for what, group in (
        ("extractors as they come", [r for r, ready in zip(rows, as_such, strict=True) if ready]),
        ("all", rows),
    ):
        if group:
            best = max(group, key=lambda row: (sum(row[1]), -row[2]))
            print(
                f"best of {what}: {best[0]}, {sum(best[1])}/{len(messages)}; its median time is {best[2] / mine[1]:.2f} times the reader's"
            )
    print(
        "\n"
        + " ".join(f"{n + 1}" for n in range(len(rows)))
        + " r   (. whole, x not; columns as above, r this reader)"
    )
    for at, message in enumerate(messages):
        marks = " ".join("." if right[at] else "x" for _, right, *_ in [*rows, ("", *mine)])
        print(
            f"{marks}   {message['why']:<45} {message['text'][:60]}{'   <- ' + '; '.join(faults[at]) if faults[at] else ''}"
        )
    return 0


if __name__ == "__main__":
    sys.exit(main())
