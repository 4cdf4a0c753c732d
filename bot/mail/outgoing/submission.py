"""A message handed to the submission server (RFC 6409), and what came of it: gone, refused, or nobody can tell."""

import asyncio
from typing import Final

import aiosmtplib
from aiosmtplib import SMTP

from bot.mail.outgoing.account import SmtpAccount
from bot.mail.outgoing.message import Outgoing
from bot.replies.clean import one_line

MOST_SECONDS: Final = 60.0
STEP_SECONDS: Final = 20.0
MOST_REASON: Final = 200
_SIZES: Final = frozenset({452, 552})
"""Codes about the size of a message (RFC 1870)."""


class NotSent(Exception):
    """The message did not go; it can be sent again without harm. ``key`` is for the pages' words, ``line`` the server's own."""

    def __init__(self, key: str, line: str = "") -> None:
        super().__init__(key)
        self.key, self.line = key, one_line(line, MOST_REASON)


class Unsure(Exception):
    """The connection broke after the message was on its way: it may have gone, or not."""


async def submit(account: SmtpAccount, outgoing: Outgoing) -> None:
    """Hands a message to the server, for its one recipient.

    Raises:
        NotSent: the server can't be reached or trusted, lets nobody in, or takes sender, recipient, size or message not.
        Unsure: nothing was heard after the message was handed over.
    """
    client = SMTP(
        hostname=account.host,
        port=account.port,
        use_tls=account.security == "tls",
        start_tls=account.security == "starttls",
        tls_context=account.context,
        timeout=STEP_SECONDS,
    )
    handed_over = False
    try:
        async with asyncio.timeout(MOST_SECONDS):
            try:
                await _opened(client, account)
                await _addressed(client, outgoing)
                handed_over = True
                await client.data(outgoing.data)
                handed_over = False
            finally:
                client.close()
    except aiosmtplib.SMTPDataError as error:
        raise NotSent("too_big" if error.code in _SIZES else "refused", _said(error)) from None
    except (OSError, TimeoutError, aiosmtplib.SMTPException) as error:
        if handed_over:
            raise Unsure from None
        raise NotSent("unreachable", _said(error)) from None


async def _opened(client: SMTP, account: SmtpAccount) -> None:
    await client.connect()
    await client.ehlo()
    if not account.user:
        return
    try:
        await client.login(account.user, account.password)
    except aiosmtplib.SMTPAuthenticationError as error:
        # What the server says to a wrong password may name the user; its code is enough.
        raise NotSent("login", str(error.code)) from None
    except aiosmtplib.SMTPException:
        raise NotSent("login") from None


async def _addressed(client: SMTP, outgoing: Outgoing) -> None:
    options = []
    if client.supports_extension("size"):
        options.append(f"SIZE={len(outgoing.data)}")
    try:
        await client.mail(outgoing.sender, options=options)
    except aiosmtplib.SMTPSenderRefused as error:
        raise NotSent("too_big" if error.code in _SIZES else "sender", _said(error)) from None
    try:
        await client.rcpt(outgoing.recipient)
    except aiosmtplib.SMTPRecipientRefused as error:
        raise NotSent("recipient", _said(error)) from None


def _said(error: BaseException) -> str:
    """What the server said, or what kind of fault it was; never what we sent."""
    if isinstance(error, aiosmtplib.SMTPResponseException):
        return f"{error.code} {error.message}"
    return type(error).__name__
