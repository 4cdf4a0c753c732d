"""The door to simple layouts: what was asked of light, and the lines of a quote, become answers. Guidance, never a design."""

import math
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any, Final

from engine.catalog.catalogue import Catalogue
from engine.figure import Figure, leaves
from engine.light.before_after import Side, side_after, side_before
from engine.light.distribution import Distribution, distribution
from engine.light.layout_along import along
from engine.light.layout_guides import allowance_for, guides_for, level_of
from engine.light.layout_over import over
from engine.light.layout_shape import Layout, Outcome, Say, Setting
from engine.light.layout_source import LightSource
from engine.light.layout_spill import bug_of, bug_says, limits_for, spill
from engine.light.layout_within import within
from engine.light.photometry import Photometry
from engine.light.scene import scene_of
from engine.light.spots import OUT_HEIGHTS
from engine.proposal import QuoteLine
from engine.request import AskedLight
from engine.tables.rows import SpaceRow
from engine.tables.tables import Tables
from engine.vocabulary import EXTERIOR_FAMILIES, Arrangement, Family, LampSource

MOST_LINES: Final = 3
"""Lines that are answered one by one; of more, the first."""
INDOORS: Final = frozenset(
    {"warehouse", "storage", "shop", "gym", "office", "classroom", "corridor", "store"}
)
ALIKE: Final = (0.9, 1.1)
"""A share of the present light within these looks the same (common practice, no source)."""
_ON_POLES: Final = frozenset({"area", "flood", "street", "post_top", "security"})
_ON_WALLS: Final = frozenset({"wall_pack", "sconce", "flood", "security"})
_BY_THE_PATH: Final = frozenset({"bollard", "post_top", "street", "landscape"})
_HELD: Final = 0.995
_CLOSE: Final = 0.97
"""Nearer than what lamps, dirt and reflectances are known to."""


def layouts_of(
    asked: AskedLight, lines: Sequence[QuoteLine], catalogue: Catalogue, tables: Tables
) -> tuple[Layout, ...]:
    """A layout for each line that has an offer and whose light is known.

    Args:
        asked: what was asked of light.
        lines: of the quote.
        catalogue: where the new luminaires' photometric files are from.
        tables: the reference tables.
    """
    settings = [s for line in lines if (s := setting_of(asked, line, catalogue, tables)) is not None]
    if asked.length_ft is not None or asked.area_ft2 is not None or asked.run_ft is not None:
        # a room, a lot or a wall is lit by one kind of luminaire
        fitting = [s for s in settings if s.space.space == asked.space] or settings
        settings = fitting[:1]
    return tuple(layout_of(setting) for setting in settings[:MOST_LINES])


def setting_of(asked: AskedLight, line: QuoteLine, catalogue: Catalogue, tables: Tables) -> Setting | None:
    """What a line's layout is worked out from; ``None`` where the new luminaire's light or place is not known."""
    family = line.stated.family
    if line.chosen is None or family is None:
        return None
    product = line.options[line.chosen].product
    photometry = catalogue.photometry_of(product)
    if photometry is None:
        return None
    scene = line.light.scene if line.light is not None else scene_of(line.index, line.stated, None, tables)
    space = _space(asked, family, tables)
    if scene is None or space is None:
        return None
    arrangement = _arrangement(asked, family, space)
    level, measure = level_of(asked, space, arrangement == "room", tables)
    said = line.stated
    # of lights that nobody spoke of there is no before
    tells_present = "compare" in asked.wants or not (
        said.watts is None and said.source is None and said.input_watts is None and said.lamps is None
    )
    after = side_after(photometry, line.figures["delivered_lumens_after"], product.part_number)
    return Setting(
        index=line.index,
        stated=line.stated,
        asked=asked,
        arrangement=arrangement,
        space=space,
        space_is_assumed=asked.space != space.space,
        scene=scene,
        level=level,
        measure=measure,
        before=_before(line, scene.arrangement == "aim", tables) if tells_present else None,
        after=_source(after, aimed=scene.arrangement == "aim"),
        watts=line.figures["input_watts_after"],
        tables=tables,
        lamp=_lamp(line) if tells_present else None,
    )


