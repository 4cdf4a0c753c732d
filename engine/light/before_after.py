"""What changes where people walk: levels at the places that count and how far a level reaches, before and after, each a figure.

Both sides are direct light of alike luminaires on level ground or on the work plane, maintained: lamp and dirt depreciation
are in the lumens. The old luminaire's light is a generic shape or the user's own file; the new one's is its maker's file.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from engine.existing import Completed
from engine.figure import Figure, Kind, Origin, assumed, derive, looked_up, stated
from engine.light.generic import GenericLight, generic_light
from engine.light.photometry import Photometry
from engine.light.spots import Arrangement, Layout, Spot, SpotKey, light_there, spots_of
from engine.light.toward import reach_in_heights, total_lumens
from engine.request import StatedLine
from engine.tables.miss import NoSuchRow
from engine.tables.rows import LightPlacesRow, UsualHeightRow
from engine.tables.tables import Tables

FAINT_FC: Final = 0.02
"""A place where the old light is fainter than this holds nothing that could be held (a full moon gives about 0.01 fc; from memory)."""
NEAR_HEIGHTS: Final = 1.5
"""A level that the old light does not carry so many heights out is not the one to tell: the lower one of the table is."""
GENERIC_SPREAD: Final = 0.25
"""How far a generic shape's light at one place may be off, either way (our own judgement, no source)."""
AHEAD_DEG: Final = 0.0
SIDE_DEG: Final = (90.0, 270.0)


@dataclass(frozen=True, slots=True)
class Scene:
    """Where the luminaires of a line hang, as stated or as usual.

    Attributes:
        row: the family's row of ``light_places.csv``.
        height_ft: of the luminaires over the ground or floor. ``plane_ft``: of the plane that is lit.
        above_ft: of the luminaires over that plane.
        spacing_ft: between neighbours; ``None`` where a single luminaire is judged (walls, floods).
        layout: the same in heights over the plane.
    """

    row: LightPlacesRow
    height_ft: Figure
    plane_ft: Figure
    above_ft: Figure
    spacing_ft: Figure | None
    layout: Layout

    @property
    def arrangement(self) -> Arrangement:
        """Wall, pole, aim or grid."""
        return self.layout.arrangement


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
        leaf = self._leaf("light_there", there, "cd/lm")
        formula = f"{self.lumens.name} * light_there / height_over_plane_ft ** 2"
        return derive(f"level_{spot.key}_{self.when}", "fc", formula, self.lumens, leaf, scene.above_ft)

    def reach_figure(self, scene: Scene, direction: str, level_fc: float) -> Figure | None:
        """How far ``level_fc`` reaches, as a figure named ``throw_DIRECTION_WHEN`` [ft]; ``None`` where it reaches nowhere."""
        heights = self.reach_heights(scene, direction, level_fc)
        if heights is None:
            return None
        leaf = self._leaf("reach_in_heights", heights, "1")
        formula = "height_over_plane_ft * reach_in_heights"
        return derive(f"throw_{direction}_{self.when}", "ft", formula, scene.above_ft, leaf)

    def reach_heights(self, scene: Scene, direction: str, level_fc: float) -> float | None:
        """How far ``level_fc`` reaches "ahead" or to the "side" on the plane [heights]; the lesser side of two."""
        share = total_lumens(self.photometry) / float(self.lumens.value)
        candela = level_fc * float(scene.above_ft.value) ** 2 * share
        forward = self.photometry.forward_deg
        angles = (AHEAD_DEG,) if direction == "ahead" else SIDE_DEG
        reaches = [reach_in_heights(self.photometry, (forward + angle) % 360, candela) for angle in angles]
        found = [reach for reach in reaches if reach is not None]
        return min(found) if len(found) == len(reaches) else None

    def _leaf(self, name: str, value: float, unit: str) -> Figure:
        low, high = (value * (1 - self.spread), value * (1 + self.spread)) if self.spread else (None, None)
        return Figure(name, value, unit, Origin(self.kind, self.source, self.reference, low, high))


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
        return out

    @property
    def limiting(self) -> Spot:
        """Of the places that count, the one that keeps the least of its light."""
        held = held_spots(self.before, self.scene) or self.spots
        return min(held, key=lambda s: self.after.level(self.scene, s) / self.before.level(self.scene, s))


