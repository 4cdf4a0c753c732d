"""Which missing fact is worth asking for: ranked by how much knowing it would narrow the payback or change the choice.

A fact that changes nothing is never asked.
"""

import math
from collections.abc import Mapping, Sequence
from typing import Any, Final

from engine.existing import Supposed
from engine.money.ranges import Ranges
from engine.proposal import Question, QuoteLine
from engine.request import Request

ASKABLE: Final[Mapping[str, tuple[str, tuple[Any, ...]]]] = {
    "rate_per_kwh": ("job.rate_per_kwh", ()),
    "hours_per_year": ("job.schedule", ("dusk_to_dawn", "always_on")),
    "labor_per_luminaire": ("job.labor_per_luminaire", ()),
    "labor_rate": ("job.labor_per_luminaire", ()),
    "labor_minutes": ("job.labor_per_luminaire", ()),
}
"""Figures whose slot a contractor can answer in a word."""
WORTH_ASKING_SHARE: Final = 0.05
"""Below a twentieth of the payback a fact changes nothing that anybody acts on."""
WORTH_ASKING_YEARS: Final = 0.1


def questions_for(
    request: Request,
    lines: Sequence[QuoteLine],
    supposed: Sequence[Supposed],
    spread: Ranges,
    swings: Mapping[str, tuple[float, bool]],
) -> tuple[Question, ...]:
    """All questions worth asking, the most telling first. What stops a line from being quoted comes before all."""
    blocking: list[Question] = []
    for line in lines:
        if line.problem is None:
            continue
        if line.problem.key == "family_unknown":
            blocking.append(Question(f"lines.{line.index}.family", (), math.inf, True))
        elif line.problem.key == "light_unknown":
            blocking.append(Question(f"lines.{line.index}.watts", (), math.inf, True))
    by_path: dict[str, tuple[float, bool, tuple[Any, ...]]] = {}

    def add(path: str, swing: float, changes: bool, options: tuple[Any, ...]) -> None:
        before = by_path.get(path, (0.0, False, options))
        by_path[path] = (before[0] + swing, before[1] or changes, options or before[2])

    base = spread.spreads.get("simple_payback_years")
    for swing in spread.swings("simple_payback_years"):
        asked = ASKABLE.get(swing.leaf.name)
        if asked is None:
            continue
        path, options = asked
        if swing.leaf.name == "hours_per_year" and request.job.schedule == "dusk_to_dawn":
            # The schedule was said; how long the night is there follows from the place.
            path, options = "job.place", ()
        add(path, swing.width, False, options)
    for item in supposed:
        width, changes = swings.get(item.path, (0.0, False))
        add(item.path, width, changes, (item.value, *item.others))
    for line in lines:
        if line.options and line.stated.qty is None and len(lines) > 1:
            add(f"lines.{line.index}.qty", 0.0, True, ())
    voltages = [line for line in lines if line.options and line.stated.voltage is None]
    if voltages and not request.lines[voltages[0].index].keep_housing:
        path = "lines.*.voltage" if len(voltages) == len(lines) > 1 else f"lines.{voltages[0].index}.voltage"
        add(path, 0.0, True, (120, 277, 480))
    least = max(WORTH_ASKING_YEARS, WORTH_ASKING_SHARE * (base.base if base is not None else 0.0))
    asked_for = [
        Question(path, options, width, changes)
        for path, (width, changes, options) in by_path.items()
        if width >= least or changes
    ]
    asked_for.sort(key=lambda q: (-q.swing_years, not q.changes_choice, q.path))
    return (*blocking, *asked_for)
