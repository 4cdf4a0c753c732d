"""A person's data on request: found, taken out, erased; and what is older than it need be. The same for pages and commands."""

from collections.abc import Sequence
from typing import Any, Final, Literal

from bot.staff.roll import Roll
from bot.store.erasing import (
    Erased,
    clear_quote,
    erase_talk,
    loose_quotes_before,
    talk_taken_out,
    talks_before,
    talks_of_customer,
    talks_of_sender,
)
from bot.store.erasing_mails import (
    erase_mail,
    mail_taken_out,
    mails_before,
    mails_of_customer,
    mails_of_sender,
    number_of,
)
from bot.store.session import Connection

Kind = Literal["conversation", "sender", "customer"]
KINDS: Final[tuple[Kind, ...]] = ("conversation", "sender", "customer")
TOGETHER: Final = 50
"""Conversations and mails that are erased in one transaction: whoever writes meanwhile waits no longer than that takes."""


def found(connection: Connection, kind: Kind, value: str) -> list[str]:
    """The conversations, and the mails ("mail:12"), that a person's data stands in."""
    value = value.strip()
    if kind == "conversation":
        return [row[0] for row in connection.rows("select id from conversations where id = ?", value)]
    if kind == "sender":
        return talks_of_sender(connection, value) + mails_of_sender(connection, value)
    return talks_of_customer(connection, value) + mails_of_customer(connection, value)


def taken_out(connection: Connection, conversations: Sequence[str], at: str) -> dict[str, Any]:
    """All that is kept of them, as one JSON object."""
    talks = [talk_taken_out(connection, each) for each in conversations if number_of(each) is None]
    mails = [
        mail_taken_out(connection, number)
        for each in conversations
        if (number := number_of(each)) is not None
    ]
    return {
        "taken_out_at": at,
        "conversations": [talk for talk in talks if talk is not None],
        "mails": [mail for mail in mails if mail is not None],
    }


def erased(connection: Connection, conversations: Sequence[str], at: str) -> Erased:
    """Erases them."""
    whole = Erased()
    for each in conversations:
        number = number_of(each)
        whole += (
            erase_talk(connection, each, at)
            if number is None
            else Erased(mails=erase_mail(connection, number, at))
        )
    return whole


def note(connection: Connection, by: str, act: str, subject: str, at: str) -> None:
    """Keeps who did it; never about whom."""
    Roll(connection).note(by, act, subject, at)


def purge_some(connection: Connection, before: str, at: str) -> Erased:
    """Erases some of what is older; nothing left where the result is all zero."""
    whole = erased(connection, talks_before(connection, before, TOGETHER), at)
    whole += erased(connection, mails_before(connection, before, TOGETHER), at)
    loose = loose_quotes_before(connection, before, TOGETHER)
    for name, body in loose:
        clear_quote(connection, name, body, at)
    return whole + Erased(quotes_cleared=len(loose))