def layout_of(setting: Setting) -> Layout:
    """The layout for one line."""
    outcome = {"room": within, "poles": over}.get(setting.arrangement, along)(setting)
    figures = dict(outcome.figures)
    verdict, compared = _verdict(setting, outcome), _compared(setting, figures)
    first = (compared, verdict) if "compare" in setting.asked.wants else (verdict, compared)
    says = [*outcome.says, *first[0], *first[1]]
    outdoors = setting.stated.family in EXTERIOR_FAMILIES and setting.space.space not in INDOORS
    bug = bug_of(setting.after.distribution) if outdoors else None
    asks_spill = "spill" in setting.asked.wants
    spilled, more = spill(setting, _spacing_of(figures, setting)) if outdoors else ((), {})
    figures = {**more, **figures}
    only_spill = False
    if asks_spill and outdoors:
        # what was asked comes first
        beside = _beside(setting, says)
        only_spill = not beside
        says = [*spilled, *(bug_says(bug) if bug is not None else ()), *beside]
    question = outcome.question
    if asks_spill and outdoors:
        question = "" if setting.asked.line_ft is not None else "light.line_ft"
    allowance = allowance_for(setting.space, outcome.density, setting.asked.path_ft, setting.tables)
    if allowance is not None:
        for each in (allowance.density, allowance.zone2, allowance.zone3, allowance.base_watts):
            figures[each.name] = each
    return Layout(
        setting=setting,
        says=tuple(says),
        figures=figures,
        assumed=_assumed(setting, () if only_spill else (setting.level, *outcome.assumed), figures),
        guides=guides_for(setting.space, setting.tables),
        allowance=allowance,
        bug=bug,
        limits=limits_for(setting) if outdoors else (),
        question=question,
        drawn=outcome.drawn,
    )


def _beside(setting: Setting, says: Sequence[Say]) -> list[Say]:
    """What else is worth saying where the question was about spill: an answer only where one was asked too."""
    also = set(setting.asked.wants) - {"spill", "level"}
    return list(says) if also or setting.asked.level_fc is not None else []


def _verdict(setting: Setting, outcome: Outcome) -> list[Say]:
    """How what comes out compares with the level asked for, or with the guide's range."""
    held = outcome.held
    if held is None:
        return []
    value = float(held.value)
    level = float(setting.level.value)
    counted = {"count", "spacing"} & set(setting.asked.wants)
    if setting.level_was_asked:
        if counted:
            return []
        key = "asked_held" if value >= level else "asked_close" if value >= _CLOSE * level else "asked_missed"
        return [Say(key, {"level": level, "value": value, "measure": setting.measure})]
    if setting.measure == "minimum":
        if counted:
            return []
        there = "out" if held.name.startswith("level_out") else "usual"
        key = f"{there}_held" if value >= _HELD * level else f"{there}_missed"
        return [Say(key, {"level": level, "value": value})]
    origin = setting.level.origin
    if origin is None or origin.low is None or origin.high is None:
        return []
    low, high = float(origin.low), float(origin.high)
    key = "guide_below" if value < _HELD * low else "guide_above" if value > high / _HELD else "guide_within"
    return [Say(key, {"range": (low, high), "value": value})]


_COMPARED: Final = ("level_out_fc", "average_fc", "least_fc", "reach_ahead_ft")
"""Figures that tell before from after, the one that says most first."""


def _compared(setting: Setting, figures: Mapping[str, Figure]) -> list[Say]:
    """The new light beside the present one; nothing where that is not known."""
    if setting.before is None or "count" in setting.asked.wants:
        return []
    for name in _COMPARED:
        now, then = figures.get(f"{name}_before"), figures.get(f"{name}_after")
        if now is None or then is None or not now.value:
            continue
        share = float(then.value) / float(now.value)
        alike = "alike" if ALIKE[0] <= share <= ALIKE[1] else "more" if share > 1 else "less"
        kind = "reach" if name == "reach_ahead_ft" else name.removesuffix("_fc")
        values: dict[str, Any] = {"now": now.value, "then": then.value, "percent": 100 * share}
        if kind == "reach":
            values["level"] = float(setting.level.value)
        return [Say(f"compare_{kind}_{alike}", values)]
    return []


