"""Rooms beside the zonal-cavity method as it is published, and beside Radiance with light bounced from surface to surface.

Zonal cavity: the formulae for coefficients of utilization and the zonal multiplier constants of the IES Lighting Handbook
(9th edition, chapter 9, from memory). They stand for even layouts; two or three points between the methods are
what the fitted constants leave.
"""

import math
import os
import subprocess
from pathlib import Path

import numpy as np
import pyradiance
import pytest

from engine.light.distribution import Distribution, distribution
from engine.light.illuminance import Placed, horizontal_fc
from engine.light.layout_places import Rows, rows_of
from engine.light.layout_room import Room, Surfaces, form_factor, reflected, room_light
from engine.light.photometry import Photometry

BIN = Path(pyradiance.__file__).parent / "bin"
LIB = Path(pyradiance.__file__).parent / "lib"
# A and B of each ten-degree zone: share of the zone that goes straight to the floor is exp(-A RCR^B).
ZONES = (
    (0.000, 0.00), (0.041, 0.98), (0.070, 1.05), (0.100, 1.12), (0.136, 1.16), (0.190, 1.25), (0.315, 1.25), (0.640, 1.25), (2.10, 0.80),
)  # fmt: skip


def lambertian() -> Distribution:
    gamma = np.arange(0.0, 90.5, 1.0)
    candela = 1000 * np.cos(np.radians(gamma))
    candela[-1] = 0.0
    return distribution(Photometry("lambert", "generic", "C", "axial", gamma, np.zeros(1), candela[None]))


def by_zonal_cavity(ratio: float, surfaces: Surfaces) -> float:
    """The coefficient of a Lambertian luminaire without uplight."""
    zone_lumens = [
        math.sin(math.radians(10 * n + 10)) ** 2 - math.sin(math.radians(10 * n)) ** 2 for n in range(9)
    ]
    direct = sum(share * math.exp(-a * ratio**b) for share, (a, b) in zip(zone_lumens, ZONES, strict=True))
    rho_c, rho_w, rho_f = surfaces.ceiling, surfaces.walls, surfaces.floor
    f = 0.026 + 0.503 * math.exp(-0.270 * ratio) + 0.470 * math.exp(-0.119 * ratio)
    c1 = (1 - rho_w) * (1 - f * f) * ratio / (2.5 * rho_w * (1 - f * f) + ratio * f * (1 - rho_w))
    c2 = (1 - rho_c) * (1 + f) / (1 + rho_c * f)
    c3 = (1 - rho_f) * (1 + f) / (1 + rho_f * f)
    c0 = c1 + c2 + c3
    from_walls = 2.5 * rho_w * c1 * c3 * (1 - direct) / (ratio * (1 - rho_w) * (1 - rho_f) * c0)
    return from_walls + (1 - rho_f * c3 * (c1 + c2) / ((1 - rho_f) * c0)) * direct / (1 - rho_f)


@pytest.mark.parametrize("ratio", [1, 2, 3, 5, 7, 10])
@pytest.mark.parametrize(
    "surfaces", [Surfaces(0.8, 0.5, 0.2), Surfaces(0.5, 0.3, 0.2), Surfaces(0.8, 0.7, 0.2)], ids=str
)
def test_utilization_is_that_of_the_zonal_cavity_method(ratio: int, surfaces: Surfaces) -> None:
    height = 8.0
    side = 10 * height / ratio
    room = Room(side, side, height, surfaces)
    # the method spreads luminaires evenly: here as many small ones as that takes
    count = 14 * 14

    ours = room_light(lambertian(), 3000.0, room, rows_of(count, side, side)).utilization

    assert room.cavity_ratio == pytest.approx(ratio)
    assert ours == pytest.approx(by_zonal_cavity(ratio, surfaces), abs=0.025)


@pytest.mark.parametrize("ratio", [1, 3, 6, 10])
def test_diffuse_light_spread_over_a_ceiling_falls_on_the_floor_by_the_form_factor(ratio: int) -> None:
    # Closed form: even Lambertian light over one rectangle reaches the one opposite by the form factor and no other way.
    side = 10 * 8.0 / ratio
    room = Room(side, side, 8.0, Surfaces(0.0, 0.0, 0.0))

    ours = room_light(lambertian(), 3000.0, room, rows_of(20 * 20, side, side)).utilization

    assert ours == pytest.approx(form_factor(side, side, 8.0), rel=0.006)


@pytest.mark.parametrize("ratio", [1, 3, 6, 10])
def test_the_form_factor_is_near_the_published_fit(ratio: int) -> None:
    side = 10 * 8.0 / ratio
    fit = 0.026 + 0.503 * math.exp(-0.270 * ratio) + 0.470 * math.exp(-0.119 * ratio)

    assert form_factor(side, side, 8.0) == pytest.approx(fit, abs=0.012)


