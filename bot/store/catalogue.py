"""The catalogue in SQLite: imported from its CSV sheets when they changed, and served from there.

The rows are the sheets' own text cells, so that a price stays the text that was written and is checked by the same
loader on the way out. An import is one transaction: the old rows serve until the new ones are in.
"""

import hashlib
from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from sqlite_utils import Database

from bot.opening import DEMO_CATALOGUE, open_catalogue
from engine.catalog.catalogue import Catalogue
from engine.catalog.fault import CatalogueFault
from engine.catalog.legacy import LegacyLuminaire
from engine.catalog.loader import catalogue_of_rows
from engine.errors import ConfigurationError

PRODUCTS: Final = "catalogue_products"
LIKE_FOR_LIKE: Final = "catalogue_like_for_like"
IMPORT: Final = "catalogue_import"


def served_catalogue(database: Database, source: Path | None) -> Catalogue:
    """The catalogue of ``source`` (the demo's by default), imported if the sheets are not those that were imported last.

    Raises:
        ConfigurationError: a sheet can't be used; one line a fault, and the rows imported before stay.
    """
    path = source or DEMO_CATALOGUE
    sheets = _hash_of(path)
    if _imported(database) != sheets:
        _import(database, open_catalogue(path), sheets)
    try:
        return catalogue_of_rows(
            _cells(database, PRODUCTS), _cells(database, LIKE_FOR_LIKE) if _has_rows(database) else ()
        )
    except CatalogueFault as fault:
        raise ConfigurationError(str(fault)) from None


def _hash_of(path: Path) -> str:
    """Of the sheets' bytes and names; "" where they can't be read, which the loader then says in its own words."""
    digest = hashlib.sha256()
    try:
        files = [path] if path.is_file() else sorted(path.glob("*.csv"))
        for file in files:
            digest.update(file.name.encode() + b"\0" + hashlib.sha256(file.read_bytes()).digest())
    except OSError:
        return ""
    return digest.hexdigest()


def _imported(database: Database) -> str | None:
    if IMPORT not in database.table_names():
        return None
    row = next(iter(database.query(f"select sheets from [{IMPORT}]")), None)  # noqa: S608  a name of this module
    return None if row is None else str(row["sheets"])


def _import(database: Database, catalogue: Catalogue, sheets: str) -> None:
    with database.atomic():
        for table in (PRODUCTS, LIKE_FOR_LIKE, IMPORT):
            database.execute(f"drop table if exists [{table}]")
        _write(database, PRODUCTS, list(catalogue.to_rows()), "part_number")
        _write(database, LIKE_FOR_LIKE, [_legacy_cells(row) for row in catalogue.like_for_like], None)
        _write(database, IMPORT, [{"sheets": sheets, "version": catalogue.version}], None)


def _write(database: Database, table: str, rows: Sequence[dict[str, str]], pk: str | None) -> None:
    if not rows:
        return
    database.create_table(table, dict.fromkeys(rows[0], str), pk=pk, strict=True)
    names = ", ".join(f"[{name}]" for name in rows[0])
    marks = ", ".join("?" for _ in rows[0])
    database.conn.executemany(
        f"insert into [{table}] ({names}) values ({marks})",  # noqa: S608  names come from the product model
        [tuple(row.values()) for row in rows],
    )


def _has_rows(database: Database) -> bool:
    return LIKE_FOR_LIKE in database.table_names()


def _cells(database: Database, table: str) -> list[dict[str, str]]:
    return list(database.query(f"select * from [{table}]"))  # noqa: S608  a name of this module


def _legacy_cells(row: LegacyLuminaire) -> dict[str, str]:
    return {name: _cell(getattr(row, name)) for name in LegacyLuminaire.model_fields}


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, float):
        return format(Decimal(repr(value)), "f").removesuffix(".0")
    return str(value)
