"""What changes where people walk: levels at the places that count and how far a level reaches, before and after, each a figure.

Both sides are direct light of alike luminaires on level ground or on the work plane, maintained: lamp and dirt depreciation
are in the lumens. The old luminaire's light is a generic shape or the user's own file; the new one's is its maker's file.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from engine.figure import Figure, Kind, Origin, derive
from engine.light.generic import generic_light
from engine.light.photometry import Photometry
from engine.light.scene import Scene
from engine.light.spots import Spot, distance_ft, light_there, spots_of
from engine.light.toward import reach_in_heights, total_lumens
from engine.tables.miss import NoSuchRow
from engine.tables.tables import Tables
from engine.vocabulary import Family, LampSource, Optic

FAINT_FC: Final = 0.02
"""A place where the old light is fainter than this holds nothing that could be held (a full moon gives about 0.01 fc; from memory)."""
NEAR_HEIGHTS: Final = 1.5
"""A level that the old light does not carry so many heights out is not the one to tell: the lower one of the table is."""
GENERIC_SPREAD: Final = 0.25
"""How far a generic shape's light at one place may be off, either way (our own judgement, no source)."""
ALIKE_DIGITS: Final = 6
"""Shares of light kept that agree so far are alike, and the first place is named: a float's last bit must not choose."""
AHEAD_DEG: Final = 0.0
SIDE_DEG: Final = (90.0, 270.0)


@dataclass(frozen=True, slots=True)
class Side:
    """One side's light.

    Attributes:
        when: "before" or "after".
        photometry: type C; its own lumens do not matter, ``lumens`` says what leaves the luminaire.
        lumens: maintained [lm].
        kind, source, reference: where the photometry is from, as an origin says it.
        generic: a shape of our own stands for it.
        spread: how far the light at one place may be off, as a share; 0 where a file says it.
    """

    when: str
    photometry: Photometry
    lumens: Figure
    kind: Kind
    source: str
    reference: str
    generic: bool = False
    spread: float = 0.0

    def level(self, scene: Scene, spot: Spot) -> float:
        """Maintained level at ``spot`` [fc]."""
        there = light_there(self.photometry, scene.layout, spot)
        return float(self.lumens.value) * there / float(scene.above_ft.value) ** 2

    def level_figure(self, scene: Scene, spot: Spot) -> Figure:
        """The same as a figure named ``level_SPOT_WHEN``."""
        there = light_there(self.photometry, scene.layout, spot)
        leaf = self._leaf(
            "light_there", there, "cd/lm", there * (1 - self.spread), there * (1 + self.spread), self.source
        )
        formula = f"{self.lumens.name} * light_there / height_over_plane_ft ** 2"
        return derive(f"level_{spot.key}_{self.when}", "fc", formula, self.lumens, leaf, scene.above_ft)

    def reach_figure(self, scene: Scene, direction: str, level_fc: float) -> Figure | None:
        """How far ``level_fc`` reaches, as a figure named ``throw_DIRECTION_WHEN`` [ft]; ``None`` where it reaches nowhere."""
        heights = self.reach_heights(scene, direction, level_fc)
        if heights is None:
            return None
        low, high = heights, heights
        if self.spread:
            ends = (level_fc / (1 - self.spread), level_fc / (1 + self.spread))
            low, high = (self.reach_heights(scene, direction, level) or 0.0 for level in ends)
        at = f"{self.source}; where {self.lumens.value:,.0f} lm still give {level_fc:g} fc"
        leaf = self._leaf("reach_in_heights", heights, "1", low, high, at)
        formula = "height_over_plane_ft * reach_in_heights"
        return derive(f"throw_{direction}_{self.when}", "ft", formula, scene.above_ft, leaf)

    def reach_heights(self, scene: Scene, direction: str, level_fc: float) -> float | None:
        """How far ``level_fc`` reaches "ahead" or to the "side" on the plane [heights]; the lesser side of two."""
        share = total_lumens(self.photometry) / float(self.lumens.value)
        candela = level_fc * float(scene.above_ft.value) ** 2 * share
        forward = self.photometry.forward_deg
        mirrored = self.photometry.symmetry in ("axial", "quarter", "half")
        sides = SIDE_DEG[:1] if mirrored else SIDE_DEG
        angles = (AHEAD_DEG,) if direction == "ahead" else sides
        reaches = [reach_in_heights(self.photometry, (forward + angle) % 360, candela) for angle in angles]
        found = [reach for reach in reaches if reach is not None]
        return min(found) if len(found) == len(reaches) else None

    def _leaf(self, name: str, value: float, unit: str, low: float, high: float, source: str) -> Figure:
        """A factor read off the photometry; only a generic one could be another."""
        ends = (low, high) if self.spread else (None, None)
        return Figure(name, value, unit, Origin(self.kind, source, self.reference, *ends))


