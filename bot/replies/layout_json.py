"""What was asked of light, answered, as plain JSON values: footcandles, feet, square feet, watts; levels are maintained."""

from collections.abc import Mapping
from typing import Any, Final

from bot.replies.layout_view import LayoutTeller
from bot.replies.words import Words
from engine.figure import Figure
from engine.light.layout_shape import Allowance, Layout
from engine.light.layout_source import LightSource
from engine.quantities import rounded
from engine.tables.rows import LightLevelRow

DIGITS: Final = 6


def layout_json(layout: Layout, words: Words, metric: bool, places: Mapping[str, int]) -> dict[str, Any]:
    """The public form of one layout.

    Args:
        layout: as the engine gave it.
        words: of the texts.
        metric: texts in metres and lux; values stay in feet and footcandles.
        places: name of a figure -> its place in the quote's list of figures; empty where that is left out.
    """
    setting = layout.setting
    teller = LayoutTeller(words, metric)
    return {
        "line": setting.index,
        "arrangement": setting.arrangement,
        "space": setting.space.space,
        "space_is_assumed": setting.space_is_assumed,
        "height_ft": _number(setting.scene.height_ft),
        "level_fc": _number(setting.level),
        "level_is": setting.measure,
        "level_is_asked": setting.level_was_asked,
        "maintained": True,
        "before": None if setting.before is None else _source(setting.before),
        "after": _source(setting.after),
        "says": [{"key": say.key, "text": teller.say(say)} for say in layout.says],
        "values": {name: _number(figure) for name, figure in layout.figures.items()},
        "figures": dict(places),
        "assumed": [_assumed(figure) for figure in layout.assumed],
        "guides": [_guide(row, teller) for row in layout.guides],
        "allowance": None if layout.allowance is None else _allowance(layout.allowance),
        "bug": None if layout.bug is None else str(layout.bug),
        "line_limits": [{"zone": row.zone, "vertical_fc": row.vertical_fc} for row in layout.limits],
        "question": layout.question or None,
        "is_a_design": False,
    }


def _source(source: LightSource) -> dict[str, Any]:
    return {
        "name": source.distribution.name,
        "generic": source.generic,
        "lumens": _number(source.lumens),
        "reference": source.reference,
    }


def _assumed(figure: Figure) -> dict[str, Any]:
    origin = figure.origin
    return {
        "name": figure.name,
        "value": _number(figure),
        "low": None if origin is None or origin.low is None else rounded(float(origin.low), DIGITS),
        "high": None if origin is None or origin.high is None else rounded(float(origin.high), DIGITS),
        "unit": figure.unit,
        "source": "" if origin is None else origin.source,
    }


def _guide(row: LightLevelRow, teller: LayoutTeller) -> dict[str, Any]:
    return {
        "area": row.area,
        "criterion": row.criterion,
        "fc_low": row.fc_low,
        "fc": row.fc,
        "fc_high": row.fc_high,
        "rule": row.rule,
        "seen": row.seen,
        "text": teller.guide(row),
    }


def _allowance(allowance: Allowance) -> dict[str, Any]:
    return {
        "edition": allowance.edition,
        "area": allowance.area,
        "unit": allowance.unit,
        "draws": _number(allowance.density),
        "zone2": _number(allowance.zone2),
        "zone3": _number(allowance.zone3),
        "base_watts": _number(allowance.base_watts),
    }


def _number(figure: Figure) -> float:
    return rounded(float(figure.value), DIGITS)
