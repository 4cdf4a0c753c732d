"""The outbox: replies on their way out, in the order of their conversation."""

from collections.abc import Iterable

from bot.store.records import Outgoing, Work
from bot.store.statements import MOST_AT_ONCE, Statements


class Replies(Statements):
    """The part of a session about replies."""

    def ask_to_send(self, reply: int) -> None:
        """Asks the queue to have a reply sent."""
        self._queue.send_later(reply, None)

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
        # As conversations that are free: by the index of what waits.
        rows = self._rows(
            "select o.number from"
            " (select min(number) as number from outbox where state = 'waiting' and next_try_at is not null"
            " group by conversation) f"
            " join outbox o on o.number = f.number where o.next_try_at <= ? or o.next_try_at > ?"
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
