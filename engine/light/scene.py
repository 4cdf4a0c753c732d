"""Where the luminaires of a line hang: height, the plane that is lit, spacing, as stated or as usual for the family."""

from dataclasses import dataclass

from engine.figure import Figure, assumed, derive, looked_up, stated
from engine.light.spots import Arrangement, Layout
from engine.request import StatedLine
from engine.tables.rows import LightPlacesRow, UsualHeightRow
from engine.tables.tables import Tables


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
    arrangement: Arrangement = row.arrangement  # type: ignore[assignment]  # the sidecar allows no other
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
