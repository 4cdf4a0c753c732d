"""The demo catalogue and the tables, read once a process: hundreds of tests open a server or an assistant over them.

What is kept is found again by its content (or is the demo shop in its place), so another catalogue is read as ever. Servers
share an assistant then, as all conversations of one server do.
"""

from collections.abc import Callable
from functools import cache
from pathlib import Path

import bot.opening as opening
import bot.store.catalogue as served
from bot.assistant import Assistant
from bot.contents import Pieces, Versions
from bot.opening import DEMO_CATALOGUE
from engine.catalog.catalogue import Catalogue


@cache
def read_once() -> None:
    """From here on, servers of this process take what one of them has read."""
    read, take_in, make = served.open_catalogue, served.add_catalogue, served.assistant_at
    demo: list[Catalogue] = []
    taken_in: list[tuple[str, dict[str, bytes]]] = []
    assistants: dict[Versions, Assistant] = {}

    def open_catalogue(path: Path | None = None) -> Catalogue:
        if path not in (None, DEMO_CATALOGUE):
            return read(path)
        if not demo:
            demo.append(read(path))
        return demo[0]

    def add_catalogue(catalogue: Catalogue, pieces: Pieces) -> str:
        if not demo or catalogue is not demo[0]:
            return take_in(catalogue, pieces)
        if not taken_in:
            fresh = Pieces()
            taken_in.append((take_in(catalogue, fresh), fresh.by_hash))
        root, held = taken_in[0]
        pieces.by_hash |= held
        return root

    def assistant_at(versions: Versions, piece: Callable[[str], bytes]) -> Assistant:
        if versions not in assistants:
            assistants[versions] = make(versions, piece)
        return assistants[versions]

    opening.open_catalogue = served.open_catalogue = open_catalogue
    served.add_catalogue, served.assistant_at = add_catalogue, assistant_at
