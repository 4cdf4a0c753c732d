"""What the mail servers that we ask, one to read from and one to send through, have in common: a place, a password, trust."""

import ssl
from pathlib import Path
from typing import Final, Literal, NamedTuple
from urllib.parse import unquote, urlsplit

from pydantic import SecretStr

from bot.settings import is_loopback
from engine.errors import ConfigurationError

Security = Literal["tls", "starttls", "plain"]
"""TLS from the first byte, begun after connecting, or none (this machine only)."""
MOST_PASSWORD_BYTES: Final = 4096


class Server(NamedTuple):
    """A mail server out of its address.

    Attributes:
        port: ``None`` where the address names none: the usual one is taken.
        user: as the address names it; "" for nobody.
    """

    host: str
    port: int | None
    security: Security
    user: str


def server_at(url: str, scheme: str, *, plain: bool, readable: str) -> Server:
    """The server that an address of the settings names.

    Args:
        url: as the settings have checked it.
        scheme: of an address where TLS begins after connecting; with "s" behind it, TLS from the first byte.
        plain: whether the settings ask for no TLS at all.
        readable: for the fault: what a stranger could do then.

    Raises:
        ConfigurationError: no TLS is asked for and the server is not this machine's, or its address says TLS.
    """
    parts = urlsplit(url)
    host = parts.hostname or ""
    security: Security = "plain" if plain else "tls" if parts.scheme == f"{scheme}s" else "starttls"
    if plain and (parts.scheme == f"{scheme}s" or not is_loopback(host)):
        raise ConfigurationError(
            f"WATTCLERK_{scheme.upper()}_PLAIN: without TLS {readable}, so that is for an {scheme}:// server on this machine"
            " only: take the setting out"
        )
    return Server(host, parts.port, security, unquote(parts.username or ""))


def password_of(given: SecretStr | None, path: Path | None, setting: str, whose: str) -> str:
    """A password, out of a setting or of a file.

    Args:
        given: the password itself.
        path: the file that holds it.
        setting: the password's, as its variable is called: "WATTCLERK_IMAP_PASSWORD".
        whose: for the fault: "the mailbox".

    Raises:
        ConfigurationError: there is none, or it can't be used; the line says which setting.
    """
    if given is not None:
        return _usable(given.get_secret_value(), setting)
    if path is None:
        raise ConfigurationError(
            f"no password is set for {whose}: name a file that holds it in {setting}_FILE"
        )
    try:
        with path.open("rb") as file:
            text = file.read(MOST_PASSWORD_BYTES).decode("utf-8")
    except OSError as error:
        raise ConfigurationError(f"{setting}_FILE: {path} can't be read ({error.strerror})") from None
    except UnicodeDecodeError:
        raise ConfigurationError(f"{setting}_FILE: {path} is not UTF-8 text") from None
    return _usable(text.rstrip("\r\n"), f"{setting}_FILE")


def _usable(password: str, where: str) -> str:
    if not password or any(character in "\r\n\0" for character in password):
        raise ConfigurationError(f"{where}: a password is one line that is not empty")
    return password


def tls_context(authorities: Path | None, setting: str) -> ssl.SSLContext:
    """How a server's certificate is checked: against the file's authorities, or the system's.

    Raises:
        ConfigurationError: the file can't be used; the line says which setting.
    """
    try:
        context = ssl.create_default_context(cafile=None if authorities is None else str(authorities))
    except (OSError, ssl.SSLError) as error:
        reason = getattr(error, "strerror", None) or "no certificate in it"
        raise ConfigurationError(
            f"{setting}: {authorities} can't be used ({reason}): it holds certificates in PEM form"
        ) from None
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    return context
