"""What quotes are made from, as pieces named by the hash of their bytes: catalogue, tables, terms, tariff.

A quote names the roots it was made from; the pieces under them are kept as long as it is, so that it can be made again
from what held then and not from what holds now. A catalogue is cut into parts by its part numbers, so that a changed
price keeps one new part and not a whole new catalogue; a table is a piece of its own.
"""

import hashlib
import json
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from bot.assistant import Assistant
from bot.versions import program_version
from engine.catalog.catalogue import Catalogue
from engine.catalog.loader import catalogue_of_rows
from engine.money.tariff import Tariff, read_tariff
from engine.tables import Tables
from engine.tables.tables import tables_of
from engine.terms import Terms

ROWS_A_PART: Final = 256
"""About how many products one part of a catalogue holds."""

Piece = Callable[[str], bytes]
"""Gives the bytes of a hash."""


@dataclass(frozen=True, slots=True)
class Versions:
    """What a quote was made from. All but ``program`` are SHA-256 roots, in full; ``tariff`` is ``None`` without one."""

    program: str
    catalogue: str
    tables: str
    terms: str
    tariff: str | None = None

    @property
    def roots(self) -> tuple[str, ...]:
        """The hashes that the pieces hang from."""
        return tuple(root for root in (self.catalogue, self.tables, self.terms, self.tariff) if root)


@dataclass(frozen=True, slots=True)
class TariffFile:
    """A tariff as it was written: what it becomes is the program's."""

    name: str
    content: bytes

    def read(self) -> Tariff:
        """The tariff.

        Raises:
            engine.money.tariff.TariffError: it can't be used.
        """
        return read_tariff(self.name, self.content)


class Pieces:
    """Pieces by their hash, as they are gathered."""

    def __init__(self) -> None:
        self.by_hash: dict[str, bytes] = {}

    def add(self, body: bytes) -> str:
        """Takes ``body`` in and gives its hash."""
        name = hashlib.sha256(body).hexdigest()
        self.by_hash[name] = body
        return name

    def add_json(self, value: Any) -> str:
        """Takes a JSON value in."""
        return self.add(json.dumps(value, ensure_ascii=False, separators=(",", ":")).encode())


def versions_of(
    catalogue: str, tables: Tables, terms: Terms, tariff: TariffFile | None, pieces: Pieces
) -> Versions:
    """The versions of an assistant over ``catalogue`` (a root); the rest is taken into ``pieces``."""
    return Versions(
        program=program_version(),
        catalogue=catalogue,
        tables=add_tables(tables, pieces),
        terms=pieces.add(terms.model_dump_json().encode()),
        tariff=None if tariff is None else pieces.add_json([tariff.name, tariff.content.decode("utf-8")]),
    )


def add_catalogue(catalogue: Catalogue, pieces: Pieces) -> str:
    """Takes a catalogue in and gives its root."""
    rows = catalogue.to_rows()
    parts = max(1, 1 << (len(rows) // ROWS_A_PART).bit_length())
    sorted_in: list[list[dict[str, str]]] = [[] for _ in range(parts)]
    for row in rows:
        number = int.from_bytes(hashlib.sha256(row["part_number"].encode()).digest()[:4], "big")
        sorted_in[number % parts].append(row)
    return pieces.add_json(
        {
            "products": [pieces.add_json(part) for part in sorted_in],
            "like_for_like": pieces.add_json(catalogue.like_for_like_rows()),
            "light": {name: pieces.add(content) for name, content in catalogue.light.items()},
        }
    )


def add_tables(tables: Tables, pieces: Pieces) -> str:
    """Takes the reference tables in and gives their root."""
    return pieces.add_json(
        {
            name: [pieces.add(rows), pieces.add(sidecar)]
            for name, (rows, sidecar) in sorted(tables.contents.items())
        }
    )


def catalogue_at(root: str, piece: Piece) -> Catalogue:
    """The catalogue of a root.

    Raises:
        engine.catalog.fault.CatalogueFault: this program takes it no longer.
    """
    kept = json.loads(piece(root))
    products: Iterable[Mapping[str, str]] = (
        row for part in kept["products"] for row in json.loads(piece(part))
    )
    # catalogues that were kept before products had photometric files have none
    light = {name: piece(content) for name, content in kept.get("light", {}).items()}
    return catalogue_of_rows(products, json.loads(piece(kept["like_for_like"])), light)


def tables_at(root: str, piece: Piece) -> Tables:
    """The tables of a root.

    Raises:
        engine.errors.TableError: this program takes them no longer.
    """
    kept = json.loads(piece(root))
    return tables_of({name: (piece(rows), piece(sidecar)) for name, (rows, sidecar) in kept.items()})


def assistant_at(versions: Versions, piece: Piece) -> Assistant:
    """The assistant as it was, apart from the program itself.

    Raises:
        engine.errors.WattclerkError: this program takes something of it no longer; one line a fault.
    """
    tariff = None
    if versions.tariff is not None:
        name, text = json.loads(piece(versions.tariff))
        tariff = TariffFile(name, text.encode()).read()
    return Assistant(
        catalogue_at(versions.catalogue, piece),
        tables_at(versions.tables, piece),
        Terms.model_validate_json(piece(versions.terms)),
        tariff,
    )


def all_pieces(versions: Versions, piece: Piece) -> dict[str, bytes]:
    """Every piece under the roots, by hash: enough to make the assistant elsewhere."""
    found: dict[str, bytes] = {}

    def noted(name: str) -> bytes:
        if name not in found:
            found[name] = piece(name)
        return found[name]

    kept = json.loads(noted(versions.catalogue))
    for name in (*kept["products"], kept["like_for_like"], *kept.get("light", {}).values(), versions.terms):
        noted(name)
    for rows, sidecar in json.loads(noted(versions.tables)).values():
        noted(rows)
        noted(sidecar)
    if versions.tariff is not None:
        noted(versions.tariff)
    return found
