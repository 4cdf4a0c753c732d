"""The inbox and the outbox over both stores, with answers that are quick to make up."""

import asyncio
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from bot.answerers import AnswerFailed
from bot.answering import Answered, Before, CannotTake, Outcome, Question, ToldAgain
from bot.assistant import Assistant
from bot.channels.gateway import NeverSent, NotSent
from bot.inbox import Inbox, MessageRefused, MessageSetAside
from bot.outbox import Outbox
from bot.settings import Settings
from bot.store.ledger import Lane
from bot.store.postgres_queue import JobWorker
from bot.store.protocol import Store
from bot.store.records import DifferentMessage, Message, Outgoing
from bot.work_queue import RowQueue, stopped
from tests.unit.store.conftest import draft


@dataclass
class MadeUp:
    """Answers with what it was asked, and counts; fails where the text says so."""

    asked: list[str] = field(default_factory=list)
    at_once: int = 0
    most_at_once: int = 0
    failures: dict[str, int] = field(default_factory=dict)

    async def answer(self, question: Question) -> Outcome:
        self.asked.append(question.text)
        self.at_once += 1
        self.most_at_once = max(self.most_at_once, self.at_once)
        await asyncio.sleep(0.002)
        self.at_once -= 1
        if self.failures.get(question.text, 0) > 0:
            self.failures[question.text] -= 1
            raise AnswerFailed("the program failed (ZeroDivisionError)")
        if question.text == "refuse":
            return CannotTake("that can't be")
        before = question.before
        if before.state == "old" and before.told is None:
            return ToldAgain()
        texts = (*before.texts, question.text)
        if before.told is not None:
            texts = (*(text for text, _, _ in before.told), question.text)
        state = ">".join(texts)
        body = f"answer to {question.text}" if question.form else None
        return Answered("{}", f'{{"so far":"{state}"}}'.encode(), 0, Before(state, texts), draft(state), body)

    def close(self) -> None:
        pass


@dataclass
class Wire:
    """A gateway that remembers what it sent."""

    name: str = "sms"
    form: Any = "sms"
    sent: list[Outgoing] = field(default_factory=list)
    faults: list[Exception] = field(default_factory=list)

    async def send(self, outgoing: Outgoing) -> None:
        if self.faults:
            raise self.faults.pop(0)
        self.sent.append(outgoing)


@dataclass
class Desk:
    """One server's parts."""

    inbox: Inbox
    outbox: Outbox
    answers: MadeUp
    wire: Wire
    store: Store


class Ahead:
    """A clock that the test moves."""

    def __init__(self) -> None:
        self.by = timedelta()

    def __call__(self) -> datetime:
        return datetime.now(UTC) + self.by  # noqa: TID251  a clock made for the test


Start = Callable[..., Any]


@pytest.fixture
def start(opened: Callable[[], Store], store_settings: Settings, assistant: Assistant) -> Start:
    """Starts a server over the store."""

    @asynccontextmanager
    async def started(clock: Ahead | None = None) -> AsyncIterator[Desk]:
        store = opened()
        store.serve()
        answers, wire, moment = MadeUp(), Wire(), clock or Ahead()
        writing, reading = Lane("w", store.transaction), Lane("r", store.snapshot)
        inbox = Inbox(assistant, answers, writing, reading, moment, forms={"sms": "sms"})
        outbox = Outbox({"sms": wire}, writing, moment)
        loop = asyncio.get_running_loop()

        def tell(numbers: list[int]) -> None:
            for number in numbers:
                inbox.settled_elsewhere(number)

        def heard(numbers: list[int]) -> None:
            loop.call_soon_threadsafe(tell, numbers)

        store.listen(heard)
        queue: Any = RowQueue(inbox, outbox)
        if store_settings.database is not None:
            queue = JobWorker(inbox, outbox, store_settings.database)
        inbox.reply_kept = lambda reply: queue.nudge()
        inbox.kept_for_later = queue.nudge
        looking = asyncio.create_task(queue.run())
        try:
            yield Desk(inbox, outbox, answers, wire, store)
        finally:
            await stopped(looking)
            await inbox.drain()
            for close in (writing.close, reading.close, store.close):
                await asyncio.to_thread(close)

    return started


async def until(holds: Callable[[], bool]) -> None:
    async with asyncio.timeout(20):
        while not holds():  # noqa: ASYNC110  what is waited for happens in a thread, or on a server
            await asyncio.sleep(0.02)


