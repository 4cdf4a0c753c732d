"""Poles over a lot: levels with so many, how many for a level, how far apart they may stand."""

from collections.abc import Mapping
from typing import Final

from engine.figure import Figure, assumed, defined, derive, stated
from engine.light.layout_places import Rows, rows_of
from engine.light.layout_poles import (
    LotLight,
    bay_levels,
    bay_placed,
    lot_light,
    poles_for,
    stands_at_edge,
    widest_pole_spacing_ft,
)
from engine.light.layout_row import handy_ft
from engine.light.layout_shape import Drawn, Outcome, Say, Setting
from engine.light.layout_source import LightSource, level_figure, named
from engine.light.layout_within import power_density, sides_ft

HEADS: Final = (1, 2, 4)
MORE_FOR_EVENNESS: Final = 1.5
TWICE: Final = 2.0
"""The line of the level itself would be a dot in the darkest place: that of twice the level is drawn."""
POINT_BY_POINT: Final = "worked out point by point over the lot"
STANDING: Final = "common practice, no source: where poles stand when nobody says"
BACK_TO_BACK: Final = "common practice, no source: two heads back to back"


def over(setting: Setting) -> Outcome:
    """The layout of a lot."""
    asked = setting.asked
    if asked.length_ft is None and asked.area_ft2 is None:
        return _without_size(setting)
    length, width, taken = sides_ft(setting)
    if _heads_there(setting) is None or "count" in asked.wants:
        return _how_many(setting, length, width, taken)
    return _so_many(setting, length, width, taken)


def _heads_there(setting: Setting) -> int | None:
    if setting.stated.qty is not None:
        return setting.stated.qty
    poles = setting.asked.poles
    return None if poles is None else poles * (setting.asked.heads or 1)


def _so_many(setting: Setting, length: Figure, width: Figure, taken: tuple[Figure, ...]) -> Outcome:
    total = _heads_there(setting) or 1
    heads = setting.asked.heads or (
        max(1, min(4, round(total / setting.asked.poles))) if setting.asked.poles else 1
    )
    poles = setting.asked.poles or max(1, round(total / heads))
    one = setting.one(setting.after)
    edge = stands_at_edge(one, heads)
    lot = (float(length.value), float(width.value))
    rows = rows_of(poles, *lot, _rows_at_edges(poles) if edge else None)
    count = stated("qty", poles * heads, "1", f"lines.{setting.index}.qty")
    where = _standing(edge)
    lights: dict[str, LotLight] = {
        source.when: lot_light(setting.one(source), rows, heads) for source in setting.sides
    }
    figures: dict[str, Figure] = {}
    for source in setting.sides:
        figures |= _figures(setting, source, lights[source.when], count, length, width)
    light = lights["after"]
    says = [
        Say(
            "lot_light",
            {
                "poles": poles,
                "heads": heads,
                "average": light.levels.average_fc,
                "least": light.levels.least_fc,
            },
        )
    ]
    return Outcome(
        tuple(says),
        figures,
        (*taken, where),
        held=figures["average_fc_after" if setting.measure == "average" else "least_fc_after"],
        drawn=_drawn(setting, lights),
        density=power_density(setting, count, length, width),
    )


def _standing(edge: bool) -> Figure:
    """What is taken about where poles stand; the wording says it by the figure's name."""
    name = "poles_at_edges" if edge else "poles_spread"
    return assumed(name, 1.0, "1", 1.0, 1.0, STANDING, "light.poles")


def _rows_at_edges(poles: int) -> int:
    return 2 if poles >= 4 and poles % 2 == 0 else 1


def _how_many(setting: Setting, length: Figure, width: Figure, taken: tuple[Figure, ...]) -> Outcome:
    source, level = setting.after, float(setting.level.value)
    heads = HEADS if setting.asked.heads is None else (setting.asked.heads,)
    lot = (float(length.value), float(width.value))
    light = poles_for(setting.one(source), lot, level, setting.measure, heads)
    if light is None:
        return Outcome((Say("too_many", {"level": level}),), {}, taken)
    edge = stands_at_edge(setting.one(source), light.heads)
    where = _standing(edge)
    count = defined(
        "qty",
        len(light.placed),
        "1",
        "the fewest heads that hold the level and stay within ten to one, by trying",
    )
    figures = _figures(setting, source, light, count, length, width)
    says = [
        Say(
            "lot_count",
            {
                "poles": light.rows.count,
                "heads": light.heads,
                "count": len(light.placed),
                "level": level,
                "measure": setting.measure,
                "average": light.levels.average_fc,
                "least": light.levels.least_fc,
            },
        ),
        Say("lot_one_row", {"along": light.rows.along_ft})
        if len(light.rows.counts) == 1
        else Say("lot_bays", {"along": light.rows.along_ft, "across": _across(light.rows, edge)}),
    ]
    if setting.measure == "average" and light.levels.average_fc > MORE_FOR_EVENNESS * level:
        says.append(Say("lot_even"))
    have = _heads_there(setting)
    if have is not None and have != len(light.placed):
        says.append(Say("you_have", {"count": have}))
    return Outcome(
        tuple(says),
        figures,
        (*taken, where),
        held=figures["average_fc_after" if setting.measure == "average" else "least_fc_after"],
        drawn=_drawn(setting, {"after": light}),
        density=power_density(setting, count, length, width),
    )


