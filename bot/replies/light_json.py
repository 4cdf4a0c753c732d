"""A line's light before and after as plain JSON values: levels in footcandles, distances in feet, maintained."""

from typing import Any, Final

from bot.replies.light_view import light_view
from bot.replies.words import Words
from engine.figure import Figure
from engine.light.before_after import BeforeAfter, Side
from engine.proposal import QuoteLine
from engine.quantities import rounded

_DIGITS: Final = 6
THROWS: Final = ("ahead", "side")


def light_json(line: QuoteLine, words: Words, metric: bool = False) -> dict[str, Any] | None:
    """The public form of ``line.light``; ``None`` where either side's light is not known."""
    light = line.light
    if light is None:
        return None
    scene = light.scene
    return {
        "arrangement": scene.arrangement,
        "height_ft": _number(scene.height_ft),
        "plane_ft": _number(scene.plane_ft),
        "spacing_ft": None if scene.spacing_ft is None else _number(scene.spacing_ft),
        "maintained": True,
        "level_fc": light.level_fc,
        "before": _side(light.before),
        "after": _side(light.after),
        "throws": [
            {
                "direction": direction,
                "before_ft": _maybe(light, f"throw_{direction}_before"),
                "after_ft": _maybe(light, f"throw_{direction}_after"),
            }
            for direction in (THROWS if scene.arrangement in ("wall", "pole") else ())
        ],
        "places": [
            {
                "place": spot.key,
                "distance_ft": rounded(light.distance_ft(spot), _DIGITS),
                "before_fc": _maybe(light, f"level_{spot.key}_before"),
                "after_fc": _maybe(light, f"level_{spot.key}_after"),
            }
            for spot in light.spots
        ],
        "text": light_view(line, words, metric).told,
    }


def _side(side: Side) -> dict[str, Any]:
    return {
        "name": side.photometry.name,
        "generic": side.generic,
        "lumens": _number(side.lumens),
        "reference": side.reference,
        "source": side.source,
    }


def _number(figure: Figure) -> float:
    return rounded(float(figure.value), _DIGITS)


def _maybe(light: BeforeAfter, name: str) -> float | None:
    figure = light.figures.get(name)
    return None if figure is None else _number(figure)
