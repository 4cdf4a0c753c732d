"""Which texts are read at all: those that a person could have written, of a length that a person would."""

from typing import Final

from engine.errors import WattclerkError

MAX_TEXT_CHARS: Final = 20_000
_WHITE: Final = frozenset("\t\n\r\f\v")


class UnusableInput(WattclerkError):
    """What was given can't be worked with; the message says what is wrong and what to do, in one line."""


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
