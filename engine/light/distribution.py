"""A luminaire's light as one table over the whole sphere, made once from a file and looked up by division.

Interpolation is linear in degrees in both angles (as Radiance does it); outside the vertical range of the file there is no light.
The table has every angle of the file, so that a look-up in it is one in the file: rows and columns at the largest even step that
meets them all, or, where there is none, as they stand in the file, and searched. Types A and B keep their own angles, and the
direction is turned into them.
"""

from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine.light.axis import Axis, even_axis, resampled
from engine.light.photometry import Floats, PhotometricType, Photometry
from engine.light.planes import mirrored, table_lumens, turned, type_b_lumens, whole_circle

MOST_CELLS: Final = 500_000
"""Of an even table, 4 MB; an axis whose even steps would need more stays as it is in the file."""


@dataclass(frozen=True, slots=True, eq=False)
class Distribution:
    """Intensities [cd].

    Attributes:
        name: of the file that it came from.
        form: as in the file; "generic" for a shape of ours.
        type: C, B or A; decides what rows and columns are.
        table: shape (horizontals, verticals) [cd], not to be written to. Type C: one row where all planes are alike.
        horizontal: angles of the rows. Type C: from -180 to 180, counted from forward, counter-clockwise as seen from above.
        vertical: angles of the columns. Type C: from straight down.
        lumens: by integration of the file's own table [lm].
        lamp_lumens: rated, of all lamps [lm]; ``None`` for absolute photometry.
        input_watts: as the file states [W].
        uplight_known: False where the file ends at 90 degrees with light there.
        photometry: the file.
    """

    name: str
    form: str
    type: PhotometricType
    table: Floats
    horizontal: Axis
    vertical: Axis
    lumens: float
    lamp_lumens: float | None
    input_watts: float | None
    uplight_known: bool
    photometry: Photometry = field(repr=False)

    @property
    def efficiency(self) -> float | None:
        """Lumens out of the luminaire over rated lamp lumens [1]; ``None`` for absolute photometry."""
        return None if not self.lamp_lumens else self.lumens / self.lamp_lumens

    def candela(self, gamma_deg: Floats, c_deg: Floats) -> Floats:
        """Intensity towards directions [cd], of the shape that both angles are broadcast to.

        Args:
            gamma_deg: from the luminaire's nadir axis, 0 to 180.
            c_deg: about it, from forward, counter-clockwise as seen from above; any real angle.
        """
        gamma, c = np.broadcast_arrays(
            np.asarray(gamma_deg, dtype=np.float64), np.asarray(c_deg, dtype=np.float64)
        )
        shape = gamma.shape
        gamma, c = np.radians(gamma.ravel()), np.radians((c.ravel() + 180.0) % 360.0 - 180.0)
        if self.type == "C":
            planes = None if self.horizontal.count == 1 else c
            return self._looked_up(planes, gamma, self.vertical.outside(gamma)).reshape(shape)
        flat = np.sin(gamma)
        return self.towards(-flat * np.sin(c), flat * np.cos(c), np.cos(gamma)).reshape(shape)

    def towards(self, right: Floats, forward: Floats, down: Floats) -> Floats:
        """Intensity towards directions in the luminaire's own axes [cd].

        Args:
            right: how far to the right, of any unit: only the direction counts.
            forward: how far ahead, of the same shape.
            down: how far along the nadir axis, of a shape that is broadcast to theirs.
        """
        if self.type == "C":
            level = right * right
            level += forward * forward
            np.sqrt(level, out=level)
            gamma = np.arctan2(level, down, out=level)
            # All that lies below level is inside a file from 0 to 90 or further: no need to look at each.
            below = self.vertical.first_deg == 0.0 and self.vertical.last_deg >= 90.0 and np.min(down) >= 0.0
            outside = None if below else self.vertical.outside(gamma)
            if self.horizontal.count == 1:
                return self._looked_up(None, gamma, outside)
            c = np.arctan2(right, forward)
            return self._looked_up(np.negative(c, out=c), gamma, outside)
        horizontal = np.arctan2(right, down)
        if self.type == "B":
            # Both angles projected, as the public implementation that could be opened (Radiance, source.cal) has them.
            vertical = np.arctan2(forward, down)
        else:
            vertical = np.arctan2(forward, np.hypot(right, down))
        return self._looked_up(
            horizontal, vertical, self.horizontal.outside(horizontal) | self.vertical.outside(vertical)
        )

    def _looked_up(
        self, horizontal: Floats | None, vertical: Floats, outside: NDArray[np.bool_] | None
    ) -> Floats:
        """Bilinear in the table's own angles [radians], which are used up; 0 where ``outside``. No rows: all planes alike."""
        columns = self.vertical.count
        v = self.vertical.places(vertical)
        if outside is not None:
            np.clip(v, 0.0, columns - 1, out=v)
        at = v.astype(np.int32)
        np.minimum(at, columns - 2, out=at)
        v -= at
        table = self.table.ravel()
        if horizontal is None:
            found = _between(table, at, v)
        else:
            rows = self.horizontal.count
            h = self.horizontal.places(horizontal)
            if outside is not None and self.type != "C":
                np.clip(h, 0.0, rows - 1, out=h)
            row = h.astype(np.int32)
            np.minimum(row, rows - 2, out=row)
            h -= row
            row *= columns
            at += row
            found = _between(table, at, v)
            further = _between(table[columns:], at, v)
            further -= found
            further *= h
            found += further
        if outside is not None and outside.any():
            found[outside] = 0.0
        return found


