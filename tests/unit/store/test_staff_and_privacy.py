"""Staff, links, and a person's data taken out and erased with the books kept: the same on both stores."""

import json
import sqlite3
import zlib
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from bot.answering import Before, Question, answered
from bot.assistant import Assistant
from bot.contents import Versions
from bot.opening import open_catalogue, open_tables, open_tariff, open_terms
from bot.settings import Settings
from bot.staff import privacy
from bot.staff.faults import StaffFault
from bot.staff.roll import Roll
from bot.staff.secrets import kept_form
from bot.store.erasing import ERASED, Erased, normal_address
from bot.store.listing import latest_talks, quotes_since, ticket_of, whole_talk
from bot.store.protocol import Store
from bot.store.records import KeptTurn, Message, changes_text
from tests.unit.store.conftest import draft

AT = "2026-05-01T08:00:00.000Z"
LATER = "2026-05-02T08:00:00.000Z"
TEXT = "Hi, Maria Lopez here, 555-0134. customer: Lopez Bakery, twelve 250W wallpacks at 20 ft in Toledo 43604, $0.11/kWh, dusk-to-dawn"
PERSONAL = ("Maria", "555-0134", "Lopez", "Toledo", "43604", "maria@example.com", "+15550134")


@pytest.fixture(scope="module")
def assistant() -> Assistant:
    return Assistant(open_catalogue(None), open_tables(None), open_terms(None), open_tariff(None))


def talked(
    store: Store,
    assistant: Assistant,
    name: str,
    *,
    text: str = TEXT,
    channel: str = "mail",
    sender: str | None = "maria@example.com",
    at: str = AT,
) -> str:
    """A conversation of one message with its answer, quote and reply, as the inbox keeps it; gives the quote's id."""
    outcome: Any = answered(
        assistant, Versions("p", "c", "t", "m"), Question(Before(), text, form="email_text")
    )
    with store.transaction() as session:
        message = Message(
            f"{name}-message-{at}", text, channel=channel, sender=sender, request_id=f"request-of-{name}"
        )
        receipt = session.accept(message, at, name, 100)
        assert receipt.work is not None
        turn = KeptTurn(
            0,
            message.id,
            at,
            text,
            changes_text(()),
            None,
            outcome.reading,
            outcome.answer,
            f"quote-of-{name}",
        )
        session.settle(
            receipt.work,
            turn,
            state=outcome.after.state,
            language="en",
            asks=None,
            quote=outcome.quote,
            body=outcome.body,
            now=at,
        )
    return f"quote-of-{name}"


def everything(store: Store) -> str:
    """All text that the store holds, unpacked."""
    out = []
    with store.snapshot() as session:
        for table in ("conversations", "messages", "outbox", "quotes", "quote_links", "staff_acts"):
            for row in session.connection.rows(f"select * from {table}"):  # noqa: S608  names above
                out += [
                    zlib.decompress(cell).decode() if isinstance(cell, bytes) else str(cell) for cell in row
                ]
    return "\n".join(out)


# Finding


@pytest.mark.parametrize(
    ("kind", "value", "found"),
    [
        ("sender", "MARIA@example.com ", ["one", "two"]),
        ("sender", "maria@example.co", []),
        ("sender", "(419) 555-0134", ["three"]),
        ("sender", "419.555.0134", ["three"]),
        ("sender", "4195550135", []),
        ("customer", "lopez  BAKERY", ["one", "three"]),
        ("customer", "Lopez", []),
        ("customer", "%", []),
        ("conversation", "two", ["two"]),
        ("conversation", "t%", []),
    ],
)
def test_a_person_is_found_however_the_address_is_written(
    store: Store, assistant: Assistant, kind: privacy.Kind, value: str, found: list[str]
) -> None:
    talked(store, assistant, "one")
    talked(store, assistant, "two", text="8 troffers 4 lamp t8")
    talked(store, assistant, "three", channel="sms", sender="+1 419 555 0134")
    talked(store, assistant, "four", text="8 floods 400w", channel="web", sender=None)
    with store.snapshot() as session:
        assert sorted(privacy.found(session.connection, kind, value)) == sorted(found)


