"""Luminaires along a wall, a path or a street: the level between two, how far apart, how many for a run, how far out one reaches."""

from typing import Final

from engine.figure import Figure, assumed, derive, stated
from engine.light.layout_row import RowLight, Strip, handy_ft, row_light, row_placed, widest_spacing_ft
from engine.light.layout_shape import Drawn, Outcome, Say, Setting
from engine.light.layout_source import level_figure, named
from engine.light.layout_within import sides_ft
from engine.light.throw import reach_ft

PATH_FT: Final = (4.0, 6.0, 10.0)
STREET_FT: Final = (20.0, 24.0, 36.0)
ONE_HEIGHT_OUT: Final = "common practice, no source: one mounting height out from the wall"
WIDTH_USUAL: Final = "common practice, no source: no width was given"
SIDEWAYS: Final = 270.0


def along(setting: Setting) -> Outcome:
    """The layout of a row."""
    strip, taken = _strip(setting)
    run, more = _run(setting)
    taken = (*taken, *more)
    spacing = _spacing(setting, run)
    wants = setting.asked.wants
    if spacing is None or "spacing" in wants or "count" in wants:
        if wants_row(setting):
            return _with(setting, strip, taken, run, None)
        if spacing is None:
            return _single(setting, taken)
    return _with(setting, strip, taken, run, spacing)


def wants_row(setting: Setting) -> bool:
    """Whether something is asked that takes more than one luminaire to answer."""
    asked = setting.asked
    return bool({"spacing", "count"} & set(asked.wants)) or asked.run_ft is not None


def _strip(setting: Setting) -> tuple[Strip, tuple[Figure, ...]]:
    asked = setting.asked
    if setting.arrangement == "wall":
        out = asked.reach_ft or setting.above_ft
        if asked.reach_ft is not None:
            return Strip(out, out), ()
        line = assumed("line_out_ft", out, "ft", out / 2, 2 * out, ONE_HEIGHT_OUT, "light.reach_ft")
        return Strip(out, out), (line,)
    if asked.path_ft is not None:
        return Strip(0.0, asked.path_ft), ()
    low, base, high = STREET_FT if setting.space.space in ("street", "parking_lot") else PATH_FT
    width = assumed("path_ft", base, "ft", low, high, WIDTH_USUAL, "light.path_ft")
    return Strip(0.0, base), (width,)


def _run(setting: Setting) -> tuple[Figure | None, tuple[Figure, ...]]:
    asked = setting.asked
    if asked.run_ft is not None:
        return stated("run_ft", asked.run_ft, "ft", "light.run_ft"), ()
    if setting.arrangement == "wall" and asked.length_ft is not None:
        # a building's two sides: its walls all round
        length, width, taken = sides_ft(setting)
        return derive("run_ft", "ft", "2 * (length_ft + width_ft)", length, width), taken
    return None, ()


def _spacing(setting: Setting, run: Figure | None) -> Figure | None:
    """As it was said, or as it follows from a run and a count."""
    if setting.stated.spacing_ft is not None:
        return stated("spacing_ft", setting.stated.spacing_ft, "ft", f"lines.{setting.index}.spacing_ft")
    qty = setting.stated.qty
    if run is None or qty is None:
        return None
    count = stated("qty", qty, "1", f"lines.{setting.index}.qty")
    return derive("spacing_ft", "ft", "run_ft / qty", run, count)


def _with(
    setting: Setting, strip: Strip, taken: tuple[Figure, ...], run: Figure | None, spacing: Figure | None
) -> Outcome:
    figures: dict[str, Figure] = {}
    says: list[Say] = []
    if spacing is None:
        spacing = _widest(setting, strip)
        if spacing is None:
            return Outcome((Say("not_reached", {"level": float(setting.level.value)}),), {}, taken)
        figures[named("spacing_ft", setting.after)] = spacing
        says, more = _told_of_spacing(setting, strip, run, spacing)
        figures |= more
    rows: dict[str, RowLight] = {
        s.when: row_light(setting.one(s), float(spacing.value), strip) for s in setting.sides
    }
    for each in setting.sides:
        placed = row_placed(setting.one(each), float(spacing.value))
        least = level_figure("least_fc", each, placed, rows[each.when].darkest_ft, setting.scene.above_ft)
        figures[least.name] = least
    if not says:
        says.append(
            Say(
                f"{setting.arrangement}_light",
                {
                    "spacing": spacing.value,
                    "least": rows["after"].levels.least_fc,
                    "average": rows["after"].levels.average_fc,
                    "out": strip.far_ft,
                },
            )
        )
    question = "light.run" if "count" in setting.asked.wants and run is None else ""
    return Outcome(
        tuple(says),
        figures,
        taken,
        question,
        figures["least_fc_after"],
        _drawn(setting, float(spacing.value), strip, rows),
        _density(setting, spacing),
    )


def _widest(setting: Setting, strip: Strip) -> Figure | None:
    """The largest spacing that holds the level, as it would be laid out; ``None`` where none does."""
    source = setting.after
    found = widest_spacing_ft(setting.one(source), float(setting.level.value), strip)
    if found is None:
        return None
    how = "largest spacing whose darkest place between two still has the level, found point by point"
    return source.leaf("spacing_ft", handy_ft(found), "ft", how)


