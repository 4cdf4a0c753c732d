"""What the mail desk keeps about a person: found, taken out, erased. What lies in the mailbox itself is the mailbox's business.

Mails stand among conversations under names like ``mail:12``. Of one that was erased its key stays, a hash, so that it is not
answered anew.
"""

from typing import Any, Final

from bot.mail.headers import addresses_in
from bot.store.sends import CLEAR_OF_ERASED
from bot.store.session import Connection

PREFIX: Final = "mail:"
_TAKEN_OUT: Final = (
    "message_id",
    "sender",
    "subject",
    "arrived_at",
    "state",
    "decision",
    "reason",
    "text",
    "draft_to",
)


def number_of(name: str) -> int | None:
    """The number of the mail that a name stands for; ``None`` where it is no mail's."""
    number = name.removeprefix(PREFIX)
    return int(number) if name.startswith(PREFIX) and number.isascii() and number.isdigit() else None


def mails_of_sender(connection: Connection, address: str) -> list[str]:
    """Mails from an address, or whose draft goes there."""
    wanted = address.strip().lower()
    rows = connection.rows(
        "select number, mailbox, draft_to from mails where mailbox = ? or draft_to like ? order by number",
        wanted, f"%{wanted}%",
    )  # fmt: skip
    return [
        f"{PREFIX}{number}"
        for number, mailbox, to in rows
        if mailbox == wanted or wanted in {each.mailbox for each in addresses_in(to or "")}
    ]


def mails_of_customer(connection: Connection, name: str) -> list[str]:
    """Mails whose sender is shown under that name; large and small letters are the same."""
    wanted = " ".join(name.casefold().split())
    rows = connection.rows("select number, sender from mails where erased_at is null order by number")
    return [
        f"{PREFIX}{number}"
        for number, sender in rows
        if " ".join(sender.partition("<")[0].casefold().split()) == wanted
    ]


def mails_before(connection: Connection, before: str, most: int) -> list[str]:
    """Mails that were taken before a time and are not erased yet, the oldest first."""
    rows = connection.rows(
        "select number from mails where taken_at < ? and erased_at is null order by taken_at limit ?",
        before,
        most,
    )
    return [f"{PREFIX}{row[0]}" for row in rows]


def mail_taken_out(connection: Connection, number: int) -> dict[str, Any] | None:
    """What is kept of a mail, as JSON; ``None`` for an unknown one."""
    rows = connection.rows(f"select {', '.join(_TAKEN_OUT)} from mails where number = ?", number)
    if not rows:
        return None
    return {"mail": number} | dict(zip(_TAKEN_OUT, rows[0], strict=True))


def erase_mail(connection: Connection, number: int, at: str) -> int:
    """Erases what is kept of a mail, its draft and what staff sent about it included; how many mails that were."""
    erased = connection.run(
        "update mails set message_id = '', sender = '', mailbox = '', subject = '', text = null, original = null, draft = null,"
        " draft_id = null, draft_to = null, decision = coalesce(decision, 'none'),"
        " reason = coalesce(reason, 'erased: before it was read'), state = 'settled', held_by = null, next_try_at = null,"
        " trouble = null, erased_at = ? where number = ? and erased_at is null",
        at, number,
    )  # fmt: skip
    connection.run(CLEAR_OF_ERASED)
    return erased