def _spacing_of(figures: Mapping[str, Figure], setting: Setting) -> float | None:
    if setting.arrangement == "poles":
        return None
    found = figures.get("spacing_ft_after")
    if found is not None:
        return float(found.value)
    return setting.stated.spacing_ft


def _assumed(setting: Setting, taken: Sequence[Figure], figures: Mapping[str, Figure]) -> tuple[Figure, ...]:
    """What was taken for granted, once each: heights, the level, surfaces, widths, and light losses from tables."""
    out: dict[str, Figure] = {}
    scene = setting.scene
    own = [*taken[:1], scene.height_ft, *taken[1:]]
    if setting.arrangement == "room":
        own.insert(2, scene.plane_ft)
    if scene.spacing_ft is not None and any(leaf is scene.spacing_ft for leaf in leaves(figures.values())):
        own.append(scene.spacing_ft)
    for figure in own:
        if figure.origin is not None and figure.origin.kind in ("assumed", "table"):
            out.setdefault(figure.name, figure)
    for leaf in leaves(figures.values()):
        if leaf.name in ("led_depreciation", "led_dirt_depreciation"):
            out.setdefault(leaf.name, leaf)
    return tuple(out.values())


def _space(asked: AskedLight, family: Family, tables: Tables) -> SpaceRow | None:
    """The kind of place that was named, where such luminaires can hang there; else the one that they usually light."""
    named = next((row for row in tables.spaces if row.space == asked.space), None)
    usual = next((row for row in tables.spaces if family in row.families), None)
    if named is None:
        return usual
    outdoors = family in EXTERIOR_FAMILIES and family not in ("garage", "canopy")
    if outdoors and named.space in INDOORS and usual is not None:
        # wall packs on a warehouse light what is around it
        return usual
    return named


def _arrangement(asked: AskedLight, family: Family, space: SpaceRow) -> Arrangement:
    facts_indoors = family not in EXTERIOR_FAMILIES or family in ("garage", "canopy")
    if facts_indoors and space.space not in ("court", "yard", "parking_lot", "building"):
        return "room"
    if facts_indoors:
        return "room"
    if family in ("wall_pack", "sconce"):
        return "wall"
    has_size = asked.length_ft is not None or asked.area_ft2 is not None
    if family in _ON_WALLS and asked.poles is None and not has_size and space.arrangement != "poles":
        return "wall"
    if family in ("flood", "security") and asked.poles is None and not has_size and asked.space is None:
        return "wall"
    if family in _BY_THE_PATH and not (has_size and space.arrangement == "poles"):
        return "row"
    if family in _ON_POLES and space.arrangement == "row":
        return "row"
    return "poles"


def _before(line: QuoteLine, aimed: bool, tables: Tables) -> LightSource | None:
    if line.light is not None:
        return _source(line.light.before, aimed=aimed)
    existing = line.existing
    if existing is None or existing.delivered_lumens is None:
        return None
    side = side_before(existing.family, existing.source, line.stated.optic, existing.delivered_lumens, tables)
    return None if side is None else _source(side, aimed=aimed)


def _lamp(line: QuoteLine) -> tuple[LampSource, float] | None:
    """The present lamp where it was not said in full."""
    existing, said = line.existing, line.stated
    if existing is None or existing.source is None or existing.lamp_watts is None:
        return None
    if said.source is not None and (said.watts is not None or said.input_watts is not None):
        return None
    return existing.source, existing.lamp_watts


def _source(side: Side, *, aimed: bool) -> LightSource:
    return LightSource(
        when="before" if side.when == "before" else "after",
        distribution=_distribution(side.photometry),
        lumens=side.lumens,
        kind=side.kind,
        source=side.source,
        reference=side.reference,
        generic=side.generic,
        spread=side.spread,
        tilt_deg=math.degrees(math.atan(OUT_HEIGHTS)) if aimed else 0.0,
    )


@lru_cache(maxsize=256)
def _distribution(photometry: Photometry) -> Distribution:
    return distribution(photometry)
