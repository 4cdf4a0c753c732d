"""One-to-one folding of a text, so that an offset into the folded text is an offset into the text as sent."""

import re
import unicodedata
from functools import lru_cache

from bot.reading.refusals import NotText, TextTooLong

MAX_BYTES = 64 * 1024
"""The longest text that is read unless the caller lifts the bound [bytes of UTF-8]."""

_PLAIN = {
    "‘": "'", "’": "'", "‛": "'", "ʼ": "'", "′": "'", "`": "'", "´": "'", "‚": "'",
    "“": '"', "”": '"', "„": '"', "″": '"', "‟": '"', "«": '"', "»": '"',
    "‐": "-", "‑": "-", "‒": "-", "–": "-", "—": "-", "―": "-", "−": "-",
    "×": "x", "✕": "x", "✖": "x", "х": "x", "＠": "@", "＄": "$", "％": "%", "／": "/", "：": ":", "，": ",",
    "\u00a0": " ", "\u2007": " ", "\u2009": " ", "\u200a": " ", "\u202f": " ", "\u3000": " ", "\u2002": " ",
    "\u2003": " ", "\u200b": " ", "\u200c": " ", "\u200d": " ", "\ufeff": " ", "\u2028": "\n", "\u2029": "\n",
    "\r": " ", "\v": " ", "\f": " ", "ı": "i", "ß": "s", "ø": "o", "Ø": "o", "æ": "a", "Æ": "a", "¿": " ", "¡": " ",
    "²": "2", "°": " ", "º": " ", "•": "*", "◦": "*", "▪": "*", "●": "*", "‣": "*", "·": "*", "¦": "|", "│": "|",
}  # fmt: skip


@lru_cache(maxsize=4096)
def _fold_char(char: str) -> str:
    """The one plain character for ``char``: ``É -> e``, ``５ -> 5``; itself where there is none."""
    if char in _PLAIN:
        return _PLAIN[char]
    lowered = char.lower()
    base = unicodedata.normalize("NFKD", lowered)[:1]
    if base and (base.isascii() and (base.isalnum() or base in " -'\"")):
        return base
    return lowered if len(lowered) == 1 else char


def fold(text: str) -> str:
    r"""Lower case, plain quotes and dashes, no accents; as long as ``text``, character for character.

    >>> fold("Él pidió 12 “wallpacks” – 25′")
    'el pidio 12 "wallpacks" - 25\\''
    """
    if text.isascii():
        return text.lower().replace("\r", " ")
    return "".join([char.lower() if char.isascii() and char != "\r" else _fold_char(char) for char in text])


# the letter first and what stands before it then: most texts are passed over at once
_SLIPS = re.compile(
    r"o(?<=\do)o{0,2}(?=\d|[wvk]|ft|feet|[\s,.'\"]|$)|l(?:(?<=\dl)(?=\d)|(?<![^\s(]l)(?=\d(?: |\d )))"
)


_LEADERS = re.compile(r"[.·_]{4,200}(?=[ \t]{0,3}\d{1,5}[ \t]{0,3}(?:ea)?[ \t]{0,3}$)", re.MULTILINE)


_DECIMAL_COMMA = re.compile(
    r"(?<![\d.,])(\d{1,3}),(\d{1,2})(?=(?: ?/ ?| {0,2}(?:por |el |al |la |cada |x ))?(?:kwh|kw|kilo\w{0,12}|k ?watt)"
    r"| {0,2}(?:m|mts?|metros?|meters?|metres?|pies|pulgadas?|pesos?|dolares|centavos?|anos?|horas?|hrs|volts|watts|por ciento)(?![a-z])|%)"
    r"|(?<=a )(\d),(\d{2})(?= (?:el|la|por) )"
)
"""A comma for the decimal point, known by what is measured: "7,5 metros", "2,45 el kwh"."""
_POINTED_THOUSANDS = re.compile(r"(?<![\d.,])[1-9]\d{0,2}\.\d00(?![\d.,])")
"""A point between thousands: nothing of the trade is measured to three decimals that end in two zeros."""


_INNER_COMMA = re.compile(r",(?<=\d,)\d")
_SHORT_LEADERS = re.compile(r"(?<=[a-z0-9)'])\.{2,3}(?=\d{1,4}(?:\n|$))")


def mend_digits(folded: str) -> str:
    """Letters typed for digits: ``1ooow`` is 1000 W, ``1l2`` is 112; dots that lead to a count at the end of a line are
    a comma; ``7,5 m`` is 7.5 m and ``20.000`` is 20,000. As long as the text.
    """
    if "," in folded and _INNER_COMMA.search(folded) is not None:
        folded = _DECIMAL_COMMA.sub(lambda found: found.group().replace(",", "."), folded)
    if "00" in folded and "." in folded:
        folded = _POINTED_THOUSANDS.sub(lambda found: found.group().replace(".", ","), folded)
    if ".." in folded:
        folded = _SHORT_LEADERS.sub(lambda found: "," + " " * (len(found.group()) - 1), folded)
    if "...." in folded or "____" in folded:
        folded = _LEADERS.sub(lambda found: "," + " " * (len(found.group()) - 1), folded)
    return _SLIPS.sub(lambda found: "1" if found.group() == "l" else "0" * len(found.group()), folded)


_LETTERS = re.compile("[a-z]+")


@lru_cache(maxsize=8)
def letters_in(folded: str) -> frozenset[str]:
    """Every run of letters in a folded text: what looks for certain words can see at once that none is there.

    >>> sorted(letters_in("2nd floor, 250w"))
    ['floor', 'nd', 'w']
    """
    return frozenset(_LETTERS.findall(folded))


def check(text: str, max_bytes: int | None = MAX_BYTES) -> None:
    """Refuse what is no message.

    Raises:
        TextTooLong: more than ``max_bytes`` of UTF-8 (``None``: no bound).
        NotText: NUL characters, lone surrogates, or mostly control characters.
    """
    if "\0" in text:
        raise NotText("the text holds NUL characters; it looks like a file, not a message")
    if max_bytes is not None and len(text) > max_bytes // 4:
        try:
            size = len(text.encode("utf-8"))
        except UnicodeEncodeError as error:
            raise NotText("the text holds lone surrogates; it is not valid Unicode") from error
        if size > max_bytes:
            raise TextTooLong(f"the text is {size} bytes long; the longest that is read is {max_bytes}")
    if not text.isascii():
        if any(0xD800 <= ord(char) <= 0xDFFF for char in text):
            raise NotText("the text holds lone surrogates; it is not valid Unicode")
    elif not text.isprintable():
        odd = sum(char < " " and char not in "\n\t\r\v\f\x1b" for char in text)
        if odd * 10 > len(text):
            raise NotText("the text is mostly control characters; it looks like a file, not a message")
