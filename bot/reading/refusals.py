"""Typed errors of reading: a text that is not read at all."""


class CannotRead(ValueError):
    """The text is not read; the message says why in one line."""


class TextTooLong(CannotRead):
    """The text is longer than the bound."""


class NotText(CannotRead):
    """The bytes are not a message: NUL characters, lone surrogates, control characters."""