def _between(table: Floats, at: NDArray[np.int32], share: Floats) -> Floats:
    """Between each cell and the next."""
    first: Floats = table.take(at)
    second: Floats = table[1:].take(at)
    second -= first
    second *= share
    first += second
    return first


def distribution(photometry: Photometry, spin_deg: float = 0.0) -> Distribution:
    """The table of ``photometry`` over the whole sphere.

    Args:
        photometry: a file that was read.
        spin_deg: turns the luminaire counter-clockwise against what the file calls forward [deg]. Type C only.

    Raises:
        ValueError: a spin of type A or B, whose angles say themselves where the luminaire looks.
    """
    vertical = photometry.vertical_deg
    if photometry.type == "C":
        horizontal, candela = whole_circle(photometry)
        lumens = table_lumens(horizontal, vertical, candela)
        if photometry.symmetry == "axial":
            horizontal, candela = np.zeros(1), candela[:1]
        else:
            # Counted from behind, so that an arc needs no turning into the range of the table.
            behind = (photometry.forward_deg + spin_deg + 180.0) % 360.0
            horizontal, candela = turned(horizontal, candela, behind)
            horizontal = horizontal - 180.0
    else:
        if spin_deg:
            raise ValueError(f"type {photometry.type} can't be spun")
        horizontal, candela = mirrored(photometry.horizontal_deg, photometry.candela, axis=0)
        vertical, candela = mirrored(vertical, candela, axis=1)
        # Type A is type C with its axis laid level, so that 90 degrees are added to the vertical angle.
        lumens = (
            table_lumens(horizontal, vertical + 90.0, candela)
            if photometry.type == "A"
            else type_b_lumens(horizontal, vertical, candela)
        )
    rows, columns = _axes(horizontal, vertical)
    table = np.ascontiguousarray(_on(rows, columns, horizontal, vertical, candela))
    table.flags.writeable = False
    return Distribution(
        name=photometry.name,
        form=photometry.form,
        type=photometry.type,
        table=table,
        horizontal=rows,
        vertical=columns,
        lumens=lumens,
        lamp_lumens=photometry.lamp_lumens,
        input_watts=photometry.input_watts,
        uplight_known=not _stops_in_the_light(photometry),
        photometry=photometry,
    )


def _axes(horizontal: Floats, vertical: Floats) -> tuple[Axis, Axis]:
    """Even axes as far as the table stays small."""
    rows, columns = even_axis(horizontal), even_axis(vertical)
    own_rows, own_columns = Axis(horizontal, None), Axis(vertical, None)
    for pair in ((rows, columns), (own_rows, columns), (rows, own_columns)):
        if pair[0].count * pair[1].count <= MOST_CELLS:
            return pair
    return own_rows, own_columns


def _on(rows: Axis, columns: Axis, horizontal: Floats, vertical: Floats, candela: Floats) -> Floats:
    """The table on its axes; an axis that is the file's own needs nothing."""
    if columns.step_deg is not None:
        candela = resampled(columns.degrees, vertical, candela)
    if rows.step_deg is not None and rows.count > 1:
        candela = resampled(rows.degrees, horizontal, candela.T).T
    return candela


def _stops_in_the_light(photometry: Photometry) -> bool:
    """Whether a file ends where there still is light, so that nobody knows what goes up."""
    if "uplight_unknown" in photometry.notes:
        return True
    candela = photometry.candela
    if photometry.type == "C":
        return bool(photometry.vertical_deg[-1] < 180.0 and candela[:, -1].any())
    ends = [candela[-1], candela[:, -1]]
    ends += [candela[0]] if photometry.horizontal_deg[0] < 0.0 else []
    ends += [candela[:, 0]] if photometry.vertical_deg[0] < 0.0 else []
    return any(bool(end.any()) for end in ends)
