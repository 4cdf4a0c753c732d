"""Tables of staff, their sessions and customers' links; the same statements for SQLite and PostgreSQL."""

from typing import Final

STAFF_SCHEMA: Final = (
    """create table staff (
        name text primary key,
        role text not null check (role in ('clerk', 'manager', 'owner')),
        password text,
        made_at text not null
    )""",
    """create table staff_sessions (
        hash text primary key,
        name text not null references staff (name) on delete cascade,
        begun_at text not null,
        seen_at text not null
    )""",
    "create index staff_sessions_name on staff_sessions (name)",
    """create table quote_links (
        id text primary key,
        hash text not null unique,
        quote text not null references quotes (id),
        made_by text not null,
        made_at text not null,
        expires_at text not null,
        revoked_at text
    )""",
    "create index quote_links_quote on quote_links (quote)",
    """create table staff_acts (
        at text not null,
        name text not null,
        act text not null,
        subject text not null
    )""",
    "create index staff_acts_at on staff_acts (at)",
    """create table installation_keys (
        name text primary key,
        body text not null
    )""",
    # For the staff's list, and for erasing a conversation without looking at every other.
    "create index messages_conversation on messages (conversation, number)",
    "create index outbox_conversation on outbox (conversation)",
    "alter table messages add column request_id text",
    "alter table quotes add column erased_at text",
)
