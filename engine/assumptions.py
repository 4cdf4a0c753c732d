"""The list of assumptions, computed by walking the quote: none can be forgotten in the wording."""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from engine.by_object import ByObject
from engine.existing import Supposed
from engine.figure import Figure, Origin, in_order, leaf_key
from engine.money.ranges import Ranges
from engine.proposal import Assumption, QuoteLine

SLOT_OF: Final[Mapping[str, str]] = {
    "rate_per_kwh": "job.rate_per_kwh",
    "hours_per_year": "job.schedule",
}


_unmoving: Final = ByObject[Assumption](2048)
"""Assumptions that the payback does not move with, by leaf: those of tables are the same ones from quote to quote."""


def assumptions_of(
    lines: Sequence[QuoteLine],
    totals: Mapping[str, Figure],
    supposed: Sequence[Supposed],
    spread: Ranges,
    swings: Mapping[str, tuple[float, bool]],
) -> tuple[Assumption, ...]:
    """Every assumed or table leaf below the quote's figures and every supposed kind of thing, the most moving first."""
    widths = {s.key: round(s.width, 4) for s in spread.swings("simple_payback_years")}
    out = [
        Assumption(
            item.path,
            item.value,
            None,
            None,
            "",
            item.source,
            item.others,
            swings.get(item.path, (0.0, False))[0],
        )
        for item in supposed
    ]
    payback = totals.get("simple_payback_years")
    below = () if payback is None else in_order([payback])
    money = {leaf.key or leaf_key(leaf) for leaf in below if leaf.origin is not None}
    told: set[str] = set()
    walked: dict[Figure, int] = {}
    places: list[tuple[int | None, Iterable[Figure]]] = [
        (line.index, line.figures.values()) for line in lines if line.options
    ]
    for index, figures in (*places, (None, totals.values())):
        for leaf in in_order(figures, walked):
            origin = leaf.origin
            if origin is None or origin.kind not in ("assumed", "table"):
                continue
            key = leaf.key or leaf_key(leaf)
            if key not in told:
                told.add(key)
                width, affects_money = widths.get(key, 0.0), key in money
                if width:
                    out.append(_of_leaf(leaf, origin, index, width, affects_money))
                else:
                    how = (index, affects_money)
                    out.append(_unmoving.get(leaf, how, _of_leaf, leaf, origin, index, 0.0, affects_money))
    out.sort(key=_narrower)  # those alike stay in the order in which they were come upon
    return tuple(out)


def _narrower(assumption: Assumption) -> float:
    return -assumption.swing_years


def _of_leaf(
    leaf: Figure, origin: Origin, index: int | None, swing: float, affects_money: bool
) -> Assumption:
    path = SLOT_OF.get(leaf.name)
    if path is None and origin.reference.startswith(("job.", "lines.")):
        path = origin.reference
    if path is None and leaf.name == "input_watts_before" and index is not None:
        path = f"lines.{index}.input_watts"
    return Assumption(
        path=path or leaf.name,
        value=leaf.value,
        low=leaf.value if origin.low is None else origin.low,
        high=leaf.value if origin.high is None else origin.high,
        unit=leaf.unit,
        source=origin.source,
        swing_years=swing,
        name=leaf.name,
        affects_money=affects_money,
    )