async def test_many_conversations_go_side_by_side_and_each_in_order(start: Start) -> None:
    async with start() as desk:

        async def talk(name: int) -> list[bytes]:
            first, turn = await desk.inbox.receive(Message(f"m{name}-0", "0"))
            rest = [
                desk.inbox.receive(Message(f"m{name}-{n}", str(n), conversation=first.conversation))
                for n in range(1, 5)
            ]
            return [turn.answer, *(turn.answer for _, turn in await asyncio.gather(*rest))]

        talks = await asyncio.gather(*(talk(name) for name in range(20)))

        assert all(answers[-1] == b'{"so far":"0>1>2>3>4"}' for answers in talks)
        assert len(desk.answers.asked) == 100
        assert desk.answers.most_at_once > 5
        with desk.store.snapshot() as session:
            assert session.counts().messages == {"answered": 100}


async def test_a_redelivery_waits_for_the_same_answer(start: Start) -> None:
    async with start() as desk:
        turns = await asyncio.gather(*(desk.inbox.receive(Message("m1", "hello")) for _ in range(8)))

        assert len({receipt.conversation for receipt, _ in turns}) == 1
        assert len({turn.quote_id for _, turn in turns}) == 1
        assert desk.answers.asked == ["hello"]
        with pytest.raises(DifferentMessage):
            await desk.inbox.receive(Message("m1", "something else"))


async def test_two_servers_share_conversations(start: Start, store_settings: Settings) -> None:
    if store_settings.database is None:
        pytest.skip("a SQLite store has one server")
    async with start() as one, start() as other:
        desks = (one, other)
        first, _ = await one.inbox.receive(Message("m0", "0"))
        answers = []
        for n in range(1, 12):
            _, turn = await desks[n % 2].inbox.receive(
                Message(f"m{n}", str(n), conversation=first.conversation)
            )
            answers.append(turn.answer)
        both = await asyncio.gather(
            *(
                desks[n % 2].inbox.receive(Message(f"n{n}", "x", conversation=first.conversation))
                for n in range(20)
            )
        )

        assert answers[-1] == b'{"so far":"0>1>2>3>4>5>6>7>8>9>10>11"}'
        assert sorted(turn.turn for _, turn in both) == list(range(12, 32))
        assert len(one.answers.asked) + len(other.answers.asked) == 32


async def test_an_answer_of_another_server_reaches_whoever_waits_here(
    start: Start, store_settings: Settings
) -> None:
    if store_settings.database is None:
        pytest.skip("a SQLite store has one server")
    async with start() as one, start() as other:
        # Held by the first server, which is slow; asked for at the second.
        first, _ = await one.inbox.receive(Message("m0", "0"))
        slow = asyncio.create_task(one.inbox.receive(Message("m1", "1", conversation=first.conversation)))
        _, turn = await other.inbox.receive(Message("m2", "2", conversation=first.conversation))
        await slow

        assert turn.turn in {1, 2}


async def test_a_failure_is_told_tried_again_and_got_by_asking_again(start: Start) -> None:
    async with start() as desk:
        desk.answers.failures["hello"] = 1
        with pytest.raises(AnswerFailed):
            await desk.inbox.receive(Message("m1", "hello"))
        _, turn = await desk.inbox.receive(Message("m1", "hello"))

        assert turn.turn == 0
        assert desk.answers.asked == ["hello", "hello"]


async def test_a_failure_is_tried_again_when_it_is_due_without_being_asked(start: Start) -> None:
    clock = Ahead()
    async with start(clock) as desk:
        desk.answers.failures["hello"] = 1
        with pytest.raises(AnswerFailed):
            await desk.inbox.receive(Message("m1", "hello"))
        clock.by = timedelta(minutes=5)
        await until(lambda: len(desk.answers.asked) == 2)


