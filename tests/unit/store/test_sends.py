"""What staff send, in both stores: once to each reader, taken up again only where nobody can tell whether it went."""

from collections.abc import Callable
from datetime import datetime

import pytest

from bot.store.mail_records import FoundMail, Place
from bot.store.protocol import Store
from bot.watch.depths import depths

NOW, LATER, LATEST = "2026-01-31T09:05:00.000Z", "2026-01-31T09:06:00.000Z", "2026-01-31T09:09:00.000Z"


@pytest.fixture
def mailed(opened: Callable[[], Store]) -> Store:
    store = opened()
    store.watch()
    with store.transaction() as session:
        session.take_mail(
            FoundMail("one", "one", "Dan", "dan@example.com", "Lights", NOW), Place("a", "INBOX", 1, 1), NOW
        )
    return store


def begin(
    store: Store, message: bytes = b"message", kind="reply", to: str = "dan@example.com", at: str = NOW
) -> int | None:
    with store.transaction() as session:
        return session.begin_send(1, kind, to, "quotes@example.org", "i@example.org", message, "clerk", at)


def end(store: Store, number: int, state, reason: str = "") -> None:
    with store.transaction() as session:
        session.end_send(number, state, reason, "550 no", LATER)


def states(store: Store, lost_before: str = NOW) -> list[tuple[str, str, str, int]]:
    with store.snapshot() as session:
        return [
            (each.kind, each.recipient, each.state, each.attempts)
            for each in session.sends_of(1, lost_before)
        ]


def test_a_reply_is_begun_once_and_again_only_after_it_failed(mailed: Store) -> None:
    number = begin(mailed)
    assert number is not None
    assert begin(mailed) is None
    end(mailed, number, "failed", "recipient")
    assert states(mailed) == [("reply", "dan@example.com", "failed", 1)]
    assert begin(mailed, b"another") == number
    end(mailed, number, "sent")
    assert begin(mailed) is None
    assert states(mailed) == [("reply", "dan@example.com", "sent", 2)]
    with mailed.snapshot() as session:
        assert session.sent_message(number) == b"another"


def test_each_reader_gets_one(mailed: Store) -> None:
    assert begin(mailed) is not None
    assert begin(mailed, kind="forward", to="eve@example.org") is not None
    assert begin(mailed, kind="forward", to="eve@example.org") is None
    assert begin(mailed, kind="forward", to="max@example.org") is not None
    assert len(states(mailed)) == 3


def test_what_may_have_gone_goes_again_as_it_was_and_by_a_press_of_its_own(mailed: Store) -> None:
    number = begin(mailed)
    assert number is not None
    with mailed.transaction() as session:
        assert session.send_again(number, 1, "eve", LATER, NOW) is None
    assert states(mailed, LATER)[0][2] == "unsure"
    assert begin(mailed, b"another") is None
    with mailed.transaction() as session:
        assert session.send_again(number, 2, "eve", LATEST, LATER) is None
        taken = session.send_again(number, 1, "eve", LATEST, LATER)
        assert session.send_again(number, 1, "eve", LATEST, LATER) is None
    assert taken == ("quotes@example.org", "dan@example.com", "i@example.org", b"message")
    end(mailed, number, "sent")
    # Whoever began it first wakes up and can't tell.
    end(mailed, number, "unsure")
    assert states(mailed)[0][2] == "sent"


def test_what_did_not_go_is_counted(mailed: Store) -> None:
    for to, state in (("a", "failed"), ("b", "failed"), ("c", "unsure"), ("d", "sent"), ("e", "")):
        number = begin(mailed, to=f"{to}@example.com")
        assert number is not None
        if state:
            end(mailed, number, state)
    with mailed.transaction() as session:
        session.take_mail(
            FoundMail("two", "two", "Eve", "eve@example.com", "Lights", LATER),
            Place("a", "INBOX", 1, 2),
            LATER,
        )
        session.put_mail_back(2, "no quota", LATEST)
    with mailed.snapshot() as session:
        found = depths(session.connection, "", datetime.fromisoformat(LATEST))
    assert found.sends == {"failed": 2, "unsure": 1, "sending": 1}
    assert found.mails == {"open": 2, "troubled": 1}
    assert found.oldest_mail_seconds == 240


def test_what_is_erased_is_gone_and_stays_sent(mailed: Store) -> None:
    number = begin(mailed)
    assert number is not None
    end(mailed, number, "sent")
    with mailed.transaction() as session:
        assert session.clear_sends_of_erased() == 0
        session.connection.run("update mails set erased_at = ? where number = 1", NOW)
        assert session.clear_sends_of_erased() == 1
        assert session.clear_sends_of_erased() == 0
    with mailed.snapshot() as session:
        assert session.sent_message(number) is None
        (only,) = session.sends_of(1, NOW)
    assert "dan" not in repr(only)
    assert only.state == "sent"
