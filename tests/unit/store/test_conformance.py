"""What every store must hold to, one suite for both."""

import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from bot.contents import Versions
from bot.pressing import Change
from bot.store.protocol import Store
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
)
from bot.store.session import Session
from tests.unit.store.conftest import VERSIONS, draft

NOW = "2026-01-31T09:05:00.000Z"
LATER = "2026-01-31T09:06:00.000Z"
FAR = "2026-01-31T10:00:00.000Z"


def accept(store: Store, name: str, talk: str | None = None, later: bool = False, **more: Any) -> Receipt:
    with store.transaction() as session:
        message = Message(name, more.pop("text", f"text of {name}"), conversation=talk, **more)
        fresh = f"talk-of-{name}" if message.channel == "web" else f"talk-of-{message.channel}-{name}"
        return session.accept(message, NOW, fresh, 200, later=later)


def turn_of(work: Work, quote: str | None = None) -> KeptTurn:
    return KeptTurn(
        work.turns, work.message_id, work.received_at, work.text, "[]", None, '{"intent":"quote"}', b'{"text":"answer"}', quote
    )  # fmt: skip


def settled(
    session: Session, work: Work, quote: DraftQuote | None = None, name: str = "q", body: str | None = None
) -> Settled:
    return session.settle(
        work, turn_of(work, name if quote else None), state='{"n":1}', language="en", asks="job.rate_per_kwh",
        quote=quote, body=body, now=NOW,
    )  # fmt: skip


def settle(store: Store, work: Work | None, *given: Any, **named: Any) -> Settled:
    assert work is not None
    with store.transaction() as session:
        return settled(session, work, *given, **named)


def undone(store: Store, change: Callable[[Session], object]) -> None:
    """Makes a change and breaks off before its transaction ends."""

    def broken_off() -> None:
        with store.transaction() as session:
            change(session)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        broken_off()


def test_a_message_is_there_for_everybody_once_it_was_accepted(store: Store) -> None:
    receipt = accept(store, "m1")

    assert receipt.state == "waiting"
    assert receipt.conversation == "talk-of-m1"
    assert receipt.work is not None
    assert receipt.work.text == "text of m1"
    with store.snapshot() as session:
        assert session.waiting() == 1
        assert session.exists("talk-of-m1")


def test_a_body_that_raises_has_changed_nothing(store: Store) -> None:
    undone(store, lambda session: session.accept(Message("m1", "hi"), NOW, "talk", 200))
    with store.snapshot() as session:
        assert not session.exists("talk")
        assert session.counts().conversations == 0


def test_an_answer_is_kept_whole_or_not_at_all(store: Store) -> None:
    work = accept(store, "m1").work
    assert work is not None
    undone(store, lambda session: settled(session, work, draft()))
    with store.snapshot() as session:
        assert session.turns("talk-of-m1") == []
        assert session.quote("q") is None
        assert session.conversation("talk-of-m1") == (None, (), "en", None)
        assert session.counts().replies == {}
    kept = settle(store, work, draft()).turn
    with store.snapshot() as session:
        assert session.turns("talk-of-m1") == [kept]
        assert session.quote("q") is not None
        assert session.conversation("talk-of-m1") == ('{"n":1}', ("text of m1",), "en", "job.rate_per_kwh")
        assert session.counts().replies == {"waiting": 1}


def test_a_message_that_comes_again_gets_the_same_turn(store: Store) -> None:
    first = accept(store, "m1")
    kept = settle(store, first.work).turn
    again = accept(store, "m1")
    inside = accept(store, "m1", first.conversation)

    assert again.already
    assert again.turn == inside.turn == kept
    assert again.conversation == first.conversation
    with store.snapshot() as session:
        assert session.counts().messages == {"answered": 1}


def test_an_id_is_for_one_text_of_one_conversation(store: Store) -> None:
    accept(store, "m1")
    other = accept(store, "m2")
    for change in (
        {"text": "another"},
        {"talk": other.conversation},
        {"changes": (Change("job.rate_per_kwh", 0.1),)},
    ):
        with pytest.raises(DifferentMessage):
            accept(store, "m1", **change)


