"""Photometric files of a catalogue: bytes as they were read, understood when a product's light is first asked for."""

from collections.abc import Mapping
from functools import cache, lru_cache
from pathlib import Path
from typing import Final

from engine.catalog.fault import CatalogueFault, Fault
from engine.catalog.product import Product
from engine.light.photometry import Photometry, PhotometryFault

MAX_FILE_BYTES: Final = 2 * 1024 * 1024
MAX_ALL_BYTES: Final = 128 * 1024 * 1024
LUMENS_APART: Final = 0.1
"""How far, as a share, the catalogue's lumens and its file's may be apart: a colour temperature is worth as much, another
luminaire's file more. Light is always scaled to the catalogue's lumens."""


LIGHT_FILE_WORDS: Final = f"a file that lies there, of at most {MAX_FILE_BYTES} bytes"


class LightFolder:
    """The folder that a catalogue's photometric files are read from, bounded in all."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._root = folder.resolve()
        self._left = MAX_ALL_BYTES
        self._inside = cache(self._is_inside)

    def read(self, name: str) -> bytes | str | None:
        """The bytes of ``name``; else why not, in words.

        ``None`` where the folder that it names is not there at all: the sheets were copied without it, and their products
        go without their light, which quotes say.
        """
        folder = name.rpartition("/")[0]
        path = self._folder / name
        most = min(MAX_FILE_BYTES, self._left)
        try:
            inside = self._inside(folder)
            if inside is None:
                return None
            if not inside or (path.is_symlink() and not path.resolve().is_relative_to(self._root)):
                return "which leads out of the folder"
            with path.open("rb") as stream:
                content = stream.read(most + 1)
        except OSError as error:
            return f"which cannot be read ({error.strerror})"
        if len(content) > most:
            return "which is too big"
        self._left -= len(content)
        return content

    def _is_inside(self, folder: str) -> bool | None:
        """Whether a folder below lies in the catalogue's own, links followed; ``None`` where it is not there at all."""
        path = self._folder / folder
        return path.resolve().is_relative_to(self._root) if path.is_dir() else None


def photometry_of(product: Product, light: Mapping[str, bytes]) -> Photometry | None:
    """The light of ``product``, type C; ``None`` where it names no file, or the catalogue came without its files.

    Raises:
        CatalogueFault: the file can't be trusted, or is of another luminaire; file and line are named.
    """
    if product.photometry is None:
        return None
    content = light.get(product.photometry)
    if content is None:
        return None
    photometry, lumens = _read(product.photometry, content)
    if abs(lumens - product.lumens) > LUMENS_APART * product.lumens:
        raise CatalogueFault(
            (
                Fault(
                    product.photometry,
                    None,
                    "",
                    f"{lumens:,.0f} lm for {product.part_number}",
                    f"the {product.lumens:,.0f} lm of its row, within {LUMENS_APART:.0%}",
                ),
            )
        )
    return photometry


@lru_cache(maxsize=4096)
def _read(name: str, content: bytes) -> tuple[Photometry, float]:
    # photometry is read by few commands; the others need not load its readers
    from engine.light.photometric_file import read_photometry
    from engine.light.toward import as_type_c, total_lumens

    try:
        photometry = as_type_c(read_photometry(content, name.rpartition("/")[2]))
    except PhotometryFault as fault:
        place = name if fault.line is None else f"{name}, line {fault.line}"
        raise CatalogueFault(
            (Fault(place, None, "", fault.what, "a photometric file that can be trusted"),)
        ) from None
    return photometry, total_lumens(photometry)
