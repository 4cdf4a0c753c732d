"""A room of luminaires: levels with so many, how many for a level, how large a room so many can hold."""

import math
from typing import Final

from engine.figure import Figure, assumed, defined, derive, stated
from engine.light.illuminance import Placed
from engine.light.layout_places import rows_of
from engine.light.layout_room import (
    Room,
    RoomLight,
    Surfaces,
    area_for_average,
    count_for_average,
    room_light,
)
from engine.light.layout_row import handy_ft
from engine.light.layout_shape import Drawn, Outcome, Say, Setting
from engine.light.layout_source import LightSource, named
from engine.tables.facts import family_facts
from engine.tables.miss import NoSuchRow
from engine.tables.rows import RoomSurfacesRow

MOST_SPACED: Final = 2.0
"""Rows further apart, in heights over the work plane, leave dark between (common practice, no source: 1.2 to 1.5 is even)."""
MANY: Final = 36
"""Luminaires of a room so large that its walls hardly matter, for a spacing."""
METHOD: Final = "worked out: direct light point by point, light from ceiling, walls and floor by radiosity of three surfaces"


def within(setting: Setting) -> Outcome:
    """The layout of a room."""
    row = _surfaces(setting)
    surfaces = Surfaces(row.ceiling, row.walls, row.floor)
    taken = _assumed_surfaces(row)
    asked = setting.asked
    if asked.length_ft is None and asked.area_ft2 is None:
        return _without_size(setting, surfaces, taken)
    length, width, square = sides_ft(setting)
    room = Room(float(length.value), float(width.value), setting.above_ft, surfaces)
    taken = (*taken, *square)
    qty = setting.stated.qty
    if qty is None or "count" in asked.wants:
        return _how_many(setting, room, length, width, taken)
    return _so_many(setting, room, length, width, taken, qty)


def sides_ft(setting: Setting) -> tuple[Figure, Figure, tuple[Figure, ...]]:
    """Length and width of the room or lot, and what was taken for granted about them."""
    asked = setting.asked
    if asked.area_ft2 is not None and asked.length_ft is None:
        side = math.sqrt(asked.area_ft2)
        square = assumed(
            "length_ft",
            side,
            "ft",
            side,
            2 * side,
            "only the area was given: taken as a square",
            "light.size",
        )
        return square, Figure("width_ft", side, "ft", square.origin), (square,)
    length = float(asked.length_ft or 0.0)
    if asked.width_ft is not None:
        return (
            stated("length_ft", length, "ft", "light.length_ft"),
            stated("width_ft", asked.width_ft, "ft", "light.width_ft"),
            (),
        )
    width = assumed(
        "width_ft", length, "ft", length / 2, length, "one side was given: taken as a square", "light.size"
    )
    return stated("length_ft", length, "ft", "light.length_ft"), width, (width,)


def _so_many(
    setting: Setting, room: Room, length: Figure, width: Figure, taken: tuple[Figure, ...], qty: int
) -> Outcome:
    count = stated("qty", qty, "1", f"lines.{setting.index}.qty")
    figures: dict[str, Figure] = {}
    lights: dict[str, RoomLight] = {}
    for source in setting.sides:
        light = room_light(
            source.distribution, float(source.lumens.value), room, rows_of(qty, room.length_ft, room.width_ft)
        )
        lights[source.when] = light
        figures |= _figures(source, light, count, length, width)
    light = lights["after"]
    says = [
        Say(
            "room_light",
            {"count": qty, "average": light.levels.average_fc, "least": light.levels.least_fc},
        )
    ]
    return Outcome(
        tuple(says),
        figures,
        taken,
        held=figures["average_fc_after" if setting.measure == "average" else "least_fc_after"],
        drawn=_drawn(setting, lights),
        density=power_density(setting, count, length, width),
    )


