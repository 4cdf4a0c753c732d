"""What an XLSX may unpack to: every part is inflated and counted before a reader sees it; sizes in its directory are not believed."""

import io
import re
import zipfile
import zlib
from typing import Final

from bot.mail.attachments.grid import FileRefused

MOST_PARTS: Final = 200
MOST_PART_BYTES: Final = 32_000_000
MOST_BYTES: Final = 64_000_000
MOST_CELLS: Final = 420_000
"""Cells of all sheets, and shared strings: more than any schedule that is read whole."""
_CELLS: Final = (b"<c ", b"<c>", b"<c/", b":c ", b":c>", b":c/", b"<si>", b"<si/", b":si>")
_STEP: Final = 65_536
MOST_STREAMS: Final = 4_000
_STREAM: Final = re.compile(rb"(?<!end)stream\r?\n")


def guard(data: bytes) -> None:
    """Refuses what no schedule is.

    Raises:
        FileRefused: "bomb" where it unpacks to more than a schedule can be, or defines entities; "broken" where it is no
            sound ZIP; "locked" where it wants a password; "other_format" where it is no spreadsheet of this kind.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            parts = archive.infolist()
            if len(parts) > MOST_PARTS:
                raise FileRefused("bomb")
            if any(part.flag_bits & 1 for part in parts):
                raise FileRefused("locked")
            names = {part.filename for part in parts}
            if len(names) != len(parts):
                raise FileRefused("broken")
            if "[Content_Types].xml" not in names or not any("workbook" in name for name in names):
                raise FileRefused("other_format")
            total = cells = 0
            for part in parts:
                size, tail = 0, b""
                with archive.open(part) as stream:
                    while piece := stream.read(_STEP):
                        size += len(piece)
                        total += len(piece)
                        if size > MOST_PART_BYTES or total > MOST_BYTES:
                            raise FileRefused("bomb")
                        seen = tail + piece
                        cells += sum(piece.count(each) for each in _CELLS)
                        if b"<!DOCTYPE" in seen or b"<!ENTITY" in seen or cells > MOST_CELLS:
                            raise FileRefused("bomb")
                        tail = piece[-10:]
    except (
        zipfile.BadZipFile,
        zlib.error,
        EOFError,
        OSError,
        ValueError,
        NotImplementedError,
        RuntimeError,
    ) as error:
        raise FileRefused("broken") from error


def guard_pages(data: bytes) -> None:
    """Refuses a PDF whose deflated streams unpack to more than a schedule can be; other filters are left to the confined reader.

    Raises:
        FileRefused: "bomb".
    """
    total = 0
    for number, found in enumerate(_STREAM.finditer(data)):
        if number >= MOST_STREAMS:
            raise FileRefused("bomb")
        unpacking, at, size = zlib.decompressobj(), found.end(), 0
        left = b""
        while not unpacking.eof:
            if not left:
                left, at = data[at : at + _STEP], at + _STEP
            if not left:
                break
            try:
                piece = unpacking.decompress(left, _STEP)
            except zlib.error:
                break
            left = unpacking.unconsumed_tail
            size += len(piece)
            total += len(piece)
            if size > MOST_PART_BYTES or total > MOST_BYTES:
                raise FileRefused("bomb")
