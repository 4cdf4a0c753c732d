"""Passwords: which are taken, how they are kept (Argon2id, RFC 9106), how one is checked.

Hashing is slow on purpose and holds the processor: callers do it in a thread of its own.
"""

import unicodedata
from typing import Final

from argon2 import PasswordHasher
from argon2.exceptions import InvalidHashError, VerificationError
from argon2.profiles import RFC_9106_LOW_MEMORY

from bot.staff.faults import StaffFault

SHORTEST: Final = 12
LONGEST: Final = 256
_HASHER: Final = PasswordHasher.from_parameters(RFC_9106_LOW_MEMORY)


def hashed(password: str, name: str) -> str:
    """The hash that is kept, its parameters and salt in it.

    Raises:
        StaffFault: the password is too easy, in one line that doesn't hold it.
    """
    password = _one_form(password)
    if not SHORTEST <= len(password) <= LONGEST:
        raise StaffFault(
            "fault_password_length",
            f"a password has {SHORTEST} to {LONGEST} characters: a few words in a row do well",
        )
    if len(set(password)) < 5 or name.casefold() in password.casefold():
        raise StaffFault(
            "fault_password_easy",
            "this password is too easy: not the name in it, and not one character again and again",
        )
    return _HASHER.hash(password)


def matches(kept: str | None, password: str) -> bool:
    """Whether it is the password. Takes as long where there is none, so that time doesn't tell which names there are."""
    try:
        return (
            _HASHER.verify(kept if kept is not None else _nobodys(), _one_form(password[:LONGEST]))
            and kept is not None
        )
    except (VerificationError, InvalidHashError):
        return False


def is_dated(kept: str) -> bool:
    """Whether a password should be hashed anew, since today's parameters are stronger."""
    return _HASHER.check_needs_rehash(kept)


def _one_form(password: str) -> str:
    """Keyboards write the same letter in several ways."""
    return unicodedata.normalize("NFKC", password)


_none: list[str] = []


def _nobodys() -> str:
    """A hash of the same price that nothing matches."""
    if not _none:
        _none.append(_HASHER.hash("nobody has this password"))
    return _none[0]