@dataclass(frozen=True)
class BeforeAfter:
    """A line's light before and after.

    Attributes:
        scene: where it is looked at.
        before, after: the two sides.
        level_fc: the level whose reach is told [fc].
    """

    scene: Scene
    before: Side
    after: Side
    level_fc: float

    @property
    def spots(self) -> tuple[Spot, ...]:
        """The places that count, those included where the old light is too faint to be held."""
        return spots_of(self.scene.layout)

    @cached_property
    def figures(self) -> Mapping[str, Figure]:
        """Every figure by name: ``level_SPOT_before`` and ``_after`` [fc], ``throw_ahead_`` and ``throw_side_`` [ft].

        A throw is absent where the level reaches nowhere in that direction, and where the arrangement tells none
        (floods, grids).
        """
        out: dict[str, Figure] = {}
        for side in (self.before, self.after):
            for spot in self.spots:
                figure = side.level_figure(self.scene, spot)
                out[figure.name] = figure
            if self.scene.arrangement in ("wall", "pole"):
                for direction in ("ahead", "side"):
                    reach = side.reach_figure(self.scene, direction, self.level_fc)
                    if reach is not None:
                        out[reach.name] = reach
        if self.scene.spacing_ft is not None:
            out["spacing_ft"] = self.scene.spacing_ft
        return out

    def distance_ft(self, spot: Spot) -> float:
        """How far from the luminaire a place lies on the plane that is lit [ft]; 0 for an average."""
        return distance_ft(spot, float(self.scene.above_ft.value))

    @property
    def limiting(self) -> Spot:
        """Of the places that count, the one that keeps the least of its light."""
        held = held_spots(self.before, self.scene) or self.spots

        def kept(spot: Spot) -> float:
            return round(
                self.after.level(self.scene, spot) / self.before.level(self.scene, spot), ALIKE_DIGITS
            )

        return min(held, key=kept)


def held_spots(before: Side, scene: Scene) -> tuple[Spot, ...]:
    """The places where the old light is bright enough to be held."""
    return tuple(spot for spot in spots_of(scene.layout) if before.level(scene, spot) >= FAINT_FC)


def side_before(
    family: Family,
    source: LampSource | None,
    optic: Optic | None,
    delivered_lumens: Figure,
    tables: Tables,
    own: Photometry | None = None,
) -> Side | None:
    """The old luminaire's side; ``None`` where its kind of light is not known.

    Args:
        family: of the luminaire.
        source: of its lamps.
        optic: as stated; points to a generic shape of that optic where the family has one.
        delivered_lumens: maintained, out of the luminaire [lm].
        tables: the reference tables.
        own: the user's file of it, type C, in place of the generic shape.
    """
    if own is not None:
        return Side("before", own, delivered_lumens, "stated", f"your file {own.name}", own.name)
    if source is None:
        return None
    found = generic_light(tables, family, source, optic)
    if isinstance(found, NoSuchRow):
        return None
    return Side(
        "before",
        found.per_lumen,
        delivered_lumens,
        "table",
        found.provenance,
        found.reference,
        generic=True,
        spread=GENERIC_SPREAD,
    )


def side_after(photometry: Photometry, delivered_lumens: Figure, part_number: str) -> Side:
    """The new luminaire's side: the maker's file, scaled to the lumens that the catalogue states.

    Args:
        photometry: type C.
        delivered_lumens: maintained, of all pieces in one luminaire [lm].
        part_number: of the product.
    """
    source = f"photometric file {photometry.name} of {part_number}"
    return Side("after", photometry, delivered_lumens, "catalogue", source, part_number)


def before_after(scene: Scene, before: Side, after: Side) -> BeforeAfter:
    """The line's light before and after; the level whose reach is told is the family's, or its lower one."""
    level = scene.row.level_fc
    reach = before.reach_heights(scene, "ahead", level) if scene.arrangement in ("wall", "pole") else None
    if reach is None or reach < NEAR_HEIGHTS:
        level = scene.row.lower_level_fc
    return BeforeAfter(scene, before, after, level)
