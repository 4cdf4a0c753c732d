"""The tables of the mail desk: what became of each mail, and where it lies; the same columns in both stores."""

from typing import Final

_SCHEMA: Final = (
    """create table mails (
        number {number},
        key text not null unique,
        message_id text not null,
        sender text not null,
        mailbox text not null,
        subject text not null,
        arrived_at text not null,
        taken_at text not null,
        state text not null check (state in ('taken', 'decided', 'settled')),
        decision text check (decision in ('draft', 'none', 'human')),
        reason text,
        text text,
        original {blob},
        draft {blob},
        draft_id text,
        draft_to text,
        draft_folder text,
        draft_validity {long},
        draft_uid {long},
        settled_at text,
        held_by integer,
        attempts integer not null,
        next_try_at text,
        trouble text,
        erased_at text
    )""",
    "create index mails_open on mails (number) where state <> 'settled'",
    "create index mails_mailbox on mails (mailbox)",
    "create index mails_taken on mails (taken_at)",
    """create table mail_places (
        account text not null,
        folder text not null,
        validity {long} not null,
        uid {long} not null,
        mail {long} not null references mails (number) on delete cascade,
        tagged text check (tagged in ('here', 'there', 'gone')),
        primary key (account, folder, validity, uid)
    )""",
    "create index mail_places_mail on mail_places (mail)",
    "create index mail_places_untagged on mail_places (mail) where tagged is null",
)


def mail_schema(*, number: str, long: str, blob: str) -> tuple[str, ...]:
    """The statements, in the store's own words for a number that counts up by itself, 64 bits and bytes."""
    return tuple(each.format(number=number, long=long, blob=blob) for each in _SCHEMA)
