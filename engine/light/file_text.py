"""The text of a photometric file: its bytes decoded, bounded and cut into lines that keep their numbers."""

from dataclasses import dataclass
from typing import Final

from engine.light.photometry import PhotometryFault

MAX_BYTES: Final = 8_000_000
"""Half a degree by half a degree over the whole sphere, eight characters a number, is about 2 MB."""
MOST_LINES: Final = 500_000
"""The same table with one value a line, as EULUMDAT has it, is half of that."""
MOST_SHOWN: Final = 24
_DOS_END_OF_FILE: Final = b"\x1a"
_WIDE_MARKS: Final = (b"\xff\xfe", b"\xfe\xff")
_UTF8_MARK: Final = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class FileText:
    """Lines without their ends; the first is line 1, and blank ones count.

    Attributes:
        name: of the file, without its folder, printable.
        lines: all of them; what follows the last one with a visible character is left out.
    """

    name: str
    lines: tuple[str, ...]

    @property
    def last_line(self) -> int:
        """Number of the last line on which anything stands."""
        return len(self.lines)

    def fault(self, line: int | None, what: str) -> PhotometryFault:
        """The fault of this file at a line."""
        return PhotometryFault(self.name, line, what)


def read_text(data: bytes, name: str) -> FileText:
    """The text in ``data``: UTF-8 where it is, else Latin-1; line ends CR, LF or both; a DOS end-of-file byte ends it.

    Raises:
        PhotometryFault: empty, too long, UTF-16, or not a text at all.
    """
    name = printable(name, 120) or "the file"
    if len(data) > MAX_BYTES:
        line = _line_at(data, MAX_BYTES)
        raise PhotometryFault(
            name, line, f"the file goes on past {MAX_BYTES:,} bytes: no photometric file is so long"
        )
    if data.startswith(_WIDE_MARKS):
        raise PhotometryFault(
            name, 1, "the file is UTF-16: save it as plain text (ASCII, Latin-1 or UTF-8) and try again"
        )
    # What follows the end-of-file byte is padding of the disk block; zero bytes at the very end come from careless writers.
    body = data.removeprefix(_UTF8_MARK).partition(_DOS_END_OF_FILE)[0].rstrip(b"\0")
    zero = body.find(b"\0")
    if zero >= 0:
        kind = "UTF-16" if 3 * body.count(b"\0") > len(body) else "binary data"
        raise PhotometryFault(
            name,
            _line_at(body, zero),
            f"the file is {kind}, not plain text: get the .ies or .ldt file itself",
        )
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError:
        text = body.decode("latin-1")
    text = _one_line_end(text)
    if text.count("\n") >= MOST_LINES:
        raise PhotometryFault(
            name,
            MOST_LINES + 1,
            f"the file goes on past {MOST_LINES:,} lines: no photometric file is so long",
        )
    lines = text.split("\n")
    while lines and not lines[-1].strip():
        lines.pop()
    if not lines:
        raise PhotometryFault(name, 1, "the file is empty: get it again from the maker")
    return FileText(name, tuple(lines))


def printable(text: str, longest: int = MOST_SHOWN) -> str:
    """``text`` on one line, of at most ``longest`` characters, with a blank for each run of what can't be printed."""
    cut = "".join(c if c.isprintable() else " " for c in text[: longest + 1])
    shown = " ".join(cut.split())
    return shown if len(text) <= longest else shown[: longest - 3] + "..."


def _line_at(data: bytes, at: int) -> int:
    return _one_line_end(data[:at].decode("latin-1")).count("\n") + 1


def _one_line_end(text: str) -> str:
    """Lines ended by LF alone, where they were by CR, or by CR and LF; a CR doubled by a careless transfer is one."""
    return text.replace("\r\r\n", "\n").replace("\r\n", "\n").replace("\r", "\n")
