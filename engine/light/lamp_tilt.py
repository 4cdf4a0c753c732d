"""The table of a lamp's output over the tilt of its luminaire: in an LM-63 file, or in a file that it names."""

from collections.abc import Mapping
from typing import Final, Literal, cast

from engine.light.angles import rising
from engine.light.file_numbers import NumberScan, fault_at, whole
from engine.light.file_text import FileText, printable, read_text
from engine.light.lm63_header import Head
from engine.light.photometry import LampTilt

_STEEPEST_DEG: Final = 180.0


def base_name(written: str) -> str:
    """The name of the file that ``TILT=`` names, without the folder that it once stood in."""
    return written.strip("\"' ").replace("\\", "/").rpartition("/")[2].strip()


def read_lamp_tilt(
    text: FileText, head: Head, scan: NumberScan, beside: Mapping[str, bytes]
) -> LampTilt | None:
    """What the TILT line asks for; for ``TILT=INCLUDE`` the table is taken off ``scan``.

    Raises:
        PhotometryFault: nothing named, a file that is not beside this one, or a table that can't be.
    """
    if head.tilt == "NONE":
        return None
    if head.tilt == "INCLUDE":
        return _table(text, scan)
    name = base_name(head.tilt)
    if not name:
        raise text.fault(
            head.tilt_line, "nothing follows TILT=: NONE, INCLUDE or the name of a file should stand here"
        )
    data = _found(name, beside)
    if data is None:
        raise text.fault(
            head.tilt_line,
            f"the tilt file {printable(name, 60)!r} is not beside this one: put it there, or get a file with TILT=INCLUDE",
        )
    other = read_text(data, name)
    alone = NumberScan(other, 0)
    tilt = _table(other, alone)
    alone.finish("factor")
    return tilt


def _found(name: str, beside: Mapping[str, bytes]) -> bytes | None:
    """The file by its name, else by its name in other capitals (the name may come from a system that has none)."""
    if name in beside:
        return beside[name]
    alike = sorted(each for each in beside if each.casefold() == name.casefold())
    return beside[alike[0]] if alike else None


def _table(text: FileText, scan: NumberScan) -> LampTilt:
    run = scan.take(2, "lamp geometry (1, 2 or 3)", "number of tilt angles")
    geometry = whole(run, 0, "lamp geometry", text, 1, 3)
    count = whole(run, 1, "number of tilt angles", text, 1)
    most = scan.most_left()
    if 2 * count > most:
        raise fault_at(
            text,
            run,
            1,
            f"{count} tilt angles need {2 * count} numbers, but the rest of the file can hold at most {most}",
        )
    at = scan.take(count, "tilt angles")
    angles = rising(text, at, "tilt")
    for index in (0, -1):
        if not 0.0 <= angles[index] <= _STEEPEST_DEG:
            raise fault_at(
                text, at, index, f"the tilt angle {angles[index]:g} can't be: it must be from 0 to 180"
            )
    factors = scan.take(count, "tilt factors")
    for index, factor in enumerate(factors.values):
        if factor < 0.0:
            raise fault_at(
                text, factors, index, f"the tilt factor {factor:g} is negative: it must be 0 or more"
            )
    return LampTilt(
        geometry=cast(Literal[1, 2, 3], geometry),
        angles_deg=tuple(float(angle) for angle in angles),
        factors=tuple(factors.values),
    )