def test_addresses_compare_as_people_mean_them() -> None:
    assert normal_address("+1 (419) 555-0134") == normal_address("419-555-0134")
    assert normal_address(" A@Example.com") == "a@example.com"
    assert normal_address("5550134@example.com") == "5550134@example.com"


# Taking out


def test_what_is_taken_out_holds_all_that_is_kept_of_a_person_and_nothing_of_others(
    store: Store, assistant: Assistant
) -> None:
    talked(store, assistant, "one")
    talked(store, assistant, "other", text="8 troffers for the other customer", sender="other@example.com")
    with store.snapshot() as session:
        whole = privacy.taken_out(session.connection, ["one", "nobody"], LATER)
    text = json.dumps(whole, allow_nan=False)
    (talk,) = whole["conversations"]

    assert talk["messages"][0]["text"] == TEXT
    assert talk["messages"][0]["sender"] == "maria@example.com"
    assert talk["messages"][0]["request_id"] == "request-of-one"
    assert talk["messages"][0]["reading"]["job"]["customer"] == "Lopez Bakery"
    assert talk["messages"][0]["answer"]["card"]["kind"] == "quote"
    assert talk["replies"][0]["address"] == "maria@example.com"
    assert "Saves about" in talk["replies"][0]["body"]
    assert talk["quotes"][0]["quote"]["totals"]["net_cost"]
    assert "other@example.com" not in text


# Erasing


def test_erasing_leaves_the_figures_and_nothing_of_the_person(store: Store, assistant: Assistant) -> None:
    name = talked(store, assistant, "one")
    talked(store, assistant, "other", text="8 troffers 4 lamp t8", sender="other@example.com")
    with store.transaction() as session:
        Roll(session.connection).add_link("link", kept_form("secret"), name, "clerk", AT, LATER)
    with store.snapshot() as session:
        before, other = session.quote(name), session.turns("other")
    assert before is not None
    assert all(word in everything(store) for word in PERSONAL[:5])

    with store.transaction() as session:
        done = privacy.erased(session.connection, ["one", "one", "nobody"], LATER)
    with store.snapshot() as session:
        after = session.quote(name)
        assert session.turns("one") == []
        assert not session.exists("one")
        assert session.turns("other") == other
        assert Roll(session.connection).link_of(kept_form("secret")) is None
        (listed,) = [each for each in quotes_since(session.connection, "2026", "2027", 10) if each.id == name]

    assert done == Erased(1, 1, 1, 1)
    assert after is not None
    assert after.conversation is None
    assert (before.erased_at, after.erased_at) == (None, LATER)
    assert listed.erased_at == LATER
    held = everything(store)
    for word in PERSONAL:
        assert word not in held, word
    # The books: every number of the quote is what it was.
    assert numbers(after.quote) == numbers(before.quote)
    assert numbers(after.figures) == numbers(before.figures)
    assert after.quote["totals"] == before.quote["totals"]
    assert after.request["lines"] == before.request["lines"]
    assert "customer" not in after.request["job"]
    assert after.reading is None


def numbers(node: Any) -> list[Any]:
    """Every number of a JSON value, money written as text too, in order."""
    if isinstance(node, dict):
        return [n for value in node.values() for n in numbers(value)]
    if isinstance(node, list):
        return [n for value in node for n in numbers(value)]
    if isinstance(node, str):
        return [node] if node.replace(".", "").replace("-", "").isdigit() and node != "43604" else []
    return [] if node is None or isinstance(node, bool) else [node]


