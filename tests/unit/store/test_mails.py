"""Mails of the mail desk in the store: taken once, held by one worker at a time, never kept by who lost them."""

import time
from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

import pytest

from bot.staff import privacy
from bot.store.erasing import Erased
from bot.store.mail_records import FoundMail, MailOutcome, MailWork, Place
from bot.store.protocol import Store
from bot.store.records import LeaseLost

T = TypeVar("T")
NOW = "2026-01-31T09:05:00.000Z"
LATER = "2026-01-31T09:06:00.000Z"
FOUND = FoundMail(
    "one@example.com", "one@example.com", "Dan <dan@example.com>", "dan@example.com", "Lights", NOW
)
PLACE = Place("quotes@example.com at mail", "INBOX", 4_000_000_000, 7)
DRAFT = MailOutcome(
    "draft",
    "request: it asks",
    "12 wall packs",
    b"original",
    b"draft",
    "d@example.org",
    "Dan <dan@example.com>",
)
LAID = Place(PLACE.account, "Drafts", 3_999_999_999, 2)


def take(store: Store, found: FoundMail = FOUND, place: Place = PLACE, now: str = NOW) -> MailWork | None:
    with store.transaction() as session:
        return session.take_mail(found, place, now)


@pytest.fixture
def worker(opened: Callable[[], Store]) -> Callable[[], Store]:
    def one() -> Store:
        store = opened()
        store.watch()
        return store

    return one


def test_a_mail_goes_from_taken_to_settled_with_its_draft_byte_for_byte(worker: Callable[[], Store]) -> None:
    store = worker()
    work = take(store)
    assert work == MailWork(1, "taken", 0)
    with store.transaction() as session:
        session.keep_outcome(1, DRAFT, NOW)
    with store.transaction() as session:
        assert session.open_mails(PLACE.account, "INBOX", LATER) == []
        assert session.untagged(PLACE.account, "INBOX", PLACE.validity) == []
        session.keep_laid(1, LAID, LATER)
    with store.transaction() as session:
        assert session.quiet_places(PLACE.account, "INBOX", PLACE.validity, 1, NOW) == {7}
        assert session.untagged(PLACE.account, "INBOX", PLACE.validity) == [(7, "draft")]
        session.keep_tagged([PLACE], "there")
    with store.snapshot() as session:
        assert session.untagged(PLACE.account, "INBOX", PLACE.validity) == []
        assert session.quiet_places(PLACE.account, "INBOX", PLACE.validity, 1, NOW) == {7}
        assert session.quiet_places(PLACE.account, "INBOX", PLACE.validity, 8, NOW) == set()
        assert session.quiet_places(PLACE.account, "INBOX", 5, 1, NOW) == set()
        assert session.mail_draft(1) == b"draft"
        assert session.mail_original(1) == b"original"
        kept = session.mail(1)
        assert kept is not None
        assert kept.places == (PLACE,)
        assert kept.draft_at == replace(LAID, account="")
        assert (kept.state, kept.decision, kept.kind, kept.draft_to) == (
            "settled",
            "draft",
            "request",
            DRAFT.draft_to,
        )
        assert session.mail_counts() == {"settled": 1}
    assert take(store) is None


def test_a_mail_without_a_draft_is_settled_when_it_is_decided(worker: Callable[[], Store]) -> None:
    store = worker()
    take(store)
    with store.transaction() as session:
        session.keep_outcome(1, MailOutcome("none", "bounce: its return path is empty"), NOW)
        assert session.untagged(PLACE.account, "INBOX", PLACE.validity) == [(7, "none")]
    with pytest.raises(LeaseLost), store.transaction() as session:
        session.keep_laid(1, LAID, NOW)


def test_the_same_message_id_elsewhere_is_the_same_mail(worker: Callable[[], Store]) -> None:
    store = worker()
    take(store)
    with store.transaction() as session:
        session.keep_outcome(1, DRAFT, NOW)
        session.keep_laid(1, None, NOW)
    elsewhere = replace(PLACE, validity=5, uid=1)
    assert take(store, place=elsewhere) is None
    with store.snapshot() as session:
        assert session.untagged(PLACE.account, "INBOX", 5) == [(1, "draft")]
        assert len(session.latest_mails(None, 9)) == 1


def test_a_message_id_that_somebody_else_uses_again_loses_nothing(worker: Callable[[], Store]) -> None:
    store = worker()
    take(store)
    other = replace(FOUND, mailbox="eve@example.com", sender="eve@example.com")
    work = take(store, other, replace(PLACE, uid=8))
    assert work is not None
    assert work.clashes
    assert work.number == 2
    again = take(store, other, replace(PLACE, uid=8))
    assert again is not None
    assert again.number == 2


def test_two_workers_never_hold_one_mail(worker: Callable[[], Store]) -> None:
    one, two = worker(), worker()
    assert take(one) is not None
    assert take(two) is None
    with two.transaction() as session:
        assert session.free_mails_of_the_dead() == 0
        assert session.open_mails(PLACE.account, "INBOX", NOW) == []
    with pytest.raises(LeaseLost), two.transaction() as session:
        session.keep_outcome(1, DRAFT, NOW)


def soon(asked: Callable[[], T]) -> T:
    """What a question comes to: a database lets go of what a closed connection held a moment after the close."""
    until = time.monotonic() + 10
    while not (answer := asked()) and time.monotonic() < until:
        time.sleep(0.02)
    return answer


def free_the_dead(store: Store) -> int:
    with store.transaction() as session:
        freed: int = session.free_mails_of_the_dead()
    return freed


def free_and_hold(store: Store) -> MailWork | None:
    with store.transaction() as session:
        session.free_mails_of_the_dead()
        return session.hold_mail(1, NOW)


