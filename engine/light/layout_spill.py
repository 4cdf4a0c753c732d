"""Light where it is not wanted: at a property line so far out, on the ground and on an upright face, and the BUG rating."""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from engine.figure import Figure, Origin, derive, total
from engine.light.bug import Bug, bug_rating
from engine.light.distribution import Distribution
from engine.light.illuminance import Placed, vertical_fc
from engine.light.lateral import lateral_class
from engine.light.layout_row import row_placed
from engine.light.layout_shape import Say, Setting
from engine.light.layout_source import LightSource, level_figure, named
from engine.light.lumens import outdoor_zones, planes_of
from engine.tables.rows import SpillLimitRow

EYE_FT: Final = 5.0
"""Height of the upright meter at a property line (common practice, no source)."""
FACING_LIGHTS: Final = 180.0
SPOTS_ALONG: Final = 21
BEHIND: Final = 180.0
MEDIUM: Final = 3
HOMES, BUSINESS = "LZ2", "LZ3"
"""Lighting zones where people live, and where they trade."""


def bug_of(distribution: Distribution) -> Bug | None:
    """The rating of a luminaire; ``None`` for types A and B, whose zones are not counted."""
    if distribution.type != "C":
        return None
    round_type = lateral_class(distribution) in ("V", "VS")
    return bug_rating(
        outdoor_zones(planes_of(distribution.photometry)),
        round_type=round_type,
        uplight_known=distribution.uplight_known,
    )


def bug_says(bug: Bug) -> tuple[Say, ...]:
    """Uplight, glare and backlight in words."""
    up = (
        Say("up_unknown")
        if bug.uplight is None
        else Say(f"up_{min(bug.uplight, 3)}", {"rating": f"U{bug.uplight}"})
    )
    return (
        up,
        Say(f"glare_{_how_much(bug.glare)}", {"rating": f"G{bug.glare}"}),
        Say(f"back_{_how_much(bug.backlight)}", {"rating": f"B{bug.backlight}"}),
    )


def _how_much(rating: int) -> str:
    return "low" if rating <= 1 else "medium" if rating <= MEDIUM else "high"


def spill(setting: Setting, spacing_ft: float | None) -> tuple[tuple[Say, ...], dict[str, Figure]]:
    """Light at the property line: what is said, and the figures of both sides.

    Args:
        setting: its ``asked.line_ft`` is how far out the line is.
        spacing_ft: between the luminaires of a row along the line; ``None`` for one alone.
    """
    out = setting.asked.line_ft
    if out is None:
        return (), {}
    figures: dict[str, Figure] = {}
    behind = setting.arrangement == "poles"
    for source in setting.sides:
        placed = _placed(setting, source, spacing_ft, behind)
        along = _brightest(placed, spacing_ft, out)
        ground = level_figure("line_fc", source, placed, (along, out), setting.scene.above_ft)
        figures[ground.name] = ground
        upright = _upright(source, placed, (along, out), setting)
        figures[upright.name] = upright
    says = [
        Say(
            "line_behind" if behind else "line_ahead",
            {
                "out": out,
                "ground": figures["line_fc_after"].value,
                "upright": figures["line_upright_fc_after"].value,
                "eye": EYE_FT,
            },
        )
    ]
    on_face = float(figures["line_upright_fc_after"].value)
    by_zone = {row.zone: row.vertical_fc for row in limits_for(setting)}
    homes, business = by_zone[HOMES], by_zone[BUSINESS]
    key = "line_within" if on_face <= homes else "line_between" if on_face <= business else "line_over"
    says.append(Say(key, {"homes": homes, "business": business}))
    if "line_fc_before" in figures:
        says.append(
            Say(
                "line_now",
                {
                    "ground": figures["line_fc_before"].value,
                    "upright": figures["line_upright_fc_before"].value,
                },
            )
        )
    return tuple(says), figures


def limits_for(setting: Setting) -> tuple[SpillLimitRow, ...]:
    """What a model ordinance lets be where people live and where they trade."""
    if setting.asked.line_ft is None:
        return ()
    return tuple(row for row in setting.tables.spill_limits if row.zone in (HOMES, BUSINESS))


def _placed(
    setting: Setting, source: LightSource, spacing_ft: float | None, behind: bool
) -> tuple[Placed, ...]:
    if behind:
        # poles on the edge look in: the line lies behind them
        return (source.at(0.0, 0.0, setting.above_ft, BEHIND),)
    one = setting.one(source)
    return (one,) if spacing_ft is None else row_placed(one, spacing_ft)


def _brightest(placed: Sequence[Placed], spacing_ft: float | None, out: float) -> float:
    """Where along the line an upright face gets the most [ft]."""
    if spacing_ft is None:
        return 0.0
    x = np.linspace(0.0, spacing_ft / 2, SPOTS_ALONG)
    values = vertical_fc(placed, np.column_stack([x, np.full_like(x, out)]), EYE_FT, FACING_LIGHTS)
    return float(x[int(values.argmax())])


def _upright(
    source: LightSource, placed: Sequence[Placed], point: tuple[float, float], setting: Setting
) -> Figure:
    """Light on an upright face that looks at the luminaires, `EYE_FT` over the ground [fc]: I x out / r3 from each."""
    parts = []
    for one in placed:
        level = float(vertical_fc([one], np.array([point]), EYE_FT, FACING_LIGHTS)[0])
        if level <= 0.0:
            continue
        east, north = point[0] - one.x_ft, point[1] - one.y_ft
        down = one.height_ft - EYE_FT
        distance = math.sqrt(east * east + north * north + down * down)
        per_lumen = level * distance**3 / (north * float(source.lumens.value))
        parts.append(
            derive(
                "light_from_one",
                "fc",
                f"candela_per_lumen * {source.lumens.name} * out_ft / distance_ft ** 3",
                source.leaf("candela_per_lumen", per_lumen, "cd/lm"),
                source.lumens,
                Figure("out_ft", north, "ft", Origin("stated", "you said", "light.line_ft")),
                Figure(
                    "distance_ft",
                    distance,
                    "ft",
                    Origin("definition", f"from the luminaire to a face {EYE_FT:g} ft up", "distance_ft"),
                ),
            )
        )
    if not parts:
        parts.append(source.leaf("light_from_one", 0.0, "fc", "no light gets there"))
    return total(named("line_upright_fc", source), "fc", parts)
