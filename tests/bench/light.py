"""Illuminance over a grid, beside Radiance's direct calculation in the same run: ``python -m tests.bench.light``.

Processor time of one thread. Radiance (pyradiance: rtrace, binary in and out) is timed with its start, and its start alone
is given beside, so that both ratios can be seen.
"""

import os
import resource
import statistics
import subprocess
import tempfile
import tracemalloc
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pyradiance

from engine.light.contours import iso_lines
from engine.light.distribution import distribution
from engine.light.grid import cell_centres
from engine.light.illuminance import Placed, horizontal_fc
from engine.light.lm63_writer import lm63_text
from engine.light.photometry import Photometry
from engine.light.spacing import largest_spacing_ft
from engine.light.throw import reach_ft, widest_half_width_ft
from engine.quantities import feet_to_metres

BIN = Path(pyradiance.__file__).parent / "bin"
LIB = Path(pyradiance.__file__).parent / "lib"
RUNS = 40


def street_light() -> Photometry:
    """A smooth two-sided shape at uneven vertical steps, whole degrees."""
    vertical = np.array(
        [0, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 55, 57, 60, 62, 65, 67, 70, 72, 75, 80, 85, 90],
        dtype=float,
    )
    horizontal = np.arange(0.0, 181.0, 5.0)
    v, h = np.meshgrid(np.radians(vertical), np.radians(horizontal))
    candela = 4000 * np.cos(v) ** 0.5 * (0.4 + np.sin(v) ** 2 * (1 + 0.8 * np.cos(h)))
    candela[:, 0] = candela[0, 0]
    candela[:, -1] = 0.0
    return Photometry("bench.ies", "LM-63-2002", "C", "half", vertical, horizontal, candela)


def no_even_step(read: Photometry) -> Photometry:
    """The same with every inner angle moved by a little that no step goes into."""
    dice = np.random.default_rng(1)
    vertical = read.vertical_deg.copy()
    vertical[1:-1] += dice.uniform(-0.3, 0.3, len(vertical) - 2)
    horizontal = read.horizontal_deg.copy()
    horizontal[1:-1] += dice.uniform(-0.3, 0.3, len(horizontal) - 2)
    return replace(read, vertical_deg=vertical, horizontal_deg=horizontal)


def median_ms(work: Callable[[], object], runs: int = RUNS) -> float:
    """Median of processor time, that of children included [ms]."""
    times = []
    for _ in range(runs):
        start = _spent()
        work()
        times.append(_spent() - start)
    return 1000 * statistics.median(times)


def _spent() -> float:
    both = (resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN))
    return sum(each.ru_utime + each.ru_stime for each in both)


def radiance_ms(
    read: Photometry, spots: list[tuple[float, float, float]], points: np.ndarray
) -> tuple[float, float]:
    """rtrace over the same scene: whole, and its start with one ray [ms]."""
    environ = {**os.environ, "RAYPATH": f".:{LIB}"}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "bench.ies").write_text(lm63_text(read), encoding="ascii")

        def run(*call: object, stdin: bytes = b"") -> bytes:
            return subprocess.run(
                [str(part) for part in call], input=stdin, capture_output=True, cwd=folder, env=environ, check=True
            ).stdout  # fmt: skip

        run(BIN / "ies2rad", "-c", "1", "1", "1", "-i", "0.001", "-o", "luminaire", "bench.ies")
        scene = b"".join(
            run(BIN / "xform", "-rz", 90, "-t", *(feet_to_metres(v) for v in spot), "luminaire.rad")
            for spot in spots
        )
        (folder / "scene.rad").write_bytes(scene)
        (folder / "scene.oct").write_bytes(run(BIN / "oconv", "scene.rad"))
        rays = np.column_stack(
            [feet_to_metres(1.0) * points, np.zeros(len(points)), np.tile([0.0, 0.0, 1.0], (len(points), 1))]
        )
        sent = rays.astype("<f4").tobytes()
        call = (
            BIN / "rtrace",
            "-h",
            "-I",
            "-ff",
            "-ab",
            "0",
            "-dj",
            "0",
            "-ds",
            "0",
            "-dt",
            "0",
            "scene.oct",
        )
        whole = median_ms(lambda: run(*call, stdin=sent), 9)
        start = median_ms(lambda: run(*call, stdin=sent[:24]), 9)
    return whole, start


def main() -> None:
    """Prints the figures."""
    read = street_light()
    light = distribution(read)
    spots = [(40.0 * i, 50.0 * j, 25.0) for i in range(4) for j in range(3)]
    placed = [Placed(light, x, y, h) for x, y, h in spots]
    points = cell_centres((-40.0, 160.0), (-50.0, 150.0), 100, 100)
    ours = median_ms(lambda: horizontal_fc(placed, points))
    whole, start = radiance_ms(read, spots, points)
    print(f"100 x 100 points, 12 luminaires: {ours:.2f} ms (at most 15)")
    print(
        f"  Radiance, direct: {whole:.1f} ms, of which start {start:.1f} ms; {whole / ours:.0f} times ours (at least 20),"
    )
    print(f"  {(whole - start) / ours:.0f} times without its start")
    print(f"file to table: {median_ms(lambda: distribution(read)):.2f} ms")
    uneven = distribution(no_even_step(read))
    bent = [Placed(uneven, x, y, h) for x, y, h in spots]
    print(
        f"the same from angles that no even step meets: {median_ms(lambda: horizontal_fc(bent, points)):.2f} ms"
    )
    tilted = [Placed(light, x, y, h, 30.0, 20.0) for x, y, h in spots]
    print(f"the same turned and tilted: {median_ms(lambda: horizontal_fc(tilted, points)):.2f} ms")
    one = placed[0]
    print(f"throw to 0.5 fc: {median_ms(lambda: reach_ft([one], 0.5)):.2f} ms")
    print(f"widest half width at 0.5 fc: {median_ms(lambda: widest_half_width_ft(one, 0.5)):.2f} ms")
    print(f"spacing at a least of 0.5 fc: {median_ms(lambda: largest_spacing_ft(one, 0.5), 9):.1f} ms")
    print(f"iso-line: {median_ms(lambda: iso_lines([one], 0.5, (-80, 80), (0, 80))):.2f} ms")
    for count in (10_000, 100_000, 1_000_000):
        side = round(count**0.5)
        many = cell_centres((-40.0, 160.0), (-50.0, 150.0), side, side)
        tracemalloc.start()
        horizontal_fc(placed, many)
        peak = tracemalloc.get_traced_memory()[1] / 1e6
        tracemalloc.stop()
        spent = median_ms(lambda many=many: horizontal_fc(placed, many), 1)  # type: ignore[misc]
        print(f"{len(many):>9} points: {spent:.0f} ms, peak {peak:.0f} MB beside the points")


if __name__ == "__main__":
    main()
