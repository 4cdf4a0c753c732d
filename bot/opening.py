"""Opens what the assistant answers from: the catalogue and the reference tables, checked as they are loaded."""

from pathlib import Path
from typing import Final

from bot.assistant import Assistant
from bot.contents import TariffFile
from engine.catalog.catalogue import Catalogue
from engine.catalog.fault import CatalogueFault
from engine.catalog.loader import load_catalogue
from engine.errors import ConfigurationError
from engine.money.tariff import Tariff
from engine.quote import NO_TERMS
from engine.tables import Tables, load_tables
from engine.terms import Terms, read_terms
from engine.written_file import MAX_BYTES

DEMO_CATALOGUE: Final = Path(__file__).resolve().parent.parent / "catalog_demo"


def open_assistant(
    catalogue: Path | None = None,
    tables: Path | None = None,
    terms: Path | None = None,
    tariff: Path | None = None,
) -> Assistant:
    """An assistant over the given files, or over the demo catalogue and the program's own tables.

    Without ``terms`` the usual ones hold; without ``tariff`` a rate is taken from the message or from the tables.

    Raises:
        ConfigurationError: a file can't be used; one line a fault.
    """
    return Assistant(open_catalogue(catalogue), open_tables(tables), open_terms(terms), open_tariff(tariff))


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


def open_terms(path: Path | None = None) -> Terms:
    """The terms in ``path``, or those that nobody set.

    Raises:
        ConfigurationError: the file can't be used; the line names file and key.
    """
    return NO_TERMS if path is None else read_terms(path.name, _content(path))


def open_tariff(path: Path | None = None) -> Tariff | None:
    """The tariff in ``path``; ``None`` where there is none.

    Raises:
        ConfigurationError: the file can't be used; the line names file and key.
    """
    written = tariff_file(path)
    return None if written is None else written.read()


def tariff_file(path: Path | None) -> TariffFile | None:
    """The tariff in ``path`` as it was written, found good; ``None`` where there is none.

    Raises:
        ConfigurationError: the file can't be used; the line names file and key.
    """
    if path is None:
        return None
    written = TariffFile(path.name, _content(path))
    written.read()
    return written


def _content(path: Path) -> bytes:
    """No more of the file than its reader takes, and a little, so that the reader can say that it is too long."""
    try:
        with path.open("rb") as file:
            return file.read(MAX_BYTES + 1)
    except OSError as error:
        raise ConfigurationError(f"{path} can't be read: {error.strerror}") from None
