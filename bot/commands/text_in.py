"""Takes the text of a command from its argument or from standard input, never more of it than can be read."""

import sys
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
