"""The catalogue and all else that quotes are made from, kept in the store by the hash of its content.

The sheets are read when they changed; else the catalogue that came of them the last time is served from the store. One
that can't be used is refused before anything is kept.
"""

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from bot.assistant import Assistant
from bot.clock import stamp, utc_now
from bot.contents import (
    Pieces,
    TariffFile,
    Versions,
    add_catalogue,
    all_pieces,
    assistant_at,
    versions_of,
)
from bot.opening import DEMO_CATALOGUE, open_catalogue, open_tables, open_terms, tariff_file
from bot.settings import Settings
from bot.store.protocol import Store
from engine.catalog.catalogue import Catalogue
from engine.catalog.fault import CatalogueFault
from engine.errors import ConfigurationError
from engine.tables import Tables
from engine.terms import Terms

LIGHT_ENDINGS: Final = (".ies", ".ldt")
LIGHT_FOLDERS: Final = ("*", "*/*", "*/*/*")
"""As deep as a catalogue may keep its photometric files."""


@dataclass(frozen=True, slots=True)
class Served:
    """What this server answers from.

    Attributes:
        pieces: all of it by hash, for processes that make the same assistant.
    """

    assistant: Assistant
    versions: Versions
    pieces: dict[str, bytes]


@dataclass(frozen=True, slots=True)
class Written:
    """What the settings' files hold, apart from the catalogue."""

    tables: Tables
    terms: Terms
    tariff: TariffFile | None


def read_files(settings: Settings) -> Written:
    """The files that the settings name, found good; nothing is kept yet.

    Raises:
        ConfigurationError: a file can't be used; the line says which and why.
    """
    tables = open_tables(settings.tables)
    tables.check()
    return Written(tables, open_terms(settings.terms), tariff_file(settings.tariff))


def open_served(settings: Settings, written: Written, store: Store) -> Served:
    """The assistant over the settings' files and catalogue, and all that it is made from kept in ``store``.

    Raises:
        ConfigurationError: the catalogue can't be used; one line a fault, and nothing of it is kept.
        bot.store.records.StoreUnusable: it can't be kept.
    """
    path = settings.catalogue or DEMO_CATALOGUE
    sheets = _hash_of(path)
    with store.snapshot() as session:
        root = session.catalogue_root(sheets)
    pieces = Pieces()
    known = root is not None
    if root is None:
        catalogue = open_catalogue(path)
        _check_light(catalogue)
        root = add_catalogue(catalogue, pieces)
    versions = versions_of(root, written.tables, written.terms, written.tariff, pieces)
    with store.transaction() as session:
        session.keep_pieces(pieces.by_hash)
        if not known and sheets:
            session.keep_catalogue_root(sheets, root, stamp(utc_now()))
    with store.snapshot() as session:
        kept = all_pieces(versions, session.piece)
    try:
        return Served(assistant_at(versions, kept.__getitem__), versions, kept)
    except CatalogueFault as fault:
        raise ConfigurationError(str(fault)) from None


def _check_light(catalogue: Catalogue) -> None:
    """Reads every photometric file before any of it is served.

    Raises:
        ConfigurationError: a file can't be trusted; file and line are named.
    """
    try:
        catalogue.check_light()
    except CatalogueFault as fault:
        raise ConfigurationError(str(fault)) from None


def _hash_of(path: Path) -> str:
    """Of the bytes and names of sheets and photometric files; "" where they can't be read, which the loader then says in its own words."""
    digest = hashlib.sha256()
    folder = path if path.is_dir() else path.parent
    try:
        files = [path] if path.is_file() else sorted(path.glob("*.csv"))
        light = (file for depth in LIGHT_FOLDERS for file in folder.glob(depth))
        files += sorted(file for file in light if file.suffix.lower() in LIGHT_ENDINGS and file.is_file())
        for file in files:
            name = file.relative_to(folder).as_posix()
            digest.update(name.encode() + b"\0" + hashlib.sha256(file.read_bytes()).digest())
    except OSError:
        return ""
    return digest.hexdigest()
