"""Writes LM-63-2002 files for photometry of our own; what is written reads back the same."""

from collections.abc import Iterable, Iterator
from typing import Final

from engine.light.file_text import printable
from engine.light.lm63_header import LONGEST_LABEL
from engine.light.photometry import Photometry

_WIDEST: Final = 132
"""Characters a line of the older editions may hold; 2002 allows more, old readers do not. From memory."""
_TYPES: Final = {"C": 1, "B": 2, "A": 3}
_REQUIRED: Final = ("TEST", "TESTLAB", "ISSUEDATE", "MANUFAC")
_NONE_STATED: Final = "none"


def lm63_text(photometry: Photometry) -> str:
    """An LM-63-2002 file, lines ended by LF, the same for the same photometry.

    The keywords that the standard demands are written first ("none" where ``labels`` has none), then the other labels; a
    keyword of one's own is to start with an underscore. Numbers are written in as many digits as it takes to read back the
    same. Other than ASCII is kept: encode it as UTF-8 or Latin-1.

    Raises:
        ValueError: it looks forward along an angle that an LM-63 file of its symmetry can't say.
    """
    forward = 90.0 if photometry.symmetry == "half_sideways" else 0.0
    if photometry.forward_deg != forward:
        raise ValueError(f"LM-63 can't say that {photometry.forward_deg:g} is forward: {photometry.name}")
    return "".join(f"{line}\n" for line in _lines(photometry))


def number_text(value: float) -> str:
    """The shortest plain decimal that reads back as ``value``."""
    text = repr(float(value))
    return text.removesuffix(".0")


def _lines(photometry: Photometry) -> Iterator[str]:
    yield "IESNA:LM-63-2002"
    yield from _keywords(photometry.labels)
    tilt = photometry.tilt
    if tilt is None:
        yield "TILT=NONE"
    else:
        yield "TILT=INCLUDE"
        yield str(tilt.geometry)
        yield str(len(tilt.angles_deg))
        yield from _wrapped(tilt.angles_deg)
        yield from _wrapped(tilt.factors)
    lumens = -1.0 if photometry.lamp_lumens is None else photometry.lamp_lumens
    planes, verticals = photometry.candela.shape
    feet = 1
    # one lamp of all the lumens, multiplier 1
    yield from _wrapped(
        (1, lumens, 1, verticals, planes, _TYPES[photometry.type], feet, *photometry.opening_ft)
    )
    yield from _wrapped((1, 1, photometry.input_watts or 0))
    yield from _wrapped(photometry.vertical_deg.tolist())
    yield from _wrapped(photometry.horizontal_deg.tolist())
    for plane in photometry.candela.tolist():
        yield from _wrapped(plane)


def _keywords(labels: Iterable[tuple[str, str]]) -> Iterator[str]:
    rest = list(labels)
    for key in _REQUIRED:
        stated = next((label for label in rest if label[0] == key), None)
        if stated is None:
            yield f"[{key}] {_NONE_STATED}"
        else:
            rest.remove(stated)
            yield from _keyword(*stated)
    for key, words in rest:
        yield from _keyword(key or "OTHER", words)


def _keyword(key: str, words: str) -> Iterator[str]:
    """One keyword; what does not fit on its line goes on under [MORE]."""
    key = printable(key, 40).replace("]", "").upper()
    line = f"[{key}]"
    for word in printable(words, LONGEST_LABEL).split():
        if len(line) + 1 + len(word) > _WIDEST and not line.endswith("]"):
            yield line
            line = "[MORE]"
        line += f" {word}"
    yield line


def _wrapped(values: Iterable[float]) -> Iterator[str]:
    line = ""
    for value in values:
        text = number_text(value)
        if line and len(line) + 1 + len(text) > _WIDEST:
            yield line
            line = ""
        line = f"{line} {text}" if line else text
    yield line
