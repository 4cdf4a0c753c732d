"""What a photometric file holds, once read and checked: the one shape between the readers and the calculations."""

from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from engine.errors import WattclerkError

Floats = NDArray[np.float64]
PhotometricType = Literal["A", "B", "C"]
Symmetry = Literal["axial", "quarter", "half", "half_sideways", "none"]
"""``half`` mirrors about the 0-180 plane, ``half_sideways`` about the 90-270 plane."""

FEET_A_METRE: Final = 1 / 0.3048


class PhotometryFault(WattclerkError):
    """A photometric file that can't be trusted.

    Attributes:
        name: of the file, without its folder.
        line: number of the line that is wrong, the first being 1; ``None`` where the whole file is at fault.
        what: what is wrong there and what would be right.
    """

    def __init__(self, name: str, line: int | None, what: str) -> None:
        self.name = name
        self.line = line
        self.what = what
        super().__init__(f"{name}: {what}" if line is None else f"{name}, line {line}: {what}")


@dataclass(frozen=True, slots=True)
class LampTilt:
    """How a lamp's output changes as the luminaire is tilted (LM-63, TILT=INCLUDE).

    Attributes:
        geometry: 1 lamp upright, 2 lamp level and turning with the luminaire, 3 lamp level and tilting with it.
        angles_deg, factors: the table, angles rising.
    """

    geometry: Literal[1, 2, 3]
    angles_deg: tuple[float, ...]
    factors: tuple[float, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Photometry:
    """Intensities as stored, every multiplier already applied.

    Attributes:
        name: of the file, without its folder.
        form: "LM-63-1986", "LM-63-1991", "LM-63-1995", "LM-63-2002", "LM-63-2019", "EULUMDAT" or "generic".
        type: C turns about the vertical axis, B and A about a horizontal one.
        symmetry: how the stored planes fill the circle (type C), or which half is mirrored (A, B: ``half`` or ``none``).
        vertical_deg: rising; type C 0 is straight down.
        horizontal_deg: rising, the stored planes only.
        candela: shape (planes, verticals) [cd].
        forward_deg: the horizontal angle that looks forward, away from the wall or towards the street.
        lamp_lumens: rated lumens of all lamps together [lm]; ``None`` for absolute photometry.
        input_watts: as the file states [W]; ``None`` where it does not.
        opening_ft: width, length, height of the luminous opening [ft].
        tilt: ``None`` where the lamp does not mind.
        labels: keywords and other texts, cleaned of control characters.
        notes: keys of what is worth telling ("circle_closed", "uplight_unknown", ...).
    """

    name: str
    form: str
    type: PhotometricType
    symmetry: Symmetry
    vertical_deg: Floats
    horizontal_deg: Floats
    candela: Floats
    forward_deg: float = 0.0
    lamp_lumens: float | None = None
    input_watts: float | None = None
    opening_ft: tuple[float, float, float] = (0.0, 0.0, 0.0)
    tilt: LampTilt | None = None
    labels: tuple[tuple[str, str], ...] = ()
    notes: tuple[str, ...] = ()
