"""What must hold of any bytes at all that are handed over as a photometric file."""

import numpy as np

from engine.light.lm63_writer import lm63_text
from engine.light.note_keys import NOTES
from engine.light.photometric_file import read_photometry, tilt_file_of
from engine.light.photometry import Photometry, PhotometryFault
from tests.fuzz.finds import Broken

BESIDE = {"lamp.tlt": b"1\r\n3\r\n0 45 90\r\n1.0 0.9 0.8\r\n"}


def try_file(data: bytes, name: str) -> Photometry | None:
    """Read ``data`` and check what comes out; ``None`` where it is refused.

    Raises:
        Broken: what was read, or the refusal, can't be true of the file.
        Exception: anything else that reading raises: a fault of the reader.
    """
    lines = max(1, data.count(b"\n") + data.count(b"\r") + 1)
    try:
        tilt_file_of(data, name)
        read = read_photometry(data, name, BESIDE)
    except PhotometryFault as fault:
        if fault.line is None or not 1 <= fault.line <= lines:
            raise Broken(f"line {fault.line} of {lines} is said to be wrong") from None
        if not str(fault).isprintable() or len(fault.what) > 300:
            raise Broken(f"a refusal that is no line: {fault!r}") from None
        return None
    check_photometry(read)
    return read


def check_photometry(read: Photometry) -> None:
    """Shapes agree, angles rise over a range that the symmetry explains, candela are finite and not negative; it can be written.

    Raises:
        Broken: one of these does not hold.
    """
    vertical, horizontal, candela = read.vertical_deg, read.horizontal_deg, read.candela
    if candela.shape != (len(horizontal), len(vertical)):
        raise Broken(f"{candela.shape} candela for {len(horizontal)} planes of {len(vertical)}")
    if not np.isfinite(candela).all() or candela.min() < 0 or candela.max() <= 0:
        raise Broken("candela that are not finite, negative, or all 0")
    if (np.diff(vertical) <= 0).any() or (np.diff(horizontal) <= 0).any():
        raise Broken("angles that do not rise")
    ends = (float(horizontal[0]), float(horizontal[-1]))
    if read.type == "C":
        wanted = {
            "axial": (0, 0),
            "quarter": (0, 90),
            "half": (0, 180),
            "half_sideways": (90, 270),
            "none": (0, 360),
        }
        if vertical[0] not in (0, 90) or vertical[-1] > 180:
            raise Broken(f"vertical angles from {vertical[0]} to {vertical[-1]}")
    else:
        wanted = {"half": (0, 90), "none": (-90, 90)}
        if (vertical[0], vertical[-1]) != (-90, 90):
            raise Broken(f"vertical angles from {vertical[0]} to {vertical[-1]}")
    if ends != wanted[read.symmetry]:
        raise Broken(f"horizontal angles from {ends[0]} to {ends[1]} are no {read.symmetry}")
    if (
        read.symmetry == "none"
        and read.type == "C"
        and (candela[0] != candela[-1]).any()
        and "circle_closed" in read.notes
    ):
        raise Broken("a circle that was closed with another plane")
    if not set(read.notes) <= set(NOTES):
        raise Broken(f"notes without words: {read.notes}")
    if not all(key.isprintable() and words.isprintable() for key, words in read.labels):
        raise Broken("labels that can't be printed")
    for value in (*read.opening_ft, read.lamp_lumens or 1.0, read.input_watts or 1.0):
        if not (0 <= value < 1e25):
            raise Broken(f"a figure of {value}")
    lm63_text(read)
