"""Intensities of our LM-63 files, dialect by dialect, beside those of Radiance (pyradiance: ies2rad, oconv, rtrace).

Source of the reference: Radiance 6 (Lawrence Berkeley National Laboratory), ies2rad.c, source.cal and tilt.cal. A meter that
faces the luminaire from 10 m away reads I / r²; `-i 0.001` makes the opening a millimetre, so that it is a point. Lux is 179
times the weighted sum of rtrace's three channels.
"""

import itertools
import math
import os
import shutil
import subprocess
import tomllib
from pathlib import Path

import numpy as np
import pyradiance
import pytest

from engine.light.photometric_file import read_photometry
from engine.light.photometry import Photometry

FILES = Path(__file__).parents[1] / "unit" / "light" / "files"
SOUND = tomllib.loads((FILES / "sound.toml").read_text(encoding="utf-8"))["files"]
BIN = Path(pyradiance.__file__).parent / "bin"
LIB = Path(pyradiance.__file__).parent / "lib"
DISTANCE_M = 10.0
AGREE = 2e-4
"""Radiance works with single precision and writes six digits."""
NOT_COMPARED = {
    # What ies2rad refuses, or reads by another rule; each is still held to its table in sound.toml.
    "type_a.ies": "no type A",
    "edition_without_year.ies": "takes the rules of 1986, we take those of the editions that name the standard (1995 and after)",
    "edition_in_quotes.ies": "takes the rules of 1986, since it does not know the edition in quotes",
    "edition_2019_in_full.ies": "takes the rules of 1986, since it does not know the edition's full name",
    "commas_at_the_ends.ies": "refuses two commas in a row",
    "tilt_with_a_remark.ies": "takes it for the name of a file",
    "tilt_file_in_quotes.ies": "looks for a file in quotes",
    "form_feeds.ies": "wants TILT at the very start of its line",
    "hard_blanks.ies": "refuses 0xA0 between numbers",
    "line_ends_cr.ies": "refuses CR alone",
    "named_for_the_other_form.ies": "no EULUMDAT",
    "tilt_in_a_file_once_in_a_folder.ies": "looks for the file under the folder that is named",
    "tilt_included_one_flow.ies": "refuses lower case",
    "tilt_lower_case_and_blanks.ies": "refuses lower case",
    "tilt_included_geometry_3.ies": "tilt.cal gives a level luminaire of geometry 3 the factor of 90 degrees",
}
LAST_STORED = {
    # Beyond its last stored plane Radiance goes on along a straight line; we close the circle, or leave it dark (1995).
    "whole_circle_one_step_short.ies": 270.0,
    "zero_to_355.ies": 355.0,
    "even_steps_of_22_5.ies": 337.5,
    "three_planes_of_120.ies": 240.0,
    "ends_at_225_in_1995.ies": 225.0,
}
MIRRORED_UPWARDS = {"type_b_mirrored_both_ways.ies", "type_b_mirrored_up_and_down.ies"}
ROUNDED_ENDS = {"ends_nearly_round.ies": 1e-3}
NAMES = sorted(name for name in SOUND if name.endswith(".ies") and name not in NOT_COMPARED)


def of_radiance(file: Path, folder: Path, directions: np.ndarray) -> np.ndarray:
    """Intensities [cd] towards ``directions`` (unit vectors, z up, C = 0 along +x)."""
    environ = {**os.environ, "RAYPATH": f".:{LIB}"}

    def run(*call: str | Path, stdin: bytes = b"") -> bytes:
        done = subprocess.run(
            [str(part) for part in call], input=stdin, capture_output=True, cwd=folder, env=environ, check=False, timeout=60
        )  # fmt: skip
        assert done.returncode == 0, done.stderr.decode()
        return done.stdout

    run(BIN / "ies2rad", "-c", "1", "1", "1", "-i", "0.001", "-o", "luminaire", file)
    (folder / "scene.oct").write_bytes(run(BIN / "oconv", "luminaire.rad"))
    rays = np.hstack([DISTANCE_M * directions, -directions])
    sent = "\n".join(" ".join(f"{value:.9f}" for value in ray) for ray in rays).encode()
    out = run(
        BIN / "rtrace", "-h", "-I", "-ab", "0", "-dj", "0", "-ds", "0", "-dt", "0", "scene.oct", stdin=sent
    )
    channels = np.array([line.split() for line in out.decode().splitlines()], dtype=float)
    return 179.0 * channels @ np.array([0.265, 0.670, 0.065]) * DISTANCE_M**2


def ours(read: Photometry, vertical: float, horizontal: float) -> float:
    """Bilinear in degrees within the stored range; a level luminaire's lamp has the tilt factor of angle 0."""
    planes = [np.interp(vertical, read.vertical_deg, plane) for plane in read.candela]
    level = 1.0 if read.tilt is None else float(np.interp(0.0, read.tilt.angles_deg, read.tilt.factors))
    return float(np.interp(horizontal, read.horizontal_deg, planes)) * level


def samples(name: str, read: Photometry) -> list[tuple[float, float]]:
    """Stored angles and points between, off the ends, where a ray of single precision might fall outside the table."""

    def along(angles: np.ndarray) -> list[float]:
        inside = [float(a) for a in (*angles, *(angles[:-1] + np.diff(angles) * 0.37))]
        return sorted(a for a in inside if angles[0] + 0.01 < a < angles[-1] - 0.01) or [float(angles[0])]

    found = [
        (v, h)
        for v, h in itertools.product(along(read.vertical_deg), along(read.horizontal_deg))
        # ies2rad knows one mirror of type B only
        if h < LAST_STORED.get(name, 360.0) and (v > 0 or name not in MIRRORED_UPWARDS)
    ]
    return found[:: max(1, len(found) // 60)]


def direction(read: Photometry, vertical: float, horizontal: float) -> list[float]:
    """Where an angle of the file points in Radiance's axes."""
    v, h = math.radians(vertical), math.radians(horizontal)
    if read.type == "B":
        # source.cal: vertical = atan2(-x, z), horizontal = atan2(y, z), of the ray that arrives
        across, along = math.tan(v), -math.tan(h)
        length = math.sqrt(1 + across**2 + along**2)
        return [across / length, along / length, -1 / length]
    if read.symmetry == "half_sideways":
        h += math.pi  # ies2rad lays the plane of 90 along -y
    return [math.sin(v) * math.cos(h), math.sin(v) * math.sin(h), -math.cos(v)]


def test_enough_files_are_compared() -> None:
    assert len(NAMES) >= 60


@pytest.mark.parametrize("name", NAMES)
def test_intensities_agree_with_radiance(name: str, tmp_path: Path) -> None:
    for each in (name, "lamp.tlt"):
        shutil.copy(FILES / "sound" / each, tmp_path)
    read = read_photometry(
        (tmp_path / name).read_bytes(), name, {"lamp.tlt": (tmp_path / "lamp.tlt").read_bytes()}
    )
    asked = samples(name, read)
    reference = of_radiance(tmp_path / name, tmp_path, np.array([direction(read, *at) for at in asked]))

    np.testing.assert_allclose(
        [ours(read, *at) for at in asked], reference, rtol=ROUNDED_ENDS.get(name, AGREE), atol=0.02
    )
