"""The angles of a photometric table: rising, over a range that the standard knows, and what symmetry their range means.

Ranges: ANSI/IESNA LM-63-02 (definitions, opened) and the public account of LM-63-1995's parsing: type C from 0 or 90 to 90
or 180; types A and B from -90 or 0 to 90; horizontal as in ``type_c_planes``.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np

from engine.light.file_numbers import Run, fault_at
from engine.light.file_text import FileText
from engine.light.photometry import Floats, Symmetry

NEAR_DEG: Final = 0.05
"""Ends such as 179.99 or 90.001 are meant to be round. Our own decision."""
LEAST_STEP_DEG: Final = 0.01
"""No goniometer resolves less; two angles closer than that are one angle twice. Our own decision."""
MOST_ANGLES: Final = 3_601
"""Tenths of a degree all the way round. A file that announces more and can't hold them has a wrong count. Our own decision."""


@dataclass(frozen=True, slots=True)
class Planes:
    """Horizontal angles and what they mean.

    Attributes:
        closed: the plane of 0 is to be repeated at 360.
        dark_after: there is no light beyond the last plane (LM-63-1995).
    """

    degrees: Floats
    symmetry: Symmetry
    closed: bool = False
    dark_after: bool = False


def near(value: float, wanted: float) -> bool:
    """Whether an end angle is meant to be ``wanted``."""
    return abs(value - wanted) <= NEAR_DEG


def rising(text: FileText, run: Run, what: str) -> Floats:
    """The angles of ``run``, every one larger than the one before.

    Raises:
        PhotometryFault: an angle repeats or falls; the line is that of the later one.
    """
    degrees = np.array(run.values, dtype=np.float64)
    bad = np.flatnonzero(np.diff(degrees) < LEAST_STEP_DEG)
    if bad.size:
        at = int(bad[0]) + 1
        before, here = degrees[at - 1], degrees[at]
        verb = "repeats" if abs(here - before) < LEAST_STEP_DEG else "falls below"
        raise fault_at(
            text,
            run,
            at,
            f"the {what} angle {here:g} {verb} the one before it ({before:g}): angles must rise",
        )
    return degrees


def snapped(degrees: Floats, first: float, last: float) -> Floats:
    """``degrees`` with both ends as they are meant."""
    out = degrees.copy()
    out[0], out[-1] = first, last
    return out


def type_c_verticals(text: FileText, run: Run) -> Floats:
    """Vertical angles from 0 or 90 to 90 or 180.

    Raises:
        PhotometryFault: not rising, or another range.
    """
    degrees = rising(text, run, "vertical")
    first, last = float(degrees[0]), float(degrees[-1])
    for low, high in ((0.0, 90.0), (0.0, 180.0), (90.0, 180.0)):
        if near(first, low) and near(last, high):
            return snapped(degrees, low, high)
    at = 0 if not (near(first, 0.0) or near(first, 90.0)) else -1
    raise fault_at(
        text,
        run,
        at,
        f"the vertical angles go from {first:g} to {last:g}: in type C they go from 0 to 90, 0 to 180 or 90 to 180",
    )


def type_c_planes(text: FileText, run: Run, *, open_end: bool = False) -> Planes:
    """Horizontal angles of type C and the symmetry that their range means.

    ``open_end``: the edition lets them end anywhere between 180 and 360, with nothing beyond (LM-63-1995).

    Raises:
        PhotometryFault: not rising, or a range that no symmetry explains.
    """
    degrees = rising(text, run, "horizontal")
    first, last = float(degrees[0]), float(degrees[-1])
    if len(degrees) == 1:
        if near(first, 0.0):
            return Planes(np.zeros(1), "axial")
        raise fault_at(text, run, 0, f"the only horizontal angle is {first:g}: a single one must be 0")
    if near(first, 90.0) and near(last, 270.0):
        return Planes(snapped(degrees, 90.0, 270.0), "half_sideways")
    if not near(first, 0.0):
        raise fault_at(text, run, 0, f"the horizontal angles start at {first:g}: {_RANGES}")
    degrees[0] = 0.0
    ends: tuple[tuple[float, Symmetry], ...] = ((90.0, "quarter"), (180.0, "half"), (360.0, "none"))
    for end, symmetry in ends:
        if near(last, end):
            return Planes(snapped(degrees, 0.0, end), symmetry)
    steps = np.diff(degrees)
    if last > 180.0 and near(last + float(steps[0]), 360.0) and float(np.ptp(steps)) <= 2 * NEAR_DEG:
        return Planes(degrees, "none", closed=True)
    if open_end and 180.0 < last < 360.0:
        return Planes(degrees, "none", dark_after=True)
    raise fault_at(text, run, -1, f"the horizontal angles go from 0 to {last:g}: {_RANGES}")


_RANGES: Final = "no symmetry has this range; it must be 0 alone, 0 to 90, 0 to 180, 0 to 360 or 90 to 270"


def level_axis_angles(text: FileText, run: Run, what: str) -> tuple[Floats, bool]:
    """Angles of types A and B, from -90 or 0 to 90, and whether they are one half of a mirrored whole.

    Raises:
        PhotometryFault: not rising, or another range.
    """
    degrees = rising(text, run, what)
    first, last = float(degrees[0]), float(degrees[-1])
    if len(degrees) > 1 and near(last, 90.0):
        if near(first, -90.0):
            return snapped(degrees, -90.0, 90.0), False
        if near(first, 0.0):
            return snapped(degrees, 0.0, 90.0), True
    at = 0 if not (near(first, -90.0) or near(first, 0.0)) else -1
    raise fault_at(
        text,
        run,
        at,
        f"the {what} angles go from {first:g} to {last:g}: in types A and B they go from -90 to 90, or 0 to 90 where mirrored",
    )