def test_erasing_what_is_being_answered_lets_nothing_come_back(store: Store, assistant: Assistant) -> None:
    with store.transaction() as session:
        receipt = session.accept(
            Message("m1", TEXT, channel="mail", sender="maria@example.com"), AT, "one", 100
        )
    work = receipt.work
    assert work is not None
    with store.transaction() as session:
        privacy.erased(session.connection, ["one"], LATER)
    outcome: Any = answered(assistant, Versions("p", "c", "t", "m"), Question(Before(), TEXT))
    turn = KeptTurn(0, "m1", AT, TEXT, "[]", None, outcome.reading, outcome.answer, "quote-late")
    with pytest.raises(Exception, match="taken"), store.transaction() as session:
        session.settle(
            work, turn, state="{}", language="en", asks=None, quote=outcome.quote, body=None, now=LATER
        )

    assert "Lopez" not in everything(store)


def test_words_of_a_person_are_cleared_wherever_they_stand_and_short_ones_are_not_hunted(
    store: Store,
) -> None:
    from bot.store.erasing import cleared_body

    whole = {
        "request": {
            "job": {"customer": "Ann Arbor Signs", "site": "B", "place": {"city": "Erie", "state": "PA"}},
            "lines": [],
        },
        "reading": {"text": "all of it"},
        "quote": {
            "lines": [{"title": "8 lights, ann arbor signs"}],
            "totals": {"net_cost": "12.00"},
            "note": "B is a letter",
        },
        "figures": {"figures": [{"origin": {"source": "daylight at Erie, PA"}}]},
    }
    cleared = cleared_body(whole)

    assert cleared == {
        "request": {"job": {"place": {"state": "PA"}}, "lines": []},
        "reading": None,
        "quote": {"lines": [{"title": ERASED}], "totals": {"net_cost": "12.00"}, "note": "B is a letter"},
        "figures": {"figures": [{"origin": {"source": ERASED}}]},
    }
    assert whole["reading"] == {"text": "all of it"}


def test_what_was_erased_is_in_no_file_of_the_store(
    store: Store, store_settings: Settings, assistant: Assistant
) -> None:
    if store_settings.database is not None:
        pytest.skip("PostgreSQL's files are its own; it writes over what vacuum has freed")
    talked(store, assistant, "one", text=TEXT + " and the word xylophonist")
    for number in range(3):
        talked(store, assistant, f"other{number}", text="8 troffers 4 lamp t8", sender="other@example.com")
    files = [store_settings.sqlite_file, store_settings.sqlite_file.with_name("wattclerk.db-wal")]
    assert any(b"xylophonist" in file.read_bytes() for file in files if file.exists())
    with store.transaction() as session:
        privacy.erased(session.connection, ["one"], LATER)
    store.sweep()

    for file in files:
        if file.exists():
            body = file.read_bytes()
            assert b"xylophonist" not in body
            assert b"maria@example.com" not in body
    check = sqlite3.connect(store_settings.sqlite_file)
    assert check.execute("pragma integrity_check").fetchone() == ("ok",)
    assert check.execute("pragma foreign_key_check").fetchall() == []
    check.close()


def test_the_sweep_works_on_either_store(store: Store) -> None:
    store.sweep()


def test_what_nobody_touched_for_long_goes_and_the_rest_stays(store: Store, assistant: Assistant) -> None:
    talked(store, assistant, "old", at="2024-01-01T00:00:00.000Z")
    kept = talked(store, assistant, "new", text="8 troffers 4 lamp t8")
    with store.transaction() as session:
        session.begin("empty", "web", "2024-01-01T00:00:00.000Z")
        session.keep_quote(
            "loose", replace(draft(), body=json_packed(customer="Lopez Bakery")), "2024-01-01T00:00:00.000Z"
        )
    rounds = []
    while True:
        with store.transaction() as session:
            rounds.append(privacy.purge_some(session.connection, "2025-01-01T00:00:00.000Z", LATER))
        if rounds[-1] == Erased():
            break

    assert sum(rounds, Erased()) == Erased(2, 1, 1, 2)
    assert "Lopez" not in everything(store)
    with store.snapshot() as session:
        assert session.exists("new")
        assert session.quote(kept) is not None
        assert session.quote("loose") is not None
        assert session.quote("quote-of-old") is not None


