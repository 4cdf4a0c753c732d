"""Which program made a quote: a hash over all that turns a request into its bytes, beside the catalogue and the tables."""

import hashlib
from functools import cache
from importlib import resources
from importlib.resources.abc import Traversable
from typing import Final

from engine.tables.tables import ROW_TYPES

_TABLES: Final = frozenset(f"{name}{ending}" for name in ROW_TYPES for ending in (".csv", ".toml"))


@cache
def program_version() -> str:
    """The first 12 hexadecimal digits of a SHA-256 over the engine and the words of the replies.

    The reference tables are left out: they have a version of their own.
    """
    digest = hashlib.sha256()
    for package in ("engine", "bot.replies"):
        _add(digest, package, resources.files(package))
    return digest.hexdigest()[:12]


def _add(digest: "hashlib._Hash", path: str, folder: Traversable) -> None:
    for entry in sorted(folder.iterdir(), key=lambda each: each.name):
        if entry.is_dir():
            if entry.name != "__pycache__":
                _add(digest, f"{path}/{entry.name}", entry)
        elif not (path == "engine/tables" and entry.name in _TABLES):
            for part in (f"{path}/{entry.name}".encode(), entry.read_bytes()):
                digest.update(len(part).to_bytes(8, "big"))
                digest.update(part)
