"""The invented light of the demo catalogue's luminaires: shapes of ``shapes.toml``, brought to a product's lumens."""

import tomllib
from collections.abc import Mapping
from dataclasses import fields
from functools import cache
from pathlib import Path
from typing import Any, Final

import numpy as np

from engine.light.bug import bug_rating
from engine.light.distribution import distribution
from engine.light.generic import horizontals, verticals
from engine.light.lateral import lateral_class
from engine.light.lumens import outdoor_zones, planes_of
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


def photometry_of(
    light: str, part_number: str, words: str, report: str, lumens: float, watts: float
) -> Photometry:
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


def bug_text(photometry: Photometry) -> str:
    """The backlight, uplight and glare rating that the file's own zones give, as a catalogue writes it: "B1-U0-G1"."""
    round_type = lateral_class(distribution(photometry)) in ("V", "VS")
    return str(bug_rating(outdoor_zones(planes_of(photometry)), round_type=round_type))