def _across(rows: Rows, edge: bool) -> float:
    """Between rows [ft]: those on the two long sides have the whole width between them."""
    return rows.width_ft if edge or len(rows.counts) == 1 else rows.across_ft


def _without_size(setting: Setting) -> Outcome:
    """Poles without a lot: how far apart, or what is between poles that stand as far apart as was said."""
    asked_heads = setting.asked.heads
    heads = asked_heads or 2
    level = float(setting.level.value)
    taken: tuple[Figure, ...] = ()
    if asked_heads is None:
        taken = (assumed("heads_per_pole", heads, "1", 1, 4, BACK_TO_BACK, "light.heads"),)
    figures: dict[str, Figure] = {}
    spacing = setting.scene.spacing_ft
    if spacing is not None and not {"spacing", "count"} & set(setting.asked.wants):
        spacing_ft = float(spacing.value)
        says = []
        for source in setting.sides:
            figures |= _in_bay(setting, source, heads, spacing)
        least = figures["least_fc_after"]
        says.append(Say("lot_at_spacing", {"spacing": spacing_ft, "least": least.value, "heads": heads}))
        return Outcome(
            tuple(says),
            figures,
            (*taken, spacing),
            "light.size",
            least,
            _drawn_bay(setting, heads, spacing_ft),
        )
    widest = widest_pole_spacing_ft(setting.one(setting.after), level, heads)
    if widest is None:
        return Outcome((Say("not_reached", {"level": level}),), figures, taken, "light.size")
    widest = handy_ft(widest)
    leaf = setting.after.leaf(
        named("spacing_ft", setting.after),
        widest,
        "ft",
        "largest spacing, alike both ways, whose darkest place still has the level",
    )
    figures[leaf.name] = leaf
    spacing = defined("spacing_ft", widest, "ft", "the largest that holds the level")
    for source in setting.sides:
        figures |= _in_bay(setting, source, heads, spacing)
    says = [
        Say(
            "lot_spacing",
            {"spacing": widest, "heights": widest / setting.above_ft, "level": level, "heads": heads},
        )
    ]
    return Outcome(tuple(says), figures, taken, "light.size", None, _drawn_bay(setting, heads, widest, TWICE))


def _in_bay(setting: Setting, source: LightSource, heads: int, spacing: Figure) -> dict[str, Figure]:
    placed = bay_placed(setting.one(source), float(spacing.value), heads)
    _, darkest = bay_levels(placed, float(spacing.value))
    figure = level_figure("least_fc", source, placed, darkest, setting.scene.above_ft)
    return {figure.name: figure}


def _figures(
    setting: Setting, source: LightSource, light: LotLight, count: Figure, length: Figure, width: Figure
) -> Mapping[str, Figure]:
    share = source.leaf("share_on_lot", light.on_lot, "1", POINT_BY_POINT)
    average = derive(
        named("average_fc", source),
        "fc",
        f"qty * {source.lumens.name} * share_on_lot / (length_ft * width_ft)",
        count,
        source.lumens,
        share,
        length,
        width,
    )
    least = level_figure("least_fc", source, light.placed, light.darkest_ft, setting.scene.above_ft)
    return {average.name: average, least.name: least}


def _drawn(setting: Setting, lights: Mapping[str, LotLight]) -> Drawn:
    after = lights["after"]
    rows = after.rows
    before = lights["before"].placed if "before" in lights else ()
    return Drawn(
        kind="poles",
        x_ft=(0.0, rows.length_ft),
        y_ft=(0.0, rows.width_ft),
        before=before,
        after=after.placed,
        level_fc=float(setting.level.value),
        height_ft=float(setting.scene.height_ft.value),
        plane_ft=0.0,
        bounds_ft=(rows.length_ft, rows.width_ft),
        mark_ft=after.darkest_ft,
    )


def _drawn_bay(setting: Setting, heads: int, spacing_ft: float, times: float = 1.0) -> Drawn:
    after = bay_placed(setting.one(setting.after), spacing_ft, heads)
    before = () if setting.before is None else bay_placed(setting.one(setting.before), spacing_ft, heads)
    _, darkest = bay_levels(after, spacing_ft)
    half = spacing_ft / 2
    return Drawn(
        kind="poles",
        x_ft=(-half, 1.5 * spacing_ft),
        y_ft=(-half, 1.5 * spacing_ft),
        before=before,
        after=after,
        level_fc=times * float(setting.level.value),
        height_ft=float(setting.scene.height_ft.value),
        plane_ft=0.0,
        mark_ft=darkest,
    )
