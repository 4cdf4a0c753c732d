"""What is known of a lamp: its light and life, what its upkeep costs, and which lamps a family usually holds."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from engine.tables.miss import NoSuchRow, nearest, plain
from engine.tables.rows import LampRow, MaintenanceRow, UsualLampRow
from engine.tables.tables import Tables
from engine.vocabulary import EXTERIOR_FAMILIES, LINEAR_SOURCES, Family, LampSource, Size

_USUAL_FEET: Final = (4.0, 8.0, 2.0, 3.0)
_NEIGHBOR: Final = 2.0
_MARGIN: Final = 0.05


@dataclass(frozen=True, slots=True)
class Lamp:
    """Light and life of one lamp.

    Attributes:
        initial_lumens: at 100 h [lm], with low and high; ``mean_lumens``: with lamp lumen depreciation in it.
        rated_life_hours: half still lit [h]. ``cct_k`` [K]. ``restrike``: in words.
        reference: table and row; ``how``: ``row``, or ``interpolated`` between two lamps of the source.
    """

    initial_lumens: float
    initial_lumens_low: float
    initial_lumens_high: float
    mean_lumens: float
    mean_lumens_low: float
    mean_lumens_high: float
    rated_life_hours: float
    cri: int
    cct_k: int
    restrike: str
    reference: str
    how: Literal["row", "interpolated"]
    seen: str
    provenance: str


@dataclass(frozen=True, slots=True)
class UsualLamp:
    """One likely lamp. ``share``: 0 to 1, the shares of one answer add up to 1."""

    lamp_source: LampSource
    lamp_watts: float
    lamps: int
    lamp_feet: float | None
    size: str | None
    share: float


@dataclass(frozen=True, slots=True)
class UsualLamps:
    """Likely lamps, likeliest first, for a family of which not everything was said.

    Attributes:
        lamps: at least one.
        reference: table and rows; ``how``: ``family`` for the family's own rows, ``kin`` for those of
            other families of the same surroundings, ``lamp`` for any lamp that has those watts.
        provenance: where the weights are from.
    """

    lamps: tuple[UsualLamp, ...]
    reference: str
    how: Literal["family", "kin", "lamp"]
    provenance: str

    @property
    def likeliest(self) -> UsualLamp:
        return self.lamps[0]


def lamp(
    tables: Tables, source: LampSource, lamp_watts: float, lamp_feet: float | None = None
) -> Lamp | NoSuchRow:
    """Light and life of a lamp.

    Args:
        tables: the reference tables.
        source: kind of lamp.
        lamp_watts: nominal watts [W].
        lamp_feet: length [ft] of a linear lamp; ``None`` takes the usual one.

    Returns:
        The row; else, between lamps of the same source no further apart than a factor of two, lumens per watt
        weighed by distance with both ends widened by 5 %; else ``NoSuchRow``.
    """
    rows = [row for row in tables.lamps if row.lamp_source == source]
    feet = None
    if source in LINEAR_SOURCES:
        lengths = {row.lamp_feet for row in rows if row.lamp_watts == lamp_watts}
        usual = next((length for length in _USUAL_FEET if length in lengths), _USUAL_FEET[0])
        feet = lamp_feet if lamp_feet is not None else usual
    same = [row for row in rows if row.lamp_feet == feet]
    exact = next((row for row in same if row.lamp_watts == lamp_watts), None)
    if exact is not None:
        return _exact(exact)
    below = max((row for row in same if row.lamp_watts < lamp_watts), key=_watts, default=None)
    above = min((row for row in same if row.lamp_watts > lamp_watts), key=_watts, default=None)
    if below is None or above is None or above.lamp_watts > _NEIGHBOR * below.lamp_watts:
        near = nearest(lamp_watts, ((row.lamp_watts, _reference(row)) for row in rows))
        length = f" {plain(feet)} ft" if feet is not None else ""
        return NoSuchRow("lamps.csv", f"{source} {plain(lamp_watts)} W{length}", near)
    return _between(below, above, lamp_watts)


def maintenance(
    tables: Tables, source: LampSource, lamp_watts: float, lamp_feet: float | None = None
) -> MaintenanceRow | NoSuchRow:
    """What it takes to replace such a lamp or its ballast. LED has no row: its allowance stands in ``defaults.csv``."""
    feet = (lamp_feet or _USUAL_FEET[0]) if source in LINEAR_SOURCES else None
    for group in tables.maintenance_groups:
        if group.lamp_source != source or not group.watts_from <= lamp_watts <= group.watts_to:
            continue
        if not (group.feet_from or 0.0) <= (feet or 0.0) <= (group.feet_to or 99.0):
            continue
        return next(row for row in tables.maintenance_costs if row.group == group.group)
    return NoSuchRow("maintenance_groups.csv", f"{source} {plain(lamp_watts)} W")


def usual_lamps(
    tables: Tables,
    family: Family,
    *,
    source: LampSource | None = None,
    lamp_watts: float | None = None,
    lamps: int | None = None,
    lamp_feet: float | None = None,
    size: Size | None = None,
) -> UsualLamps | NoSuchRow:
    """The lamps that such a luminaire usually holds, given whatever was said.

    A 250 W wall pack with nothing more said is most likely metal halide; a 2x4 troffer most likely has four T8.

    Args:
        tables: the reference tables.
        family: the luminaire's family.
        source: kind of lamp, if said.
        lamp_watts: nominal watts of one lamp [W], if said.
        lamps: lamps in the luminaire, if said.
        lamp_feet: length of a linear lamp [ft], if said.
        size: size of a troffer or panel, if said.

    Returns:
        The family's rows that agree with all that was said; else those of other families, outdoor ones for an
        outdoor family and indoor ones for an indoor family; else every lamp of ``lamps.csv`` with those watts,
        alike; else ``NoSuchRow`` with the family's nearest watts.
        Equal shares are ordered by source, watts, lamps.
    """

    def agrees(row: UsualLampRow) -> bool:
        return (
            (source is None or row.lamp_source == source)
            and (lamp_watts is None or row.lamp_watts == lamp_watts)
            and (lamps is None or row.lamps == lamps)
            and (lamp_feet is None or row.lamp_feet == lamp_feet)
            and (size is None or row.size in (size, None))
        )

    said = [family, *(str(part) for part in (size, source) if part is not None)]
    if lamp_watts is not None:
        said.append(f"{plain(lamp_watts)} W")
    if lamps is not None:
        said.append(f"{lamps} lamp" + ("s" if lamps > 1 else ""))
    if lamp_feet is not None:
        said.append(f"{plain(lamp_feet)} ft")
    asked = " ".join(said)
    own = [row for row in tables.usual_lamps if row.family == family]
    if found := [row for row in own if agrees(row)]:
        return _shared(found, f"usual_lamps.csv: {asked}", "family")
    outdoors = family in EXTERIOR_FAMILIES
    kin = [row for row in tables.usual_lamps if (row.family in EXTERIOR_FAMILIES) == outdoors and agrees(row)]
    if kin:
        return _shared(kin, f"usual_lamps.csv: {asked}, from other families of the same surroundings", "kin")
    any_lamp = [
        row
        for row in tables.lamps
        if row.lamp_watts == lamp_watts
        and source in (row.lamp_source, None)
        and lamp_feet in (row.lamp_feet, None)
    ]
    if any_lamp and lamps in (1, None) and size is None:
        share = 1 / len(any_lamp)
        return UsualLamps(
            lamps=tuple(
                UsualLamp(row.lamp_source, row.lamp_watts, 1, row.lamp_feet, None, share)
                for row in sorted(any_lamp, key=lambda row: (row.lamp_source, row.lamp_feet or 0.0))
            ),
            reference=f"lamps.csv: {asked}, every lamp of those watts",
            how="lamp",
            provenance="no family is known to hold it; every lamp of those watts counts alike",
        )
    near = nearest(
        lamp_watts or 0.0,
        (
            (row.lamp_watts, f"usual_lamps.csv: {family} {row.lamp_source} {plain(row.lamp_watts)} W")
            for row in own
        ),
    )
    return NoSuchRow("usual_lamps.csv", asked, near)


def _shared(rows: Sequence[UsualLampRow], reference: str, how: Literal["family", "kin"]) -> UsualLamps:
    weights: dict[tuple[LampSource, float, int, float | None, str | None], float] = {}
    for row in rows:
        what = (
            row.lamp_source,
            row.lamp_watts,
            row.lamps,
            row.lamp_feet,
            row.size if how == "family" else None,
        )
        weights[what] = weights.get(what, 0.0) + row.weight
    total = sum(weights.values())
    ranked = sorted(
        weights.items(), key=lambda item: (-item[1], item[0][0], item[0][1], item[0][2], item[0][3] or 0.0)
    )
    return UsualLamps(
        lamps=tuple(UsualLamp(*what, share=weight / total) for what, weight in ranked),
        reference=reference,
        how=how,
        provenance=rows[0].provenance,
    )


def _watts(row: LampRow) -> float:
    return row.lamp_watts


def _reference(row: LampRow) -> str:
    feet = f" {plain(row.lamp_feet)} ft" if row.lamp_feet is not None else ""
    return f"lamps.csv: {row.lamp_source} {plain(row.lamp_watts)} W{feet}"


def _exact(row: LampRow) -> Lamp:
    return Lamp(
        initial_lumens=row.initial_lumens,
        initial_lumens_low=row.initial_lumens_low,
        initial_lumens_high=row.initial_lumens_high,
        mean_lumens=row.mean_lumens,
        mean_lumens_low=row.mean_lumens_low,
        mean_lumens_high=row.mean_lumens_high,
        rated_life_hours=row.rated_life_hours,
        cri=row.cri,
        cct_k=row.cct_k,
        restrike=row.restrike,
        reference=_reference(row),
        how="row",
        seen=row.seen,
        provenance=row.provenance,
    )


def _between(below: LampRow, above: LampRow, watts: float) -> Lamp:
    share = (watts - below.lamp_watts) / (above.lamp_watts - below.lamp_watts)

    def lumens(lower: float, upper: float) -> float:
        return watts * ((1 - share) * lower / below.lamp_watts + share * upper / above.lamp_watts)

    feet = f" {plain(below.lamp_feet)} ft" if below.lamp_feet is not None else ""
    ends = f"{plain(below.lamp_watts)} and {plain(above.lamp_watts)} W"
    return Lamp(
        initial_lumens=lumens(below.initial_lumens, above.initial_lumens),
        initial_lumens_low=lumens(below.initial_lumens_low, above.initial_lumens_low) * (1 - _MARGIN),
        initial_lumens_high=lumens(below.initial_lumens_high, above.initial_lumens_high) * (1 + _MARGIN),
        mean_lumens=lumens(below.mean_lumens, above.mean_lumens),
        mean_lumens_low=lumens(below.mean_lumens_low, above.mean_lumens_low) * (1 - _MARGIN),
        mean_lumens_high=lumens(below.mean_lumens_high, above.mean_lumens_high) * (1 + _MARGIN),
        rated_life_hours=min(below.rated_life_hours, above.rated_life_hours),
        cri=min(below.cri, above.cri),
        cct_k=below.cct_k,
        restrike=below.restrike,
        reference=f"lamps.csv: {below.lamp_source} {plain(watts)} W{feet}, between the rows of {ends}",
        how="interpolated",
        seen=below.seen if below.seen == above.seen else "mixed",
        provenance=f"interpolated; {below.provenance}; {above.provenance}",
    )
