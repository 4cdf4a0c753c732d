"""Secrets that travel: sessions, links. What is kept is their hash, so that a stolen copy of the store opens nothing."""

import hashlib
import hmac
import secrets
from typing import Final

BYTES: Final = 32
"""256 random bits; hashing them once is enough, they can't be guessed."""


def new_secret() -> str:
    """A secret in letters that may stand in an address and a cookie."""
    return secrets.token_urlsafe(BYTES)


def kept_form(secret: str) -> str:
    """What is kept of a secret."""
    return hashlib.sha256(secret.encode()).hexdigest()


def mark_of(secret: str, purpose: str) -> str:
    """What a form carries to show that it came from a page of ours, made for the holder of ``secret``."""
    return hmac.new(secret.encode(), purpose.encode(), hashlib.sha256).hexdigest()


def same(left: str, right: str) -> bool:
    """Whether two secrets are the same, in a time that doesn't depend on where they differ."""
    return hmac.compare_digest(left.encode("utf-8", "replace"), right.encode("utf-8", "replace"))
