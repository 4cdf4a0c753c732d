"""A password from the terminal, unseen, or as the first line of standard input; never from the command line itself."""

import getpass
import sys

from bot.usable import UnusableInput

MOST_BYTES = 2_000


def password_given() -> str:
    """What was typed, twice the same, or piped in.

    Raises:
        UnusableInput: the two differ, or nothing came.
    """
    if sys.stdin.isatty():
        first = getpass.getpass("Password: ")
        if first != getpass.getpass("The same again: "):
            raise UnusableInput("the two are not the same: nothing was changed")
        return first
    line = sys.stdin.readline(MOST_BYTES)
    if not line.strip():
        raise UnusableInput(
            "no password came on standard input: type it at a terminal, or pipe it in as one line"
        )
    return line.rstrip("\r\n")
