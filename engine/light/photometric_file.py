"""One door to photometric files: LM-63 of any edition or EULUMDAT, told apart by what stands in them."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from engine.light.eulumdat import read_eulumdat
from engine.light.file_text import FileText, read_text
from engine.light.lamp_tilt import base_name
from engine.light.lm63 import read_lm63
from engine.light.lm63_header import edition_of, tilt_lines
from engine.light.photometry import Photometry
from engine.light.value_lines import value_of

NOTHING_BESIDE: Final[Mapping[str, bytes]] = MappingProxyType({})


def read_photometry(data: bytes, name: str, beside: Mapping[str, bytes] = NOTHING_BESIDE) -> Photometry:
    """What the photometric file ``data`` holds, every multiplier applied.

    Args:
        data: the bytes of the file.
        name: of the file, without its folder; messages name it, and its ending decides only where its content can't.
        beside: files of the same folder by name, for a lamp's tilt table.

    Raises:
        PhotometryFault: the file can't be trusted: the line, what is wrong there and what would be right.
    """
    text = read_text(data, name)
    _refuse_xml(text)
    if _is_lm63(text):
        return read_lm63(text, beside)
    return read_eulumdat(text)


def tilt_file_of(data: bytes, name: str) -> str | None:
    """The name of the file that must lie beside an LM-63 file; ``None`` where it needs none.

    Raises:
        PhotometryFault: the bytes are no text.
    """
    text = read_text(data, name)
    if not _is_lm63(text):
        return None
    after = edition_of(text)[2]
    written = next((value for line, value in tilt_lines(text) if line > after), "NONE")
    if written in ("NONE", "INCLUDE"):
        return None
    return base_name(written) or None


def _is_lm63(text: FileText) -> bool:
    if edition_of(text)[2]:
        return True
    likeness = _likeness(text)
    tilt_line = next((line for line, _ in tilt_lines(text)), None)
    if tilt_line is not None:
        # a text of EULUMDAT may start so too, but only behind its counts
        return likeness < len(_NUMBER_LINES) or tilt_line <= _NUMBER_LINES[-1]
    ending = text.name.lower()[-4:]
    if ending in (".ies", ".ldt"):
        # neither form's own signs: whoever named it knew best
        return ending == ".ies" and likeness < len(_NUMBER_LINES)
    return 2 * likeness <= len(_NUMBER_LINES)


_NUMBER_LINES: Final = range(2, 8)
"""Lines of an EULUMDAT file on which one number stands: type, symmetry, counts and steps."""


def _likeness(text: FileText) -> int:
    """How many of ``_NUMBER_LINES`` hold one number each."""
    return sum(n <= len(text.lines) and value_of(text.lines[n - 1]) is not None for n in _NUMBER_LINES)


def _refuse_xml(text: FileText) -> None:
    for number, line in enumerate(text.lines, 1):
        stripped = line.lstrip()
        if stripped:
            if stripped.startswith("<"):
                raise text.fault(
                    number,
                    "this is XML (TM-33 perhaps) or a web page, which is not read: ask the maker for the .ies or .ldt file",
                )
            return
