"""What a replacement's light has to hold: the old level at the places that count, asked of a product's own distribution."""

from collections.abc import Callable, Mapping
from dataclasses import field
from typing import Final

from engine.catalog.product import Product
from engine.light.before_after import ALIKE_DIGITS, Side, held_spots
from engine.light.photometry import Photometry
from engine.light.scene import Scene
from engine.light.spots import Layout, Spot, distance_ft, unit_levels
from engine.record import record

LEAST_LIGHT_HELD: Final = 0.85
"""Share of the old level that must be kept at every place that counts: below this a person sees that it got darker
(15 % is what an eye notices side by side; common practice, no source)."""
WORTH_LOOKING: Final = (0.45, 3.0)
"""Useful lumens after over before, outside which no optic makes up for it and no file is looked into (our own judgement)."""


@record
class Held:
    """The place where a product keeps least of the old light, and how much [fc, maintained].

    Attributes:
        distance_ft: of the place from the luminaire; 0 for an average.
        least_fc: the lowest level after, of all the places.
    """

    spot: Spot
    distance_ft: float
    before_fc: float
    after_fc: float
    least_fc: float

    @property
    def ratio(self) -> float:
        """Level after over level before."""
        return self.after_fc / self.before_fc


@record
class LightGoal:
    """The old levels, compared by value so that lines alike share one answer.

    Attributes:
        layout: how the luminaires hang, in heights.
        above_ft: of the luminaires over the plane that is lit [ft].
        spots, levels_fc: the places that count and the maintained levels there now.
        asked_fc: the level that was asked for, which serves as well as the old one; ``None`` where none was.
        distances_ft: how far off the places lie.
        photometry_of: the light of a product, ``None`` where it has no file.
        unit_levels: what one lumen of a photometry gives at the places, one foot below.
    """

    layout: Layout
    above_ft: float
    spots: tuple[Spot, ...]
    levels_fc: tuple[float, ...]
    asked_fc: float | None
    distances_ft: tuple[float, ...] = field(compare=False, repr=False)
    photometry_of: Callable[[Product], Photometry | None] = field(compare=False, repr=False)
    unit_levels: Mapping[Photometry, tuple[float, ...]] = field(compare=False, repr=False)
    _known: dict[tuple[str, float], Held | None] = field(default_factory=dict, compare=False, repr=False)

    def held(self, product: Product, maintained_lumens: float) -> Held | None:
        """The place where ``product`` with so many lumens keeps least; ``None`` where its light is not known."""
        key = (product.part_number, maintained_lumens)
        if key not in self._known:
            self._known[key] = self._worst(product, maintained_lumens)
        return self._known[key]

    def _worst(self, product: Product, maintained_lumens: float) -> Held | None:
        photometry = self.photometry_of(product)
        if photometry is None:
            return None
        scale = maintained_lumens / self.above_ft**2
        after = [scale * level for level in self.unit_levels[photometry]]
        ratios = [round(then / now, ALIKE_DIGITS) for then, now in zip(after, self.levels_fc, strict=True)]
        at = ratios.index(min(ratios))
        return Held(self.spots[at], self.distances_ft[at], self.levels_fc[at], after[at], min(after))

    def serves(self, held: Held) -> bool:
        """Whether the old light is held everywhere, or the level that was asked for is reached everywhere."""
        return held.ratio >= LEAST_LIGHT_HELD or self.reaches(held)

    def reaches(self, held: Held) -> bool:
        """Whether a level was asked for and is reached at every place that counts."""
        return self.asked_fc is not None and held.least_fc >= self.asked_fc


def light_goal(
    scene: Scene,
    before: Side,
    photometry_of: Callable[[Product], Photometry | None],
    asked_fc: float | None = None,
) -> LightGoal | None:
    """The goal of a line; ``None`` where the old light is too faint everywhere to be held."""
    spots = held_spots(before, scene)
    if not spots:
        return None
    levels = tuple(before.level(scene, spot) for spot in spots)
    above_ft = float(scene.above_ft.value)
    return LightGoal(
        layout=scene.layout,
        above_ft=above_ft,
        spots=spots,
        levels_fc=levels,
        asked_fc=asked_fc,
        distances_ft=tuple(distance_ft(spot, above_ft) for spot in spots),
        photometry_of=photometry_of,
        unit_levels=unit_levels(scene.layout, spots),
    )
