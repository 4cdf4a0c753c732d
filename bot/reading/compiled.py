"""The lexicon in the form that loads fast: ``lexicon/compiled.json``, made by `python -m bot.reading.build_lexicon`.

People edit the TOML files. Each part of the compiled file names the sources that it was made from, with a checksum of
their bytes; a part whose sources have changed since is not used, and its sources are parsed instead: the same result, slower.
"""

import json
import zlib
from functools import lru_cache
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "lexicon"
FILE = FOLDER / "compiled.json"
PHRASES = ("lexicon/en.toml", "lexicon/es.toml", "phrasing.py", "tokens.py")
"""What the phrases are made from."""
INTENTS = ("lexicon/intents.toml", "phrasing.py")
"""What the intents' phrases are made from."""
TABLES = ("cells", "columns", "lamp_codes", "scores", "unsure")
"""Files that are taken over as they are."""


@lru_cache(maxsize=32)
def checksum(source: str) -> int:
    """A checksum of a source's bytes; the source's path is relative to this module's folder."""
    return zlib.crc32((FOLDER.parent / source).read_bytes())


@lru_cache(maxsize=1)
def _file() -> dict[str, Any]:
    if not FILE.exists():
        return {"sources": {}}
    held: dict[str, Any] = json.loads(FILE.read_bytes())
    return held


def part(name: str, sources: tuple[str, ...]) -> Any:
    """A part of the compiled file; ``None`` where it was made from something else than its sources are now."""
    held = _file()
    made_from = held["sources"].get(name)
    return held[name] if made_from == [checksum(source) for source in sources] else None


def table(name: str) -> dict[str, Any]:
    """The data file ``lexicon/<name>.toml`` as parsed."""
    held: dict[str, Any] | None = part(name, (f"lexicon/{name}.toml",))
    return parsed(name) if held is None else held


def parsed(name: str) -> dict[str, Any]:
    """The data file ``lexicon/<name>.toml``, parsed from its source."""
    import tomllib  # needed only where the compiled file is stale

    return tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))
