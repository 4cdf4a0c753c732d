"""Generic light distributions of legacy luminaires: a row of ``generic_light.csv`` becomes a table of intensities.

They are shapes of our own that stand for a kind of luminaire, never a measurement of one: whatever shows them says generic.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np

from engine.light.photometry import Floats, Photometry
from engine.light.shapes import Shape, candela_per_lumen
from engine.tables.miss import NoSuchRow
from engine.tables.rows import GenericLightRow
from engine.tables.tables import Tables
from engine.vocabulary import Family, LampSource, Optic

FORM: Final = "generic"
_STEP_DEG: Final = 2.5
_PLANE_STEP_DEG: Final = 10.0
_UP_STEP_DEG: Final = 5.0


@dataclass(frozen=True, slots=True)
class GenericLight:
    """A row's distribution, of one lumen out of the luminaire in all [cd/lm].

    Attributes:
        form: the optics in words ("refractor").
        per_lumen: absolute photometry of one lumen.
        reference: table and row. ``provenance``: where the row's numbers are from.
    """

    family: Family
    form: str
    per_lumen: Photometry
    reference: str
    provenance: str


def generic_light(
    tables: Tables,
    family: Family,
    source: LampSource,
    optic: Optic | None = None,
    form: str | None = None,
) -> GenericLight | NoSuchRow:
    """What stands for a legacy luminaire's light.

    Args:
        tables: the reference tables.
        family: of the luminaire.
        source: kind of its lamps.
        optic: as stated; where a row of the family is of that optic it is taken before the usual one.
        form: a row by name ("cutoff"); ``None`` takes the row that fits best.
    """
    rows = sorted((row for row in tables.generic_light if row.family == family), key=lambda row: row.rank)
    if form is not None:
        rows = [row for row in rows if row.form == form]
    fits = [row for row in rows if source in row.lamp_sources]
    best = next((row for row in fits if optic in row.optics), None) or next(iter(fits), None)
    if best is None:
        near = tuple(_reference(row) for row in rows[:3])
        return NoSuchRow("generic_light.csv", f"{family} {source}", near)
    return _of_row(best)


def generic_photometry(light: GenericLight, lamp_lumens: float, efficiency: float) -> Photometry:
    """The generic file of a luminaire: relative photometry that `lm63_text` writes.

    Args:
        light: the distribution.
        lamp_lumens: initial lumens of all lamps together, ballast factor included [lm].
        efficiency: lumens out of the luminaire over lumens of its lamps [1].
    """
    out = lamp_lumens * efficiency
    return replace(light.per_lumen, candela=light.per_lumen.candela * out, lamp_lumens=lamp_lumens)


@lru_cache(maxsize=256)
def _of_row(row: GenericLightRow) -> GenericLight:
    words = f"{row.family.replace('_', ' ')}, {row.form}"
    shape = Shape(
        symmetry=row.symmetry,  # type: ignore[arg-type]  # the sidecar allows no other
        peak_deg=row.peak_deg,
        side_peak_deg=row.side_peak_deg,
        spread_deg=row.spread_deg,
        spread_above_deg=row.spread_above_deg,
        lateral_deg=row.lateral_deg,
        lateral_spread_deg=row.lateral_spread_deg,
        house_share=row.house_share,
        nadir_share=row.nadir_share,
        body_exponent=row.body_exponent,
        side_body_exponent=row.side_body_exponent,
        cutoff_deg=row.cutoff_deg,
        side_cutoff_deg=row.side_cutoff_deg,
        uplight_share=row.uplight_share,
    )
    return GenericLight(
        family=row.family,
        form=row.form,
        per_lumen=shape_photometry(shape, f"generic {words}", _labels(words, row)),
        reference=_reference(row),
        provenance=row.provenance,
    )


def _labels(words: str, row: GenericLightRow) -> tuple[tuple[str, str], ...]:
    return (
        ("TEST", "none: a generic shape, not a measurement"),
        ("TESTLAB", "none"),
        ("MANUFAC", "none: stands for legacy luminaires of this kind"),
        ("LUMINAIRE", f"Generic legacy {words}"),
        ("OTHER", row.provenance),
    )


def _reference(row: GenericLightRow) -> str:
    return f"generic_light.csv: {row.family} {row.form}"


def shape_photometry(shape: Shape, name: str, labels: tuple[tuple[str, str], ...] = ()) -> Photometry:
    """``shape`` as absolute photometry of one lumen, marked generic, in steps of 2.5 by 10 degrees (5 above level)."""
    vertical = verticals(shape, _STEP_DEG, _UP_STEP_DEG)
    horizontal = horizontals(shape, _PLANE_STEP_DEG)
    return Photometry(
        name=name,
        form=FORM,
        type="C",
        symmetry=shape.symmetry,
        vertical_deg=vertical,
        horizontal_deg=horizontal,
        candela=candela_per_lumen(shape, vertical, horizontal),
        labels=labels,
    )


def verticals(shape: Shape, step_deg: float, up_step_deg: float) -> Floats:
    """Vertical angles for a table of ``shape``: to level, and on to straight up where it has uplight."""
    down = np.arange(0.0, 90.0 + step_deg / 2, step_deg)
    if shape.uplight_share == 0:
        return down
    return np.concatenate((down, np.arange(90.0 + up_step_deg, 180.0 + up_step_deg / 2, up_step_deg)))


def horizontals(shape: Shape, step_deg: float) -> Floats:
    """Horizontal angles for a table of ``shape``."""
    return np.arange(0.0, shape.circle_deg + step_deg / 2, step_deg)
