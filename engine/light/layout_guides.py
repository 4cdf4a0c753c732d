"""Guidance beside a layout: levels that rules and guides name for such a place, and lighting power that a code allows."""

from collections.abc import Sequence
from typing import Final

from engine.figure import Figure, assumed, looked_up, stated
from engine.light.layout_shape import Allowance, Measure
from engine.request import AskedLight
from engine.tables.rows import ExteriorPowerRow, LightLevelRow, SpaceRow
from engine.tables.tables import Tables

EDITION: Final = "90.1-2019"
BASE: Final = "base site allowance"
WALKWAY_NARROW_FT: Final = 10.0
WIDE_WALKWAY: Final = "walkways 10 feet wide or greater"
NARROW_WALKWAY: Final = "walkways less than 10 feet wide"


def guides_for(space: SpaceRow, tables: Tables) -> tuple[LightLevelRow, ...]:
    """Rows of light_levels.csv for a kind of place, the one that an answer is held against first."""
    wanted = sorted(
        (row for row in tables.space_levels if row.space == space.space), key=lambda row: row.rank
    )
    by_key = {(row.group, row.area, row.criterion, row.rule): row for row in tables.light_levels}
    return tuple(by_key[row.group, row.area, row.criterion, row.rule] for row in wanted)


def level_of(asked: AskedLight, space: SpaceRow, room: bool, tables: Tables) -> tuple[Figure, Measure]:
    """The level to hold [fc] and how it is measured: what was asked, else what is usual there."""
    if asked.level_fc is not None:
        measure: Measure = asked.level_is or (
            "average" if room or space.arrangement == "poles" else "minimum"
        )
        return stated("level_fc", asked.level_fc, "fc", "light.level_fc"), measure
    if not room and space.least_fc is not None:
        low, high = space.least_fc_low, space.least_fc_high
        return (
            assumed(
                "level_fc",
                space.least_fc,
                "fc",
                space.least_fc if low is None else low,
                space.least_fc if high is None else high,
                space.provenance,
                f"spaces.csv: {space.space}",
            ),
            "minimum",
        )
    guide = next(row for row in guides_for(space, tables) if row.fc is not None)
    base = guide.fc or 0.0
    return (
        assumed(
            "level_fc",
            base,
            "fc",
            base if guide.fc_low is None else guide.fc_low,
            base if guide.fc_high is None else guide.fc_high,
            f"{guide.rule}; {guide.provenance}",
            f"light_levels.csv: {guide.area}",
        ),
        "average",
    )


def allowance_for(
    space: SpaceRow, density: Figure | None, path_ft: float | None, tables: Tables
) -> Allowance | None:
    """What a code allows beside what the layout draws; ``None`` where no row of the code is of that kind of place."""
    if density is None or space.allowance_area is None:
        return None
    area = space.allowance_area
    if area == NARROW_WALKWAY and path_ft is not None and path_ft >= WALKWAY_NARROW_FT:
        area = WIDE_WALKWAY
    row = _row(area, tables.exterior_power_allowance)
    base = _row(BASE, tables.exterior_power_allowance)
    if row is None or base is None or row.unit != density.unit:
        return None
    reference = f"exterior_power_allowance.csv: {EDITION} {area}"

    def zone(name: str, value: float, unit: str) -> Figure:
        return looked_up(name, value, unit, row.provenance, reference)

    return Allowance(
        EDITION,
        area,
        row.unit,
        density,
        zone("allowed_zone2", row.zone2, row.unit),
        zone("allowed_zone3", row.zone3, row.unit),
        zone("base_allowance_watts", base.zone3, "W"),
    )


def _row(area: str, rows: Sequence[ExteriorPowerRow]) -> ExteriorPowerRow | None:
    return next((row for row in rows if row.edition == EDITION and row.area == area), None)