def json_packed(customer: str) -> bytes:
    from bot.store.records import packed

    return packed(
        {
            "request": {"job": {"customer": customer}},
            "reading": None,
            "quote": {"note": customer},
            "figures": {},
        }
    )


# What staff look at


def test_the_list_shows_the_latest_message_of_each_conversation(store: Store, assistant: Assistant) -> None:
    for number in range(5):
        talked(store, assistant, f"talk{number}", at=f"2026-05-0{number + 1}T00:00:00.000Z")
    with store.snapshot() as session:
        first = latest_talks(session.connection, most=3)
        rest = latest_talks(session.connection, first[-1].number, 3)
        talk = whole_talk(session.connection, "talk2")
        ticket = ticket_of(session.connection, "talk2", "quote-of-talk2")

    assert [talk.id for talk in (*first, *rest)] == ["talk4", "talk3", "talk2", "talk1", "talk0"]
    assert first[0].customer == "Lopez Bakery"
    assert first[0].quote == "quote-of-talk4"
    assert talk is not None
    assert talk.sender == "maria@example.com"
    assert talk.messages[0].request_id == "request-of-talk2"
    assert "Saves about" in talk.messages[0].said
    assert ticket is not None
    assert ticket[0]["kind"] == "quote"
    with store.snapshot() as session:
        assert ticket_of(session.connection, "talk1", "quote-of-talk2") is None
        assert whole_talk(session.connection, "nobody") is None


# The roll


def test_somebody_is_always_owner(store: Store) -> None:
    with store.transaction() as session:
        roll = Roll(session.connection)
        roll.add("ann", "owner", "hash", AT)
        roll.add("bob", "clerk", None, AT)
        for impossible in (lambda: roll.remove("ann"), lambda: roll.set_role("ann", "clerk")):
            with pytest.raises(StaffFault) as fault:
                impossible()
            assert fault.value.key == "fault_last_owner"
        roll.set_role("bob", "owner")
        roll.remove("ann")
        roll.remove("bob")
        assert roll.is_empty()


def test_a_session_goes_with_its_account_and_has_its_role_of_now(store: Store) -> None:
    with store.transaction() as session:
        roll = Roll(session.connection)
        roll.add("ann", "owner", "hash", AT)
        roll.add("bob", "clerk", "hash", AT)
        for name, secret in (("bob", "one"), ("bob", "two"), ("ann", "three")):
            roll.begin_session(kept_form(secret), name, AT)
        roll.set_role("bob", "manager")
        found = roll.session(kept_form("one"))
        assert found is not None
        assert found.role == "manager"
        roll.seen(kept_form("one"), LATER)
        roll.seen(kept_form("one"), AT)
        assert roll.session(kept_form("one")).seen_at == LATER  # type: ignore[union-attr]
        roll.sweep(AT, LATER)
        assert roll.session(kept_form("two")) is None
        roll.remove("bob")
        assert roll.session(kept_form("one")) is None


@pytest.mark.parametrize("name", ["", "a", "a b", "<b>", "../x", "a" * 61, "a\n", "-a", "\u00e9l"])
def test_a_name_that_could_be_something_else_is_refused(name: str) -> None:
    from bot.staff.roll import usable_name

    with pytest.raises(StaffFault):
        usable_name(name)


def test_a_key_of_the_installation_is_made_once(opened: Callable[[], Store]) -> None:
    keys = []
    for number in range(2):
        with opened().transaction() as session:
            keys.append(Roll(session.connection).key("senders", f"fresh{number}"))

    assert keys == ["fresh0", "fresh0"]