def test_the_same_id_on_another_channel_is_another_message(store: Store) -> None:
    accept(store, "m1")

    assert not accept(store, "m1", channel="sms", text="else").already


def test_pressed_slots_come_back_as_they_were(store: Store) -> None:
    changes = (
        Change("job.rate_per_kwh", 0.31),
        Change("lines.0.controls", ["dim"]),
        Change("lines.0.qty", None),
    )
    work = accept(store, "m1", changes=changes).work

    assert work is not None
    assert work.changes == changes
    assert accept(store, "m1", changes=changes).already


def test_nothing_is_accepted_into_a_conversation_that_is_not_there_or_full(store: Store) -> None:
    with pytest.raises(UnknownConversation):
        accept(store, "m1", "nowhere")
    settle(store, accept(store, "m2").work)
    with store.transaction() as session, pytest.raises(TooManyTurns):
        session.accept(Message("m3", "x", conversation="talk-of-m2"), NOW, "fresh", 1)
    with store.snapshot() as session:
        assert session.counts().messages == {"answered": 1}


def test_messages_of_a_conversation_are_handed_out_one_by_one_in_order(store: Store) -> None:
    first = accept(store, "m1")
    behind = [accept(store, name, first.conversation) for name in ("m2", "m3")]

    assert [each.work for each in behind] == [None, None]
    second = settle(store, first.work).next
    third = settle(store, second).next
    assert settle(store, third).next is None
    with store.snapshot() as session:
        assert [turn.message_id for turn in session.turns(first.conversation)] == ["m1", "m2", "m3"]
        assert [turn.turn for turn in session.turns(first.conversation)] == [0, 1, 2]
    assert accept(store, "m4", first.conversation).work is not None


def test_one_server_at_a_time_holds_a_conversation(store: Store, opened: Callable[[], Store]) -> None:
    if not store.shared:
        pytest.skip("a SQLite store has one server")
    other = opened()
    other.serve()
    first = accept(store, "m1")
    with other.transaction() as session:
        assert session.take(first.conversation) is None
    # A message that comes in at the other server is seen by the holder.
    assert accept(other, "m2", first.conversation).work is None
    following = settle(store, first.work).next
    assert following is not None
    assert following.message_id == "m2"
    with pytest.raises(LeaseLost):
        settle(other, following)
    settle(store, following)
    assert accept(other, "m3", first.conversation).work is not None


def test_what_a_dead_server_held_goes_to_whoever_looks(store: Store, opened: Callable[[], Store]) -> None:
    if not store.shared:
        pytest.skip("a SQLite store has one server; what it held is free when the next one starts")
    dying = opened()
    dying.serve()
    first = accept(dying, "m1")
    with store.transaction() as session:
        assert session.free_the_dead() == 0
    dying.close()
    until = time.monotonic() + 10
    freed = 0
    while not freed and time.monotonic() < until:  # The database notices a moment later.
        with store.transaction() as session:
            freed = session.free_the_dead()
    assert freed == 1
    with store.transaction() as session:
        assert session.free_conversations(NOW, FAR) == [first.conversation]
        work = session.take(first.conversation)
    assert settle(store, work).turn is not None


def test_an_answer_worked_out_twice_is_kept_once(store: Store) -> None:
    work = accept(store, "m1").work
    first = settle(store, work, draft(), "q1")
    again = settle(store, work, draft(), "q2")

    assert again.turn == first.turn
    with store.snapshot() as session:
        assert session.quote("q2") is None
        assert session.counts().quotes == 1


def test_what_failed_waits_with_all_behind_it_and_is_found_when_due(store: Store) -> None:
    first = accept(store, "m1")
    accept(store, "m2", first.conversation)
    assert first.work is not None
    with store.transaction() as session:
        assert session.put_back(first.work, "no luck", LATER, NOW).next is None
    with store.transaction() as session:
        assert session.free_conversations(NOW, FAR) == []
        assert session.free_conversations(LATER, FAR) == [first.conversation]
        work = session.take(first.conversation)
    assert work is not None
    assert (work.message_id, work.attempts) == ("m1", 1)


