"""How much of a message is looked at, and the one error that reading a message can end in."""

from typing import Final

from bot.usable import UnusableInput

MOST_BYTES: Final = 40_000_000
"""Of a whole message; mail servers commonly stop at 25 to 35 MB."""
MOST_HEADER_BYTES: Final = 256_000
MOST_NESTED: Final = 60
"""Containers (multipart, message) in a message: the time to take one apart grows with lines times containers."""
MOST_DEPTH: Final = 12
MOST_PARTS: Final = 400
MOST_DELIMITERS: Final = 1_000
"""Lines that part a message; the standard library takes them all apart before anything can be counted."""
MOST_BODY_BYTES: Final = 2_000_000
"""Of one text part, decoded; the rest of it is left out."""
MOST_HEADER_CHARS: Final = 8_000
"""Of one header that is taken apart."""
MOST_ADDRESSES: Final = 50
MOST_LINES: Final = 6_000
"""Of one body's text."""
MOST_LINE_CHARS: Final = 2_000
MOST_CELLS: Final = 20_000
"""Elements of an HTML body; the rest of it is left out."""


class MailUnusable(UnusableInput):
    """The message can't be taken apart; the line says why."""
