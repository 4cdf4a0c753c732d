"""Reads EULUMDAT files (.ldt): one value a line, intensities in candela per thousand lumens.

The order of lines is that of the published proposal (Stockmar 1990 and 1998), from memory, and the way two public readers take it.
"""

import math
from typing import Final

import numpy as np

from engine.light.angles import MOST_ANGLES, Planes, near, rising
from engine.light.candela_table import candela_of, filled, notes_of_table
from engine.light.file_numbers import Run, looks_numeric
from engine.light.file_text import FileText, printable
from engine.light.photometry import FEET_A_METRE, Floats, Photometry, PhotometryFault
from engine.light.value_lines import CUT_SHORT, ValueLines

_FEET_A_MM: Final = FEET_A_METRE / 1000
_LONGEST_LABEL: Final = 200
_DIRECT_RATIOS: Final = 10
_WIDEST_GAP: Final = 2.0
"""Times the widest step that the circle may miss between its last plane and 360. Our own decision."""
_TEXTS: Final = ("TEST", "LUMINAIRE", "LUMCAT", "FILE", "ISSUEDATE")
"""Lines 8 to 12, by LM-63's keywords where it has one."""
_SIZES: Final = (
    "length of the luminaire",
    "width of the luminaire",
    "height of the luminaire",
    "length of the luminous area",
    "width of the luminous area",
    "height of the luminous area at C0",
    "height of the luminous area at C90",
    "height of the luminous area at C180",
    "height of the luminous area at C270",
)


