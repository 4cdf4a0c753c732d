"""Writes the photometric file of every luminaire of the demo catalogue: LM-63-2002, one file an optic and lumen package.

The shapes are those of ``shapes.toml``, the lumens and watts those of the ladders in ``series/``; nothing is random, so the
same bytes come out. A body's second supply range shares the file of its first. Run ``python -m catalog_demo.build_photometry``
after a change of either, then ``python -m catalog_demo.build``; a test holds the files to what this makes.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import fields
from functools import cache
from pathlib import Path
from typing import Any, Final

import numpy as np

from engine.light.generic import horizontals, verticals
from engine.light.lm63_writer import lm63_text
from engine.light.photometry import Photometry
from engine.light.shapes import Shape, candela_per_lumen

HERE: Final = Path(__file__).parent
FOLDER: Final = "photometry"
ISSUED: Final = "2026-01-05"
_STEP_DEG: Final = 2.5
_UP_STEP_DEG: Final = 10.0
_PLANE_STEP_DEG: Final = 15.0
_SECOND_RANGE: Final = ".2"


def file_name(part_number: str) -> str:
    """The file of a part number, below the catalogue's folder: "photometry/DUNLIN-05P.ies"."""
    return f"{FOLDER}/{part_number.removesuffix(_SECOND_RANGE).replace('/', '-')}.ies"


def photometry_of(light: str, part_number: str, words: str, report: str, lumens: float, watts: float) -> Photometry:
    """The invented measurement of one luminaire of the shape named ``light``, absolute [cd]."""
    shape, vertical, horizontal, per_lumen = _table(light)
    name = file_name(part_number).removeprefix(f"{FOLDER}/")
    return Photometry(
        name=name,
        form="LM-63-2002",
        type="C",
        symmetry=shape.symmetry,
        vertical_deg=vertical,
        horizontal_deg=horizontal,
        candela=_rounded(per_lumen * lumens),
        input_watts=watts,
        labels=(
            ("TEST", report.removesuffix(_SECOND_RANGE)),
            ("TESTLAB", "none: invented, as the maker is"),
            ("ISSUEDATE", ISSUED),
            ("MANUFAC", "Plover Hollow Lighting"),
            ("LUMCAT", part_number.removesuffix(_SECOND_RANGE)),
            ("LUMINAIRE", words),
        ),
    )


@cache
def _table(light: str) -> tuple[Shape, Any, Any, Any]:
    shape = shapes()[light]
    vertical = verticals(shape, _STEP_DEG, _UP_STEP_DEG)
    horizontal = horizontals(shape, _PLANE_STEP_DEG)
    return shape, vertical, horizontal, candela_per_lumen(shape, vertical, horizontal)


@cache
def shapes() -> Mapping[str, Shape]:
    """The shapes by name; a number that one leaves out is that of ``[every]``, to the side that of ahead."""
    page = tomllib.loads((HERE / "shapes.toml").read_text(encoding="utf-8"))
    every = page.pop("every")
    return {name: _shape({**every, **numbers}) for name, numbers in page.items()}


def _shape(numbers: Mapping[str, Any]) -> Shape:
    values = {
        field.name: numbers.get(field.name, numbers.get(field.name.removeprefix("side_")))
        for field in fields(Shape)
    }
    return Shape(**values)


def _rounded(candela: Any) -> Any:
    """Whole candela, a tenth below a hundred, as laboratories write them."""
    return np.where(candela >= 100, np.round(candela), np.round(candela, 1))


def photometric_files() -> dict[str, bytes]:
    """The bytes of every file by name below the catalogue's folder."""
    # the ladders need the names, the names need no ladders
    from catalog_demo.build import luminaires_with_light

    return {
        file_name(made.name): lm63_text(made.photometry).encode("ascii") for made in luminaires_with_light()
    }


def main() -> None:
    """Write every file, and take away those that no product has any more."""
    files = photometric_files()
    folder = HERE / FOLDER
    folder.mkdir(exist_ok=True)
    for old in folder.glob("*.ies"):
        if f"{FOLDER}/{old.name}" not in files:
            old.unlink()
    for name, content in files.items():
        (HERE / name).write_bytes(content)
    print(f"{len(files)} files, {sum(map(len, files.values())):,} bytes")


if __name__ == "__main__":
    main()
