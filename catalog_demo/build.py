"""Writes the demo catalogue's product sheets from the ladders in ``series/``: one TOML file, one CSV file.

A TOML file holds ``[every]`` (cells that all its products share) and ``[[series]]`` (a body: cells, a ``ladder`` of
rungs and its ``variants``). What is nearer wins: variant over series over every. Run ``python -m catalog_demo.build``
after a change; a test holds the sheets to what this makes. Light (``light``, a shape of ``shapes.toml``) is written by
``python -m catalog_demo.build_photometry``; ratings (``rated``) are computed from the same light.
"""

import tomllib
import zlib
from collections.abc import Iterator, Mapping
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from catalog_demo.light import bug_text, file_name, photometry_of
from engine.catalog.catalogue import Catalogue
from engine.catalog.product import Product
from engine.catalog.sheet import sheet_text
from engine.light.lm63_writer import lm63_text
from engine.light.photometry import Photometry

HERE: Final = Path(__file__).parent
MAKER: Final = "Plover Hollow Lighting"
BRANCHES: Final = ("harbor_road", "quarry_lane")

_RUNG: Final = ("rung", "input_watts", "lumens", "net_price", "weight_lb")
_OWN_KEYS: Final = frozenset(
    {
        "ladder", "variants", "name", "words", "variant_words", "mark", "rungs", "dearer", "lumens_share", "list_share",
        "report", "light", "rated", "kept_in_stock", "order_days",
    }
)  # fmt: skip
"""Keys that steer this module; every other key is a column of the sheet."""


def sheets() -> dict[str, str]:
    """The text of every product sheet by file name."""
    return {f"{source.stem}.csv": _sheet(source) for source in sorted((HERE / "series").glob("*.toml"))}


def _sheet(source: Path) -> str:
    products = [_product(settings, rung) for settings, rung in _rungs(source)]
    return sheet_text(Catalogue.of(products).to_rows())


def _all_rungs() -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    for source in sorted((HERE / "series").glob("*.toml")):
        yield from _rungs(source)


def _rungs(source: Path) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    """Every product of a file as its settings and its rung of the ladder."""
    page = tomllib.loads(source.read_text(encoding="utf-8"), parse_float=Decimal)
    for series in page["series"]:
        for variant in series["variants"]:
            settings = {**page["every"], **series, **variant}
            for values in series["ladder"]:
                rung = dict(zip(_RUNG, values, strict=True))
                if rung["rung"] in settings.get("rungs", (rung["rung"],)):
                    yield settings, rung


def _part_number(settings: Mapping[str, Any], rung: Mapping[str, Any]) -> str:
    return f"{settings['name'].upper()}/{rung['rung']:02d}{settings['mark']}"


def _report(settings: Mapping[str, Any], rung: Mapping[str, Any]) -> str:
    return f"HB79-{settings['report'] + rung['rung']}{settings['mark']}"


def _lumens(settings: Mapping[str, Any], rung: Mapping[str, Any]) -> int:
    return _to_ten(rung["lumens"] * settings.get("lumens_share", 1))


def _product(settings: Mapping[str, Any], rung: Mapping[str, Any]) -> Product:
    """One product: the settings' own cells, and those that follow from the rung of the ladder."""
    name, part_number = settings["name"], _part_number(settings, rung)
    watts = float(rung["input_watts"])
    lumens = _lumens(settings, rung)
    photometry = _photometry(settings, rung, lumens)
    net = Decimal(rung["net_price"]) + settings.get("dearer", 0)
    cells = {key: value for key, value in settings.items() if key not in _OWN_KEYS}
    words = ", ".join(filter(None, (f"{name} {settings['words']}", settings.get("variant_words", ""))))
    return Product.model_validate(
        {
            **cells,
            "part_number": part_number,
            "description": f"{words}, {watts:g} W, {lumens:,} lm",
            "maker": MAKER,
            "series": name,
            "input_watts": watts,
            "lumens": float(lumens),
            "efficacy_lm_per_w": round(lumens / watts, 1),
            "net_price": net,
            "list_price": (net / settings["list_share"]).quantize(
                Decimal(1) if net >= 50 else Decimal("0.1")
            ),
            "weight_lb": float(rung["weight_lb"]),
            "lm79": _report(settings, rung),
            "bug": bug_text(photometry) if photometry is not None and settings.get("rated") else None,
            "photometry": None if photometry is None else file_name(part_number),
            "stock": tuple((branch, _shelf(part_number, net, branch, settings)) for branch in BRANCHES),
            "lead_time_days": settings["order_days"],
        }
    )


def _to_ten(lumens: Decimal | int) -> int:
    return 10 * round(lumens / 10)


def _shelf(part_number: str, net: Decimal, branch: str, settings: Mapping[str, Any]) -> int:
    """Pieces that the invented branch holds: many of what is cheap, few of what is dear, now and then none.

    The part number's checksum spreads the counts, so that the same catalogue always comes out.
    """
    if not settings.get("kept_in_stock", True):
        return 0
    spread = zlib.crc32(f"{part_number} at {branch}".encode())
    deepest = max(8, min(400, int(30_000 / net)))
    return 0 if spread % 5 == 0 else 1 + spread // 5 % deepest


def _photometry(settings: Mapping[str, Any], rung: Mapping[str, Any], lumens: int) -> Photometry | None:
    """The light of one product, where its body has any of its own: kits, lamps and exit signs have none."""
    if "light" not in settings:
        return None
    return photometry_of(
        settings["light"],
        _part_number(settings, rung),
        ", ".join(
            filter(None, (f"{settings['name']} {settings['words']}", settings.get("variant_words", "")))
        ),
        _report(settings, rung),
        float(lumens),
        float(rung["input_watts"]),
    )


def photometric_files() -> dict[str, bytes]:
    """The bytes of every photometric file by name below this folder."""
    made: dict[str, bytes] = {}
    for settings, rung in _all_rungs():
        photometry = _photometry(settings, rung, _lumens(settings, rung))
        if photometry is not None:
            # a body's second supply range comes after its first, whose file it shares
            made.setdefault(file_name(_part_number(settings, rung)), lm63_text(photometry).encode("ascii"))
    return made


def main() -> None:
    """Write every sheet beside this module."""
    for name, text in sheets().items():
        (HERE / name).write_text(text, encoding="utf-8", newline="\n")
        print(f"{name}: {text.count(chr(10)) - 1} products")


if __name__ == "__main__":
    main()
