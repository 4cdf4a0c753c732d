"""What can be done to a store within one transaction: the statements, the same for SQLite and PostgreSQL.

A conversation is *held* by one server at a time (``held_by``), which answers its messages one by one in the order of
their numbers. Whoever keeps a message in a conversation that nobody holds, holds it from then on; keeping an answer looks
for the next message in the same transaction, and lets go of the conversation where there is none. So a message that
comes in meanwhile is either seen by the holder or finds the conversation free: none is left lying, none overtakes.

Statements are written with ``?`` for a value. Names of tables and columns never come from outside.
"""

import json
import zlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final, Literal, Protocol

from bot.contents import Versions
from bot.pressing import Change
from bot.store.records import (
    Counts,
    DifferentMessage,
    DraftQuote,
    KeptQuote,
    KeptTurn,
    LeaseLost,
    Message,
    Outgoing,
    Receipt,
    SetAside,
    Settled,
    TooManyTurns,
    UnknownConversation,
    Work,
    changes_text,
)

Row = Sequence[Any]
_TURN: Final = "turn, message_id, received_at, text, changes, asked, reading, answer, quote"
_WORK: Final = "number, message_id, channel, received_at, text, changes, attempts"
MOST_AT_ONCE: Final = 100
"""Conversations or replies that one look finds; the next look finds the rest."""


class Connection(Protocol):
    """A connection within a transaction.

    Attributes:
        locking: ends a query so that what it found stays as it is until the transaction ends.
        free_of_the_dead: the statement that lets go of what servers held that are gone; "" where there can be none.
    """

    locking: str
    free_of_the_dead: str

    def rows(self, statement: str, *values: Any) -> list[Row]:
        """What a query gives."""

    def run(self, statement: str, *values: Any) -> int:
        """How many rows a statement changed."""


class Queue(Protocol):
    """Asks for work within the transaction that makes it necessary; where the rows themselves are the queue, does nothing."""

    def answer_later(self, conversation: str, at: str | None) -> None:
        """Somebody is to answer the conversation's waiting messages, not before ``at``."""

    def send_later(self, reply: int, at: str | None) -> None:
        """Somebody is to send a reply, not before ``at``."""

    def settled(self, message: int) -> None:
        """Whoever waits for a message's answer, on any server, may look once this is committed."""