def test_an_endless_room_keeps_what_two_surfaces_send_to_and_fro() -> None:
    # Cavity ratio 0: 1 / (1 - 0.8 x 0.2) = 1.19, the first entry of every coefficient table for 80 per cent ceilings.
    room = Room(8000, 8000, 8, Surfaces(0.8, 0.5, 0.2))

    assert 1 + reflected(room, room.area_ft2, 0.0, 0.0) == pytest.approx(1 / (1 - 0.16), abs=0.005)


def test_a_room_is_as_radiance_has_it(tmp_path: Path) -> None:
    """Twelve Lambertian luminaires in a 60 x 40 ft room; Radiance bounces light five times."""
    surfaces, height, rows = Surfaces(0.8, 0.5, 0.2), 10.0, rows_of(12, 60, 40)
    ours = room_light(lambertian(), 4000.0, Room(60, 40, height, surfaces), rows)
    scale = 4000.0 / lambertian().lumens
    placed = [Placed(lambertian(), x, y, height, llf=scale) for x, y in rows.places_ft]
    points = np.array([(x, y) for x in (9.0, 23.0, 34.0, 47.0) for y in (7.0, 18.0, 29.0)])

    theirs = _of_radiance(tmp_path, rows, height, surfaces, points)

    # the part that was reflected is taken as even; Radiance has it brighter in the middle than at the walls
    assert horizontal_fc(placed, points) + ours.reflected_fc == pytest.approx(theirs, rel=0.06)
    assert float(horizontal_fc(placed, points).mean()) + ours.reflected_fc == pytest.approx(
        float(theirs.mean()), rel=0.03
    )


def _of_radiance(
    folder: Path, rows: Rows, height: float, surfaces: Surfaces, points: np.ndarray
) -> np.ndarray:
    environ = {**os.environ, "RAYPATH": f".:{LIB}"}

    def run(*call: object, stdin: bytes = b"") -> bytes:
        done = subprocess.run([str(part) for part in call], input=stdin, capture_output=True, cwd=folder, env=environ, check=False, timeout=120)  # fmt: skip
        assert done.returncode == 0, done.stderr.decode()
        return done.stdout

    long, wide = rows.length_ft, rows.width_ft
    # a disc of radiance L sends pi L A lumens (179 to the watt) downward, with the cosine law that is wanted
    radius = 0.3
    area_m2 = math.pi * (radius * 0.3048) ** 2
    radiance = 4000.0 / (179 * math.pi * area_m2)
    scene = [f"void light lamp\n0\n0\n3 {radiance:.6f} {radiance:.6f} {radiance:.6f}\n"]
    for name, rho in (("ceiling", surfaces.ceiling), ("walls", surfaces.walls), ("floor", surfaces.floor)):
        scene.append(f"void plastic {name}\n0\n0\n5 {rho} {rho} {rho} 0 0\n")
    for n, (x, y) in enumerate(rows.places_ft):
        scene.append(f"lamp ring lamp{n}\n0\n0\n8 {x} {y} {height - 0.02} 0 0 -1 0 {radius}\n")
    corners = {
        "ceiling": [((0, 0, height), (0, wide, height), (long, wide, height), (long, 0, height))],
        "floor": [((0, 0, 0), (long, 0, 0), (long, wide, 0), (0, wide, 0))],
        "walls": [
            ((0, 0, 0), (0, 0, height), (long, 0, height), (long, 0, 0)),
            ((0, wide, 0), (long, wide, 0), (long, wide, height), (0, wide, height)),
            ((0, 0, 0), (0, wide, 0), (0, wide, height), (0, 0, height)),
            ((long, 0, 0), (long, 0, height), (long, wide, height), (long, wide, 0)),
        ],
    }
    for name, faces in corners.items():
        for n, face in enumerate(faces):
            numbers = " ".join(str(c) for corner in face for c in corner)
            scene.append(f"{name} polygon {name}{n}\n0\n0\n12 {numbers}\n")
    (folder / "room.oct").write_bytes(run(BIN / "oconv", "-", stdin="".join(scene).encode()))
    rays = "".join(f"{x} {y} 0.01 0 0 1\n" for x, y in points)
    found = run(BIN / "rtrace", "-h", "-I", "-ab", "5", "-ad", "512", "-as", "0", "-aa", "0.25", "-ar", "16", "-dj", "0", "-ds", "0.2", "room.oct", stdin=rays.encode())  # fmt: skip
    values = np.array([[float(v) for v in line.split()] for line in found.decode().splitlines()])
    lux = 179 * (values @ np.array([0.265, 0.670, 0.065]))
    return lux / 10.7639
