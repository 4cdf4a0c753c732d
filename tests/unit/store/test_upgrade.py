"""A SQLite file of an older version becomes one of this, with nothing lost."""

import json
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from aiohttp.test_utils import TestClient, TestServer
from sqlite_utils import Database

from bot.answer import answer_of
from bot.app import build_app
from bot.assistant import Assistant, Conversation
from bot.conversation.stored import state_as_json
from bot.replies import quote_json
from bot.settings import Settings
from bot.store.figures import Traces
from bot.store.kept import kept_quote, made_again
from bot.store.sqlite import SqliteStore
from bot.store.sqlite_schema import migrations
from bot.usable import UnusableInput

TEXTS = ("12 wallpacks 250w", "make it 14")


def old_file(path: Path, assistant: Assistant) -> list[dict[str, Any]]:
    """A file as version 0.1 wrote it: two conversations, the first of two turns; one id stands in both."""
    path.parent.mkdir(parents=True)
    database = Database(path)
    migrations.apply(database, stop_before="m002_inbox_and_outbox")
    turns = []
    for talk, texts in (("talk-one", TEXTS), ("talk-two", TEXTS[:1])):
        conversation, asked = Conversation(), None
        database["conversations"].insert(
            {
                "id": talk,
                "channel": "web",
                "begun_at": f"2025-01-0{len(turns) + 1}T00:00:00.000Z",
                "opened_by": None,
            }
        )
        for number, text in enumerate(texts):
            turn = assistant.take_turn(conversation, text, asked)
            assert turn.quote is not None
            answer = json.loads(answer_of(turn, assistant.tables))
            at, name = f"2025-01-0{len(turns) + 1}T00:00:00.000Z", f"quote-{len(turns)}"
            database["quotes"].insert(
                {
                    "id": name,
                    "conversation": talk,
                    "made_at": at,
                    "language": "en",
                    "request": json.dumps(turn.quote.request.stated()),
                    "quote": json.dumps(quote_json(turn.quote, turn.reading)),
                    "figures": json.dumps(Traces.of(turn.quote).as_json()),
                }
            )
            database["messages"].insert(
                {
                    "conversation": talk,
                    "turn": number,
                    "message_id": f"message-{number:016d}",
                    "received_at": at,
                    "text": text,
                    "changes": "[]",
                    "asked": asked,
                    "reading": json.dumps(turn.reading.as_json()),
                    "answer": json.dumps(answer),
                    "quote": name,
                }
            )
            turns.append(
                {
                    "conversation": talk,
                    "turn": number,
                    "text": text,
                    "answer": json.loads(json.dumps(answer)),
                    "quote_id": name,
                }
            )
            conversation, asked = turn.conversation, answer["asks"]
        database["conversations"].update(talk, {"state": state_as_json(conversation.state).decode()})
    database.create_table("catalogue_products", {"part_number": str})
    database.close()
    return turns


async def test_conversations_and_quotes_of_an_older_file_go_on(tmp_path: Path, assistant: Assistant) -> None:
    settings = Settings(data_folder=tmp_path / "data", messages_per_minute=0)
    turns = old_file(settings.sqlite_file, assistant)
    async with TestClient(TestServer(build_app(settings))) as client:
        async with client.get("/api/conversations/talk-one") as answer:
            whole = (await answer.json())["turns"]
        message = {"message_id": "message-0000000000000001", "text": TEXTS[1], "conversation": "talk-one"}
        async with client.post("/api/messages", json=message) as answer:
            again = await answer.json()
        async with client.post(
            "/api/messages", json=message | {"message_id": "m" * 20, "text": "undo"}
        ) as answer:
            undone = await answer.json()
        async with client.get("/api/quotes/quote-0/figures/totals.simple_payback_years") as answer:
            explained = answer.status

    assert [{k: turn[k] for k in turns[0]} for turn in whole] == turns[:2]
    assert again == whole[1]
    assert undone["turn"] == 2
    assert undone["reading"]["lines"][0]["qty"] == 12
    assert explained == 200


def test_an_upgraded_file_is_sound_and_upgraded_once(tmp_path: Path, assistant: Assistant) -> None:
    path = tmp_path / "data" / "wattclerk.db"
    old_file(path, assistant)
    for _ in range(2):
        store = SqliteStore(path)
        with store.snapshot() as session:
            counts = session.counts()
            ids = [turn.message_id for turn in session.turns("talk-two")]
        tables = set(store.database.table_names())
        check = store.database.execute("pragma integrity_check").fetchone()[0]
        foreign = store.database.execute("pragma foreign_key_check").fetchall()
        store.close()

        assert (counts.conversations, counts.quotes, dict(counts.messages)) == (2, 3, {"answered": 3})
        assert dict(counts.replies) == {"sent": 3}
        assert ids == ["message-0000000000000000~2"]
        assert not {name for name in tables if name.startswith(("old_", "catalogue_"))}
        assert check == "ok"
        assert foreign == []


def test_an_old_quote_says_why_it_can_not_be_made_again(tmp_path: Path, assistant: Assistant) -> None:
    path = tmp_path / "data" / "wattclerk.db"
    old_file(path, assistant)
    store = SqliteStore(path)
    with pytest.raises(UnusableInput, match=r"before 0\.2"):
        made_again(store, kept_quote(store, "quote-0"))
    store.close()


def test_many_first_starts_at_once_make_one_store(tmp_path: Path) -> None:
    for attempt in range(4):
        path = tmp_path / str(attempt) / "wattclerk.db"
        with ThreadPoolExecutor(8) as many:
            for store in [each.result() for each in [many.submit(SqliteStore, path) for _ in range(8)]]:
                store.close()
