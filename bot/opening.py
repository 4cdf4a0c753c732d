"""Opens what the assistant answers from: the catalogue and the reference tables, checked as they are loaded."""

from pathlib import Path
from typing import Final

from bot.assistant import Assistant
from engine.catalog.catalogue import Catalogue
from engine.catalog.fault import CatalogueFault
from engine.catalog.loader import load_catalogue
from engine.errors import ConfigurationError
from engine.tables import Tables, load_tables

DEMO_CATALOGUE: Final = Path(__file__).resolve().parent.parent / "catalog_demo"


def open_assistant(catalogue: Path | None = None, tables: Path | None = None) -> Assistant:
    """An assistant over the given files, or over the demo catalogue and the program's own tables.

    Raises:
        ConfigurationError: a file can't be used; one line a fault.
    """
    return Assistant(open_catalogue(catalogue), open_tables(tables))


def open_catalogue(path: Path | None = None) -> Catalogue:
    """The catalogue in ``path``, or the demo one.

    Raises:
        ConfigurationError: it can't be used; one line a fault.
    """
    try:
        return load_catalogue(path or DEMO_CATALOGUE)
    except CatalogueFault as fault:
        raise ConfigurationError(str(fault)) from None


def open_tables(folder: Path | None = None) -> Tables:
    """The reference tables in ``folder``, or the program's own.

    Raises:
        ConfigurationError: a row can't be used; the line names file, row and column.
    """
    return load_tables(folder) if folder else load_tables()
