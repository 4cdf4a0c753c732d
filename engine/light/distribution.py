"""A luminaire's light as one even table over the whole sphere, made once from a file and looked up by division.

Interpolation is linear in degrees in both angles (as Radiance does it); outside the vertical range of the file there is no light.
Types A and B keep their own table, and the direction is turned into their angles.
"""

import math
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from engine.light.photometry import Floats, Photometry

HUNDREDTHS: Final = 100
LEAST_STEP_DEG: Final = 0.1
"""A table whose own steps have no larger common divisor is resampled onto this one."""
MOST_CELLS: Final = 1_500_000
"""Of one table, 12 MB; the step grows where a file's own would need more."""
_STEPS_OF_INTEGRATION: Final = 1440
_DEGREES: Final = 180.0 / math.pi
_TOUCH: Final = 1e-9


@dataclass(frozen=True, eq=False)
class Distribution:
    """Intensities [cd] at even steps.

    Attributes:
        name: of the file that it came from.
        form: as in the file; "generic" for a shape of ours.
        type: C, B or A; decides what rows and columns are.
        table: shape (horizontals, verticals) [cd]. Type C: C from 0 to 360, both ends stored, counted from forward
            counter-clockwise as seen from above.
        h0, v0: first horizontal and vertical angle [deg].
        h_step, v_step: [deg].
        lumens: by integration of the file's own table [lm].
        lamp_lumens: rated, of all lamps [lm]; ``None`` for absolute photometry.
        input_watts: as the file states [W].
        uplight_known: False where the file ends at 90 degrees with light there.
    """

    name: str
    form: str
    type: str
    table: Floats
    h0: float
    v0: float
    h_step: float
    v_step: float
    lumens: float
    lamp_lumens: float | None
    input_watts: float | None
    uplight_known: bool
    photometry: Photometry = field(repr=False)

    @property
    def efficiency(self) -> float | None:
        """Lumens out of the luminaire over rated lamp lumens [1]; ``None`` for absolute photometry."""
        return None if not self.lamp_lumens else self.lumens / self.lamp_lumens

    @cached_property
    def flat(self) -> Floats:
        """The table in one row."""
        return np.ascontiguousarray(self.table).ravel()

    def candela(self, gamma_deg: Floats, c_deg: Floats) -> Floats:
        """Intensity towards directions [cd].

        Args:
            gamma_deg: from the luminaire's nadir axis, 0 to 180.
            c_deg: about it, from forward, counter-clockwise as seen from above; any real angle.
        """
        gamma = np.asarray(gamma_deg, dtype=np.float64)
        c = np.asarray(c_deg, dtype=np.float64)
        if self.type == "C":
            return self.looked_up(c % 360.0, gamma)
        across, down = np.radians(c), np.radians(gamma)
        flat = np.sin(down)
        return self.towards(-flat * np.sin(across), flat * np.cos(across), -np.cos(down))

    def towards(self, right: Floats, forward: Floats, up: Floats) -> Floats:
        """Intensity towards directions given in the luminaire's own axes, of any length but 0 [cd]."""
        if self.type == "C":
            gamma = np.degrees(np.arctan2(np.hypot(right, forward), -up))
            return self.looked_up(np.degrees(np.arctan2(-right, forward)) % 360.0, gamma)
        down = -up
        if self.type == "B":
            # Both angles projected, as the public implementation that could be opened (Radiance, source.cal) has them.
            vertical, horizontal = np.arctan2(forward, down), np.arctan2(right, down)
        else:
            vertical = np.arctan2(forward, np.hypot(right, down))
            horizontal = np.arctan2(right, down)
        return self.looked_up(np.degrees(horizontal), np.degrees(vertical))

    def below(self, out: Floats, right: Floats, forward: Floats, down: Floats | float) -> Floats:
        """As `towards` for a level luminaire of type C, where the distance on the ground ``out`` is known already."""
        gamma = np.arctan2(out, down)
        gamma *= _DEGREES
        c = np.arctan2(right, forward)
        # Counted counter-clockwise and from 0: what lies on the right comes behind 180.
        np.negative(c, out=c)
        c *= _DEGREES
        c += 360.0 * (c < 0.0)
        all_inside = self.v0 == 0.0 and self.v_step * (self.table.shape[1] - 1) >= 90.0 and np.all(down > 0.0)
        return self.looked_up(c, gamma, all_inside=bool(all_inside))

    def looked_up(self, horizontal_deg: Floats, vertical_deg: Floats, *, all_inside: bool = False) -> Floats:
        """Bilinear in the table's own angles; 0 outside [cd]. ``all_inside``: the caller knows that none is outside."""
        rows, columns = self.table.shape
        h = (horizontal_deg - self.h0) * (1.0 / self.h_step)
        v = (vertical_deg - self.v0) * (1.0 / self.v_step)
        outside = None
        if not all_inside:
            outside = (v < -_TOUCH) | (v > columns - 1 + _TOUCH)
            if self.type != "C":
                outside |= (h < -_TOUCH) | (h > rows - 1 + _TOUCH)
            np.clip(h, 0.0, rows - 1, out=h)
            np.clip(v, 0.0, columns - 1, out=v)
        row = h.astype(np.intp)
        np.minimum(row, max(rows - 2, 0), out=row)
        column = v.astype(np.intp)
        np.minimum(column, columns - 2, out=column)
        h -= row
        v -= column
        row *= columns
        row += column
        table = self.flat
        found = _between(table, row, v)
        if rows > 1:
            row += columns
            further = _between(table, row, v)
            further -= found
            further *= h
            found += further
        if outside is not None and outside.any():
            found[outside] = 0.0
        return found


