"""The tables of the PostgreSQL store, by version; the same columns as in SQLite."""

from typing import Final

from bot.store.mail_schema import mail_schema
from bot.store.send_schema import NOT_GONE_SCHEMA, PUT_AWAY_SCHEMA, send_schema
from bot.store.staff_schema import STAFF_SCHEMA

MIGRATIONS: Final[tuple[tuple[str, str], ...]] = (
    (
        "p001_inbox_and_outbox",
        """
create table conversations (
    id text primary key,
    channel text not null,
    begun_at text not null,
    thread text,
    state text,
    turns integer not null,
    language text,
    asks text,
    quote text,
    held_by integer
);
create unique index conversations_thread on conversations (channel, thread) where thread is not null;
create index conversations_held on conversations (held_by) where held_by is not null;
create table quotes (
    id text primary key,
    conversation text references conversations (id),
    made_at text not null,
    language text not null,
    revises text references quotes (id),
    revision integer not null,
    program text,
    catalogue text,
    tables text,
    terms text,
    tariff text,
    digest text not null,
    body bytea not null
);
create index quotes_conversation on quotes (conversation);
create index quotes_revises on quotes (revises) where revises is not null;
create table messages (
    number bigint generated always as identity primary key,
    conversation text not null references conversations (id),
    channel text not null,
    message_id text not null,
    sender text,
    received_at text not null,
    text text not null,
    changes text not null,
    state text not null check (state in ('waiting', 'answered', 'refused', 'aside')),
    attempts integer not null,
    next_try_at text,
    reason text,
    turn integer,
    asked text,
    reading text,
    answer bytea,
    quote text references quotes (id)
);
create unique index messages_id on messages (channel, message_id);
create unique index messages_turn on messages (conversation, turn) where turn is not null;
create index messages_waiting on messages (conversation, number) where state = 'waiting';
create index messages_aside on messages (number) where state = 'aside';
create table outbox (
    number bigint generated always as identity primary key,
    message bigint not null references messages (number),
    conversation text not null references conversations (id),
    channel text not null,
    address text,
    body text,
    state text not null check (state in ('waiting', 'sent', 'failed')),
    attempts integer not null,
    next_try_at text,
    sent_at text,
    reason text
);
create unique index outbox_message on outbox (message);
create index outbox_waiting on outbox (conversation, number) where state = 'waiting' and next_try_at is not null;
create index outbox_failed on outbox (number) where state = 'failed';
create table pieces (hash text primary key, body bytea not null);
create table catalogues (sheets text primary key, root text not null, imported_at text not null);
create sequence holders as integer cycle;
-- What is kept is deflated already: trying to make it smaller would cost time only.
alter table quotes alter column body set storage external;
alter table messages alter column answer set storage external;
alter table pieces alter column body set storage external;
""",
    ),
    ("p002_staff", ";\n".join(STAFF_SCHEMA)),
    (
        "p003_mails",
        ";\n".join(
            (
                *mail_schema(
                    number="bigint generated always as identity primary key", long="bigint", blob="bytea"
                ),
                "alter table mails alter column draft set storage external",
                "alter table mails alter column original set storage external",
            )
        ),
    ),
    (
        "p004_sends",
        ";\n".join(
            (
                *send_schema(
                    number="bigint generated always as identity primary key", long="bigint", blob="bytea"
                ),
                "alter table mail_sends alter column message set storage external",
            )
        ),
    ),
    ("p005_put_away", ";\n".join(PUT_AWAY_SCHEMA)),
    ("p006_not_gone", ";\n".join(NOT_GONE_SCHEMA)),
)