def _told_of_spacing(
    setting: Setting, strip: Strip, run: Figure | None, spacing: Figure
) -> tuple[list[Say], dict[str, Figure]]:
    """How far apart, and how many that makes where the run is known."""
    values = {"spacing": spacing.value, "level": float(setting.level.value), "out": strip.far_ft}
    if run is None:
        heights = float(spacing.value) / setting.above_ft
        return [Say(f"{setting.arrangement}_spacing", {**values, "heights": heights})], {}
    name = named("luminaires_needed", setting.after)
    count = derive(name, "1", "whole_up(run_ft / spacing_ft)", run, spacing)
    says = [Say(f"{setting.arrangement}_count", {**values, "run": run.value, "count": int(count.value)})]
    if setting.stated.qty is not None and setting.stated.qty != int(count.value):
        says.append(Say("you_have", {"count": setting.stated.qty}))
    return says, {name: count}


def _single(setting: Setting, taken: tuple[Figure, ...]) -> Outcome:
    """One luminaire: how far it reaches, and the level at the distance that was asked."""
    figures: dict[str, Figure] = {}
    says: list[Say] = []
    out = setting.asked.reach_ft
    if out is not None:
        for source in setting.sides:
            figure = level_figure(
                "level_out_fc", source, (setting.one(source),), (0.0, out), setting.scene.above_ft
            )
            figures[figure.name] = figure
        says.append(Say("level_out", {"out": out, "level": figures["level_out_fc_after"].value}))
    figures |= reach_figures(setting)
    ahead = figures.get("reach_ahead_ft_after")
    side = figures.get("reach_side_ft_after")
    if ahead is not None:
        values = {"level": float(setting.level.value), "ahead": ahead.value}
        says.append(
            Say("reach", values) if side is None else Say("reach_both", {**values, "side": side.value})
        )
    elif not says:
        says.append(Say("not_reached", {"level": float(setting.level.value)}))
    held = figures.get("level_out_fc_after")
    return Outcome(
        tuple(says),
        figures,
        tuple(figure for figure in taken if figure.name not in ("line_out_ft", "path_ft")),
        held=held,
        drawn=_drawn_one(setting),
    )


def reach_figures(setting: Setting) -> dict[str, Figure]:
    """How far the level reaches ahead and to the side, now and then."""
    out: dict[str, Figure] = {}
    above = setting.scene.above_ft
    for source in setting.sides:
        for name, bearing in (("reach_ahead_ft", 0.0), ("reach_side_ft", SIDEWAYS)):
            found = reach_ft([setting.one(source)], float(setting.level.value), bearing)
            if found is None or found <= 0.0:
                continue
            heights = source.leaf(
                "reach_in_heights", found / setting.above_ft, "1", "the farthest place that has the level"
            )
            figure = derive(
                named(name, source), "ft", "height_over_plane_ft * reach_in_heights", above, heights
            )
            out[figure.name] = figure
    return out


def _density(setting: Setting, spacing: Figure) -> Figure | None:
    if setting.arrangement != "row":
        return None
    return derive("power_per_ft_w_ft", "W/ft", "input_watts_after / spacing_ft", setting.watts, spacing)


def _drawn(setting: Setting, spacing_ft: float, strip: Strip, rows: dict[str, RowLight]) -> Drawn:
    far = max(3 * setting.above_ft, strip.far_ft, setting.asked.line_ft or 0.0)
    behind = 0.0 if setting.arrangement == "wall" else -setting.above_ft
    before = () if setting.before is None else row_placed(setting.one(setting.before), spacing_ft)
    return Drawn(
        kind=setting.arrangement,
        x_ft=(-0.6 * spacing_ft, 1.6 * spacing_ft),
        y_ft=(behind, far),
        before=before,
        after=row_placed(setting.one(setting.after), spacing_ft),
        level_fc=float(setting.level.value),
        height_ft=float(setting.scene.height_ft.value),
        plane_ft=0.0,
        mark_ft=rows["after"].darkest_ft,
        line_ft=setting.asked.line_ft,
    )


def _drawn_one(setting: Setting) -> Drawn:
    far = max(
        3 * setting.above_ft, 1.2 * (setting.asked.reach_ft or 0.0), 1.2 * (setting.asked.line_ft or 0.0)
    )
    behind = 0.0 if setting.arrangement == "wall" else -1.5 * setting.above_ft
    return Drawn(
        kind=setting.arrangement,
        x_ft=(-0.75 * far, 0.75 * far),
        y_ft=(behind, far),
        before=() if setting.before is None else (setting.one(setting.before),),
        after=(setting.one(setting.after),),
        level_fc=float(setting.level.value),
        height_ft=float(setting.scene.height_ft.value),
        plane_ft=0.0,
        mark_ft=None if setting.asked.reach_ft is None else (0.0, setting.asked.reach_ft),
        line_ft=setting.asked.line_ft,
    )