def read_eulumdat(text: FileText) -> Photometry:
    """The photometry in ``text``.

    Raises:
        PhotometryFault: the first thing that is wrong, with its line.
    """
    values = ValueLines(text)
    labels = [("MANUFAC", values.words("maker"))]
    values.number("type indicator (0 to 3)", blank=0.0)
    symmetry = values.whole("symmetry indicator", 0, 4)
    symmetry_line = values.line
    planes = values.whole("number of C planes", 1)
    planes_line = values.line
    values.number("step between C planes", blank=0.0)
    verticals = values.whole("number of intensities in a C plane", 2)
    verticals_line = values.line
    values.number("step between intensities", blank=0.0)
    labels += [(key, values.words(f"text {key.lower()}")) for key in _TEXTS]
    sizes_mm = [values.number(what, blank=0.0) for what in _SIZES]
    values.number("downward flux fraction", blank=0.0)
    values.number("light output ratio", blank=0.0)
    conversion = values.positive("conversion factor for intensities")
    notes = []
    if values.number("tilt during measurement", blank=0.0) != 0.0:
        notes.append("measured_tilted")
    lumens, watts, absolute = _lamps(values, labels, notes)
    for number in range(1, _DIRECT_RATIOS + 1):
        values.number(f"direct ratio {number}", blank=0.0)

    stored = {0: planes, 1: 1, 2: planes // 2 + 1, 3: planes // 2 + 1, 4: planes // 4 + 1}[symmetry]
    needed = planes + verticals + stored * verticals
    c_run = _angle_run(values, planes, "C", needed, planes_line)
    vertical_run = _angle_run(values, verticals, "vertical", needed - planes, verticals_line)
    order, horizontal = _stored_planes(text, c_run, symmetry, symmetry_line)
    vertical = _verticals(text, vertical_run)
    table = values.run(len(order) * verticals, "intensity")
    notes += ["trailing_text"] * _text_follows(values)

    candela = candela_of(text, table, len(order), conversion * lumens / 1000)[order]
    horizontal_deg, candela = filled(horizontal, candela)
    notes += notes_of_table(vertical, candela)
    return Photometry(
        name=text.name,
        form="EULUMDAT",
        type="C",
        symmetry=horizontal.symmetry,
        vertical_deg=vertical,
        horizontal_deg=horizontal_deg,
        candela=candela,
        forward_deg=90.0 if horizontal.symmetry == "half_sideways" else 0.0,
        lamp_lumens=None if absolute else lumens,
        input_watts=watts if watts > 0 else None,
        opening_ft=_opening_ft(sizes_mm),
        labels=tuple((key, shown) for key, words in labels if (shown := printable(words, _LONGEST_LABEL))),
        notes=tuple(notes + ["forward_unsure"] * (symmetry == 0)),
    )


def _angle_run(values: ValueLines, count: int, what: str, needed: int, count_line: int) -> Run:
    """``count`` angles off the next lines.

    Where the file can't hold the ``needed`` lines that its counts announce, the angles decide whether the count is wrong or
    the file is cut short; a count that no goniometer has is wrong at once.
    """
    text, there = values.text, values.left
    if needed > there:
        wrong = text.fault(
            count_line,
            f"the counts of angles ask for {needed} more lines, but {there} are left: they are wrong, or the file is cut short",
        )
        if count > MOST_ANGLES:
            raise wrong
        if count > there:
            try:
                rising(text, values.run(there, what), what)
            except PhotometryFault:
                raise wrong from None
            raise text.fault(
                text.last_line, f"the file ends after {there} of {count} {what} angles: {CUT_SHORT}"
            )
        run = values.run(count, f"{what} angle")
        try:
            rising(text, run, what)
        except PhotometryFault:
            raise wrong from None
        return run
    return values.run(count, f"{what} angle")


def _lamps(values: ValueLines, labels: list[tuple[str, str]], notes: list[str]) -> tuple[float, float, bool]:
    """Flux [lm] and watts of the first set, and whether the file is absolute.

    Further sets are other lamps that the luminaire may hold instead (from memory); the note says that there are some.
    """
    sets = values.number("number of lamp sets")
    if not sets.is_integer() or sets == 0 or 6 * abs(sets) > values.left:
        raise values.fault(
            f"the number of lamp sets is {sets:g}: it must be a whole number of at least 1, with six lines for each"
        )
    lumens = watts = 0.0
    absolute = sets < 0
    for number in range(abs(int(sets))):
        lamps = values.number("number of lamps")
        if not lamps.is_integer() or lamps == 0:
            raise values.fault(
                f"the number of lamps is {lamps:g}: it must be a whole number, negative for absolute photometry, never 0"
            )
        kind = values.words("type of lamps")
        flux = values.positive("total flux of the lamps")
        values.words("color of the lamps")
        values.words("color rendering of the lamps")
        power = values.number("watts of the lamps", blank=0.0)
        if number == 0:
            lumens, watts, absolute = flux, power, absolute or lamps < 0
            labels.append(("LAMP", kind))
    if absolute:
        notes.append("absolute")
    if abs(sets) > 1:
        notes.append("lamp_sets")
    return lumens, watts, absolute


def _stored_planes(text: FileText, run: Run, symmetry: int, line: int) -> tuple[list[int], Planes]:
    """In which order the stored planes are wanted, and their angles.

    Isym 3 stores C270 to C360 and C0 to C90. About the 90-270 plane C has the light of 180 - C, so that the same planes are
    C270 down to C180 and C180 down to C90: turned about, they rise from 90 to 270 as in LM-63.
    """
    degrees = rising(text, run, "C")
    first, last = float(degrees[0]), float(degrees[-1])
    if not near(first, 0.0) or last > 360.0:
        at = 0 if not near(first, 0.0) else -1
        raise text.fault(
            run.lines[at], f"the C angles go from {first:g} to {last:g}: they start at 0 and end by 360"
        )
    degrees[0] = 0.0
    if symmetry == 1:
        return [0], Planes(np.zeros(1), "axial")
    if symmetry == 0:
        if near(last, 360.0) and len(degrees) > 1:
            degrees[-1] = 360.0
            return list(range(len(degrees))), Planes(degrees, "none")
        if len(degrees) < 2 or 360.0 - last > _WIDEST_GAP * float(np.diff(degrees).max()):
            raise text.fault(
                run.lines[-1],
                f"the C angles end at {last:g}: without symmetry (indicator 0, line {line}) they go all the way round",
            )
        return list(range(len(degrees))), Planes(degrees, "none", closed=True)
    if symmetry == 3:
        front = _upto(text, run, degrees, 90.0, line)
        back = [i for i in range(len(degrees)) if degrees[i] > 270.0 - 0.05 and not near(degrees[i], 360.0)]
        if not back or not near(degrees[back[0]], 270.0):
            raise text.fault(
                run.lines[-1],
                f"no C angle is 270: with symmetry indicator 3 (line {line}) it must be among them",
            )
        count = len(back) + len(front)
        angles = np.concatenate([degrees[back] - 360.0, degrees[front]])
        angles[0], angles[-1] = -90.0, 90.0
        return list(range(count))[::-1], Planes((180.0 - angles)[::-1], "half_sideways")
    end = 180.0 if symmetry == 2 else 90.0
    kept = _upto(text, run, degrees, end, line)
    angles = degrees[kept]
    angles[-1] = end
    return kept, Planes(angles, "half" if symmetry == 2 else "quarter")


def _upto(text: FileText, run: Run, degrees: Floats, end: float, line: int) -> list[int]:
    kept = [i for i in range(len(degrees)) if degrees[i] < end + 0.05]
    if not near(degrees[kept[-1]], end):
        raise text.fault(
            run.lines[kept[-1]],
            f"no C angle is {end:g}: the symmetry indicator (line {line}) says that the planes up to it are stored",
        )
    return kept


def _verticals(text: FileText, run: Run) -> Floats:
    """Vertical angles: any rising range within 0 to 180 that starts at 0 or 90 (the proposal names no end)."""
    degrees = rising(text, run, "vertical")
    first, last = float(degrees[0]), float(degrees[-1])
    for at, value, wanted in ((0, first, (0.0, 90.0)), (-1, last, (90.0, 180.0))):
        for end in wanted:
            if near(value, end):
                degrees[at] = end
    if degrees[0] not in (0.0, 90.0) or degrees[-1] > 180.0:
        at = 0 if degrees[0] not in (0.0, 90.0) else -1
        raise text.fault(
            run.lines[at],
            f"the vertical angles go from {first:g} to {last:g}: they start at 0 (or 90) and end by 180",
        )
    return degrees


def _text_follows(values: ValueLines) -> bool:
    """Whether words follow the last intensity; numbers there mean that a count is wrong."""
    follows = False
    for line in range(values.line + 1, len(values.text.lines) + 1):
        written = values.text.lines[line - 1].strip()
        if any(looks_numeric(token) for token in written.replace(",", ".").split()):
            raise values.text.fault(
                line, "more numbers follow the last intensity: there are too many, or the counts are wrong"
            )
        follows = follows or bool(written)
    return follows


def _opening_ft(sizes_mm: list[float]) -> tuple[float, float, float]:
    """Width, length and height of the luminous area; a width of 0 means that the length is a diameter."""
    length, width = abs(sizes_mm[3]), abs(sizes_mm[4])
    height = max(abs(size) for size in sizes_mm[5:])
    return (width or length) * _FEET_A_MM, length * _FEET_A_MM, math.fabs(height) * _FEET_A_MM
