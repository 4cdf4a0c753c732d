"""The head of an LM-63 file: its edition, its keywords and the line that says how the lamp minds being tilted."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from engine.light.file_numbers import plain_number
from engine.light.file_text import FileText, printable

EDITIONS: Final = (1986, 1991, 1995, 2002, 2019)
MOST_LABELS: Final = 200
LONGEST_LABEL: Final = 400
MOST_LABEL_LINES: Final = 2_000
# 1991 wrote IESNA91; later ones write the name of the standard, which real files spell loosely. A name without a year counts
# where it is all that stands there, else it is a label of 1986.
_NAMED: Final = re.compile(
    r"(?:ANSI */ *)?(?:IES(?:NA)?)?[ :_-]{0,3}LM[ _-]?63[ :_-]{0,3}([0-9]{4}|[0-9]{2})(?![0-9])",
    re.IGNORECASE,
)
_YEARLESS: Final = re.compile(r"IES(?:NA)?[ :_-]{0,3}LM[ _-]?63", re.IGNORECASE)
_SHORT: Final = re.compile(r"IESNA[ :_-]{0,3}(86|91|95|02|19)(?![0-9])", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Head:
    """What stands before the numbers.

    Attributes:
        edition: year of the standard whose rules the file follows.
        edition_known: false where the file names another year, or none.
        labels: keyword and text; a free line has the keyword "".
        tilt: what follows ``TILT=``, as written.
        tilt_line: the line it stands on.
    """

    edition: int
    edition_known: bool
    labels: tuple[tuple[str, str], ...]
    tilt: str
    tilt_line: int


def edition_of(text: FileText) -> tuple[int, bool, int]:
    """The edition, whether it is one of ``EDITIONS`` by name, and the line that says so (0 where none does: 1986)."""
    for number, line in enumerate(text.lines, 1):
        if not line.strip():
            continue
        shown = line.strip().strip("\"'")[:60].rstrip()
        if _YEARLESS.fullmatch(shown):
            # Only 1995 and after name the standard itself; their rules agree.
            return 1995, False, number
        match = _NAMED.match(shown) or _SHORT.match(shown)
        if match is None:
            return 1986, True, 0
        year = int(match[1])
        if year < 100:
            year += 1900 if year >= 50 else 2000
        return max((e for e in EDITIONS if e <= year), default=1986), year in EDITIONS, number
    return 1986, True, 0


def tilt_lines(text: FileText) -> Iterator[tuple[int, str]]:
    """Every line that starts with ``TILT=`` and what follows there."""
    for number, line in enumerate(text.lines, 1):
        stripped = line.strip()
        if stripped[:4].upper() == "TILT":
            rest = stripped[4:].lstrip()
            if rest.startswith("="):
                written = rest[1:].strip().rstrip(",;").strip("\"' ")
                word = written.upper().partition(" ")[0].strip("\"'")
                # real files put remarks behind the two words of the standard
                yield number, word if word in ("NONE", "INCLUDE") else written


def read_head(text: FileText) -> Head:
    """The head of ``text``.

    Raises:
        PhotometryFault: there is no TILT line; the line is where it should have stood.
    """
    edition, known, edition_line = edition_of(text)
    found = next(((n, v) for n, v in tilt_lines(text) if n > edition_line), None)
    if found is None:
        raise text.fault(
            _where_numbers_start(text, edition_line),
            "there is no TILT line: TILT=NONE, TILT=INCLUDE or TILT= and a file must come before the numbers",
        )
    tilt_line, tilt = found
    return Head(edition, known, _labels(text.lines[edition_line : tilt_line - 1]), tilt, tilt_line)


def _where_numbers_start(text: FileText, edition_line: int) -> int:
    for number, line in enumerate(text.lines, 1):
        tokens = line.replace(",", " ").split()
        if number > edition_line and len(tokens) > 1 and all(plain_number(t) is not None for t in tokens):
            return number
    return text.last_line


def _labels(lines: Sequence[str]) -> tuple[tuple[str, str], ...]:
    out: list[tuple[str, str]] = []
    for line in lines[:MOST_LABEL_LINES]:
        stripped = line.strip()
        if not stripped:
            continue
        key, words = "", stripped
        if stripped.startswith("["):
            inside, closed, rest = stripped[1:].partition("]")
            if closed:
                key, words = printable(inside, 40).upper(), rest
        words = printable(words, LONGEST_LABEL)
        if key == "MORE" and out:
            key, before = out.pop()
            words = printable(f"{before} {words}", LONGEST_LABEL)
        out.append((key, words))
        if len(out) >= MOST_LABELS:
            break
    return tuple(out)
