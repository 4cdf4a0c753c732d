"""Input watts of a legacy luminaire from its lamps: a row of ``system_watts.csv``, or an estimate that says it is one."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from engine.tables.miss import NoSuchRow, nearest, plain
from engine.tables.rows import SystemWattsRow
from engine.tables.tables import Tables
from engine.vocabulary import LINEAR_SOURCES, LampSource

How = Literal["row", "scaled", "other ballast", "interpolated", "ratio"]

MARGIN: Final = 0.03
"""Put on both ends of anything that is not a row of its own (common practice, no source)."""
_USUAL_FEET: Final = (4.0, 8.0, 2.0, 3.0)
_NEIGHBOR: Final = 2.0  # a neighbor of more than twice the watts is no neighbor


@dataclass(frozen=True, slots=True)
class SystemWatts:
    """Input watts of one luminaire.

    Attributes:
        watts: base [W]; ``low`` and ``high`` bound it.
        reference: table and row, as ``system_watts.csv: MH 250 W 1 lamp CWA``.
        how: ``row``; ``scaled`` from another number of lamps; ``other ballast`` than the one asked for;
            ``interpolated`` between lamp watts; ``ratio`` of input to lamp watts for that kind of lamp.
        ballast: the ballast that the figure holds for; empty for a ratio.
        ballast_assumed: no ballast was said.
        seen: how the row's figure was got.
        provenance: where it is from.
    """

    watts: float
    low: float
    high: float
    reference: str
    how: How
    ballast: str
    ballast_assumed: bool
    seen: str
    provenance: str


def system_watts(
    tables: Tables,
    source: LampSource,
    lamp_watts: float,
    lamps: int = 1,
    lamp_feet: float | None = None,
    ballast: str | None = None,
) -> SystemWatts | NoSuchRow:
    """Input watts of a luminaire with ``lamps`` lamps of ``lamp_watts`` each.

    Args:
        tables: the reference tables.
        source: kind of lamp. For LED the watts said are taken as input watts.
        lamp_watts: nominal watts of one lamp [W].
        lamps: lamps in the luminaire.
        lamp_feet: nominal length [ft] of a linear lamp; ``None`` takes the usual one, 4 ft before 8, 2 and 3.
        ballast: as in the table ("CWA", "electronic", ...); ``None`` takes the usual one for the lamp.

    Returns:
        The row's figure; else, in this order and with ends widened by 3 %: multiples of another number of lamps,
        the usual ballast in place of the one asked for, an interpolation between lamp watts no further apart
        than a factor of two, the ratio usual for the source. ``NoSuchRow`` where the watts lie beyond half the
        least or twice the greatest of that source.
    """
    rows = [row for row in tables.system_watts if row.lamp_source == source]
    order = [row.ballast for row in tables.usual_ballasts if row.lamp_source == source]
    linear = source in LINEAR_SOURCES
    feet = lamp_feet if linear else None
    if linear and feet is None:
        feet = _usual_feet(rows, lamp_watts)
    same_length = [row for row in rows if row.lamp_feet == feet]
    wanted = [ballast] if ballast is not None else order
    assumed = ballast is None

    for how, ballasts in (("row", wanted), ("other ballast", order)):
        for kind in ballasts:
            same = [row for row in same_length if row.ballast == kind and row.lamp_watts == lamp_watts]
            found = _by_lamps(same, lamps, assumed)
            if found is None:
                continue
            if how == "other ballast":
                reference = f"{found.reference} (no row for {ballast})"
                return _widened(replace(found, how="other ballast", reference=reference))
            return found
    for kind in [*wanted, *order]:
        same = [row for row in same_length if row.ballast == kind]
        between = _between(same, lamp_watts, lamps, assumed)
        if between is not None:
            return between
    return _by_ratio(tables, rows, source, lamp_watts, lamps, assumed)


def reference(row: SystemWattsRow) -> str:
    """Where the row stands: ``system_watts.csv: T8 32 W 4 lamps 4 ft electronic``."""
    return "system_watts.csv: " + _described(
        row.lamp_source, row.lamp_watts, row.lamps, row.lamp_feet, row.ballast
    )


def _described(source: str, watts: float, lamps: int, feet: float | None, ballast: str | None) -> str:
    parts = [source, f"{plain(watts)} W", f"{lamps} lamp" + ("s" if lamps > 1 else "")]
    if feet is not None:
        parts.append(f"{plain(feet)} ft")
    if ballast:
        parts.append(ballast)
    return " ".join(parts)


def _usual_feet(rows: Sequence[SystemWattsRow], lamp_watts: float) -> float:
    lengths = {row.lamp_feet for row in rows if row.lamp_watts == lamp_watts}
    return next((feet for feet in _USUAL_FEET if feet in lengths), _USUAL_FEET[0])


def _exact(row: SystemWattsRow, assumed: bool) -> SystemWatts:
    return SystemWatts(
        watts=row.watts,
        low=row.watts_low,
        high=row.watts_high,
        reference=reference(row),
        how="row",
        ballast=row.ballast,
        ballast_assumed=assumed,
        seen=row.seen,
        provenance=row.provenance,
    )


def _by_lamps(same: Sequence[SystemWattsRow], lamps: int, assumed: bool) -> SystemWatts | None:
    """The row for that many lamps, else as many ballasts as it takes: five lamps are a four- and a one-lamp ballast."""
    by_count = {row.lamps: row for row in same}
    if lamps in by_count:
        return _exact(by_count[lamps], assumed)
    taken: list[SystemWattsRow] = []
    left = lamps
    for count in sorted(by_count, reverse=True):
        while left >= count:
            taken.append(by_count[count])
            left -= count
    if left or not taken:
        return None
    counts = [row.lamps for row in taken]
    made_of = " + ".join(str(count) for count in counts)
    first = taken[0]
    described = _described(first.lamp_source, first.lamp_watts, lamps, first.lamp_feet, first.ballast)
    return _widened(
        replace(
            _exact(first, assumed),
            watts=sum(row.watts for row in taken),
            low=sum(row.watts_low for row in taken),
            high=sum(row.watts_high for row in taken),
            how="scaled",
            reference=f"system_watts.csv: {described}, summed from rows of {made_of} lamps",
        )
    )


def _between(
    same: Sequence[SystemWattsRow], lamp_watts: float, lamps: int, assumed: bool
) -> SystemWatts | None:
    """Between the nearest smaller and greater lamp: the ratio of input to lamp watts, weighed by distance."""
    sizes = sorted({row.lamp_watts for row in same})
    below = max((size for size in sizes if size < lamp_watts), default=None)
    above = min((size for size in sizes if size > lamp_watts), default=None)
    if below is None or above is None or above > _NEIGHBOR * below:
        return None
    lower = _by_lamps([row for row in same if row.lamp_watts == below], lamps, assumed)
    upper = _by_lamps([row for row in same if row.lamp_watts == above], lamps, assumed)
    if lower is None or upper is None:
        return None
    share = (lamp_watts - below) / (above - below)
    ratio = (1 - share) * lower.watts / below + share * upper.watts / above
    described = _described(same[0].lamp_source, lamp_watts, lamps, same[0].lamp_feet, same[0].ballast)
    return _widened(
        replace(
            lower,
            watts=ratio * lamp_watts,
            low=min(lower.low / below, upper.low / above) * lamp_watts,
            high=max(lower.high / below, upper.high / above) * lamp_watts,
            how="interpolated",
            reference=f"system_watts.csv: {described}, between the rows of {plain(below)} and {plain(above)} W",
            provenance=f"interpolated; {plain(below)} W: {lower.provenance}; {plain(above)} W: {upper.provenance}",
        )
    )


def _by_ratio(
    tables: Tables,
    rows: Sequence[SystemWattsRow],
    source: LampSource,
    lamp_watts: float,
    lamps: int,
    assumed: bool,
) -> SystemWatts | NoSuchRow:
    described = _described(source, lamp_watts, lamps, None, None)
    ratio = next((row for row in tables.watts_per_lamp_watt if row.lamp_source == source), None)
    sizes = [row.lamp_watts for row in rows]
    if ratio is None or (sizes and not min(sizes) / _NEIGHBOR <= lamp_watts <= max(sizes) * _NEIGHBOR):
        near = nearest(lamp_watts, ((row.lamp_watts, reference(row)) for row in rows))
        return NoSuchRow("system_watts.csv", described, near)
    total = lamp_watts * lamps
    return SystemWatts(
        watts=total * ratio.ratio,
        low=total * ratio.ratio_low,
        high=total * ratio.ratio_high,
        reference=f"watts_per_lamp_watt.csv: {described}, {plain(ratio.ratio)} input watts a lamp watt",
        how="ratio",
        ballast="",
        ballast_assumed=assumed,
        seen=ratio.seen,
        provenance=ratio.provenance,
    )


def _widened(found: SystemWatts) -> SystemWatts:
    return replace(found, low=found.low * (1 - MARGIN), high=found.high * (1 + MARGIN))
