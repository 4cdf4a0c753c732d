"""Illuminance from our own files beside Radiance's direct calculation (pyradiance: ies2rad, xform, oconv, rtrace).

Source of the reference: Radiance 6 (Lawrence Berkeley National Laboratory). Each file is tried level, tilted, turned and
doubled, each on 40 points or more; agreement wanted: 1 % or 0.002 fc, whichever is larger.
"""

import math
import os
import subprocess
from pathlib import Path

import numpy as np
import pyradiance
import pytest

from engine.light.distribution import distribution
from engine.light.illuminance import Placed, horizontal_fc, vertical_fc
from engine.light.photometric_file import read_photometry
from engine.quantities import LUX_PER_FOOTCANDLE, feet_to_metres

FILES = Path(__file__).parents[1] / "unit" / "light" / "files"
BIN = Path(pyradiance.__file__).parent / "bin"
LIB = Path(pyradiance.__file__).parent / "lib"
SHARE, LEAST_FC = 0.01, 0.002
# One of each symmetry, edition, type, unit and multiplier; what is only another way of writing one text is left out.
NAMES = (
    "absolute_four_lamps", "all_factors_1991", "axial", "ballast_factor", "down_and_up", "edition_1986_slot_multiplies",
    "edition_1991_slot_multiplies", "edition_1995", "edition_1995_slot_is_ignored", "edition_2002", "edition_2019_scaled",
    "edition_2019_slot_is_the_kind_of_file", "light_at_90", "metres", "mirrored_about_90_270",
    "mirrored_about_90_270_in_2002", "multiplier", "quarter", "quarter_two_planes", "relative_two_lamps", "round_opening",
    "tilt_included_geometry_1", "type_b", "type_b_mirrored_sideways", "upward_only",
    "watts_unknown", "whole_circle", "wrapped_anywhere",
)  # fmt: skip
POINTS = np.array(
    [(x, y) for x in (-31.0, -18.0, -4.0, 3.0, 13.0, 26.0, 47.0) for y in (-12.0, 1.0, 9.0, 19.0, 33.0, 52.0)]
)


def of_radiance(
    file: Path,
    folder: Path,
    sideways: bool,
    placed: list[tuple[float, float, float, float, float]],
    rays: np.ndarray,
) -> np.ndarray:
    """Footcandles; ``placed`` holds x, y, height [ft], facing and tilt [deg], ``rays`` points [ft] and the way a meter faces."""
    environ = {**os.environ, "RAYPATH": f".:{LIB}"}

    def run(*call: object, stdin: bytes = b"") -> bytes:
        done = subprocess.run(
            [str(part) for part in call], input=stdin, capture_output=True, cwd=folder, env=environ, check=False, timeout=60
        )  # fmt: skip
        assert done.returncode == 0, done.stderr.decode()
        return done.stdout

    run(BIN / "ies2rad", "-c", "1", "1", "1", "-i", "0.001", "-o", "luminaire", file)
    scene = b""
    for x, y, height, facing, tilt in placed:
        # C = 0 points along +x; ies2rad lays the plane of 90 of a 90-270 file along -y.
        turn = 180.0 if sideways else 90.0
        scene += run(
            BIN / "xform", "-rz", turn, "-rx", tilt, "-rz", facing,
            "-t", *(f"{feet_to_metres(v):.9f}" for v in (x, y, height)), "luminaire.rad",
        )  # fmt: skip
    (folder / "scene.rad").write_bytes(scene)
    (folder / "scene.oct").write_bytes(run(BIN / "oconv", "scene.rad"))
    metres = np.hstack([feet_to_metres(rays[:, :3]), rays[:, 3:]])
    sent = "\n".join(" ".join(f"{value:.9f}" for value in ray) for ray in metres).encode()
    out = run(
        BIN / "rtrace", "-h", "-I", "-ab", "0", "-dj", "0", "-ds", "0", "-dt", "0", "scene.oct", stdin=sent
    )
    channels = np.array([line.split() for line in out.decode().splitlines()], dtype=float)
    return 179.0 * channels @ np.array([0.265, 0.670, 0.065]) / LUX_PER_FOOTCANDLE


def agree(ours: np.ndarray, theirs: np.ndarray) -> None:
    off = np.abs(ours - theirs)
    allowed = np.maximum(SHARE * theirs, LEAST_FC)
    worst = int((off / allowed).argmax())
    assert (off <= allowed).all(), f"point {worst}: ours {ours[worst]}, Radiance {theirs[worst]}"


def test_enough_files_are_compared() -> None:
    assert len(set(NAMES)) >= 20
    assert len(POINTS) >= 40


