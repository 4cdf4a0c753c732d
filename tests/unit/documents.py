"""README's printed blocks: finds them, runs what they say, and (as a command) writes what the program prints now."""

import contextlib
import io
import re
import shlex
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

from bot.__main__ import main as wattclerk

README = Path(__file__).parents[2] / "README.md"
_BLOCK = re.compile(r"<!-- printed by: (?P<call>[^\n]+) -->\n```text\n(?P<body>.*?)```", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Block:
    """One printed block: the call that prints it, what stands there, and where."""

    call: str
    body: str
    start: int
    end: int


def blocks(text: str) -> Iterator[Block]:
    """The printed blocks of a document in order."""
    for match in _BLOCK.finditer(text):
        yield Block(match["call"], match["body"], match.start("body"), match.end("body"))


def printed(call: str) -> str:
    """What `wattclerk CALL` prints on standard output."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out), patch.object(sys, "argv", ["wattclerk", *shlex.split(call)]):
        try:
            wattclerk()
        except SystemExit as stop:
            if stop.code not in (0, None):
                raise
    return out.getvalue().rstrip("\n") + "\n"


def rewritten(text: str) -> str:
    """``text`` with every block as the program prints it now."""
    for block in reversed(list(blocks(text))):
        text = text[: block.start] + printed(block.call) + text[block.end :]
    return text


if __name__ == "__main__":
    README.write_text(rewritten(README.read_text(encoding="utf-8")), encoding="utf-8")
