"""A quote's body as it is kept, deflated JSON: the public quote, the reading that it was made from, and its figures.

What follows from the rest is not kept twice: the request stands in the public quote, the public quote's list of figures
in the figures (`bot.store.figures`). Bodies of versions that kept both are read as they are.
"""

import json
import zlib
from typing import Any, Final

from isal import isal_zlib

from bot.replies.figure_graph import public_nodes
from bot.store.figures import figures_of, figures_told

MOST_BYTES: Final = 16_000_000


def body_of(public: bytes, reading: bytes, figures: bytes) -> bytes:
    """The body, from JSON: the public quote without its list of figures, the reading, the figures as they are kept."""
    return deflated(b"".join((b'{"quote":', public, b',"reading":', reading, b',"figures":', figures, b"}")))


def deflated(data: bytes) -> bytes:
    """As `zlib.compress` at its quickest, and to no more bytes, in a third of its time; any zlib reads it."""
    return isal_zlib.compress(data, 1)


def told_by(body: bytes) -> dict[str, Any]:
    """Request, reading and quote of a body; the quote without its list of figures where that is not kept apart."""
    # What we packed ourselves, and yet: a store may come from elsewhere.
    whole: dict[str, Any] = json.loads(zlib.decompressobj().decompress(body, MOST_BYTES))
    whole.setdefault("request", whole["quote"].get("request"))
    return whole


def whole_of(body: bytes) -> dict[str, Any]:
    """``{"request", "reading", "quote", "figures"}``, the quote as clients get it."""
    whole = told_by(body)
    figures = whole["figures"] = figures_told(whole["figures"], whole["quote"])
    if "rows" in figures:
        whole["quote"]["figures"] = public_nodes(figures_of(figures)[: figures["public"]])
    return whole
