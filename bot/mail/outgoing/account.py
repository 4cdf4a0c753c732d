"""The server that takes our mail for delivery (RFC 6409), out of the settings."""

import ssl
from dataclasses import dataclass, field
from typing import Final

from bot.mail.headers import Address, addresses_in
from bot.mail.signing_in import Security, password_of, server_at, tls_context
from bot.settings import Settings
from engine.errors import ConfigurationError

PORTS: Final[dict[Security, int]] = {"tls": 465, "starttls": 587, "plain": 25}
"""RFC 8314 for TLS from the first byte, RFC 6409 for submission."""
MOST_PEOPLE: Final = 20


@dataclass(frozen=True, slots=True)
class SmtpAccount:
    """A submission server.

    Attributes:
        security: TLS from the first byte, begun after connecting, or none (this machine only).
        context: for TLS; ``None`` without.
        user: "" where nobody signs in. ``password``: never shown, logged or kept.
        people: whom a mail can be forwarded to. ``sender``: our address on that; ``None`` where none is set.
    """

    host: str
    port: int
    security: Security
    context: ssl.SSLContext | None = field(repr=False)
    user: str
    password: str = field(repr=False)
    people: tuple[Address, ...] = ()
    sender: Address | None = None


def smtp_account_in(settings: Settings) -> SmtpAccount | None:
    """The submission server that the settings name; ``None`` where they name none, and nothing can be sent.

    Raises:
        ConfigurationError: a setting can't be used; the line says which.
    """
    if settings.smtp_url is None:
        return None
    server = server_at(
        settings.smtp_url,
        "smtp",
        plain=settings.smtp_plain,
        readable="mail and password could be read on their way",
    )
    user = settings.smtp_user or server.user
    password = ""
    if user:
        password = password_of(
            settings.smtp_password,
            settings.smtp_password_file,
            "WATTCLERK_SMTP_PASSWORD",
            "the submission server",
        )
    return SmtpAccount(
        host=server.host, port=server.port or PORTS[server.security], security=server.security,
        context=None if server.security == "plain" else tls_context(settings.smtp_ca, "WATTCLERK_SMTP_CA"), user=user,
        password=password, people=_people(settings), sender=next(iter(addresses_in(settings.mail_own or user)), None),
    )  # fmt: skip


def _people(settings: Settings) -> tuple[Address, ...]:
    if settings.mail_people is None:
        return ()
    found = addresses_in(settings.mail_people)
    if len(found) != settings.mail_people.count("@") or len(found) > MOST_PEOPLE:
        raise ConfigurationError(
            f"WATTCLERK_MAIL_PEOPLE: at most {MOST_PEOPLE} addresses with a comma between, like Maria <maria@example.com>"
        )
    return tuple(found)
