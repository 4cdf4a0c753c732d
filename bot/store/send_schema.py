"""The table of what staff sent: one row a mail and reader, whatever became of it; the same columns in both stores."""

from typing import Final

_SCHEMA: Final = (
    """create table mail_sends (
        number {number},
        mail {long} not null references mails (number) on delete cascade,
        kind text not null check (kind in ('reply', 'forward')),
        recipient text not null,
        sender text not null,
        message_id text not null,
        message {blob},
        state text not null check (state in ('sending', 'sent', 'failed', 'unsure')),
        made_by text not null,
        started_at text not null,
        ended_at text,
        attempts integer not null,
        reason text,
        said text,
        unique (mail, kind, recipient)
    )""",
)

PUT_AWAY_SCHEMA: Final = (
    "alter table mail_sends add column put_away_at text",
    "create index mail_sends_lying on mail_sends (mail) where kind = 'reply' and state = 'sent' and put_away_at is null",
)
"""When the draft of a sent reply was taken out of Drafts, and its mail marked as answered."""

NOT_GONE_SCHEMA: Final = ("create index mail_sends_not_gone on mail_sends (state) where state <> 'sent'",)
"""So that counting what did not go stays quick however much went."""


def send_schema(*, number: str, long: str, blob: str) -> tuple[str, ...]:
    """The statements, in the store's own words for a number that counts up by itself, 64 bits and bytes."""
    return tuple(each.format(number=number, long=long, blob=blob) for each in _SCHEMA)
