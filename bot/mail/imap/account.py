"""Which mailbox is watched, out of the settings; and the errors that its server can end in."""

import ssl
from dataclasses import dataclass
from typing import Final

from bot.mail.headers import Address, addresses_in
from bot.mail.signing_in import Security, password_of, server_at, tls_context
from bot.settings import Settings
from engine.errors import ConfigurationError, WattclerkError

PORTS: Final[dict[Security, int]] = {"tls": 993, "starttls": 143, "plain": 143}


class MailboxUnusable(WattclerkError):
    """The mailbox can't be used as it is set up; the line says what is wrong and what to do."""


class ConnectionLost(WattclerkError):
    """The connection to the mail server broke, or can't be trusted to be in step any more; a new one goes on."""


class DraftRefused(WattclerkError):
    """The server took the connection's word but not the draft; ``quota`` where it has no room for it."""

    def __init__(self, line: str, *, quota: bool) -> None:
        super().__init__(line)
        self.quota = quota


@dataclass(frozen=True, slots=True)
class Account:
    """A mailbox to be watched.

    Attributes:
        security: TLS from the first byte, begun after connecting, or none.
        context: for TLS; ``None`` without.
        password: never shown, logged or kept.
        folder: that is watched. ``drafts``: where drafts go; ``None`` takes the one that the server marks so.
        own: our own addresses; the first is the desk's.
        poll_seconds: between looks where the server does not tell of new mail.
        days: mail that came longer ago is left alone.
    """

    host: str
    port: int
    security: Security
    context: ssl.SSLContext | None
    user: str
    password: str
    folder: str
    drafts: str | None
    own: tuple[Address, ...]
    poll_seconds: int
    days: int

    def __repr__(self) -> str:
        return f"Account({self.name})"

    @property
    def name(self) -> str:
        """How the mailbox is known in the store."""
        return f"{self.user} at {self.host.lower()}"

    @property
    def place(self) -> str:
        """The server, for people."""
        return f"{self.host} port {self.port}"


def account_in(settings: Settings) -> Account:
    """The mailbox that the settings name.

    Raises:
        ConfigurationError: they name none, or not how to get into it; the line says which setting.
    """
    if settings.imap_url is None:
        raise ConfigurationError(
            "no mailbox is set: put its address into WATTCLERK_IMAP_URL, like imaps://quotes@mail.example.com"
        )
    server = server_at(
        settings.imap_url, "imap", plain=settings.imap_plain, readable="a password could be read on its way"
    )
    user = settings.imap_user or server.user
    if not user:
        raise ConfigurationError("WATTCLERK_IMAP_USER: say who signs in at the mail server")
    own = _own(settings, user)
    password = password_of(
        settings.imap_password, settings.imap_password_file, "WATTCLERK_IMAP_PASSWORD", "the mailbox"
    )
    return Account(
        host=server.host, port=server.port or PORTS[server.security], security=server.security,
        context=None if server.security == "plain" else tls_context(settings.imap_ca, "WATTCLERK_IMAP_CA"), user=user,
        password=password, folder=settings.imap_folder, drafts=settings.imap_drafts, own=own,
        poll_seconds=settings.imap_poll_seconds, days=settings.imap_days,
    )  # fmt: skip


def _own(settings: Settings, user: str) -> tuple[Address, ...]:
    if settings.mail_own is None:
        found = addresses_in(user) if "@" in user else []
        if not found:
            raise ConfigurationError(
                "WATTCLERK_MAIL_OWN: say what the mailbox's own address is, like Counter <quotes@example.com>"
            )
        return tuple(found)
    found = addresses_in(settings.mail_own)
    if not found or len(found) != settings.mail_own.count("@"):
        raise ConfigurationError(
            "WATTCLERK_MAIL_OWN: write addresses with a comma between, like Counter <quotes@example.com>, sales@example.com"
        )
    return tuple(found)