class Session:
    """A transaction on a store. ``holder`` is this server's number among those that share the store."""

    def __init__(self, connection: Connection, queue: Queue, holder: int | None = None) -> None:
        self._connection = connection
        self._queue = queue
        self._holder = holder

    @property
    def connection(self) -> Connection:
        """For statements about other things in the same transaction: staff, links, erasing."""
        return self._connection

    # Messages on their way in

    def accept(
        self, message: Message, at: str, fresh: str, most_turns: int, *, later: bool = False
    ) -> Receipt:
        """Keeps a message before anything is done about it.

        Args:
            message: as the channel handed it in.
            at: ISO 8601, UTC.
            fresh: id of the conversation, where it begins one.
            most_turns: that a conversation may have.
            later: the work is asked of the queue instead of being handed to the caller.

        Raises:
            UnknownConversation: it names one that is not there.
            DifferentMessage: its id was used for another text.
            TooManyTurns: the conversation is full.
        """
        kept = self._rows(
            f"select conversation, number, state, reason, {_TURN} from messages where channel = ? and message_id = ?",
            message.channel,
            message.id,
        )
        if kept:
            return self._accepted_before(message, kept[0], later)
        conversation = message.conversation
        if conversation is None and message.thread is not None:
            known = self._rows(
                "select id from conversations where channel = ? and thread = ?",
                message.channel,
                message.thread,
            )
            conversation = known[0][0] if known else None
        if conversation is None:
            conversation, turns, taken = fresh, 0, not later
            self._run(
                "insert into conversations (id, channel, begun_at, thread, turns, held_by) values (?, ?, ?, ?, 0, ?)",
                fresh, message.channel, at, message.thread, None if later else self._holder,
            )  # fmt: skip
        else:
            # Locked: else its holder could let go of it just before this message can be seen.
            found = self._rows(
                f"select turns from conversations where id = ?{self._connection.locking}", conversation
            )
            if not found:
                raise UnknownConversation("this conversation is not known here: begin a new one")
            turns = found[0][0]
            if turns >= most_turns:
                raise TooManyTurns(f"a conversation holds at most {most_turns} messages: begin a new one")
            taken = not later and self._take(conversation)
        number = self._rows(
            "insert into messages (conversation, channel, message_id, sender, received_at, text, changes, state, attempts,"
            " request_id) values (?, ?, ?, ?, ?, ?, ?, 'waiting', 0, ?) returning number",
            conversation, message.channel, message.id, message.sender, at, message.text,
            changes_text(message.changes), message.request_id,
        )[0][0]  # fmt: skip
        work = None
        if later:
            self._queue.answer_later(conversation, None)
        elif taken:
            work = (
                Work(
                    conversation, number, message.id, message.channel, at, message.text, message.changes, 0, 0
                )
                if conversation == fresh
                else self._first_waiting(conversation)
            )
        return Receipt(conversation, number, "waiting", work=work)

    def _accepted_before(self, message: Message, row: Row, later: bool) -> Receipt:
        conversation, number, state, reason = row[:4]
        text, changes = row[7], row[8]
        if (
            text != message.text
            or json.loads(changes) != json.loads(changes_text(message.changes))
            or message.conversation not in (None, conversation)
        ):
            raise DifferentMessage(
                "this message id was used before for another text: give each message its own"
            )
        receipt = Receipt(conversation, number, state, reason=reason or "", already=True)
        if state == "answered":
            return replace(receipt, turn=_turn(row[4:]))
        if state == "waiting" and not later and self._take(conversation):
            return replace(receipt, work=self._first_waiting(conversation))
        return receipt

    def take(self, conversation: str) -> Work | None:
        """Holds a conversation that nobody holds, and gives its first waiting message; ``None`` where there is nothing to do."""
        if not self._take(conversation):
            return None
        work = self._first_waiting(conversation)
        if work is None:
            self._let_go(conversation)
        return work

    def let_go(self, conversation: str) -> None:
        """Holds a conversation no longer: what waits in it is found by the next look."""
        self._let_go(conversation)

    def _take(self, conversation: str) -> bool:
        return (
            self._run(
                "update conversations set held_by = ? where id = ? and held_by is null",
                self._holder,
                conversation,
            )
            == 1
        )

    def _let_go(self, conversation: str) -> None:
        self._run(
            "update conversations set held_by = null where id = ? and held_by = ?", conversation, self._holder
        )

    def _first_waiting(self, conversation: str) -> Work | None:
        row = self._one(
            f"select {_WORK}, (select turns from conversations where id = ?) from messages"
            " where conversation = ? and state = 'waiting' order by number limit 1",
            conversation,
            conversation,
        )
        return None if row is None else _work(conversation, row)

    def free_the_dead(self) -> int:
        """Lets go of conversations whose holder is gone; gives how many."""
        statement = self._connection.free_of_the_dead
        return self._run(statement) if statement else 0

    def ask_to_answer(self, conversation: str) -> None:
        """Asks the queue to have a conversation's waiting messages answered."""
        self._queue.answer_later(conversation, None)

    def ask_to_send(self, reply: int) -> None:
        """Asks the queue to have a reply sent."""
        self._queue.send_later(reply, None)

    def free_conversations(self, now: str, farthest: str) -> list[str]:
        """Conversations that nobody holds and whose first waiting message is due, the longest waiting first.

        ``farthest`` is as late as a next try can rightly be: what lies behind it was written by a clock that was ahead.
        """
        rows = self._rows(
            "select m.conversation from messages m join conversations c on c.id = m.conversation"
            " where m.state = 'waiting' and c.held_by is null"
            " and m.number = (select min(number) from messages f where f.conversation = m.conversation and f.state = 'waiting')"
            " and (m.next_try_at is null or m.next_try_at <= ? or m.next_try_at > ?)"
            f" order by m.number limit {MOST_AT_ONCE}",
            now,
            farthest,
        )
        return [row[0] for row in rows]

    # What a conversation has come to

    def conversation(self, conversation: str) -> tuple[str | None, tuple[str, ...], str, str | None] | None:
        """State (JSON text), the texts of all turns, the language and what was asked last; ``None`` for an unknown one."""
        row = self._one("select state, language, asks from conversations where id = ?", conversation)
        if row is None:
            return None
        texts = self._rows(
            "select text from messages where conversation = ? and turn is not null order by turn",
            conversation,
        )
        return row[0], tuple(text for (text,) in texts), row[1] or "en", row[2]

    def told(self, conversation: str) -> list[tuple[str, tuple[Change, ...], str | None]]:
        """Text, changes and what was asked before, of every turn: to fold a conversation again."""
        rows = self._rows(
            "select text, changes, asked from messages where conversation = ? and turn is not null order by turn",
            conversation,
        )
        return [(text, _changes(changes), asked) for text, changes, asked in rows]

    def begin(self, conversation: str, channel: str, at: str, thread: str | None = None) -> None:
        """Opens a conversation without a message."""
        self._run(
            "insert into conversations (id, channel, begun_at, thread, turns) values (?, ?, ?, ?, 0)",
            conversation, channel, at, thread,
        )  # fmt: skip

    def exists(self, conversation: str) -> bool:
        """True for a conversation that was begun."""
        return self._one("select 1 from conversations where id = ?", conversation) is not None

    def turns(self, conversation: str, first: int = 0) -> list[KeptTurn]:
        """The turns of a conversation from ``first`` on; none for an unknown conversation."""
        rows = self._rows(
            f"select {_TURN} from messages where conversation = ? and turn >= ? order by turn",
            conversation,
            first,
        )
        return [_turn(row) for row in rows]

    def receipt(self, number: int) -> Receipt | None:
        """What became of a message."""
        row = self._one(
            f"select conversation, number, state, reason, {_TURN} from messages where number = ?", number
        )
        if row is None:
            return None
        turn = _turn(row[4:]) if row[2] == "answered" else None
        return Receipt(row[0], row[1], row[2], turn, row[3] or "", already=True)

    # Answers

    def settle(
        self,
        work: Work,
        turn: KeptTurn,
        *,
        state: str,
        language: str,
        asks: str | None,
        quote: DraftQuote | None,
        body: str | None,
        now: str,
    ) -> Settled:
        """Keeps an answer: reading, quote, conversation state and outbound reply, all or nothing.

        Args:
            work: what was answered.
            turn: the answer; its ``quote_id`` is the id that a new quote gets.
            state: what the conversation has come to, JSON text.
            language: in which it goes on.
            asks: the slot that the answer asks about.
            quote: that the answer carries; one that is the same as the conversation's last is not kept twice.
            body: the reply in the words of the channel; ``None`` where its sender fetches the turn itself.
            now: ISO 8601, UTC.

        Raises:
            LeaseLost: the conversation is no longer held here.
        """
        held = self._rows(
            "update conversations set state = ?, language = ?, asks = ?, turns = turns + 1"
            " where id = ? and held_by = ? and turns = ? returning quote",
            state, language, asks, work.conversation, self._holder, work.turns,
        )  # fmt: skip
        if not held:
            return self._settled_before(work)
        if quote is not None:
            turn = replace(turn, quote_id=self._keep_in_talk(work.conversation, held[0][0], turn, quote, now))
        changed = self._run(
            "update messages set state = 'answered', reason = null, next_try_at = null, turn = ?, asked = ?, reading = ?,"
            " answer = ?, quote = ? where number = ? and state = 'waiting'",
            turn.turn, turn.asked, turn.reading, zlib.compress(turn.answer, 1), turn.quote_id, work.number,
        )  # fmt: skip
        if changed != 1:
            raise RuntimeError(
                f"message {work.number} was answered by somebody who did not hold its conversation"
            )
        self._queue.settled(work.number)
        return Settled(turn, self._put_out(work, body, now), self._next(work.conversation, now))

    def _settled_before(self, work: Work) -> Settled:
        """Where a commit got through though its confirmation did not: the same turn; else the conversation is not ours."""
        receipt = self.receipt(work.number)
        if receipt is None or receipt.state == "waiting":
            raise LeaseLost("another server has taken this conversation over")
        return Settled(receipt.turn, None, self.take(work.conversation))

    def refuse(self, work: Work, reason: str, body: str | None, at: str) -> Settled:
        """Keeps that a message can't be part of its conversation; it is not tried again.

        Raises:
            LeaseLost: the conversation is no longer held here.
        """
        self._must_hold(work)
        self._run(
            "update messages set state = 'refused', reason = ?, next_try_at = null where number = ? and state = 'waiting'",
            reason,
            work.number,
        )
        self._queue.settled(work.number)
        return Settled(None, self._put_out(work, body, at), self._next(work.conversation, at))

    def put_back(self, work: Work, reason: str, next_try_at: str | None, now: str) -> Settled:
        """Keeps that answering failed: to be tried again at ``next_try_at``, or set aside where that is ``None``.

        Raises:
            LeaseLost: the conversation is no longer held here.
        """
        self._must_hold(work)
        self._run(
            "update messages set attempts = attempts + 1, reason = ?, next_try_at = ?, state = ?"
            " where number = ? and state = 'waiting'",
            reason, next_try_at, "aside" if next_try_at is None else "waiting", work.number,
        )  # fmt: skip
        if next_try_at is not None:
            # Those behind it wait with it: they must not overtake.
            self._let_go(work.conversation)
            self._queue.answer_later(work.conversation, next_try_at)
            return Settled(None)
        self._queue.settled(work.number)
        return Settled(None, None, self._next(work.conversation, now))

    def _must_hold(self, work: Work) -> None:
        row = self._one(
            f"select held_by from conversations where id = ?{self._connection.locking}", work.conversation
        )
        if row is None or row[0] != self._holder or self._holder is None:
            raise LeaseLost("another server has taken this conversation over")

    def _next(self, conversation: str, now: str) -> Work | None:
        row = self._one(
            f"select {_WORK}, (select turns from conversations where id = ?), next_try_at from messages"
            " where conversation = ? and state = 'waiting' order by number limit 1",
            conversation,
            conversation,
        )
        if row is not None and (row[8] is None or row[8] <= now):
            return _work(conversation, row)
        self._let_go(conversation)
        return None

    # Quotes

    def _keep_in_talk(
        self, conversation: str, last: str | None, turn: KeptTurn, quote: DraftQuote, at: str
    ) -> str:
        earlier = None
        if last is not None:
            earlier = self._one("select digest, revision, catalogue, tables, terms, tariff, program from quotes where id = ?", last)  # fmt: skip
        if last is not None and earlier is not None and quote.goes_on and _same(earlier, quote):
            return last
        assert turn.quote_id is not None  # noqa: S101  the caller made one
        goes_on = earlier is not None and quote.goes_on
        self.keep_quote(
            turn.quote_id,
            quote,
            at,
            conversation=conversation,
            revises=last if goes_on else None,
            revision=earlier[1] + 1 if goes_on and earlier is not None else 1,
        )
        self._run("update conversations set quote = ? where id = ?", turn.quote_id, conversation)
        return turn.quote_id

    def keep_quote(
        self,
        name: str,
        quote: DraftQuote,
        at: str,
        *,
        conversation: str | None = None,
        revises: str | None = None,
        revision: int = 1,
    ) -> None:
        """Keeps a quote under an id that can't be guessed."""
        v = quote.versions
        self._run(
            "insert into quotes (id, conversation, made_at, language, revises, revision, program, catalogue, tables, terms,"
            " tariff, digest, body) values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            name, conversation, at, quote.language, revises, revision, v.program, v.catalogue, v.tables, v.terms,
            v.tariff, quote.digest, quote.body,
        )  # fmt: skip

    def quote(self, name: str) -> KeptQuote | None:
        """The quote of that id."""
        row = self._one(
            "select made_at, language, body, program, catalogue, tables, terms, tariff, digest, revision, revises, conversation"
            " from quotes where id = ?",
            name,
        )
        if row is None:
            return None
        body = json.loads(zlib.decompress(row[2]))
        return KeptQuote(
            id=name,
            made_at=row[0],
            language=row[1],
            request=body["request"],
            quote=body["quote"],
            figures=body["figures"],
            reading=body.get("reading"),
            versions=None if row[3] is None else Versions(*row[3:8]),
            digest=row[8],
            revision=row[9],
            revises=row[10],
            conversation=row[11],
        )

    def revisions_of(self, name: str) -> list[str]:
        """The quotes that were made to stand in for this one."""
        return [
            row[0]
            for row in self._rows("select id from quotes where revises = ? order by revision, id", name)
        ]

    # Contents by hash

    def keep_pieces(self, pieces: Mapping[str, bytes]) -> None:
        """Keeps pieces that are not kept yet."""
        for name, body in pieces.items():
            self._run(
                "insert into pieces (hash, body) values (?, ?) on conflict (hash) do nothing",
                name,
                zlib.compress(body, 6),
            )

    def piece(self, name: str) -> bytes:
        """The bytes of a hash.

        Raises:
            KeyError: it is not kept.
        """
        row = self._one("select body from pieces where hash = ?", name)
        if row is None:
            raise KeyError(name)
        return zlib.decompress(row[0])

    def catalogue_root(self, sheets: str) -> str | None:
        """The root of the catalogue that was imported from these sheets."""
        row = self._one("select root from catalogues where sheets = ?", sheets)
        return None if row is None else row[0]

    def keep_catalogue_root(self, sheets: str, root: str, at: str) -> None:
        """Notes which catalogue came of these sheets."""
        self._run(
            "insert into catalogues (sheets, root, imported_at) values (?, ?, ?) on conflict (sheets) do nothing",
            sheets, root, at,
        )  # fmt: skip

    # Replies on their way out

    def _put_out(self, work: Work, body: str | None, at: str) -> int | None:
        """The outbox row; its number where a gateway has to send it."""
        number = self._rows(
            "insert into outbox (message, conversation, channel, address, body, state, attempts, next_try_at)"
            " select number, conversation, channel, sender, ?, 'waiting', 0, case when sender is null then null else ? end"
            " from messages where number = ? returning number, address",
            body, at, work.number,
        )[0]  # fmt: skip
        if number[1] is None:
            return None
        self._queue.send_later(number[0], None)
        return int(number[0])

    def fetched(self, messages: Iterable[int], at: str) -> None:
        """Marks the replies to these messages as sent: their sender has fetched them."""
        for number in messages:
            self._run(
                "update outbox set state = 'sent', sent_at = ? where message = ? and state = 'waiting' and address is null",
                at,
                number,
            )

    def due_replies(self, now: str, farthest: str) -> list[int]:
        """Replies that a gateway has to send now: of each conversation the oldest only, so that none overtakes."""
        rows = self._rows(
            "select o.number from outbox o where o.state = 'waiting' and o.next_try_at is not null"
            " and (o.next_try_at <= ? or o.next_try_at > ?)"
            " and not exists (select 1 from outbox f where f.conversation = o.conversation and f.state = 'waiting'"
            " and f.next_try_at is not null and f.number < o.number)"
            f" order by o.number limit {MOST_AT_ONCE}",
            now,
            farthest,
        )
        return [row[0] for row in rows]

    def outgoing(self, reply: int) -> Outgoing | None:
        """A reply to be sent; ``None`` where it was sent, has failed for good, or an earlier one must go before it."""
        row = self._one(
            "select o.channel, o.address, m.message_id, c.thread, o.body, o.attempts from outbox o"
            " join messages m on m.number = o.message join conversations c on c.id = o.conversation"
            " where o.number = ? and o.state = 'waiting' and o.address is not null"
            " and not exists (select 1 from outbox f where f.conversation = o.conversation and f.state = 'waiting'"
            " and f.next_try_at is not null and f.number < o.number)",
            reply,
        )
        if row is None:
            return None
        return Outgoing(reply, f"wattclerk-{reply}", row[0], row[1], row[2], row[3], row[4] or "", row[5])

    def sent(self, reply: int, at: str) -> int | None:
        """Marks a reply as sent; gives the one of the same conversation that waits behind it."""
        self._run(
            "update outbox set state = 'sent', sent_at = ?, attempts = attempts + 1, reason = null, next_try_at = null"
            " where number = ? and state = 'waiting'",
            at,
            reply,
        )
        return self._behind(reply)

    def not_sent(self, reply: int, reason: str, next_try_at: str | None) -> int | None:
        """Keeps that sending failed: to be tried again, or failed for good where ``next_try_at`` is ``None``."""
        self._run(
            "update outbox set attempts = attempts + 1, reason = ?, next_try_at = ?, state = ? where number = ? and state = 'waiting'",
            reason, next_try_at, "failed" if next_try_at is None else "waiting", reply,
        )  # fmt: skip
        if next_try_at is not None:
            self._queue.send_later(reply, next_try_at)
            return None
        return self._behind(reply)

    def _behind(self, reply: int) -> int | None:
        row = self._one(
            "select number from outbox where conversation = (select conversation from outbox where number = ?)"
            " and state = 'waiting' and next_try_at is not null order by number limit 1",
            reply,
        )
        if row is not None:
            self._queue.send_later(row[0], None)
        return None if row is None else int(row[0])

    # What failed for good

    def aside(self, most: int = 1000) -> list[SetAside]:
        """Messages and replies that failed for good, oldest first."""
        messages = self._rows(
            "select number, conversation, channel, received_at, attempts, reason from messages where state = 'aside'"
            " order by number limit ?",
            most,
        )
        replies = self._rows(
            "select o.number, o.conversation, o.channel, m.received_at, o.attempts, o.reason from outbox o"
            " join messages m on m.number = o.message where o.state = 'failed' order by o.number limit ?",
            most,
        )
        return [_aside("message", row) for row in messages] + [_aside("reply", row) for row in replies]

    def again(self, kind: str, number: int, now: str) -> bool:
        """Lets what was set aside be tried again, from the first attempt; ``False`` where nothing of that number is aside.

        A message that was set aside is answered after those that went on without it.
        """
        if kind == "reply":
            found = self._rows(
                "update outbox set state = 'waiting', attempts = 0, next_try_at = ? where number = ? and state = 'failed'"
                " returning number",
                now,
                number,
            )
            if found:
                self._queue.send_later(number, None)
            return bool(found)
        found = self._rows(
            "update messages set state = 'waiting', attempts = 0, next_try_at = null where number = ? and state = 'aside'"
            " returning conversation",
            number,
        )
        if found:
            self._queue.answer_later(found[0][0], None)
        return bool(found)

    def counts(self) -> Counts:
        """How much is where."""
        return Counts(
            messages=dict(self._pairs("select state, count(*) from messages group by state")),
            replies=dict(self._pairs("select state, count(*) from outbox group by state")),
            conversations=self._rows("select count(*) from conversations")[0][0],
            quotes=self._rows("select count(*) from quotes")[0][0],
        )

    def waiting(self) -> int:
        """How many messages wait for an answer: the depth of the queue."""
        return int(self._rows("select count(*) from messages where state = 'waiting'")[0][0])

    def _pairs(self, statement: str) -> list[tuple[str, int]]:
        return [(row[0], row[1]) for row in self._rows(statement)]

    def _one(self, statement: str, *values: Any) -> Row | None:
        rows = self._connection.rows(statement, *values)
        return rows[0] if rows else None

    def _rows(self, statement: str, *values: Any) -> list[Row]:
        return self._connection.rows(statement, *values)

    def _run(self, statement: str, *values: Any) -> int:
        return self._connection.run(statement, *values)


def _turn(row: Row) -> KeptTurn:
    turn, message_id, received_at, text, changes, asked, reading, answer, quote = row
    return KeptTurn(
        turn, message_id, received_at, text, changes, asked, reading, zlib.decompress(answer), quote
    )


def _work(conversation: str, row: Row) -> Work:
    number, message_id, channel, received_at, text, changes, attempts, turns = row[:8]
    return Work(
        conversation, number, message_id, channel, received_at, text, _changes(changes), attempts, turns
    )


def _aside(kind: Literal["message", "reply"], row: Row) -> SetAside:
    number, conversation, channel, received_at, attempts, reason = row
    return SetAside(kind, number, conversation, channel, received_at, attempts, reason or "")


def _changes(text: str) -> tuple[Change, ...]:
    return () if text == "[]" else tuple(Change(c["path"], c["value"]) for c in json.loads(text))


def _same(row: Row, quote: DraftQuote) -> bool:
    v = quote.versions
    return tuple(row[0:1]) + tuple(row[2:7]) == (
        quote.digest, v.catalogue, v.tables, v.terms, v.tariff, v.program,
    )  # fmt: skip
