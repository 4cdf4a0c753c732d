"""Provenance in words: the part of a row's note that is about one figure, and source keys written out as documents."""

import re
from collections.abc import Mapping
from functools import cache
from typing import Final

from engine.tables.tables import Tables

_TOPIC: Final = re.compile(r"(?:^|[.;] )(efficiency|height|LED lm/W|labor|times|prices|restrike|rest)(?::| )")
_KEY: Final = re.compile(r"[A-Z][A-Z0-9]{1,5}(?:-[A-Za-z0-9]{1,4})?")


@cache
def part(provenance: str, topic: str) -> str:
    """What ``provenance`` says about ``topic``; all of it where it does not part its figures.

    >>> part("efficiency: DOE-LF 0.48-0.82. height: TP-EQ3. labor: memory, base", "labor")
    'memory, base'
    >>> part("memory", "labor")
    'memory'
    """
    found = list(_TOPIC.finditer(provenance))
    for n, match in enumerate(found):
        if match.group(1) == topic:
            end = found[n + 1].start() if n + 1 < len(found) else len(provenance)
            return provenance[match.end() : end].strip(" .;:")
    return provenance


def in_words(tables: Tables, provenance: str) -> str:
    """``provenance`` with every source key written out: "DOE-LF" becomes the document's name and year."""
    documents = _documents(tables)

    def written_out(match: re.Match[str]) -> str:
        return documents.get(match.group(), match.group())

    return _KEY.sub(written_out, provenance)


def _documents(tables: Tables) -> Mapping[str, str]:
    return {row.key: f"{row.document} ({row.year})" for row in tables.sources}
