"""``wattclerk light FILE``: what one luminaire of a photometric file gives on the ground, point by point."""

import argparse
import json
from pathlib import Path

import numpy as np

from bot.light_lines import light_lines
from engine.errors import ConfigurationError
from engine.light.distribution import distribution
from engine.light.file_text import MAX_BYTES
from engine.light.illuminance import Placed, horizontal_fc
from engine.light.photometric_file import read_photometry, tilt_file_of
from engine.light.photometry import Photometry


def run(arguments: argparse.Namespace) -> int:
    """Prints footcandles at the points asked for; a file that can't be trusted is one line, with the line that is wrong."""
    photometry = open_photometry(Path(arguments.file))
    if arguments.spin_deg and photometry.type != "C":
        raise ConfigurationError(
            f"{photometry.name} is type {photometry.type}, whose angles say themselves where it looks: leave --spin-deg out"
        )
    table = distribution(photometry, arguments.spin_deg)
    placed = Placed(
        distribution=table,
        x_ft=0.0,
        y_ft=0.0,
        height_ft=arguments.height_ft,
        facing_deg=0.0,
        tilt_deg=arguments.tilt_deg,
        llf=arguments.llf,
    )
    levels = horizontal_fc([placed], np.array(arguments.at)).tolist()
    if arguments.json:
        shown = {
            "lumens": table.lumens,
            "fc": levels,
            "form": photometry.form,
            "notes": list(photometry.notes),
        }
        print(json.dumps(shown, allow_nan=False))
        return 0
    for line in light_lines(photometry, placed, arguments.at, levels, arguments.spin_deg):
        print(line)
    return 0


def open_photometry(path: Path) -> Photometry:
    """The photometric file ``path``, and the tilt file beside it where it names one.

    Raises:
        ConfigurationError: it can't be opened.
        PhotometryFault: it can't be trusted.
    """
    data = _content(path)
    wanted = tilt_file_of(data, path.name)
    return read_photometry(data, path.name, {} if wanted is None else _beside(path, wanted))


def _beside(path: Path, wanted: str) -> dict[str, bytes]:
    """The files of the same folder that go by the name ``wanted``, in whatever capitals."""
    try:
        alike = sorted(
            each
            for each in path.parent.iterdir()
            if each.name.casefold() == wanted.casefold() and each.is_file()
        )
    except OSError as error:
        raise ConfigurationError(f"the folder of {path} can't be read: {error.strerror}") from None
    return {each.name: _content(each) for each in alike}


def _content(path: Path) -> bytes:
    """No more of the file than its reader takes, and a little, so that the reader can say that it is too long."""
    try:
        with path.open("rb") as file:
            return file.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else "no such name"
        raise ConfigurationError(f"{path} can't be read: {why}") from None
