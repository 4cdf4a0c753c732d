"""How plain text is laid out: blank lines evened out, long lines wrapped under their own indent."""

from functools import lru_cache
from typing import Final

WIDTHS: Final = {"terminal": 96, "email_text": 74, "draft_text": 74}


def laid_out(text: str, channel: str) -> str:
    """Blank lines evened out; plain text wrapped to the channel's width, each paragraph under its own indent."""
    width = WIDTHS.get(channel)
    lines = [line.rstrip() for line in text.split("\n")]
    if width is not None:
        lines = [line if len(line) <= width else _wrapped(line, width) for line in lines]
    out = "\n".join(lines).strip("\n")
    while "\n\n\n" in out:
        out = out.replace("\n\n\n", "\n\n")
    return out


@lru_cache(maxsize=512)
def _wrapped(line: str, width: int) -> str:
    """The line on several; kept, since most that are long are cautions and explanations, the same in every reply."""
    body = line.lstrip(" ")
    indent = len(line) - len(body)
    bullet = body[:2] == "- " or (body[1:3] in {". ", "  "} and body[0].isalnum())
    hanging = " " * (indent + (2 if body[:2] == "- " else 3 if bullet else 0))
    out, prefix = [], " " * indent
    while len(prefix) + len(body) > width:
        # the last space that leaves the words before it room, else the first: a word is never cut
        end = body.rfind(" ", 0, max(0, width - len(prefix) + 1))
        if end < 0 and (end := body.find(" ")) < 0:
            break
        out.append(prefix + body[:end])
        prefix, body = hanging, body[end + 1 :]
    out.append(prefix + body)
    return "\n".join(out)
