"""Poles over a lot: where they stand and look, the levels on the ground, how many it takes, how far apart they may be."""

import math
from dataclasses import dataclass, replace
from typing import Final, Literal

import numpy as np

from engine.light.grid import Levels, cell_centres, levels_of
from engine.light.illuminance import Placed, horizontal_fc
from engine.light.layout_places import Rows, full_rows_of, headings_deg, rows_of
from engine.light.photometry import Floats

Measure = Literal["average", "minimum"]

FINE_CELLS: Final = 1_600
ROUGH_CELLS: Final = 150
CELL_FT: Final = 5.0
MOST_POLES: Final = 120
MOST_UNEVEN: Final = 10.0
"""Average over minimum: UFC 3-530-01 (22 Aug 2006), roadways, walkways, parking in use: not above 10:1 (light_levels.csv)."""
MOST_TRIES: Final = 40
CLOSEST_MH: Final = 1.5
CROWDED_TRIES: Final = 1.5
"""So many times the poles of a crowded row are tried for one that is not."""
_ROUND: Final = 0.2
_SPACINGS: Final = 24
_CLOSER: Final = 3
_WIDEST_MH: Final = 12.0
_BAY: Final = 11
_REACH: Final = 2
INWARDS: Final = 180.0
FAN_DEG: Final = 40.0
AIM_BOTH: Final = 0.4
AIM_ONE: Final = 0.6
"""Floods are aimed at so much of the lot's width from where they stand (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class LotLight:
    """What poles make of a lot.

    Attributes:
        rows: the poles; ``heads`` on each.
        placed: every head.
        levels: on the ground [fc].
        darkest_ft: the place with the least light.
        on_lot: share of the lumens that end on the lot.
    """

    rows: Rows
    heads: int
    placed: tuple[Placed, ...]
    levels: Levels
    darkest_ft: tuple[float, float]
    on_lot: float


def is_round(one: Placed) -> bool:
    """Whether it shines about alike all round: such a head has no back."""
    if one.tilt_deg:
        return False
    c = np.arange(0.0, 360.0, 15.0)
    rings = [one.distribution.candela(np.full_like(c, gamma), c) for gamma in (30.0, 50.0, 60.0)]
    brightest = max(float(ring.max()) for ring in rings)
    return all(float(np.ptp(ring)) <= _ROUND * brightest for ring in rings)


def poles_placed(one: Placed, rows: Rows, heads: int) -> tuple[Placed, ...]:
    """Every head of the poles in ``rows``.

    A single head with a back, and luminaires that are aimed, stand on the edge and look in, where there are one or two
    rows; all others stand half a spacing in, and their heads look across the rows, evenly round the pole.
    """
    count_rows = len(rows.counts)
    at_edge = stands_at_edge(one, heads) and count_rows <= 2
    out = []
    place = iter(rows.places_ft)
    for row, count in enumerate(rows.counts):
        for _ in range(count):
            x, y = next(place)
            towards = 0.0
            if (heads == 1 or one.tilt_deg) and row >= count_rows / 2:
                towards = INWARDS
            if at_edge:
                y = 0.0 if towards == 0.0 else rows.width_ft
            out += [
                replace(one, x_ft=x, y_ft=y, facing_deg=heading) for heading in _headings(one, heads, towards)
            ]
    return tuple(out)


def stands_at_edge(one: Placed, heads: int) -> bool:
    """Whether such poles stand on the edge of a lot: single heads that have a back, and whatever is aimed."""
    return one.tilt_deg > 0.0 or (heads == 1 and not is_round(one))


def _headings(one: Placed, heads: int, towards_deg: float) -> tuple[float, ...]:
    if one.tilt_deg == 0.0:
        return headings_deg(heads, towards_deg)
    # aimed heads of one pole fan out over the lot
    return tuple(towards_deg + FAN_DEG * (n - (heads - 1) / 2) for n in range(heads))


def aimed_over(one: Placed, width_ft: float, rows: int) -> Placed:
    """An aimed luminaire turned to what it has to light: half of the lot where poles stand on both sides, else most of it."""
    if one.tilt_deg == 0.0:
        return one
    farthest = math.degrees(math.atan(width_ft * (AIM_BOTH if rows > 1 else AIM_ONE) / one.height_ft))
    return replace(one, tilt_deg=min(one.tilt_deg, farthest))


def lot_light(one: Placed, rows: Rows, heads: int, cells: int = FINE_CELLS) -> LotLight:
    """Levels on a lot with poles in ``rows`` and ``heads`` on each.

    Args:
        one: any head, its height that over the ground.
        rows: where the poles stand; the lot is their rectangle.
        heads: 1 to 4.
        cells: at most so many points.
    """
    placed = poles_placed(aimed_over(one, rows.width_ft, len(rows.counts)), rows, heads)
    points = _points(rows.length_ft, rows.width_ft, cells)
    values = horizontal_fc(placed, points)
    levels = levels_of(values)
    at = points[int(values.argmin())]
    emitted = one.distribution.lumens * one.llf * len(placed)
    on_lot = levels.average_fc * rows.length_ft * rows.width_ft / emitted
    return LotLight(rows, heads, placed, levels, (float(at[0]), float(at[1])), min(on_lot, 1.0))


def poles_for(
    one: Placed,
    lot_ft: tuple[float, float],
    level_fc: float,
    measure: Measure,
    heads: tuple[int, ...] = (1, 2, 4),
    most_uneven: float = MOST_UNEVEN,
) -> LotLight | None:
    """The layout with the fewest heads, and of those the fewest poles, that has ``level_fc``; ``None`` where it takes too many.

    Args:
        one: any head, its height that over the ground.
        lot_ft: length and width of the ground.
        level_fc: above 0.
        measure: on average, or in the darkest place.
        heads: how many a pole may carry.
        most_uneven: the average may be so many times the least.
    """
    best: LotLight | None = None
    for each in heads:
        found = _fewest(one, lot_ft, level_fc, measure, each, most_uneven)
        if found is None:
            continue
        if best is None or (len(found.placed), found.rows.count) < (len(best.placed), best.rows.count):
            best = found
    return best


def _fewest(
    one: Placed,
    lot_ft: tuple[float, float],
    level_fc: float,
    measure: Measure,
    heads: int,
    most_uneven: float,
) -> LotLight | None:
    emitted = one.distribution.lumens * one.llf * heads
    least = max(1, math.ceil(level_fc * lot_ft[0] * lot_ft[1] / emitted - 1e-9))

    def does(light: LotLight) -> bool:
        levels = light.levels
        held = levels.average_fc if measure == "average" else levels.least_fc
        return held >= level_fc and levels.average_fc <= most_uneven * levels.least_fc

    # poles closer than that waste themselves on the same ground; where nothing else does, they are taken all the same
    closest_ft, crowded = CLOSEST_MH * one.height_ft, None
    count, most = least, float(MOST_POLES)
    for _ in range(MOST_TRIES):
        if count > most:
            break
        for rows in _choices(count, lot_ft, stands_at_edge(one, heads)):
            if not does(lot_light(one, rows, heads, ROUGH_CELLS)):
                continue
            fine = lot_light(one, rows, heads)
            if not does(fine):
                continue
            if rows.count == 1 or rows.along_ft >= closest_ft:
                return fine
            if crowded is None:
                crowded, most = fine, min(most, CROWDED_TRIES * count)
        count = count + 1 if count < least + 6 else math.ceil(count * 1.15)
    return crowded


def _choices(count: int, lot_ft: tuple[float, float], at_edge: bool) -> list[Rows]:
    if at_edge:
        return [rows_of(count, *lot_ft, rows) for rows in (1, 2) if count % rows == 0]
    return [full_rows_of(count, *lot_ft)]


def widest_pole_spacing_ft(one: Placed, level_fc: float, heads: int) -> float | None:
    """The largest spacing, alike both ways, at which the darkest place among four poles has ``level_fc`` [ft].

    The poles go on in every direction; ``None`` where none is close enough.
    """
    low, high = one.height_ft / 4, _WIDEST_MH * one.height_ft
    answer = None
    for _ in range(_CLOSER):
        tries = np.linspace(low, high, _SPACINGS)
        held = np.flatnonzero(_least_among(one, tries, heads) >= level_fc)
        if held.size == 0:
            return answer
        last = int(held[-1])
        answer = float(tries[last])
        if last == len(tries) - 1:
            return answer
        low, high = float(tries[last]), float(tries[last + 1])
    return answer


def bay_placed(one: Placed, spacing_ft: float, heads: int) -> tuple[Placed, ...]:
    """Heads of the poles that count for the bay from 0, 0 to one spacing both ways."""
    steps = [spacing_ft * n for n in range(-_REACH + 1, _REACH + 1)]
    return tuple(
        replace(one, x_ft=x, y_ft=y, facing_deg=heading)
        for y in steps
        for x in steps
        for heading in headings_deg(heads)
    )


def bay_levels(placed: tuple[Placed, ...], spacing_ft: float) -> tuple[Levels, tuple[float, float]]:
    """Levels among four poles [fc], and the place with the least [ft]."""
    points = _bay(1.0) * spacing_ft
    values = horizontal_fc(placed, points)
    at = points[int(values.argmin())]
    return levels_of(values), (float(at[0]), float(at[1]))


def _least_among(one: Placed, spacings: Floats, heads: int) -> Floats:
    unit = _bay(1.0)
    steps = np.arange(-_REACH + 1, _REACH + 1, dtype=np.float64)
    poles = np.array([(x, y) for y in steps for x in steps])
    away = spacings[:, None, None, None] * (unit[None, :, None, :] - poles[None, None, :, :])
    flat = away.reshape(-1, 2)
    total = np.zeros(len(flat))
    for heading in headings_deg(heads):
        total += horizontal_fc([replace(one, x_ft=0.0, y_ft=0.0, facing_deg=heading)], flat)
    least: Floats = total.reshape(away.shape[:3]).sum(axis=2).min(axis=1)
    return least


def _bay(side: float) -> Floats:
    return cell_centres((0.0, side), (0.0, side), _BAY, _BAY)


def _points(length_ft: float, width_ft: float, most: int) -> Floats:
    cell = max(CELL_FT, math.sqrt(length_ft * width_ft / most))
    along = max(4, math.floor(length_ft / cell))
    across = max(4, math.floor(width_ft / cell))
    return cell_centres((0.0, length_ft), (0.0, width_ft), along, across)
