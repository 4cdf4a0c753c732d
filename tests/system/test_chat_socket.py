"""A conversation over the chat page's socket: joined, dropped, joined again, nothing lost and nothing twice."""

import asyncio
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

from aiohttp import ClientSession, ClientWebSocketResponse, WSCloseCode, WSMsgType

from tests.system.conftest import Client, Served

IDS = [f"message-{n:016d}" for n in range(20)]


async def join(
    socket: ClientWebSocketResponse, conversation: str | None = None, have: int = 0
) -> dict[str, Any]:
    await socket.send_json({"type": "join", "conversation": conversation, "have": have})
    answer: dict[str, Any] = await socket.receive_json()
    return answer


async def say(
    socket: ClientWebSocketResponse, name: str, text: str, conversation: str | None = None
) -> dict[str, Any]:
    await socket.send_json(
        {"type": "message", "message_id": name, "text": text, "conversation": conversation}
    )
    answer: dict[str, Any] = await socket.receive_json()
    return answer


async def test_a_conversation_is_begun_by_its_first_message(client: Client) -> None:
    async with client.ws_connect("/ws") as socket:
        joined = await join(socket)
        first = await say(socket, IDS[0], "12 wallpacks 250w")
        second = await say(socket, IDS[1], "they are 480v", first["conversation"])

    assert joined == {"type": "joined", "conversation": None, "turns": []}
    assert first["type"] == "turn"
    assert len(first["conversation"]) == 26
    assert second["reading"]["lines"][0]["voltage"] == 480


async def test_an_answer_to_our_question_fills_the_slot_that_was_asked(client: Client) -> None:
    async with client.ws_connect("/ws") as socket:
        await join(socket)
        first = await say(socket, IDS[0], "12 250w metal halide wallpacks dusk to dawn")
        question = first["answer"]["card"]["questions"][0]
        second = await say(socket, IDS[1], "9 cents", first["conversation"])

    assert question["path"] == first["answer"]["asks"] == "job.rate_per_kwh"
    assert second["reading"]["job"]["rate_per_kwh"] == 0.09


async def test_a_page_that_comes_back_gets_what_it_has_not_seen(client: Client) -> None:
    async with client.ws_connect("/ws") as socket:
        await join(socket)
        first = await say(socket, IDS[0], "12 wallpacks 250w")
        second = await say(socket, IDS[1], "make it 14", first["conversation"])
    async with client.ws_connect("/ws") as socket:
        all_of_it = await join(socket, first["conversation"])
    async with client.ws_connect("/ws") as socket:
        rest = await join(socket, first["conversation"], have=1)

    seen = [{k: v for k, v in turn.items() if k != "type"} for turn in (first, second)]
    assert all_of_it["turns"] == seen
    assert rest["turns"] == seen[1:]


async def test_a_message_sent_again_after_a_drop_is_answered_once(client: Client) -> None:
    async with client.ws_connect("/ws") as socket:
        await join(socket)
        await socket.send_json({"type": "message", "message_id": IDS[0], "text": "12 wallpacks 250w"})
    async with client.ws_connect("/ws") as socket:
        await join(socket)
        answer = await say(socket, IDS[0], "12 wallpacks 250w")
        again = await say(socket, IDS[0], "12 wallpacks 250w", answer["conversation"])
        whole = await join(socket, answer["conversation"])

    assert answer["turn"] == 0
    assert again == answer
    assert len(whole["turns"]) == 1


async def test_a_page_with_a_conversation_that_is_gone_begins_a_new_one(client: Client) -> None:
    async with client.ws_connect("/ws") as socket:
        joined = await join(socket, "nosuchconversationanywhere")
        refused = await say(socket, IDS[0], "12 wallpacks", "nosuchconversationanywhere")
        answer = await say(socket, IDS[0], "12 wallpacks")

    assert joined == {"type": "joined", "conversation": None, "turns": [], "unknown": True}
    assert refused["type"] == "refused"
    assert refused["unknown"] is True
    assert answer["type"] == "turn"


async def test_two_pages_on_one_conversation_do_not_lose_a_turn(client: Client) -> None:
    async with client.ws_connect("/ws") as one, client.ws_connect("/ws") as other:
        await join(one)
        first = await say(one, IDS[0], "12 wallpacks 250w")
        talk = first["conversation"]
        await join(other, talk)
        answers = await asyncio.gather(
            *(say(one if n % 2 else other, IDS[n], f"make it {20 + n}", talk) for n in (1, 2)),
        )
        whole = await join(one, talk)

    assert sorted(answer["turn"] for answer in answers) == [1, 2]
    assert [turn["turn"] for turn in whole["turns"]] == [0, 1, 2]


async def test_a_server_told_to_stop_says_goodbye_keeps_all_and_ends_well(
    serve: Callable[..., Served], tmp_path: Path
) -> None:
    served = serve()
    async with ClientSession() as session, session.ws_connect(f"{served.address}/ws") as socket:
        await join(socket)
        answer = await say(socket, IDS[0], "12 wallpacks 250w")
        stopping = asyncio.to_thread(served.stop)
        goodbye, status = await asyncio.gather(socket.receive(), stopping)
    database = sqlite3.connect(tmp_path / "data" / "wattclerk.db")
    kept = database.execute("select text from messages").fetchall()
    database.close()

    assert answer["type"] == "turn"
    assert goodbye.type is WSMsgType.CLOSE
    assert goodbye.data == WSCloseCode.GOING_AWAY
    assert status == 0
    assert kept == [("12 wallpacks 250w",)]


async def test_a_server_killed_in_the_middle_has_all_that_it_acknowledged(
    serve: Callable[..., Served],
) -> None:
    served = serve()
    async with ClientSession() as session, session.ws_connect(f"{served.address}/ws") as socket:
        await join(socket)
        first = await say(socket, IDS[0], "12 wallpacks 250w")
        served.process.kill()
        served.process.wait(20)
    again = serve()
    async with ClientSession() as session, session.ws_connect(f"{again.address}/ws") as socket:
        joined = await join(socket, first["conversation"])

    assert [turn["text"] for turn in joined["turns"]] == ["12 wallpacks 250w"]
