"""The tables of the SQLite store, and how a file of an older version becomes one of this."""

import json
import zlib
from typing import Final

from sqlite_utils import Database, Migrations

from bot.store.mail_schema import mail_schema
from bot.store.send_schema import NOT_GONE_SCHEMA, PUT_AWAY_SCHEMA, send_schema
from bot.store.staff_schema import STAFF_SCHEMA

migrations: Final = Migrations("wattclerk")


@migrations()
def m001_conversations(db: Database) -> None:
    """Conversations, their messages with answers, and quotes, as versions before 0.2 kept them."""
    db.create_table(
        "conversations",
        {"id": str, "channel": str, "begun_at": str, "opened_by": str, "state": str},
        pk="id",
        not_null={"channel", "begun_at"},
        strict=True,
    ).create_index(["opened_by"], unique=True)
    db.create_table(
        "quotes",
        {
            "id": str,
            "conversation": str,
            "made_at": str,
            "language": str,
            "request": str,
            "quote": str,
            "figures": str,
            "catalog_version": str,
            "tables_version": str,
        },
        pk="id",
        not_null={"made_at", "language", "request", "quote", "figures"},
        foreign_keys=[("conversation", "conversations", "id")],
        strict=True,
    )
    db.create_table(
        "messages",
        {
            "conversation": str,
            "turn": int,
            "message_id": str,
            "received_at": str,
            "text": str,
            "changes": str,
            "asked": str,
            "reading": str,
            "answer": str,
            "quote": str,
        },
        pk=("conversation", "turn"),
        not_null={"message_id", "received_at", "text", "changes", "reading", "answer"},
        foreign_keys=[("conversation", "conversations", "id"), ("quote", "quotes", "id")],
        strict=True,
    ).create_index(["conversation", "message_id"], unique=True)


SCHEMA: Final = """
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
) strict;
create unique index conversations_thread on conversations (channel, thread) where thread is not null;
create index conversations_held on conversations (held_by) where held_by is not null;
create table messages (
    number integer primary key autoincrement,
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
    answer blob,
    quote text references quotes (id)
) strict;
create unique index messages_id on messages (channel, message_id);
create unique index messages_turn on messages (conversation, turn) where turn is not null;
create index messages_waiting on messages (conversation, number) where state = 'waiting';
create index messages_aside on messages (number) where state = 'aside';
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
    body blob not null
) strict;
create index quotes_conversation on quotes (conversation);
create index quotes_revises on quotes (revises) where revises is not null;
create table outbox (
    number integer primary key autoincrement,
    message integer not null references messages (number),
    conversation text not null references conversations (id),
    channel text not null,
    address text,
    body text,
    state text not null check (state in ('waiting', 'sent', 'failed')),
    attempts integer not null,
    next_try_at text,
    sent_at text,
    reason text
) strict;
create unique index outbox_message on outbox (message);
create index outbox_waiting on outbox (conversation, number) where state = 'waiting' and next_try_at is not null;
create index outbox_failed on outbox (number) where state = 'failed';
create table pieces (hash text primary key, body blob not null) strict;
create table catalogues (sheets text primary key, root text not null, imported_at text not null) strict;
"""


@migrations()
def m002_inbox_and_outbox(db: Database) -> None:
    """Messages are kept before they are answered, replies until they are sent, and quotes with all they were made from.

    Where an old file has one message id in two conversations, the later gets a number behind it: an id is answered once.
    """
    for table in ("conversations", "quotes", "messages"):
        db.execute(f"alter table [{table}] rename to [old_{table}]")
    for statement in SCHEMA.split(";\n"):
        if statement.strip():
            db.execute(statement)
    db.execute(
        "insert into conversations (id, channel, begun_at, state, turns, language, asks, quote)"
        " select id, channel, begun_at, state, (select count(*) from old_messages m where m.conversation = c.id),"
        " (select json_extract(answer, '$.language') from old_messages m where m.conversation = c.id order by turn desc limit 1),"
        " (select json_extract(answer, '$.asks') from old_messages m where m.conversation = c.id order by turn desc limit 1),"
        " null from old_conversations c"
    )
    for row in db.query("select * from old_quotes order by made_at, rowid"):
        body = (
            f'{{"request":{row["request"]},"reading":null,"quote":{row["quote"]},"figures":{row["figures"]}}}'
        )
        db.execute(
            "insert into quotes (id, conversation, made_at, language, revision, digest, body) values (?, ?, ?, ?, 1, '', ?)",
            [
                row["id"],
                row["conversation"],
                row["made_at"],
                row["language"],
                zlib.compress(body.encode(), 1),
            ],
        )
    seen: dict[tuple[str, str], int] = {}
    for row in db.query(
        "select m.*, c.channel from old_messages m join old_conversations c on c.id = m.conversation"
        " order by m.received_at, m.rowid"
    ):
        key = (row["channel"], row["message_id"])
        seen[key] = seen.get(key, 0) + 1
        name = row["message_id"] if seen[key] == 1 else f"{row['message_id']}~{seen[key]}"
        number = db.execute(
            "insert into messages (conversation, channel, message_id, received_at, text, changes, state, attempts, turn, asked,"
            " reading, answer, quote) values (?, ?, ?, ?, ?, ?, 'answered', 0, ?, ?, ?, ?, ?) returning number",
            [row["conversation"], row["channel"], name, row["received_at"], row["text"],
             json.dumps(json.loads(row["changes"]), separators=(",", ":")), row["turn"], row["asked"], row["reading"],
             zlib.compress(row["answer"].encode(), 1), row["quote"]],
        ).fetchone()[0]  # fmt: skip
        db.execute(
            "insert into outbox (message, conversation, channel, state, attempts, sent_at) values (?, ?, ?, 'sent', 0, ?)",
            [number, row["conversation"], row["channel"], row["received_at"]],
        )
    db.execute(
        "update conversations set quote = (select quote from messages m where m.conversation = conversations.id"
        " and m.quote is not null order by turn desc limit 1)"
    )
    for table in ("old_messages", "old_quotes", "old_conversations", "catalogue_products", "catalogue_like_for_like",
                  "catalogue_import"):  # fmt: skip
        db.execute(f"drop table if exists [{table}]")


@migrations()
def m003_staff(db: Database) -> None:
    """Staff accounts, sessions, customers' links; which request a message came with, and which quotes were erased."""
    for statement in STAFF_SCHEMA:
        db.execute(f"{statement} strict" if statement.startswith("create table") else statement)


@migrations()
def m004_mails(db: Database) -> None:
    """The mail desk: what became of each mail, its draft, and where both lie."""
    for statement in mail_schema(number="integer primary key autoincrement", long="integer", blob="blob"):
        db.execute(f"{statement} strict" if statement.startswith("create table") else statement)


@migrations()
def m005_sends(db: Database) -> None:
    """What staff sent, and whether it went."""
    for statement in send_schema(number="integer primary key autoincrement", long="integer", blob="blob"):
        db.execute(f"{statement} strict")


@migrations()
def m006_put_away(db: Database) -> None:
    """Which drafts that were sent from the desk still lie in Drafts."""
    for statement in PUT_AWAY_SCHEMA:
        db.execute(statement)


@migrations()
def m007_not_gone(db: Database) -> None:
    """Mails of staff that are not known to have gone are found quickly."""
    for statement in NOT_GONE_SCHEMA:
        db.execute(statement)
