"""Makes text from strangers safe to show: no control or direction characters, one line, bounded length.

Escaping for HTML is the templates' autoescape and the pictures' own; this module only takes out what no channel should show.
"""

import unicodedata
from typing import Final

SHOWN_CHARACTERS: Final = 60
_DROPPED: Final = frozenset({"Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"})
"""Controls, format characters (bidirectional overrides, zero-width ones), surrogates, private use, separators."""


def one_line(text: str, limit: int = SHOWN_CHARACTERS) -> str:
    """``text`` on one line, at most ``limit`` characters, cut at a word where there is one near the end."""
    head = text[: 4 * limit + 100]
    # Printable ASCII, nearly all that is ever shown, holds nothing to take out.
    words = " ".join((head if head.isascii() and head.isprintable() else _without_marks(head)).split())
    if len(words) <= limit and len(head) == len(text):
        return words
    if len(words) <= limit:
        return words + "..."
    cut = words[: limit - 3]
    space = cut.rfind(" ")
    if space > limit // 2:
        cut = cut[:space]
    return cut.rstrip(" ,;:.") + "..."


def _without_marks(text: str) -> str:
    spaced = "".join(" " if ch.isspace() else ch for ch in text)
    return _few_marks("".join(ch for ch in spaced if unicodedata.category(ch) not in _DROPPED))


def _few_marks(text: str) -> str:
    """At most two combining marks after a letter: stacked marks would run over the lines above and below."""
    out: list[str] = []
    marks = 0
    for ch in text:
        marks = marks + 1 if unicodedata.combining(ch) else 0
        if marks <= 2:
            out.append(ch)
    return "".join(out)
