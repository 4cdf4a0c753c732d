"""The text-message alphabet (GSM 7-bit default alphabet, 3GPP TS 23.038): fold a text into it, and count segments.

One character outside the alphabet would turn the whole message into 16-bit text of 70 characters a segment.
"""

import unicodedata
from typing import Final

_BASIC: Final = frozenset(
    "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?"
    "¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿abcdefghijklmnopqrstuvwxyzäöñüà"
)
_EXTENDED: Final = frozenset("^{}\\[~]|€\f")
"""These take two places each."""
_FOLDED: Final = {
    "’": "'", "‘": "'", "“": '"', "”": '"', "–": "-", "—": "-", "−": "-", "×": "x", "…": "...", " ": " ", "½": "1/2",
    "°": " deg", "¢": "c", "•": "-", "′": "'", "″": '"',
}  # fmt: skip

ONE_SEGMENT: Final = 160
PART_OF_MANY: Final = 153
"""Places in each segment of a longer message: the joining header takes seven."""


def folded(text: str) -> str:
    """``text`` in the alphabet: accents it lacks are dropped, anything else it lacks becomes ``?``."""
    return "".join(map(_fold, text))


def _fold(ch: str) -> str:
    if ch in _BASIC or ch in _EXTENDED:
        return ch
    if ch in _FOLDED:
        return _FOLDED[ch]
    plain = "".join(c for c in unicodedata.normalize("NFKD", ch) if not unicodedata.combining(c))
    if plain and all(c in _BASIC or c in _EXTENDED for c in plain):
        return plain
    return "?"


def places(text: str) -> int:
    """How many 7-bit places ``text`` takes.

    Raises:
        ValueError: a character is outside the alphabet.
    """
    total = 0
    for ch in text:
        if ch in _BASIC:
            total += 1
        elif ch in _EXTENDED:
            total += 2
        else:
            raise ValueError(f"{ch!r} is not in the text-message alphabet")
    return total


def segments(text: str) -> int:
    """How many segments ``text`` is sent as."""
    taken = places(text)
    return 1 if taken <= ONE_SEGMENT else -(-taken // PART_OF_MANY)
