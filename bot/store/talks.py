"""Conversations: who holds them, what they have come to, which of them wait.

A conversation is *held* by one server at a time (``held_by``), which answers its messages one by one in the order of
their numbers.
"""

from bot.pressing import Change
from bot.store.records import KeptTurn, Receipt, Work
from bot.store.statements import MOST_AT_ONCE, TURN, WORK, Statements, changes_of, turn_of, work_of


class Talks(Statements):
    """The part of a session about conversations."""

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
            f"select {WORK}, (select turns from conversations where id = ?) from messages"
            " where conversation = ? and state = 'waiting' order by number limit 1",
            conversation,
            conversation,
        )
        return None if row is None else work_of(conversation, row)

    def free_the_dead(self) -> int:
        """Lets go of conversations whose holder is gone; gives how many."""
        statement = self._connection.free_of_the_dead
        return self._run(statement) if statement else 0

    def ask_to_answer(self, conversation: str) -> None:
        """Asks the queue to have a conversation's waiting messages answered."""
        self._queue.answer_later(conversation, None)

    def free_conversations(self, now: str, farthest: str) -> list[str]:
        """Conversations that nobody holds and whose first waiting message is due, the longest waiting first.

        ``farthest`` is as late as a next try can rightly be: what lies behind it was written by a clock that was ahead.
        """
        # The first of each by the index of what waits: asked for as "none before it", SQLite reads the whole table of messages.
        rows = self._rows(
            "select m.conversation from"
            " (select min(number) as number from messages where state = 'waiting' group by conversation) f"
            " join messages m on m.number = f.number join conversations c on c.id = m.conversation"
            " where c.held_by is null and (m.next_try_at is null or m.next_try_at <= ? or m.next_try_at > ?)"
            f" order by m.number limit {MOST_AT_ONCE}",
            now,
            farthest,
        )
        return [row[0] for row in rows]

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
        return [(text, changes_of(changes), asked) for text, changes, asked in rows]

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
            f"select {TURN} from messages where conversation = ? and turn >= ? order by turn",
            conversation,
            first,
        )
        return [turn_of(row) for row in rows]

    def receipt(self, number: int) -> Receipt | None:
        """What became of a message."""
        row = self._one(
            f"select conversation, number, state, reason, {TURN} from messages where number = ?", number
        )
        if row is None:
            return None
        turn = turn_of(row[4:]) if row[2] == "answered" else None
        return Receipt(row[0], row[1], row[2], turn, row[3] or "", already=True)