def held_spots(before: Side, scene: Scene) -> tuple[Spot, ...]:
    """The places where the old light is bright enough to be held."""
    return tuple(spot for spot in spots_of(scene.layout) if before.level(scene, spot) >= FAINT_FC)


def scene_of(index: int, line: StatedLine, lamp_lumens: float | None, tables: Tables) -> Scene | None:
    """Where a line's luminaires hang; ``None`` for a family whose places no table names.

    Args:
        index: of the line in the request.
        line: as stated, its family and lamp completed.
        lamp_lumens: initial lumens of all lamps of one luminaire [lm]; ``None`` takes the family's middle row.
        tables: the reference tables.
    """
    row = next((row for row in tables.light_places if row.family == line.family), None)
    if row is None:
        return None
    prefix = f"lines.{index}"
    height = _height(prefix, line, lamp_lumens, tables)
    if height is None:
        return None
    plane = looked_up(
        "plane_ft",
        row.plane_ft,
        "ft",
        row.provenance,
        _places_reference(row),
        row.plane_ft_low,
        row.plane_ft_high,
    )
    if float(height.value) - row.plane_ft < 1.0:
        # hung lower than anybody works under: the floor is what is lit
        plane = assumed("plane_ft", 0.0, "ft", 0.0, 0.0, "hung so low that the floor is looked at", prefix)
    above = derive("height_over_plane_ft", "ft", "mounting_height_ft - plane_ft", height, plane)
    return _scene(row, prefix, line, height, plane, above)


def _scene(
    row: LightPlacesRow, prefix: str, line: StatedLine, height: Figure, plane: Figure, above: Figure
) -> Scene:
    arrangement: Arrangement = row.arrangement  # type: ignore[assignment]  the sidecar allows no other
    ratio = row.spacing_heights
    spacing = None
    if arrangement in ("pole", "grid"):
        if line.spacing_ft is not None:
            spacing = stated("spacing_ft", line.spacing_ft, "ft", f"{prefix}.spacing_ft")
            ratio = line.spacing_ft / float(above.value)
        else:
            over = float(above.value)
            spacing = assumed(
                "spacing_ft",
                over * ratio,
                "ft",
                over * row.spacing_heights_low,
                over * row.spacing_heights_high,
                row.provenance,
                f"{prefix}.spacing_ft",
            )
    return Scene(row, height, plane, above, spacing, Layout(arrangement, ratio, row.line_heights or 0.0))


def _places_reference(row: LightPlacesRow) -> str:
    return f"light_places.csv: {row.family}"


def _height(prefix: str, line: StatedLine, lamp_lumens: float | None, tables: Tables) -> Figure | None:
    if line.height_ft is not None:
        return stated("mounting_height_ft", line.height_ft, "ft", f"{prefix}.height_ft")
    rows = [row for row in tables.usual_heights if row.family == line.family]
    if not rows:
        return None
    row = _row_for(rows, lamp_lumens)
    return assumed(
        "mounting_height_ft",
        row.height_ft,
        "ft",
        row.height_ft_low,
        row.height_ft_high,
        row.provenance,
        f"{prefix}.height_ft",
    )


def _row_for(rows: list[UsualHeightRow], lamp_lumens: float | None) -> UsualHeightRow:
    if lamp_lumens is None:
        return rows[len(rows) // 2]
    ends = sorted(rows, key=lambda row: row.lamp_lumens_to or float("inf"))
    return next(row for row in ends if lamp_lumens <= (row.lamp_lumens_to or float("inf")))


def side_before(done: Completed, tables: Tables, own: Photometry | None = None) -> Side | None:
    """The old luminaire's side; ``None`` where its lumens or its kind of light are not known.

    Args:
        done: the line, completed.
        tables: the reference tables.
        own: the user's file of it, type C, in place of the generic shape.
    """
    existing = done.existing
    if existing is None or existing.delivered_lumens is None:
        return None
    if own is not None:
        return Side("before", own, existing.delivered_lumens, "stated", f"your file {own.name}", own.name)
    if existing.source is None:
        return None
    found: GenericLight | NoSuchRow = generic_light(tables, existing.family, existing.source, done.line.optic)
    if isinstance(found, NoSuchRow):
        return None
    return Side(
        "before",
        found.per_lumen,
        existing.delivered_lumens,
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


__all__ = [
    "BeforeAfter", "Scene", "Side", "SpotKey", "before_after", "held_spots", "scene_of", "side_after", "side_before",
]  # fmt: skip
