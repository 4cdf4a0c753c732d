"""Takes messages in and sees to it that each is answered once, in the order of its conversation.

A message is kept before anything else happens. Then it is answered by whoever answers, and the answer is kept: reading,
quote, conversation state and outbound reply in one transaction. A message that comes twice is found by its id, and gets
what the first one got.
"""

import asyncio
import logging
import secrets
from collections import OrderedDict
from collections.abc import Callable, Coroutine, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import partial
from typing import Any, Final, Protocol

from bot.answerers import Answerers, AnswerFailed
from bot.answering import Answered, Before, CannotTake, Outcome, Question, ToldAgain
from bot.assistant import Assistant
from bot.clock import Clock, stamp, utc_now
from bot.replies import Channel
from bot.store.ledger import Lane
from bot.store.records import (
    KeptQuote,
    KeptTurn,
    LeaseLost,
    Message,
    Receipt,
    Settled,
    StoreUnusable,
    UnknownConversation,
    Work,
    changes_text,
)
from bot.store.session import Session
from bot.watch.request_ids import current
from engine.errors import WattclerkError

log = logging.getLogger("wattclerk.inbox")

MOST_REMEMBERED: Final = 2048
MOST_ATTEMPTS: Final = 5
FIRST_PAUSE: Final = timedelta(seconds=2)
LONGEST_PAUSE: Final = timedelta(minutes=10)
ANSWER_WITHIN: Final = 60.0
"""How long a sender who waits for the answer is let wait [s]; the message is kept and answered all the same."""


_SPELLED: Final = b"abcdefghijklmnopqrstuvwxyz234567" * 8
"""A letter or digit for each byte, every one of the 32 for as many bytes."""


class MessageRefused(WattclerkError):
    """The message can't be part of its conversation; the line says why."""


class NotAnsweredYet(WattclerkError):
    """The message is kept; its answer comes later."""


class MessageSetAside(WattclerkError):
    """The message is kept and could not be answered: a person has to look."""


class TooBusy(WattclerkError):
    """More messages are being answered than this server takes at once; the message is not kept."""


def new_secret() -> str:
    """An id that can't be guessed: 130 random bits, in letters and digits that can be read out and typed."""
    return secrets.token_bytes(26).translate(_SPELLED).decode()


def pause_after(attempts: int) -> timedelta:
    """How long to wait after so many failed attempts: 2 s, doubled at each, 10 minutes at most."""
    return min(LONGEST_PAUSE, FIRST_PAUSE * 2 ** min(attempts, 20))


class Measure(Protocol):
    """Is told what became of messages."""

    def message_done(self, channel: str, outcome: str, seconds: float) -> None:
        """A message was answered, refused or failed."""

    def message_read(self, doubts: int) -> None:
        """A message was read with so many doubts."""

    def failed(self, kind: str) -> None:
        """Something failed."""