async def test_what_fails_every_time_is_set_aside_and_the_rest_goes_on(start: Start) -> None:
    async with start() as desk:
        desk.answers.failures["bad"] = 5
        first, _ = await desk.inbox.receive(Message("m0", "good"))
        for _ in range(4):
            with pytest.raises(AnswerFailed):
                await desk.inbox.receive(Message("m1", "bad", conversation=first.conversation))
        with pytest.raises(MessageSetAside):
            await desk.inbox.receive(Message("m1", "bad", conversation=first.conversation))
        _, turn = await desk.inbox.receive(Message("m2", "better", conversation=first.conversation))
        assert turn.answer == b'{"so far":"good>better"}'
        with desk.store.transaction() as session:
            (aside,) = session.aside()
            session.again("message", aside.number, "2026-01-01T00:00:00.000Z")
        _, late = await desk.inbox.receive(Message("m1", "bad", conversation=first.conversation))

        assert late.turn == 2


async def test_a_refused_message_is_refused_again_without_being_read_again(start: Start) -> None:
    async with start() as desk:
        for _ in range(2):
            with pytest.raises(MessageRefused, match="that can't be"):
                await desk.inbox.receive(Message("m1", "refuse"))

        assert desk.answers.asked == ["refuse"]


async def test_a_state_of_an_older_version_is_made_again_from_the_messages(start: Start) -> None:
    async with start() as desk:
        first, _ = await desk.inbox.receive(Message("m0", "0"))
    async with start() as desk:
        await desk.inbox.writing.do(
            lambda s: s._run("update conversations set state = 'old' where id = ?", first.conversation)
        )
        _, turn = await desk.inbox.receive(Message("m1", "1", conversation=first.conversation))

        assert turn.answer == b'{"so far":"0>1"}'


async def test_what_a_gateway_hands_in_is_answered_later_and_sent(start: Start) -> None:
    async with start() as desk:
        for n in range(3):
            receipt = await desk.inbox.keep(
                Message(f"m{n}", str(n), channel="sms", sender="555-0101", thread="555-0101")
            )
            assert receipt.state == "waiting"
        await until(lambda: len(desk.wire.sent) == 3)

        assert [out.body for out in desk.wire.sent] == ["answer to 0", "answer to 1", "answer to 2"]
        assert {out.address for out in desk.wire.sent} == {"555-0101"}
        assert len({out.key for out in desk.wire.sent}) == 3
        again = await desk.inbox.keep(Message("m1", "1", channel="sms", sender="555-0101", thread="555-0101"))
        assert again.state == "answered"
        await asyncio.sleep(0.1)
        assert len(desk.wire.sent) == 3


async def test_a_gateway_that_fails_is_tried_again_in_order_and_gives_up_on_what_can_never_be_sent(
    start: Start,
) -> None:
    clock = Ahead()
    async with start(clock) as desk:
        desk.wire.faults = [NotSent("line is down"), NeverSent("no such number")]
        for n in range(2):
            await desk.inbox.keep(Message(f"m{n}", str(n), channel="sms", sender="1", thread="1"))
        await until(lambda: len(desk.wire.faults) == 1)
        await asyncio.sleep(0.1)
        assert desk.wire.sent == []
        clock.by = timedelta(minutes=2)
        await until(lambda: len(desk.wire.sent) == 1)

        assert desk.wire.sent[0].body == "answer to 1"
        with desk.store.snapshot() as session:
            (aside,) = session.aside()
        assert (aside.kind, aside.reason, aside.attempts) == ("reply", "no such number", 2)


async def test_what_was_kept_when_the_server_died_is_answered_by_the_next(start: Start) -> None:
    async with start() as desk:
        await desk.inbox.writing.do(
            lambda s: s.accept(Message("m1", "left behind"), "2026-01-01T00:00:00.000Z", "talk", 200)
        )
    async with start() as desk:
        await until(lambda: desk.answers.asked == ["left behind"])
        _, turn = await desk.inbox.receive(Message("m1", "left behind"))

        assert turn.turn == 0
        assert desk.answers.asked == ["left behind"]


async def test_a_request_that_fails_takes_none_of_its_batch_with_it(start: Start) -> None:
    async with start() as desk:

        def fail(session: Any) -> None:
            session.begin("half-done", "web", "2026-01-01T00:00:00.000Z")
            raise ZeroDivisionError

        outcomes = await asyncio.gather(
            *(desk.inbox.begin() for _ in range(10)),
            desk.inbox.writing.do(fail),
            *(desk.inbox.begin() for _ in range(10)),
            return_exceptions=True,
        )

        assert sum(isinstance(each, ZeroDivisionError) for each in outcomes) == 1
        with desk.store.snapshot() as session:
            assert session.counts().conversations == 20
            assert not session.exists("half-done")