def test_what_a_dead_worker_held_is_free_and_not_its_own_any_more(worker: Callable[[], Store]) -> None:
    one, two = worker(), worker()
    take(one)
    with one.transaction() as session:
        session.keep_outcome(1, DRAFT, NOW)
    one.close()
    assert soon(lambda: free_the_dead(two)) == 1
    with two.transaction() as session:
        assert session.open_mails(PLACE.account, "INBOX", NOW) == [(1, PLACE)]
        work = session.hold_mail(1, NOW)
    assert work == MailWork(1, "decided", 0, False, "draft", b"draft", "d@example.org")


def test_a_worker_that_begins_anew_finds_what_its_number_left(worker: Callable[[], Store]) -> None:
    one = worker()
    take(one)
    one.close()
    two = worker()
    assert soon(lambda: free_and_hold(two)) == MailWork(1, "taken", 0)


def test_trouble_is_shown_and_waited_out(worker: Callable[[], Store]) -> None:
    store = worker()
    take(store)
    with store.transaction() as session:
        session.keep_outcome(1, DRAFT, NOW)
        session.put_mail_back(1, "quota: Drafts is full", LATER)
    with store.transaction() as session:
        assert session.mails_in_trouble() == 1
        assert session.next_mail_due() == LATER
        assert session.quiet_places(PLACE.account, "INBOX", PLACE.validity, 1, NOW) == {7}
        assert session.quiet_places(PLACE.account, "INBOX", PLACE.validity, 1, LATER) == set()
        assert session.hold_mail(1, NOW) is None
        assert session.open_mails(PLACE.account, "INBOX", NOW) == []
        assert session.open_mails(PLACE.account, "INBOX", LATER) == [(1, PLACE)]
        assert session.hold_mail(1, LATER) is not None
        session.keep_laid(1, LAID, LATER)
        assert session.mails_in_trouble() == 0


def test_readings_are_counted_before_they_are_begun(worker: Callable[[], Store]) -> None:
    one = worker()
    take(one)
    with one.transaction() as session:
        session.begin_reading(1)
    one.close()
    two = worker()
    with two.transaction() as session:
        session.free_mails_of_the_dead()
        work = session.hold_mail(1, NOW)
        session.put_mail_back(1, "failed: over it", None)
        again = session.hold_mail(1, NOW)
        session.put_mail_back(1, "failed: over it", None, counted=True)
        third = session.hold_mail(1, NOW)
    assert [each and each.attempts for each in (work, again, third)] == [1, 2, 2]


def test_a_mail_that_went_away_unread_and_comes_back_is_read(worker: Callable[[], Store]) -> None:
    store = worker()
    take(store)
    with store.transaction() as session:
        session.keep_outcome(
            1, MailOutcome("none", "gone: it was taken out of its folder before it was read"), NOW
        )
    work = take(store, place=replace(PLACE, uid=9))
    assert work is not None
    assert work.state == "taken"


def test_a_store_that_works_on_no_mail_holds_none(opened: Callable[[], Store]) -> None:
    assert take(opened()) is None


def test_a_persons_mails_are_found_taken_out_and_erased_and_not_answered_anew(
    worker: Callable[[], Store],
) -> None:
    store = worker()
    take(store)
    take(
        store,
        replace(FOUND, identity="two@example.com", mailbox="ann@example.com", sender="ann@example.com"),
        replace(PLACE, uid=8),
    )
    with store.transaction() as session:
        session.keep_outcome(1, DRAFT, NOW)
        session.keep_laid(1, LAID, NOW)
        session.begin_send(
            1, "reply", "dan@example.com", "quotes@example.org", "d@example.org", b"bytes", "maria", NOW
        )
    with store.transaction() as session:
        connection = session.connection
        assert privacy.found(connection, "sender", "Dan@example.com") == ["mail:1"]
        assert privacy.found(connection, "sender", "an@example.com") == []
        assert privacy.found(connection, "customer", "dan") == ["mail:1"]
        taken = privacy.taken_out(connection, ["mail:1", "mail:77"], NOW)["mails"]
        assert [(each["sender"], each["text"]) for each in taken] == [
            ("Dan <dan@example.com>", "12 wall packs")
        ]
        assert privacy.erased(connection, ["mail:1", "mail:2"], NOW) == Erased(mails=2)
        assert privacy.found(connection, "sender", "dan@example.com") == []
        assert session.sent_message(1) is None
        assert [sent.recipient for sent in session.sends_of(1, NOW)] == ["erased 1"]
        for number in (1, 2):
            kept = session.mail(number)
            assert kept is not None
            assert (kept.sender, kept.subject, kept.text, kept.message_id, kept.draft_to) == (
                "",
                "",
                "",
                "",
                "",
            )
            assert not kept.has_draft
            assert not kept.has_original
            assert kept.erased_at == NOW
    assert take(store, place=replace(PLACE, uid=9)) is None


def test_old_mails_are_purged(worker: Callable[[], Store]) -> None:
    store = worker()
    take(store)
    with store.transaction() as session:
        assert privacy.purge_some(session.connection, NOW, LATER) == Erased()
        assert privacy.purge_some(session.connection, LATER, LATER) == Erased(mails=1)
        assert privacy.purge_some(session.connection, LATER, LATER) == Erased()


def test_what_a_worker_was_kept_from_ending_is_free_at_its_next_look(worker: Callable[[], Store]) -> None:
    store = worker()
    take(store)
    with store.transaction() as session:
        assert session.open_mails(PLACE.account, "INBOX", NOW) == []
        assert session.free_mails_of_the_dead() == 1
        assert session.open_mails(PLACE.account, "INBOX", NOW) == [(1, PLACE)]