def test_a_next_try_written_by_a_clock_that_was_ahead_is_not_waited_for(store: Store) -> None:
    first = accept(store, "m1")
    assert first.work is not None
    with store.transaction() as session:
        session.put_back(first.work, "no luck", "2031-01-01T00:00:00.000Z", NOW)
        assert session.free_conversations(NOW, FAR) == [first.conversation]


def test_asked_for_again_a_waiting_message_is_tried_at_once(store: Store) -> None:
    first = accept(store, "m1")
    assert first.work is not None
    with store.transaction() as session:
        session.put_back(first.work, "no luck", LATER, NOW)
    work = accept(store, "m1").work

    assert work is not None
    assert work.attempts == 1


def test_what_failed_for_good_is_set_aside_listed_and_can_be_run_again(store: Store) -> None:
    first = accept(store, "m1")
    accept(store, "m2", first.conversation)
    assert first.work is not None
    with store.transaction() as session:
        following = session.put_back(first.work, "the program failed", None, NOW).next
    assert following is not None
    assert following.message_id == "m2"
    settle(store, following)
    assert accept(store, "m1").state == "aside"
    with store.transaction() as session:
        (aside,) = session.aside()
        assert (aside.kind, aside.number, aside.reason) == ("message", first.number, "the program failed")
        assert session.again("message", first.number, NOW)
        assert not session.again("message", first.number, NOW)
        assert session.aside() == []
        work = session.take(first.conversation)
    assert work is not None
    assert (work.message_id, work.attempts, work.turns) == ("m1", 0, 1)
    settle(store, work)


def test_a_refused_message_is_no_turn_and_stays_refused(store: Store) -> None:
    first = accept(store, "m1")
    assert first.work is not None
    with store.transaction() as session:
        assert session.refuse(first.work, "that can't be", None, NOW).next is None
    again = accept(store, "m1")

    assert (again.state, again.reason) == ("refused", "that can't be")
    with store.snapshot() as session:
        assert session.turns(first.conversation) == []


def test_a_message_for_later_is_held_by_nobody(store: Store) -> None:
    receipt = accept(store, "m1", later=True)

    assert receipt.work is None
    with store.transaction() as session:
        assert session.free_conversations(NOW, FAR) == [receipt.conversation]


def test_a_thread_is_one_conversation(store: Store) -> None:
    first = accept(store, "m1", channel="sms", sender="555-0101", thread="555-0101")
    second = accept(store, "m2", channel="sms", sender="555-0101", thread="555-0101")
    other = accept(store, "m3", channel="sms", sender="555-0102", thread="555-0102")

    assert second.conversation == first.conversation != other.conversation


def reply_to(store: Store, name: str, talk: str | None = None) -> tuple[int, str]:
    receipt = accept(store, name, talk, channel="sms", sender="555-0101", thread=None)
    reply = settle(store, receipt.work, body=f"answer to {name}").reply
    assert reply is not None
    return reply, receipt.conversation


def test_a_reply_goes_out_once_and_in_order(store: Store) -> None:
    first, talk = reply_to(store, "m1")
    second, _ = reply_to(store, "m2", talk)
    with store.transaction() as session:
        assert session.due_replies(NOW, FAR) == [first]
        outgoing = session.outgoing(first)
        assert outgoing is not None
        assert (outgoing.address, outgoing.body, outgoing.in_reply_to) == ("555-0101", "answer to m1", "m1")
        assert session.outgoing(second) is None, "it would overtake"
        assert session.sent(first, NOW) == second
        assert session.outgoing(first) is None
        assert session.outgoing(second) is not None
        assert session.sent(second, NOW) is None
        assert session.due_replies(NOW, FAR) == []
        assert session.counts().replies == {"sent": 2}


