"""What can be done to a store within one transaction: the statements, the same for SQLite and PostgreSQL.

A conversation is *held* by one server at a time (``held_by``), which answers its messages one by one in the order of
their numbers. Whoever keeps a message in a conversation that nobody holds, holds it from then on; keeping an answer looks
for the next message in the same transaction, and lets go of the conversation where there is none. So a message that
comes in meanwhile is either seen by the holder or finds the conversation free: none is left lying, none overtakes.
"""

import json
from dataclasses import replace

from bot.store.failed import Aside
from bot.store.mails import Mails
from bot.store.quote_body import deflated
from bot.store.quotes import Quotes
from bot.store.records import (
    DifferentMessage,
    DraftQuote,
    KeptTurn,
    LeaseLost,
    Message,
    Receipt,
    Settled,
    TooManyTurns,
    UnknownConversation,
    Work,
    changes_text,
)
from bot.store.replies import Replies
from bot.store.sends import Sends
from bot.store.statements import TURN, WORK, Connection, Row, turn_of, work_of
from bot.store.talks import Talks


class Session(Talks, Quotes, Replies, Aside, Mails, Sends):
    """A transaction on a store."""

    @property
    def connection(self) -> Connection:
        """For statements about other things in the same transaction: staff, links, erasing."""
        return self._connection

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
            f"select conversation, number, state, reason, {TURN} from messages where channel = ? and message_id = ?",
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
            return replace(receipt, turn=turn_of(row[4:]))
        if state == "waiting" and not later and self._take(conversation):
            return replace(receipt, work=self._first_waiting(conversation))
        return receipt

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
        held = self._held_here(work, "turns, quote")
        if held is None or held[0] != work.turns:
            return self._settled_before(work)
        last: str | None = held[1]
        if quote is not None:
            last = name = self._keep_in_talk(work.conversation, last, turn, quote, now)
            turn = turn if name == turn.quote_id else replace(turn, quote_id=name)
        changed = self._run(
            "update messages set state = 'answered', reason = null, next_try_at = null, turn = ?, asked = ?, reading = ?,"
            " answer = ?, quote = ? where number = ? and state = 'waiting'",
            turn.turn, turn.asked, turn.reading, deflated(turn.answer), turn.quote_id, work.number,
        )  # fmt: skip
        if changed != 1:
            raise RuntimeError(
                f"message {work.number} was answered by somebody who did not hold its conversation"
            )
        self._queue.settled(work.number)
        reply = self._put_out(work, body, now)
        following = self._next_due(work.conversation, now, work.turns + 1)
        # Written once: its row is long.
        self._run(
            "update conversations set state = ?, language = ?, asks = ?, turns = ?, quote = ?, held_by = ? where id = ?",
            state, language, asks, work.turns + 1, last, self._holder if following else None, work.conversation,
        )  # fmt: skip
        return Settled(turn, reply, following)

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
        if self._held_here(work, "id") is None:
            raise LeaseLost("another server has taken this conversation over")
        self._run(
            "update messages set state = 'refused', reason = ?, next_try_at = null where number = ? and state = 'waiting'",
            reason,
            work.number,
        )
        self._queue.settled(work.number)
        return Settled(None, self._put_out(work, body, at), self._next(work, at))

    def put_back(self, work: Work, reason: str, next_try_at: str | None, now: str) -> Settled:
        """Keeps that answering failed: to be tried again at ``next_try_at``, or set aside where that is ``None``.

        Raises:
            LeaseLost: the conversation is no longer held here.
        """
        if self._held_here(work, "id") is None:
            raise LeaseLost("another server has taken this conversation over")
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
        return Settled(None, None, self._next(work, now))

    def _held_here(self, work: Work, columns: str) -> Row | None:
        """These columns of a conversation that is held here, locked from now on; ``None`` where it is not."""
        return self._one(
            f"select {columns} from conversations where id = ? and held_by = ?{self._connection.locking}",
            work.conversation,
            self._holder,
        )

    def _next(self, work: Work, now: str) -> Work | None:
        """The next message of a conversation that was held and got no turn; it is let go of where there is none."""
        following = self._next_due(work.conversation, now, work.turns)
        if following is None:
            self._let_go(work.conversation)
        return following

    def _next_due(self, conversation: str, now: str, turns: int) -> Work | None:
        """The first waiting message, if it may be tried now; ``turns`` that the conversation has before it."""
        row = self._one(
            f"select {WORK}, next_try_at from messages where conversation = ? and state = 'waiting' order by number limit 1",
            conversation,
        )
        if row is None or (row[7] is not None and row[7] > now):
            return None
        return work_of(conversation, (*row[:7], turns))