@dataclass(slots=True)
class Inbox:
    """Keeps and answers messages over one store. Lives in one event loop.

    Attributes:
        assistant: for its tables and versions; it answers nothing here.
        forms: the form of words by channel, of the channels that send.
        most_turns: messages that a conversation may have.
        most_waiting: messages that are taken in and not answered yet.
        reply_kept: told the number of each reply that a gateway has to send.
        kept_for_later: told that a message was kept that is answered later.
        measure: told what became of each message, and how long that took.
        look_after: how long whoever waits for an answer first trusts in being told, before it looks in the store [s].
    """

    assistant: Assistant
    answerers: Answerers
    writing: Lane
    reading: Lane
    clock: Clock = utc_now
    new_id: Callable[[], str] = new_secret
    forms: Mapping[str, Channel] = field(default_factory=dict)
    most_turns: int = 200
    most_waiting: int = 1000
    reply_kept: Callable[[int], None] = lambda reply: None
    kept_for_later: Callable[[], None] = lambda: None
    measure: Measure | None = None
    look_after: float = 0.25
    _states: OrderedDict[str, tuple[int, Before]] = field(default_factory=OrderedDict)
    _awaited: dict[int, set[asyncio.Future[Receipt | None]]] = field(default_factory=dict)
    _talks: set[asyncio.Task[None]] = field(default_factory=set)
    _dropped: set[str] = field(default_factory=set)
    _fetched: list[int] = field(default_factory=list)
    _waiting: int = 0

    async def begin(self, channel: str = "web") -> str:
        """Opens a conversation and gives its id."""
        name, at = self.new_id(), stamp(self.clock())
        await self.writing.do(lambda s: s.begin(name, channel, at), name)
        return name

    async def receive(self, message: Message) -> tuple[Receipt, KeptTurn]:
        """Keeps a message, and gives what it led to once that is kept too.

        Raises:
            UnknownConversation, DifferentMessage, TooManyTurns, TooBusy, StoreUnusable: it is not kept; the line says why.
            MessageRefused: it can't be part of its conversation.
            MessageSetAside, NotAnsweredYet: it is kept, and has no answer.
        """
        if self._waiting >= self.most_waiting:
            raise TooBusy("too many messages are being answered just now: try again in a minute")
        self._waiting += 1
        try:
            receipt = await self._accept(message, later=False)
            if receipt.state == "waiting":
                receipt = await self._answer_to(receipt)
        finally:
            self._waiting -= 1
        if receipt.state == "refused":
            raise MessageRefused(receipt.reason)
        if receipt.state == "aside" or receipt.turn is None:
            raise MessageSetAside(
                "this message could not be answered: it is kept, and a person will look at it"
            )
        return receipt, receipt.turn

    async def keep(self, message: Message) -> Receipt:
        """Keeps a message that is answered later, by any server: the channel can be told that it is kept.

        Raises:
            UnknownConversation, DifferentMessage, TooManyTurns, StoreUnusable: it is not kept; the line says why.
        """
        receipt = await self._accept(message, later=True)
        self.kept_for_later()
        return receipt

    async def history(self, conversation: str, first: int = 0) -> list[KeptTurn]:
        """The turns of a conversation from ``first`` on.

        Raises:
            UnknownConversation: no such conversation.
        """

        def look(session: Session) -> list[KeptTurn]:
            turns = session.turns(conversation, first)
            if not turns and not session.exists(conversation):
                raise UnknownConversation("this conversation is not known here: begin a new one")
            return turns

        return await self.reading.do(look)

    async def quote(self, name: str) -> KeptQuote | None:
        """The quote of that id."""
        return await self.reading.do(lambda s: s.quote(name))

    def fetched(self, receipt: Receipt) -> None:
        """Notes that the sender has the answer; marked in the store with what is written next."""
        self._fetched.append(receipt.number)

    def answer(self, conversation: str) -> None:
        """Sees to the waiting messages of a conversation, unless somebody else does."""
        self._spawn(self._answer_if_possible(conversation))

    async def take_and_answer(self, conversation: str) -> None:
        """Answers the waiting messages of a conversation, unless somebody else does.

        Raises:
            StoreUnusable: it can't be taken up.
        """
        work = await self.writing.do(lambda s: s.take(conversation), conversation)
        await self._answer_all(work)

    def settled_elsewhere(self, number: int) -> None:
        """Another server has settled a message: whoever waits for it here may look."""
        self._tell(number, None)

    async def take_up_dropped(self) -> None:
        """Goes on with conversations that are held here though nobody is at them, since the store could not be written."""
        while self._dropped:
            conversation = next(iter(self._dropped))
            await self.writing.do(partial(_let_go, conversation), conversation)
            self._dropped.discard(conversation)
            self.answer(conversation)

    async def flush(self) -> None:
        """Marks as sent what senders have fetched."""
        if self._fetched:
            numbers, at = self._drain_fetched()
            try:
                await self.writing.do(lambda s: s.fetched(numbers, at), "~")
            except StoreUnusable:
                self._fetched.extend(numbers)
                raise

    async def drain(self) -> None:
        """Waits until every conversation that is being answered here has been let go."""
        while self._talks:
            await asyncio.wait(set(self._talks))
        await self.flush()

    @property
    def in_hand(self) -> int:
        """Messages that were taken in here and are not answered yet."""
        return self._waiting

    async def _accept(self, message: Message, *, later: bool) -> Receipt:
        at, fresh = stamp(self.clock()), self.new_id()
        if message.request_id is None and (asked := current.get()):
            message = replace(message, request_id=asked)
        fetched, _ = self._drain_fetched() if self._fetched else ((), "")

        def keep(session: Session) -> Receipt:
            receipt = session.accept(message, at, fresh, self.most_turns, later=later)
            session.fetched(fetched, at)
            return receipt

        try:
            receipt = await self.writing.do(keep, message.conversation or "")
        except WattclerkError:
            self._fetched.extend(fetched)
            raise
        if receipt.work is not None:
            self._spawn(self._answer_all(receipt.work))
        return receipt

    def _drain_fetched(self) -> tuple[tuple[int, ...], str]:
        numbers = tuple(self._fetched)
        self._fetched.clear()
        return numbers, stamp(self.clock())

    async def _answer_to(self, receipt: Receipt) -> Receipt:
        """What becomes of a waiting message, here or on another server."""
        loop = asyncio.get_running_loop()
        until = loop.time() + ANSWER_WITHIN
        look_after = self.look_after
        while (left := until - loop.time()) > 0:
            waiter: asyncio.Future[Receipt | None] = loop.create_future()
            waiters = self._awaited.setdefault(receipt.number, set())
            waiters.add(waiter)
            timer = loop.call_later(min(left, look_after), _look_again, waiter)
            try:
                known = await waiter
            finally:
                timer.cancel()
                waiters.discard(waiter)
                if not waiters and self._awaited.get(receipt.number) is waiters:
                    del self._awaited[receipt.number]
            if known is None:
                # Whoever answers it may be on another server, and its word may have been lost.
                known, look_after = (
                    await self.reading.do(lambda s: s.receipt(receipt.number)),
                    min(5.0, look_after * 2),
                )
            if known is not None and known.state != "waiting":
                return known
        raise NotAnsweredYet("the answer takes longer than usual: send the same message again to get it")

    def _tell(self, number: int, what: Receipt | Exception | None) -> None:
        for waiter in self._awaited.get(number, ()):
            if waiter.done():
                continue
            if isinstance(what, Exception):
                waiter.set_exception(what)
            else:
                waiter.set_result(what)

    def _spawn(self, talk: Coroutine[Any, Any, None]) -> None:
        task = asyncio.get_running_loop().create_task(talk)
        self._talks.add(task)
        task.add_done_callback(self._talks.discard)

    async def _answer_if_possible(self, conversation: str) -> None:
        try:
            await self.take_and_answer(conversation)
        except StoreUnusable as error:
            log.warning("a waiting conversation can't be taken up: %s", error)

    async def _answer_all(self, first: Work | None) -> None:
        """Answers the messages of a conversation that is held here, until it is let go."""
        following = first
        while following is not None:
            work = following
            try:
                following = await self._answer_one(work)
            except LeaseLost as error:
                log.warning("message %d: %s", work.number, error)
                self._tell(work.number, None)
                return
            except BaseException as error:
                # It is kept and still held here: the next look takes it up again.
                self._dropped.add(work.conversation)
                if not isinstance(error, Exception):
                    raise
                if isinstance(error, StoreUnusable):
                    log.warning("message %d: %s", work.number, error)
                else:
                    log.exception("message %d could not be settled", work.number)
                self._tell(work.number, error)
                return

    async def _answer_one(self, work: Work) -> Work | None:
        form = self.forms.get(work.channel)
        before = await self._before(work)
        try:
            outcome = await self._outcome(work, before, form)
        except AnswerFailed as error:
            return await self._failed(work, error)
        if isinstance(outcome, Answered):
            settled = await self._settle(work, before, outcome)
            receipt = Receipt(work.conversation, work.number, "answered", settled.turn)
            if self.measure is not None:
                self.measure.message_read(outcome.doubts)
        else:
            line, now = outcome.line, stamp(self.clock())
            body = None if form is None else line
            settled = await self.writing.do(lambda s: s.refuse(work, line, body, now), work.conversation)
            receipt = Receipt(work.conversation, work.number, "refused", reason=line)
        self._measured(work, receipt.state)
        self._tell(work.number, receipt)
        if settled.reply is not None:
            self.reply_kept(settled.reply)
        return settled.next

    def _measured(self, work: Work, outcome: str) -> None:
        if self.measure is None:
            return
        took = (self.clock() - datetime.fromisoformat(work.received_at)).total_seconds()
        self.measure.message_done(work.channel, outcome, max(0.0, took))

    async def _outcome(self, work: Work, before: Before, form: Channel | None) -> Answered | CannotTake:
        outcome: Outcome = await self.answerers.answer(Question(before, work.text, work.changes, form))
        if isinstance(outcome, ToldAgain):
            told = await self.reading.do(lambda s: s.told(work.conversation))
            again = replace(before, state=None, told=tuple(told))
            outcome = await self.answerers.answer(Question(again, work.text, work.changes, form))
        if isinstance(outcome, ToldAgain):
            raise AnswerFailed("the messages of the conversation can't be read again")
        return outcome

    async def _settle(self, work: Work, before: Before, answered: Answered) -> Settled:
        turn = KeptTurn(
            turn=work.turns,
            message_id=work.message_id,
            received_at=work.received_at,
            text=work.text,
            changes=changes_text(work.changes),
            asked=before.asked,
            reading=answered.reading,
            answer=answered.answer,
            quote_id=None if answered.quote is None else self.new_id(),
        )
        now, after = stamp(self.clock()), answered.after
        settled = await self.writing.do(
            lambda s: s.settle(
                work,
                turn,
                state=after.state or "",
                language=after.language,
                asks=after.asked,
                quote=answered.quote,
                body=answered.body,
                now=now,
            ),
            work.conversation,
        )
        self._states[work.conversation] = (work.turns + 1, after)
        self._states.move_to_end(work.conversation)
        if len(self._states) > MOST_REMEMBERED:
            self._states.popitem(last=False)
        return settled

    async def _failed(self, work: Work, error: AnswerFailed) -> Work | None:
        now = self.clock()
        attempts = work.attempts + 1
        again = None if attempts >= MOST_ATTEMPTS else stamp(now + pause_after(attempts))
        if again is None:
            log.error("message %d is set aside after %d attempts: %s", work.number, attempts, error)
        reason = str(error)
        self._measured(work, "failed" if again is None else "again")
        if self.measure is not None:
            self.measure.failed("message")
        settled = await self.writing.do(
            lambda s: s.put_back(work, reason, again, stamp(now)), work.conversation
        )
        if again is None:
            self._tell(work.number, Receipt(work.conversation, work.number, "aside", reason=reason))
        else:
            self._tell(work.number, error)
        return settled.next

    async def _before(self, work: Work) -> Before:
        """What the conversation has come to: remembered, or as it was kept."""
        if work.turns == 0:
            return Before()
        turns, before = self._states.get(work.conversation, (0, Before()))
        if turns == work.turns:
            return before
        kept = await self.reading.do(lambda s: s.conversation(work.conversation))
        if kept is None:
            return Before()
        state, texts, language, asked = kept
        return Before(state or "{}", texts, "es" if language == "es" else "en", asked)


def _look_again(waiter: "asyncio.Future[Receipt | None]") -> None:
    if not waiter.done():
        waiter.set_result(None)


def _let_go(conversation: str, session: Session) -> None:
    session.let_go(conversation)
