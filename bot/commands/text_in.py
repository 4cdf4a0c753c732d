"""Takes the text of a command from its argument or from standard input, and refuses what no person wrote."""

import sys
from typing import Final

from engine.errors import WattclerkError

MAX_TEXT_CHARS: Final = 20_000
MAX_JOB_BYTES: Final = 8_000_000
_WHITE: Final = frozenset("\t\n\r\f\v")


class UnusableInput(WattclerkError):
    """What was given can't be worked with; the message says what is wrong and what to do, in one line."""


def text_given(argument: str | None) -> str:
    """The text of the command.

    Raises:
        UnusableInput: no text, too much of it, or bytes that are no text.
    """
    if argument is None:
        raise UnusableInput("no text: write it in quotes after the command, or - to read standard input")
    return usable_text(read_stdin(MAX_TEXT_CHARS * 4) if argument == "-" else argument)


def usable_text(text: str, longest: int = MAX_TEXT_CHARS) -> str:
    """``text``, if it is one.

    Raises:
        UnusableInput: empty, too long, or with characters that only binary data has.
    """
    if not text.strip():
        raise UnusableInput(
            "the text is empty: say what hangs there now, for example 'twelve 250W wallpacks'"
        )
    if len(text) > longest:
        raise UnusableInput(f"the text is too long: at most {longest:,} characters can be read")
    for character in text:
        if "\ud800" <= character <= "\udfff":
            raise UnusableInput("the text is not valid UTF-8: save it as UTF-8 and send it again")
        if character < " " and character not in _WHITE:
            raise UnusableInput("this is binary data, not a text: send the words themselves")
    return text


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
