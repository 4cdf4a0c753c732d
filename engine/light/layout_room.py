"""Rooms: direct light point by point, and what ceiling, walls and floor send on, by radiosity of three surfaces.

The method is that of the zonal-cavity calculation (IES Lighting Handbook, lumen method): ceiling at the luminaires' height,
walls between there and the work plane, the work plane with the floor below it, each sending light on evenly. The share that
falls straight on the work plane is not taken from zonal multipliers: it is added up at the luminaires' own places.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from engine.light.distribution import Distribution
from engine.light.grid import Levels, cell_centres, levels_of
from engine.light.illuminance import Placed, horizontal_fc
from engine.light.layout_places import Rows, full_rows_of, rows_of
from engine.light.lumens import planes_of, zone_lumens

MOST_LOOKUPS: Final = 100_000
"""Points times luminaires of one room: a few milliseconds."""
FINE: Final = 24
"""Cells along a side, more or less."""
LEAST_IN_BAY: Final = 2
CELL_MH: Final = 0.6
"""A cell no longer than so many heights, or the bright place under a luminaire is counted too high or too low."""
MOST_COUNT: Final = 500
MOST_TRIES: Final = 12
MOST_UTILIZATION: Final = 1.2
"""No room keeps more: white ceilings send light down again. Counting starts from there."""
NEAR_ENOUGH: Final = 1e-6
CLOSE_FT: Final = 0.05


@dataclass(frozen=True, slots=True)
class Surfaces:
    """Reflectances [1]: of the ceiling, the walls, the work plane with what lies below it."""

    ceiling: float
    walls: float
    floor: float


@dataclass(frozen=True, slots=True)
class Room:
    """A rectangular room.

    Attributes:
        length_ft, width_ft: of its floor [ft].
        above_ft: of the luminaires over the work plane [ft].
        surfaces: what they send on.
    """

    length_ft: float
    width_ft: float
    above_ft: float
    surfaces: Surfaces

    @property
    def area_ft2(self) -> float:
        """Of the floor [ft2]."""
        return self.length_ft * self.width_ft

    @property
    def cavity_ratio(self) -> float:
        """The room cavity ratio, 5 h (L + W) / (L W) [1]."""
        return 5 * self.above_ft * (self.length_ft + self.width_ft) / self.area_ft2


@dataclass(frozen=True, slots=True)
class RoomLight:
    """What luminaires in rows make of a room.

    Attributes:
        rows: where they hang.
        levels: on the work plane, reflected light included [fc].
        utilization: lumens that end on the work plane over those that leave the luminaires [1].
        reflected_fc: what surfaces send there [fc].
        darkest_ft: the place with the least light.
    """

    rows: Rows
    levels: Levels
    utilization: float
    reflected_fc: float
    darkest_ft: tuple[float, float]


def form_factor(length_ft: float, width_ft: float, apart_ft: float) -> float:
    """Share of diffuse light of one rectangle that reaches a like one opposite [1] (closed form, radiative heat transfer)."""
    x, y = length_ft / apart_ft, width_ft / apart_ft
    x2, y2 = 1 + x * x, 1 + y * y
    inner = math.log(math.sqrt(x2 * y2 / (1 + x * x + y * y)))
    inner += x * math.sqrt(y2) * math.atan(x / math.sqrt(y2)) + y * math.sqrt(x2) * math.atan(
        y / math.sqrt(x2)
    )
    inner -= x * math.atan(x) + y * math.atan(y)
    return 2 / (math.pi * x * y) * inner


def reflected(room: Room, to_floor: float, to_walls: float, to_ceiling: float) -> float:
    """Mean light on the work plane that came by way of a surface [fc], from the lumens that each gets straight away."""
    area = room.area_ft2
    walls = 2 * room.above_ft * (room.length_ft + room.width_ft)
    opposite = form_factor(room.length_ft, room.width_ft, room.above_ft)
    from_walls = (1 - opposite) * area / walls
    factors = np.array(
        [
            [0.0, 1 - opposite, opposite],
            [from_walls, 1 - 2 * from_walls, from_walls],
            [opposite, 1 - opposite, 0.0],
        ]
    )
    rho = np.array([room.surfaces.ceiling, room.surfaces.walls, room.surfaces.floor])
    direct = np.array([to_ceiling / area, to_walls / walls, to_floor / area])
    exitance = np.linalg.solve(np.eye(3) - rho[:, None] * factors, rho * direct)
    return float(factors[2] @ exitance)


def downward_share(distribution: Distribution) -> float:
    """Lumens below level over all [1]."""
    if distribution.type != "C":
        return 1.0
    return min(1.0, zone_lumens(planes_of(distribution.photometry), 0.0, 90.0) / distribution.lumens)


def room_light(distribution: Distribution, lumens: float, room: Room, rows: Rows) -> RoomLight:
    """Levels in ``room`` with luminaires of ``lumens`` maintained lumens each in ``rows``.

    Args:
        distribution: of each luminaire, turned along the room's length.
        lumens: out of one luminaire [lm].
        room: its length is that of ``rows``.
        rows: where they hang.
    """
    scale = lumens / distribution.lumens
    placed = [Placed(distribution, x, y, room.above_ft, 0.0, 0.0, scale) for x, y in rows.places_ft]
    points = cell_centres((0.0, rows.length_ft), (0.0, rows.width_ft), *_mesh(rows, room.above_ft))
    direct = horizontal_fc(placed, points)
    emitted = lumens * rows.count
    down = emitted * downward_share(distribution)
    on_floor = min(float(direct.mean()) * room.area_ft2, down)
    more = reflected(room, on_floor, down - on_floor, emitted - down)
    levels = levels_of(direct + more)
    darkest = points[int(direct.argmin())]
    return RoomLight(
        rows,
        levels,
        levels.average_fc * room.area_ft2 / emitted,
        more,
        (float(darkest[0]), float(darkest[1])),
    )


def count_for_average(
    distribution: Distribution, lumens: float, room: Room, level_fc: float
) -> RoomLight | None:
    """The fewest luminaires, in equal rows, whose average is at least ``level_fc``; ``None`` where it would take too many."""
    per_lumen = level_fc * room.area_ft2 / lumens
    count, short_of = max(1, math.ceil(per_lumen / MOST_UTILIZATION - NEAR_ENOUGH)), 0
    best: RoomLight | None = None
    for _ in range(MOST_TRIES):
        rows = full_rows_of(count, room.length_ft, room.width_ft)
        if rows.count > MOST_COUNT or (best is not None and rows.count >= best.rows.count):
            break
        light = room_light(distribution, lumens, room, rows)
        wanted = math.ceil(per_lumen / light.utilization - NEAR_ENOUGH)
        if light.levels.average_fc >= level_fc * (1 - NEAR_ENOUGH):
            best = light
            if wanted <= short_of or rows.count == 1:
                break
            count = max(short_of + 1, min(wanted, rows.count - 1))
        else:
            short_of = rows.count
            count = max(wanted, rows.count + 1)
    return best


def area_for_average(
    distribution: Distribution,
    lumens: float,
    above_ft: float,
    surfaces: Surfaces,
    count: int,
    level_fc: float,
) -> Room:
    """The largest square room that ``count`` luminaires keep at ``level_fc`` on average."""
    side = math.sqrt(count * lumens / level_fc)
    low, high = above_ft / 10, side * math.sqrt(2)
    for _ in range(12):
        room = Room(side, side, above_ft, surfaces)
        light = room_light(distribution, lumens, room, rows_of(count, side, side))
        low, high = (side, high) if light.levels.average_fc >= level_fc else (low, side)
        # the area that would have the level if the utilization stayed as it is; it rises slowly with the area
        guess = math.sqrt(count * lumens * light.utilization / level_fc)
        if abs(guess - side) < CLOSE_FT:
            break
        side = guess if low < guess < high else (low + high) / 2
    return Room(side, side, above_ft, surfaces)


def _mesh(rows: Rows, above_ft: float) -> tuple[int, int]:
    """Cells along and across: as many in every bay, so that none is weighed more than another."""
    sides = (max(rows.counts), len(rows.counts))
    bays = (rows.along_ft, rows.across_ft)
    in_bay = [
        max(LEAST_IN_BAY, math.ceil(FINE / side), math.ceil(bay / (CELL_MH * above_ft)))
        for side, bay in zip(sides, bays, strict=True)
    ]
    along, across = (side * bay for side, bay in zip(sides, in_bay, strict=True))
    while along * across * rows.count > MOST_LOOKUPS and max(in_bay) > LEAST_IN_BAY:
        in_bay[in_bay.index(max(in_bay))] -= 1
        along, across = (side * bay for side, bay in zip(sides, in_bay, strict=True))
    return along, across
