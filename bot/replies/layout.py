"""How plain text is laid out: blank lines evened out, long lines wrapped under their own indent."""

from functools import lru_cache
from typing import Final

WIDTHS: Final = {"terminal": 96, "email_text": 74, "draft_text": 74}


def laid_out(text: str, channel: str) -> str:
    """Blank lines evened out; plain text wrapped to the channel's width, each paragraph under its own indent."""
    lines = [line.rstrip() for line in text.split("\n")]
    width = WIDTHS.get(channel)
    out: list[str] = []
    for line in lines:
        if not line and (not out or not out[-1]):
            continue
        if width is None or len(line) <= width:
            out.append(line)
        else:
            out.append(_wrapped(line, width))
    while out and not out[-1]:
        out.pop()
    return "\n".join(out)


@lru_cache(maxsize=512)
def _wrapped(line: str, width: int) -> str:
    """The line on several; kept, since most that are long are cautions and explanations, the same in every reply."""
    body = line.lstrip(" ")
    indent = len(line) - len(body)
    bullet = body[:2] == "- " or (body[1:3] in {". ", "  "} and body[0].isalnum())
    hanging = " " * (indent + (2 if body[:2] == "- " else 3 if bullet else 0))
    out, current = [], " " * indent
    started = False
    for word in body.split(" "):
        if started and len(current) + 1 + len(word) > width:
            out.append(current)
            current, started = hanging + word, True
            continue
        current = f"{current} {word}" if started else current + word
        started = True
    out.append(current)
    return "\n".join(out)
