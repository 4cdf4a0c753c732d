"""What failed for good, and how much is where."""

from typing import Literal

from bot.store.records import Counts, SetAside
from bot.store.statements import Row, Statements


class Aside(Statements):
    """The part of a session about what was set aside."""

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


def _aside(kind: Literal["message", "reply"], row: Row) -> SetAside:
    number, conversation, channel, received_at, attempts, reason = row
    return SetAside(kind, number, conversation, channel, received_at, attempts, reason or "")