def _how_many(
    setting: Setting, room: Room, length: Figure, width: Figure, taken: tuple[Figure, ...]
) -> Outcome:
    source = setting.after
    level = float(setting.level.value)
    light = count_for_average(source.distribution, float(source.lumens.value), room, level)
    if light is None:
        return Outcome((Say("too_many", {"level": level}),), {}, taken)
    used = source.leaf("utilization", light.utilization, "1", METHOD)
    needed = derive(
        named("luminaires_needed", source),
        "1",
        f"level_fc * length_ft * width_ft / ({source.lumens.name} * utilization)",
        setting.level,
        length,
        width,
        source.lumens,
        used,
    )
    count = defined(
        "qty", light.rows.count, "1", "rounded up to equal rows whose bays are not much longer than wide"
    )
    figures = {needed.name: needed, **_figures(source, light, count, length, width)}
    says = [
        Say(
            "room_count" if len(light.rows.counts) > 1 else "room_count_one_row",
            {
                "count": light.rows.count,
                "rows": len(light.rows.counts),
                "columns": max(light.rows.counts),
                "level": level,
                "average": light.levels.average_fc,
                "least": light.levels.least_fc,
            },
        ),
    ]
    widest = max(light.rows.along_ft, light.rows.across_ft)
    if len(light.rows.counts) > 1:
        says.append(Say("room_bays", {"along": light.rows.along_ft, "across": light.rows.across_ft}))
    if widest > MOST_SPACED * setting.above_ft:
        says.append(Say("room_uneven", {"heights": widest / setting.above_ft}))
    if setting.stated.qty is not None and setting.stated.qty != light.rows.count:
        says.append(Say("you_have", {"count": setting.stated.qty}))
    return Outcome(
        tuple(says),
        figures,
        taken,
        held=figures["average_fc_after"],
        drawn=_drawn(setting, {"after": light}),
        density=power_density(setting, count, length, width),
    )


def _without_size(setting: Setting, surfaces: Surfaces, taken: tuple[Figure, ...]) -> Outcome:
    source, level = setting.after, float(setting.level.value)
    lumens = float(source.lumens.value)
    qty = setting.stated.qty
    figures: dict[str, Figure] = {}
    says = []
    stated_apart = setting.stated.spacing_ft
    if stated_apart is not None and not {"spacing", "count"} & set(setting.asked.wants):
        figures |= _by_spacing(setting, surfaces)
        held = figures["average_fc_after"]
        say = Say("room_at_spacing", {"spacing": stated_apart, "average": held.value})
        return Outcome((say,), figures, taken, question="light.size", held=held)
    if qty is not None and "spacing" not in setting.asked.wants:
        room = area_for_average(source.distribution, lumens, setting.above_ft, surfaces, qty, level)
        figure = _held_area(setting, source, qty, room)
        figures[figure.name] = figure
        says.append(
            Say(
                "room_capacity", {"count": qty, "level": level, "area": room.area_ft2, "side": room.length_ft}
            )
        )
    else:
        room = area_for_average(source.distribution, lumens, setting.above_ft, surfaces, MANY, level)
        spacing = handy_ft(room.length_ft / math.sqrt(MANY))
        leaf = source.leaf(
            named("spacing_ft", source), spacing, "ft", "largest spacing both ways in a large room; " + METHOD
        )
        figures[leaf.name] = leaf
        says.append(
            Say(
                "room_spacing",
                {"spacing": spacing, "level": level, "heights": spacing / setting.above_ft},
            )
        )
    if setting.before is not None:
        figures |= _by_spacing(setting, surfaces)
    return Outcome(tuple(says), figures, taken, question="light.size")