@pytest.mark.parametrize("name", NAMES)
def test_illuminance_agrees_with_radiance(name: str, tmp_path: Path) -> None:
    file = FILES / "sound" / f"{name}.ies"
    read = read_photometry(file.read_bytes(), file.name)
    light = distribution(read)
    sideways = read.symmetry == "half_sideways"
    up = np.column_stack([POINTS, np.zeros(len(POINTS)), np.tile([0.0, 0.0, 1.0], (len(POINTS), 1))])

    for spots in (
        [(0.0, 0.0, 20.0, 0.0, 0.0)],
        [(2.0, -1.0, 24.0, 35.0, 20.0), (-9.0, 6.0, 17.0, -110.0, 0.0)],
    ):
        placed = [Placed(light, x, y, h, facing, tilt) for x, y, h, facing, tilt in spots]
        agree(horizontal_fc(placed, POINTS), of_radiance(file, tmp_path, sideways, spots, up))

    # Upright meters 5 ft up that face the wall.
    wall = np.column_stack([POINTS, np.full(len(POINTS), 5.0), np.tile([0.0, -1.0, 0.0], (len(POINTS), 1))])
    spots = [(0.0, 0.0, 20.0, 0.0, 0.0)]
    agree(
        vertical_fc([Placed(light, 0.0, 0.0, 20.0)], POINTS, 5.0, 180.0),
        of_radiance(file, tmp_path, sideways, spots, wall),
    )


def test_direction_of_turning_and_tilting() -> None:
    """Tilted forward a narrow beam lands at H tan T in front; facing 90 it lands on the left."""
    text = b"IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 4 1 1 1 0 0 0\n1 1 60\n0 5 10 90\n0\n9000 100 0 0\n"
    light = distribution(read_photometry(text, "beam.ies"))
    ahead = 20 * math.tan(math.radians(30))
    spots = np.array([(0.0, ahead), (-ahead, 0.0), (ahead, 0.0), (0.0, -ahead)])
    assert horizontal_fc([Placed(light, 0, 0, 20, 0, 30)], spots).argmax() == 0
    assert horizontal_fc([Placed(light, 0, 0, 20, 90, 30)], spots).argmax() == 1


# Aims past level, meters over the luminaire and behind it, angles that no even step meets, a sharp cut-off.
UNEVEN = """IESNA:LM-63-2002
TILT=NONE
1 -1 1 8 4 1 1 0 0 0
1 1 60
0 21.43 33.37 61.91 62.4 88.05 120.2 180
0 17.61 93.33 180
5000 4100 6200 6900 300 50 700 400
5000 3100 2200 8900 900 20 0 400
5000 600 4200 100 3000 500 1700 400
5000 2600 1200 1900 30 0 200 400
"""
LAMP_TO_LEVEL = """IESNA:LM-63-2002
TILT=INCLUDE
1
4
0 20 45 90
1 0.9 0.7 0.6
1 9000 1 5 1 1 1 0 0 0
1 1 250
0 15 45 75 90
0
4000 5200 6100 900 0
"""
NARROW_TYPE_B = """IESNA:LM-63-2002
TILT=NONE
1 -1 1 9 7 2 1 0 0 0
1 1 500
-90 -12.5 -6 -1.5 0 2 7 15 90
-90 -21 -8 0 9 20 90
0 0 0 0 0 0 0 0 0
0 50 200 900 1200 800 150 20 0
0 400 5000 30000 52000 31000 4000 300 0
0 600 9000 80000 120000 82000 7000 500 0
0 420 4800 29000 50000 30000 4100 280 0
0 40 180 950 1150 790 160 25 0
0 0 0 0 0 0 0 0 0
"""


@pytest.mark.parametrize("tilt", [0.0, -30.0, 62.0, 95.0, 150.0])
@pytest.mark.parametrize("text", [UNEVEN, LAMP_TO_LEVEL, NARROW_TYPE_B], ids=["uneven", "lamp", "type B"])
def test_awkward_places(text: str, tilt: float, tmp_path: Path) -> None:
    file = tmp_path / "awkward.ies"
    file.write_text(text, encoding="ascii")
    light = distribution(read_photometry(text.encode(), file.name))
    spots = [(1.0, 2.0, 18.0, -25.0, tilt)]
    heights = np.tile([0.0, 5.0, 31.0], len(POINTS) // 3)
    points = np.vstack(
        [np.column_stack([POINTS, heights]), [(1.0, 2.0, 0.0), (1.0, 2.5, 0.0), (1.0, 2.0, 15.0)]]
    )
    for way in ((0.0, 0.0, 1.0), (0.0, -1.0, 0.0)):
        placed = [Placed(light, *spots[0])]
        ours = horizontal_fc(placed, points) if way[2] else vertical_fc(placed, points, 0.0, 180.0)
        rays = np.column_stack([points, np.tile(way, (len(points), 1))])
        theirs = of_radiance(file, tmp_path, False, spots, rays)
        lit = slice(None) if light.type == "C" else ours > 0.0
        # Behind the plane of type B Radiance goes on beyond 90 degrees, where the file says nothing.
        agree(ours[lit], theirs[lit])
