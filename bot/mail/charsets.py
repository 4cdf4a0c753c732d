"""Bytes of a text part to characters, whatever its label says: labels are missing, wrong or made to do harm."""

import codecs
from typing import Final

import charset_normalizer

ALLOWED: Final = frozenset(
    [
        "ascii",
        "utf-8",
        "utf-8-sig",
        "utf-16",
        "utf-16-le",
        "utf-16-be",
        "utf-32",
        "utf-32-le",
        "utf-32-be",
        "utf-7",
        "iso8859-1",
        "iso8859-2",
        "iso8859-3",
        "iso8859-4",
        "iso8859-5",
        "iso8859-6",
        "iso8859-7",
        "iso8859-8",
        "iso8859-9",
        "iso8859-10",
        "iso8859-11",
        "iso8859-13",
        "iso8859-14",
        "iso8859-15",
        "iso8859-16",
        "cp1250",
        "cp1251",
        "cp1252",
        "cp1253",
        "cp1254",
        "cp1255",
        "cp1256",
        "cp1257",
        "cp1258",
        "cp437",
        "cp850",
        "cp852",
        "cp858",
        "cp866",
        "cp874",
        "koi8-r",
        "koi8-u",
        "mac-roman",
        "mac-cyrillic",
        "mac-greek",
        "mac-latin2",
        "mac-turkish",
        "gb2312",
        "gbk",
        "gb18030",
        "hz",
        "big5",
        "big5hkscs",
        "cp950",
        "euc_jp",
        "euc_jis_2004",
        "shift_jis",
        "cp932",
        "iso2022_jp",
        "iso2022_jp_1",
        "iso2022_jp_2",
        "iso2022_kr",
        "euc_kr",
        "cp949",
        "johab",
        "tis-620",
        "ptcp154",
    ]
)
"""Codecs of text, by Python's name. Others that Python has turn text into text at a great price, or are no charsets."""
WIDER: Final = {
    "iso8859-1": "cp1252",
    "ascii": "cp1252",
    "gb2312": "gb18030",
    "gbk": "gb18030",
    "euc_kr": "cp949",
    "shift_jis": "cp932",
    "iso8859-9": "cp1254",
    "iso8859-11": "cp874",
    "tis-620": "cp874",
    "big5": "big5hkscs",
}
"""What mail programs mean by a label (WHATWG Encoding, "labels")."""
_MARKS: Final = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_GUESS_FROM: Final = 20_000
"""Bytes that are enough to tell a charset."""
_NEVER_LIKE_UTF8: Final = ("utf-16", "utf-32", "utf-7", "iso2022", "hz")
_ONE_BYTE: Final = ("iso8859", "cp12", "cp4", "cp8", "koi8", "mac", "ascii", "tis")


def codec_of(label: str | None) -> str | None:
    """Python's name of the charset called ``label``; ``None`` where it is none that text comes in."""
    if not label or len(label) > 40:
        return None
    try:
        name = codecs.lookup(label.strip(" \"'\t\r\n").split("*", 1)[0]).name
    except (LookupError, ValueError, UnicodeError):
        return None
    return name if name in ALLOWED else None


def text_of(data: bytes, label: str | None = None) -> str:
    """The characters of ``data``: by its mark, else by its label where that can be true, else by what it looks like. Never fails."""
    for mark, marked in _MARKS:
        if data.startswith(mark):
            return data.decode(marked, "replace").removeprefix("\ufeff")
    codec = codec_of(label)
    if codec is None or not codec.startswith(_NEVER_LIKE_UTF8):
        # What holds together as UTF-8 is UTF-8, whatever the label says: text in another charset does so by chance only.
        if b"\x1b$" not in data and b"\x1b(" not in data:
            try:
                return data.decode("utf-8")
            except UnicodeDecodeError as error:
                if codec == "utf-8" and error.start > len(data) - 4:
                    return data[: error.start].decode("utf-8")
        elif codec in (None, "ascii"):
            codec = "iso2022_jp_2"
    if codec is not None and codec not in ("ascii", "utf-8"):
        try:
            return data.decode(WIDER.get(codec, codec))
        except (UnicodeDecodeError, UnicodeError, ValueError):
            pass
        if not codec.startswith(_ONE_BYTE):
            # Cut in the middle of a character, or one broken byte: most of it is still what it says.
            shown = data.decode(WIDER.get(codec, codec), "replace")
            if shown.count("\ufffd") * 50 <= len(shown):
                return shown
    return _guessed(data)


def _guessed(data: bytes) -> str:
    shown = data.decode("utf-8", "replace")
    if shown.count("\ufffd") * 200 <= len(shown):
        return shown
    try:
        best = charset_normalizer.from_bytes(data[:_GUESS_FROM]).best()
    except (ValueError, LookupError, RuntimeError):
        best = None
    codec = codec_of(best.encoding) if best is not None else None
    if codec is None or _far_fetched(data, codec):
        codec = "cp1252"
    return data.decode(WIDER.get(codec, codec), "replace")


def _far_fetched(data: bytes, codec: str) -> bool:
    """Whether so few bytes are not ASCII that a guess beyond western Europe would be one from nothing."""
    high = sum(byte > 127 for byte in data[:_GUESS_FROM])
    return high * 8 < min(len(data), _GUESS_FROM) and not codec.startswith(("cp1252", "iso8859-1", "utf"))
