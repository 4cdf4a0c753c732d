"""A body as lines, each with what the form says of it: how deep it is quoted, and what it was marked as."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from bot.mail.bounds import MOST_LINE_CHARS, MOST_LINES

Mark = Literal["", "history", "signature"]
_QUOTED: Final = re.compile(r"(?:[ \t]{0,3}[>»][ \t]?){1,40}")
_ODD: Final = re.compile(
    r"[\x00-\x08\x0b-\x1f\x7f\u200b-\u200f\u202a-\u202e\u2060-\u2069\ufeff\u00ad\u034f\ud800-\udfff]"
)
_FROM_SPACE: Final = re.compile(r"[\u00a0\u2007\u202f\u3000]")


@dataclass(frozen=True, slots=True)
class Line:
    """One line: ``depth`` quote marks stood before it; ``mark`` says what an HTML container made of it."""

    text: str
    depth: int = 0
    mark: Mark = ""

    @property
    def is_blank(self) -> bool:
        """Nothing to see."""
        return not self.text.strip()

    @property
    def is_old(self) -> bool:
        """Quoted, or within a container of history."""
        return self.depth > 0 or self.mark == "history"


def clean(text: str) -> str:
    """Without invisible characters; every kind of blank is a blank."""
    return _FROM_SPACE.sub(" ", _ODD.sub("", text.replace("\u2028", "\n").replace("\u2029", "\n")))


def plain_lines(text: str, *, flowed: bool = False, delsp: bool = False) -> list[Line]:
    """The lines of a plain text body, their quote marks counted and taken off; soft breaks (RFC 3676) are mended."""
    out: list[Line] = []
    soft = False
    for written in text.replace("\r\n", "\n").replace("\r", "\n").split("\n")[:MOST_LINES]:
        body = clean(written[:MOST_LINE_CHARS])
        depth = 0
        found = _QUOTED.match(body)
        if (found and ">" in found.group()) or (
            found and "»" in found.group() and body[found.end() :].strip()
        ):
            depth = found.group().count(">") + found.group().count("»")
            body = body[found.end() :]
        elif flowed and body.startswith(" "):
            body = body[1:]
        if soft and out and out[-1].depth == depth and body != "-- ":
            out[-1] = replace(out[-1], text=out[-1].text + body)
        else:
            out.append(Line(body, depth))
        soft = flowed and body.endswith(" ") and body != "-- "
        if soft and delsp:
            out[-1] = replace(out[-1], text=out[-1].text[:-1])
    return [replace(line, text=line.text.rstrip()) for line in out]


def joined(lines: Sequence[Line]) -> str:
    """The lines as one text: blank lines evened out, none at either end."""
    out: list[str] = []
    for line in lines:
        text = line.text.rstrip()
        if text or (out and out[-1]):
            out.append(text)
    return "\n".join(out).strip("\n")
