"""Takes the text of a command from its argument or from standard input, never more of it than can be read."""

import sys
from pathlib import Path
from typing import Final

from bot.usable import MAX_TEXT_CHARS, UnusableInput, usable_text

MAX_JOB_BYTES: Final = 8_000_000


def text_given(argument: str | None) -> str:
    """The text of the command.

    Raises:
        UnusableInput: no text, too much of it, or bytes that are no text.
    """
    if argument is None:
        raise UnusableInput("no text: write it in quotes after the command, or - to read standard input")
    return usable_text(read_stdin(MAX_TEXT_CHARS * 4) if argument == "-" else argument)


def file_given(argument: str) -> tuple[str, str]:
    """A JSON file's text, or standard input's, and the name to call it by.

    Raises:
        UnusableInput: no such file, too long, or not UTF-8.
    """
    if argument == "-":
        return read_stdin(MAX_JOB_BYTES), "standard input"
    name = Path(argument).name
    try:
        with Path(argument).open("rb") as file:
            data = file.read(MAX_JOB_BYTES + 1)
        if len(data) > MAX_JOB_BYTES:
            raise UnusableInput(f"{name}: too long: at most {MAX_JOB_BYTES // 1000:,} kB can be read")
        return data.decode("utf-8-sig"), name
    except OSError as error:
        raise UnusableInput(f"{argument} can't be read: {error.strerror}") from None
    except UnicodeDecodeError:
        raise UnusableInput(f"{name}: not valid UTF-8: save it as UTF-8") from None


def read_stdin(most_bytes: int) -> str:
    """Standard input, decoded.

    Raises:
        UnusableInput: more than ``most_bytes``, or not UTF-8.
    """
    data = sys.stdin.buffer.read(most_bytes + 1)
    if len(data) > most_bytes:
        raise UnusableInput(f"the input is too long: at most {most_bytes // 1000:,} kB can be read")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        if b"\0" in data[:1024]:
            raise UnusableInput("this is binary data, not a text: send the words themselves") from None
        raise UnusableInput(
            f"the input is not valid UTF-8 (byte {error.start + 1}): save it as UTF-8"
        ) from None
