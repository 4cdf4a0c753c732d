"""Reads ANSI/IES LM-63 files of every edition: 1986, 1991, 1995, 2002 and 2019.

Sources: the definitions of ANSI/IESNA LM-63-02 (public copy, excerpt); Radiance's ies2rad (the slot after the ballast factor by
edition, symmetries, the tilt table); a public account of parsing LM-63-1995. Where these are silent the decision is marked.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np

from engine.light.angles import MOST_ANGLES, level_axis_angles, rising, type_c_planes, type_c_verticals
from engine.light.candela_table import candela_of, filled, notes_of_table
from engine.light.file_numbers import NumberScan, Run, fault_at, whole
from engine.light.file_text import FileText
from engine.light.lamp_tilt import read_lamp_tilt
from engine.light.lm63_header import read_head
from engine.light.photometry import FEET_A_METRE, Floats, PhotometricType, Photometry, PhotometryFault

_TYPES: Final[Mapping[int, PhotometricType]] = {1: "C", 2: "B", 3: "A"}
_SLOT_MULTIPLIES_UNTIL: Final = 1991
_FIRST: Final = (
    "number of lamps",
    "lumens per lamp",
    "candela multiplier",
    "number of vertical angles",
    "number of horizontal angles",
    "photometric type",
    "units",
    "width of the opening",
    "length of the opening",
    "height of the opening",
)
_LAMPS, _LUMENS, _MULTIPLIER, _VERTICALS, _HORIZONTALS, _TYPE, _UNITS, _WIDTH = range(8)
_SLOT_NAMES: Final = {
    1986: "ballast-lamp photometric factor",
    1991: "ballast-lamp photometric factor",
    2019: "file generation type",
}
_BALLAST, _SLOT, _WATTS = range(3)


def read_lm63(text: FileText, beside: Mapping[str, bytes]) -> Photometry:
    """The photometry in ``text``; ``beside`` holds the files that ``TILT=`` may name.

    Raises:
        PhotometryFault: the first thing that is wrong, with its line.
    """
    head = read_head(text)
    scan = NumberScan(text, head.tilt_line)
    tilt = read_lamp_tilt(text, head, scan, beside)
    first = scan.take(len(_FIRST), *_FIRST)
    slot_name = _SLOT_NAMES.get(head.edition, "number kept for future use")
    then = scan.take(3, "ballast factor", slot_name, "input watts")

    lamps = whole(first, _LAMPS, _FIRST[_LAMPS], text, 1)
    factor = _positive(text, first, _MULTIPLIER, _FIRST[_MULTIPLIER])
    factor *= _positive(text, then, _BALLAST, "ballast factor")
    if head.edition <= _SLOT_MULTIPLIES_UNTIL:
        factor *= _positive(text, then, _SLOT, slot_name)
    verticals = whole(first, _VERTICALS, _FIRST[_VERTICALS], text, 2)
    horizontals = whole(first, _HORIZONTALS, _FIRST[_HORIZONTALS], text, 1)
    kind = _TYPES[whole(first, _TYPE, "photometric type (1 is C, 2 is B, 3 is A)", text, 1, 3)]
    unit_ft = 1.0 if whole(first, _UNITS, "units (1 is feet, 2 is metres)", text, 1, 2) == 1 else FEET_A_METRE
    room = _room_fault(text, scan, first, verticals, horizontals)
    vertical_run = _angle_run(text, scan, verticals, "vertical angles", room)
    horizontal_run = _angle_run(text, scan, horizontals, "horizontal angles", room)
    # Angles are judged before the intensities are taken: a wrong count shows in them first, and nearer to where it is.
    notes = [] if head.edition_known else ["edition_unknown"]
    if kind == "C":
        vertical = type_c_verticals(text, vertical_run)
        planes = type_c_planes(text, horizontal_run, open_end=head.edition == 1995)
        stored = _candela(text, scan, horizontals, verticals, factor)
        horizontal, candela = filled(planes, stored)
        symmetry = planes.symmetry
        notes += ["circle_closed"] * planes.closed + ["dark_after_last_plane"] * planes.dark_after
        notes += notes_of_table(vertical, stored)
    else:
        vertical, mirrored = level_axis_angles(text, vertical_run, "vertical")
        horizontal, half = level_axis_angles(text, horizontal_run, "horizontal")
        candela = _candela(text, scan, horizontals, verticals, factor)
        vertical, candela = _unfolded(vertical, candela) if mirrored else (vertical, candela)
        symmetry = "half" if half else "none"
    if scan.finish("intensity"):
        notes.append("trailing_text")

    lumens = first.values[_LUMENS]
    if lumens < 0:
        notes.append("absolute")
    elif lumens == 0:
        # Candela never depend on it, so the file stands; only the efficiency can't be told. Our own decision.
        notes.append("lamp_lumens_missing")
    watts = then.values[_WATTS]
    labels = head.labels
    if head.edition == 2019:
        labels = (*labels, ("FILEGENINFO TYPE", f"{then.values[_SLOT]:.5f}"))
    return Photometry(
        name=text.name,
        form=f"LM-63-{head.edition}",
        type=kind,
        symmetry=symmetry,
        vertical_deg=vertical,
        horizontal_deg=horizontal,
        candela=candela,
        forward_deg=90.0 if symmetry == "half_sideways" else 0.0,
        lamp_lumens=lamps * lumens if lumens > 0 else None,
        # Watts touch no light; 0 or less is how files say that they don't know. Our own decision.
        input_watts=watts if watts > 0 else None,
        opening_ft=_opening_ft(first, unit_ft),
        tilt=tilt,
        labels=labels,
        notes=tuple(notes),
    )


def _positive(text: FileText, run: Run, index: int, what: str) -> float:
    value = run.values[index]
    if value <= 0.0:
        raise fault_at(text, run, index, f"the {what} is {value:g}: it must be more than 0")
    return value


def _room_fault(
    text: FileText, scan: NumberScan, first: Run, verticals: int, horizontals: int
) -> PhotometryFault | None:
    """The fault of counts that announce more than the bytes left could hold, found before anything is allocated.

    It is raised at once where no goniometer has so many angles. Else the angles decide whether the counts are wrong or the
    file is cut short.
    """
    most = scan.most_left()
    needed = verticals + horizontals + verticals * horizontals
    if needed <= most:
        return None
    larger = _VERTICALS if verticals > horizontals else _HORIZONTALS
    fault = fault_at(
        text,
        first,
        larger,
        f"{verticals} vertical by {horizontals} horizontal angles need {needed} numbers, but the rest of the file "
        f"can hold at most {most}: the counts are wrong, or the file is cut short",
    )
    if max(verticals, horizontals) > MOST_ANGLES:
        raise fault
    return fault


def _angle_run(text: FileText, scan: NumberScan, count: int, what: str, room: PhotometryFault | None) -> Run:
    if room is not None:
        there = scan.at_hand(count)
        run = scan.take(there, what)
        try:
            rising(text, run, what)
        except PhotometryFault:
            raise room from None
        if there == count:
            return run
        count -= there
    return scan.take(count, what)


def _candela(text: FileText, scan: NumberScan, planes: int, verticals: int, factor: float) -> Floats:
    return candela_of(text, scan.take(planes * verticals, "intensities"), planes, factor)


def _unfolded(vertical: Floats, candela: Floats) -> tuple[Floats, Floats]:
    """Types A and B with 0 to 90 stored: the other half is the mirror image, so that one way of mirroring is left."""
    return (
        np.concatenate([-vertical[:0:-1], vertical]),
        np.hstack([candela[:, :0:-1], candela]),
    )


def _opening_ft(first: Run, unit_ft: float) -> tuple[float, float, float]:
    """Width, length and height; a negative one means a round shape, whose size it is all the same."""
    width, length, height = (abs(value) * unit_ft for value in first.values[_WIDTH:])
    return width, length, height