def _by_spacing(setting: Setting, surfaces: Surfaces) -> dict[str, Figure]:
    """Both sides in the same large room at the same spacing, for one-for-one questions before the room is known."""
    spacing = setting.scene.spacing_ft
    if spacing is None:
        return {}
    side = float(spacing.value) * math.sqrt(MANY)
    room = Room(side, side, setting.above_ft, surfaces)
    out: dict[str, Figure] = {}
    for source in setting.sides:
        light = room_light(source.distribution, float(source.lumens.value), room, rows_of(MANY, side, side))
        used = source.leaf("utilization", light.utilization, "1", METHOD)
        average = derive(
            named("average_fc", source),
            "fc",
            f"{source.lumens.name} * utilization / spacing_ft ** 2",
            source.lumens,
            used,
            spacing,
        )
        out[average.name] = average
    return out


def _held_area(setting: Setting, source: LightSource, qty: int, room: Room) -> Figure:
    count = stated("qty", qty, "1", f"lines.{setting.index}.qty")
    light = room_light(
        source.distribution, float(source.lumens.value), room, rows_of(qty, room.length_ft, room.width_ft)
    )
    used = source.leaf("utilization", light.utilization, "1", METHOD + ", in a square room of that size")
    return derive(
        named("area_held_ft2", source),
        "ft2",
        f"qty * {source.lumens.name} * utilization / level_fc",
        count,
        source.lumens,
        used,
        setting.level,
    )


def _figures(
    source: LightSource, light: RoomLight, count: Figure, length: Figure, width: Figure
) -> dict[str, Figure]:
    used = source.leaf("utilization", light.utilization, "1", METHOD)
    average = derive(
        named("average_fc", source),
        "fc",
        f"qty * {source.lumens.name} * utilization / (length_ft * width_ft)",
        count,
        source.lumens,
        used,
        length,
        width,
    )
    share = source.leaf("darkest_share", light.levels.least_fc / light.levels.average_fc, "1", METHOD)
    least = derive(named("least_fc", source), "fc", f"{average.name} * darkest_share", average, share)
    return {average.name: average, least.name: least}


def _surfaces(setting: Setting) -> RoomSurfacesRow:
    family = setting.stated.family
    facts = None if family is None else family_facts(setting.tables, family)
    environment = "interior" if facts is None or isinstance(facts, NoSuchRow) else facts.environment
    return next(row for row in setting.tables.room_surfaces if row.environment == environment)


def _assumed_surfaces(row: RoomSurfacesRow) -> tuple[Figure, ...]:
    return tuple(
        assumed(
            f"{name}_reflectance",
            value,
            "1",
            low,
            high,
            row.provenance,
            f"room_surfaces.csv: {row.environment}",
        )
        for name, low, value, high in (
            ("ceiling", row.ceiling_low, row.ceiling, row.ceiling_high),
            ("walls", row.walls_low, row.walls, row.walls_high),
            ("floor", row.floor_low, row.floor, row.floor_high),
        )
    )


def power_density(setting: Setting, count: Figure, length: Figure, width: Figure) -> Figure:
    """Input power of all luminaires over the area of a room or a lot [W/ft2]."""
    return derive(
        "power_density_w_ft2",
        "W/ft2",
        "qty * input_watts_after / (length_ft * width_ft)",
        count,
        setting.watts,
        length,
        width,
    )


def _drawn(setting: Setting, lights: dict[str, RoomLight]) -> Drawn:
    after = lights["after"]
    rows = after.rows

    def placed(when: str, source: LightSource | None) -> tuple[Placed, ...]:
        if source is None or when not in lights:
            return ()
        return tuple(source.at(x, y, setting.above_ft) for x, y in lights[when].rows.places_ft)

    return Drawn(
        kind="room",
        x_ft=(0.0, rows.length_ft),
        y_ft=(0.0, rows.width_ft),
        before=placed("before", setting.before),
        after=placed("after", setting.after),
        level_fc=float(setting.level.value),
        height_ft=float(setting.scene.height_ft.value),
        plane_ft=float(setting.scene.plane_ft.value),
        bounds_ft=(rows.length_ft, rows.width_ft),
        mark_ft=after.darkest_ft,
        reflected_before_fc=lights["before"].reflected_fc if "before" in lights else 0.0,
        reflected_after_fc=after.reflected_fc,
    )
