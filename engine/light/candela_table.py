"""The table of intensities, whatever the file's form: taken, checked, scaled, and filled up where the planes ask for it."""

from typing import Final

import numpy as np

from engine.light.angles import Planes
from engine.light.file_numbers import LARGEST, Run, fault_at
from engine.light.file_text import FileText
from engine.light.photometry import Floats

_POLE_SPREAD: Final = 0.1
"""Part of the largest by which the planes may differ straight down before it is worth telling. Our own decision."""


def candela_of(text: FileText, run: Run, planes: int, factor: float) -> Floats:
    """The numbers of ``run`` times ``factor``, shape (planes, verticals) [cd].

    Raises:
        PhotometryFault: one is negative, one is too large, or all are 0.
    """
    values = np.array(run.values, dtype=np.float64)
    negative = np.flatnonzero(values < 0.0)
    if negative.size:
        at = int(negative[0])
        raise fault_at(
            text, run, at, f"the intensity {values[at]:g} is negative: no luminaire takes light away"
        )
    # adding 0 turns -0 into 0
    scaled = values * factor + 0.0
    brightest = int(scaled.argmax())
    if scaled[brightest] > LARGEST:
        raise fault_at(
            text,
            run,
            brightest,
            f"an intensity of {scaled[brightest]:g} cd, all multipliers applied, can't be: check the multipliers",
        )
    if scaled[brightest] == 0.0:
        raise fault_at(text, run, 0, "every intensity is 0: the file says that the luminaire gives no light")
    return scaled.reshape(planes, -1)


def filled(planes: Planes, candela: Floats) -> tuple[Floats, Floats]:
    """Horizontal angles and candela with what a whole circle needs.

    Where the file ends short of 360 by one even step, the plane of 0 is repeated there; where nothing is said to lie beyond
    the last plane, planes without light follow within one step of it.
    """
    degrees = planes.degrees
    if planes.closed:
        return np.append(degrees, 360.0), np.vstack([candela, candela[:1]])
    if planes.dark_after:
        last = float(degrees[-1])
        step = min(float(np.diff(degrees).min()), (360.0 - last) / 3)
        dark = np.zeros((1, candela.shape[1]))
        return (
            np.concatenate([degrees, [last + step, 360.0 - step, 360.0]]),
            np.vstack([candela, dark, dark, candela[:1]]),
        )
    return degrees, candela


def notes_of_table(verticals: Floats, candela: Floats) -> list[str]:
    """What is worth telling of a type C table: keys."""
    notes = []
    if verticals[-1] < 180.0 and candela[:, -1].max() > 0.0:
        notes.append("uplight_unknown")
    if verticals[0] > 0.0 and candela[:, 0].max() > 0.0:
        notes.append("downlight_unknown")
    if verticals[0] == 0.0:
        pole = candela[:, 0]
        if float(np.ptp(pole)) > _POLE_SPREAD * float(candela.max()):
            notes.append("nadir_uneven")
    return notes