def test_a_reply_that_fails_is_tried_again_then_set_aside_and_can_be_sent_again(store: Store) -> None:
    reply, _ = reply_to(store, "m1")
    with store.transaction() as session:
        session.not_sent(reply, "line is down", LATER)
    with store.transaction() as session:
        assert session.due_replies(NOW, FAR) == []
        assert session.due_replies(LATER, FAR) == [reply]
        session.not_sent(reply, "no such number", None)
        assert session.due_replies(LATER, FAR) == []
        (aside,) = session.aside()
        assert (aside.kind, aside.number, aside.attempts, aside.reason) == (
            "reply",
            reply,
            2,
            "no such number",
        )
        assert session.again("reply", reply, NOW)
        assert session.due_replies(NOW, FAR) == [reply]
        outgoing = session.outgoing(reply)
        assert outgoing is not None
        assert outgoing.attempts == 0


def test_a_reply_that_its_sender_fetches_is_marked_and_never_sent(store: Store) -> None:
    receipt = accept(store, "m1")
    assert settle(store, receipt.work).reply is None
    with store.transaction() as session:
        assert session.due_replies(LATER, FAR) == []
        session.fetched([receipt.number], NOW)
        assert session.counts().replies == {"sent": 1}


def test_a_quote_comes_back_as_it_was_kept(store: Store) -> None:
    versions = replace(VERSIONS, tariff="tariff")
    with store.transaction() as session:
        session.keep_quote("q1", draft("abc", versions=versions), NOW)
    with store.snapshot() as session:
        kept = session.quote("q1")
        assert session.quote("q2") is None

    assert kept is not None
    assert kept.quote == {"digest": "abc"}
    assert kept.versions == versions
    assert kept.reading == {"intent": "quote"}
    assert (kept.revision, kept.revises, kept.conversation) == (1, None, None)


def test_the_same_quote_is_not_kept_twice_and_another_is_its_next_revision(store: Store) -> None:
    names = []
    talk: str | None = None
    for number, quote in enumerate(
        (
            draft("a"),
            draft("a"),
            draft("b"),
            draft("b", versions=Versions("program", "new", "t", "t")),
            draft("c", goes_on=False),
        )
    ):
        receipt = accept(store, f"m{number}", talk)
        talk = receipt.conversation
        turn = settle(store, receipt.work, quote, f"q{number}").turn
        assert turn is not None
        names.append(turn.quote_id)

    assert names == ["q0", "q0", "q2", "q3", "q4"]
    with store.snapshot() as session:
        kept = [session.quote(name) for name in ("q0", "q2", "q3", "q4")]
        assert session.revisions_of("q0") == ["q2"]
    assert [(k.revision, k.revises) for k in kept if k] == [(1, None), (2, "q0"), (3, "q2"), (1, None)]
    assert all(k is not None and k.conversation == talk for k in kept)


def test_pieces_are_kept_once_by_their_hash(store: Store) -> None:
    with store.transaction() as session:
        session.keep_pieces({"h1": b"one", "h2": b"two"})
        session.keep_pieces({"h2": b"two", "h3": b"three"})
    with store.snapshot() as session:
        assert [session.piece(name) for name in ("h1", "h2", "h3")] == [b"one", b"two", b"three"]
        with pytest.raises(KeyError):
            session.piece("h4")


def test_what_was_kept_is_there_when_the_store_is_opened_again(
    store: Store, opened: Callable[[], Store]
) -> None:
    receipt = accept(store, "m1")
    kept = settle(store, receipt.work, draft()).turn
    store.close()
    with opened().snapshot() as session:
        assert session.turns(receipt.conversation) == [kept]


@pytest.mark.parametrize(
    "text", ["naïve ½ ½ 'quoted' \"double\" 100% ? %s \\ \n\t", "日本語 🚦", "x" * 20_000]
)
def test_any_text_comes_back_as_it_was(store: Store, text: str) -> None:
    receipt = accept(store, "m1", text=text)
    settle(store, receipt.work)
    with store.snapshot() as session:
        assert session.turns(receipt.conversation)[0].text == text