def _between(table: Floats, at: NDArray[np.intp], share: Floats) -> Floats:
    """Between each cell and the next."""
    first: Floats = table.take(at)
    second: Floats = table[1:].take(at)
    second -= first
    second *= share
    first += second
    return first


def distribution(photometry: Photometry, spin_deg: float = 0.0) -> Distribution:
    """The even table of ``photometry``.

    Args:
        photometry: a file that was read.
        spin_deg: turns the luminaire counter-clockwise against what the file calls forward [deg].
    """
    if photometry.type == "C":
        horizontal, candela = whole_circle(photometry)
        lumens = _lumens_of_planes(horizontal, photometry.vertical_deg, candela)
        forward = (photometry.forward_deg + spin_deg) % 360.0
        horizontal, candela = turned(horizontal, candela, forward)
    else:
        horizontal, candela = _mirrored(photometry.horizontal_deg, photometry.candela, axis=0)
        lumens = 0.0
    vertical = photometry.vertical_deg
    if photometry.type != "C":
        vertical, candela = _mirrored(vertical, candela, axis=1)
    h_step, v_step = _steps(horizontal, vertical)
    table = _resampled(horizontal, vertical, candela, h_step, v_step)
    made = Distribution(
        name=photometry.name,
        form=photometry.form,
        type=photometry.type,
        table=table,
        h0=float(horizontal[0]),
        v0=float(vertical[0]),
        h_step=h_step,
        v_step=v_step,
        lumens=lumens,
        lamp_lumens=photometry.lamp_lumens,
        input_watts=photometry.input_watts,
        uplight_known="uplight_unknown" not in photometry.notes,
        photometry=photometry,
    )
    if photometry.type == "C":
        return made
    return replace(made, lumens=_lumens_by_steps(made))


def whole_circle(photometry: Photometry) -> tuple[Floats, Floats]:
    """Type C planes over the whole circle, 0 and 360 both there: angles [deg] and candela (planes, verticals)."""
    at, table = photometry.horizontal_deg, photometry.candela
    match photometry.symmetry:
        case "axial":
            return np.array([0.0, 360.0]), np.vstack([table[:1], table[:1]])
        case "quarter":
            at, table = np.concatenate([at, 180.0 - at[-2::-1]]), np.vstack([table, table[-2::-1]])
            return np.concatenate([at, 360.0 - at[-2::-1]]), np.vstack([table, table[-2::-1]])
        case "half":
            return np.concatenate([at, 360.0 - at[-2::-1]]), np.vstack([table, table[-2::-1]])
        case "half_sideways":
            # Stored 90 to 270; the other half mirrors about that plane: C and 180 - C are alike.
            first = at <= 180.0
            around = np.concatenate(
                [180.0 - at[first][::-1], at[1:], 540.0 - at[~first | (at == 180.0)][::-1][1:]]
            )
            rows = np.vstack([table[first][::-1], table[1:], table[~first | (at == 180.0)][::-1][1:]])
            return around, rows
        case _:
            return at, table


def turned(horizontal: Floats, candela: Floats, forward: float) -> tuple[Floats, Floats]:
    """Planes counted from ``forward``; a plane is put there where the file has none."""
    if forward == 0.0 or (np.array_equal(candela[0], candela[-1]) and len(horizontal) == 2):
        return horizontal, candela
    at = np.searchsorted(horizontal, forward)
    if horizontal[at] != forward:
        share = (forward - horizontal[at - 1]) / (horizontal[at] - horizontal[at - 1])
        between = candela[at - 1] + share * (candela[at] - candela[at - 1])
        horizontal = np.insert(horizontal, at, forward)
        candela = np.insert(candela, at, between, axis=0)
    turned = np.concatenate([horizontal[at:] - forward, horizontal[1 : at + 1] + 360.0 - forward])
    return turned, np.vstack([candela[at:], candela[1 : at + 1]])


