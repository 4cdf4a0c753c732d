"""What a question about light is read into: its values so far, the passages they came from, the numbers and units in them."""

import re
from dataclasses import dataclass, field
from typing import Any, Final

from bot.reading.tokens import number_value

FEET_PER_METRE: Final = 1 / 0.3048
LUX_PER_FOOTCANDLE: Final = FEET_PER_METRE**2
LEAST_SIDE_FT: Final = 6.0
"""A room's side; "2x4" is a troffer."""

FT: Final = r"(?:'|ft\.?(?![a-z])|feet(?![a-z])|foot(?![a-z])|pies?(?![a-z]))"
M: Final = r"(?:meters?|metres?|metros?|mts?\.?|m)(?![a-z0-9])"
UNIT: Final = rf"(?: ?(?:{FT}|{M}))"
LENGTH_UNIT: Final = rf" ?(?P<unit>{FT}|{M})"
_METRIC = re.compile(M)
_NUMBER: Final = (
    r"(?<![\d.,$#/-])(?P<{0}>\d{{1,3}}(?:,\d{{3}}){{1,2}}|\d{{1,6}}(?:\.\d{{1,3}})?|\.\d{{1,3}})(?![\d,]*\d)"
)


def number(name: str = "n") -> str:
    """The pattern of a number, as a group of that name."""
    return _NUMBER.format(name)


def is_metric(unit: str | None) -> bool:
    """Whether a length's unit is metres."""
    return bool(unit) and _METRIC.match((unit or "").strip()) is not None


def in_feet(written: str, unit: str | None) -> float:
    """A length [ft]; without a unit it is feet."""
    value = number_value(written)
    return round(value * FEET_PER_METRE, 2) if is_metric(unit) else value


@dataclass(slots=True)
class Taken:
    """The values so far, by slot of `engine.request.AskedLight`, and the passages that are no luminaire's.

    Attributes:
        text: folded.
        metric: where metres or lux stand first.
    """

    text: str
    values: dict[str, Any] = field(default_factory=dict)
    spans: list[tuple[int, int]] = field(default_factory=list)
    metric: tuple[int, int] | None = None

    def free(self, start: int, end: int) -> bool:
        """Whether nothing was taken there yet."""
        return all(end <= a or start >= b for a, b in self.spans)

    def take(self, span: tuple[int, int], unit: str | None = None, **values: Any) -> None:
        """Keeps values that are not there yet, and where they stand."""
        self.spans.append(span)
        if is_metric(unit):
            self.metric = self.metric or span
        for slot, value in values.items():
            self.values.setdefault(slot, value)