def _mirrored(degrees: Floats, candela: Floats, axis: int) -> tuple[Floats, Floats]:
    """Types A and B: angles from 0 mean both sides."""
    if degrees[0] < 0.0:
        return degrees, candela
    rest = np.flip(candela, axis=axis)
    rest = rest[:-1] if axis == 0 else rest[:, :-1]
    return np.concatenate([-degrees[:0:-1], degrees]), np.concatenate([rest, candela], axis=axis)


def _steps(horizontal: Floats, vertical: Floats) -> tuple[float, float]:
    h, v = _common_step(horizontal), _common_step(vertical)
    h_span, v_span = float(horizontal[-1] - horizontal[0]), float(vertical[-1] - vertical[0])
    while (h_span / h + 1) * (v_span / v + 1) > MOST_CELLS:
        h, v = _divisor_near(h_span, 2 * h), v
        if h >= 1.0:
            v = _divisor_near(v_span, 2 * v)
    return h, v


def _common_step(degrees: Floats) -> float:
    """The largest step that meets every stored angle, in hundredths; not below `LEAST_STEP_DEG`."""
    span = float(degrees[-1] - degrees[0])
    if len(degrees) < 2 or span == 0.0:
        return 1.0
    offsets = (degrees - degrees[0]) * HUNDREDTHS
    whole = np.rint(offsets)
    step = math.gcd(*whole.astype(int).tolist()) / HUNDREDTHS
    if step >= LEAST_STEP_DEG and float(np.abs(offsets - whole).max()) < 1e-6:
        return step
    return _divisor_near(span, max(LEAST_STEP_DEG, min(0.25, float(np.diff(degrees).min()))))


def _divisor_near(span: float, step: float) -> float:
    """A step close to ``step`` that goes into ``span`` a whole number of times."""
    return span / max(1, math.ceil(span / step - 1e-9))


def _resampled(horizontal: Floats, vertical: Floats, candela: Floats, h_step: float, v_step: float) -> Floats:
    columns = round(float(vertical[-1] - vertical[0]) / v_step) + 1
    at = vertical[0] + v_step * np.arange(columns)
    by_vertical = np.stack([np.interp(at, vertical, plane) for plane in candela])
    if len(horizontal) == 1:
        return by_vertical
    rows = round(float(horizontal[-1] - horizontal[0]) / h_step) + 1
    around = horizontal[0] + h_step * np.arange(rows)
    upper = np.clip(np.searchsorted(horizontal, around, side="left"), 1, len(horizontal) - 1)
    share = (around - horizontal[upper - 1]) / (horizontal[upper] - horizontal[upper - 1])
    share = np.clip(share, 0.0, 1.0)[:, None]
    table: Floats = by_vertical[upper - 1] * (1.0 - share) + by_vertical[upper] * share
    return table


def _lumens_of_planes(horizontal: Floats, vertical: Floats, candela: Floats) -> float:
    """Exact for a table that is linear in both angles: I = p + q gamma gives [-I cos + q sin] in each cell [lm]."""
    g = np.radians(vertical)
    slope = np.diff(candela, axis=1) / np.diff(g)
    cells = (
        candela[:, :-1] * np.cos(g[:-1])
        - candela[:, 1:] * np.cos(g[1:])
        + slope * (np.sin(g[1:]) - np.sin(g[:-1]))
    )
    by_plane = cells.sum(axis=1)
    around = np.radians(np.diff(horizontal))
    return float(((by_plane[:-1] + by_plane[1:]) / 2 * around).sum())


def _lumens_by_steps(made: Distribution) -> float:
    """By fine equal steps over the sphere [lm]: types A and B have no closed form in their own angles here."""
    cos_edges = np.cos(np.radians(np.linspace(0.0, 180.0, _STEPS_OF_INTEGRATION + 1)))
    gamma = np.linspace(0.0, 180.0, _STEPS_OF_INTEGRATION, endpoint=False) + 90.0 / _STEPS_OF_INTEGRATION
    c = np.arange(0.0, 360.0, 0.5) + 0.25
    mean = np.array([float(made.candela(np.full_like(c, g), c).mean()) for g in gamma])
    return float((mean * 2 * math.pi * (cos_edges[:-1] - cos_edges[1:])).sum())
