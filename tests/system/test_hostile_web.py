"""What strangers may try on the web channel."""

import asyncio
import json
from collections.abc import Callable
from typing import Any

import pytest
from aiohttp import WSMsgType, WSServerHandshakeError
from aiohttp.test_utils import TestClient, TestServer

from bot.app import CHANNEL, build_app
from bot.channels.guards import Pace, SameOrigin
from bot.channels.page import FILES
from bot.settings import Settings
from tests.system.conftest import Client

ID = "message-00000000000001"


def good(**changes: Any) -> dict[str, Any]:
    return {"message_id": ID, "text": "12 wallpacks 250w"} | changes


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ("", 400),
        ("nonsense", 400),
        ("[]", 400),
        ("[" * 50_000, 400),
        ('{"text": "hi"}', 422),
        (json.dumps(good(message_id="short")), 422),
        (json.dumps(good(message_id="with spaces in it........")), 422),
        (json.dumps(good(text=5)), 422),
        (json.dumps(good(text="")), 422),
        (json.dumps(good(text="x" * 20_001)), 422),
        (json.dumps(good(text="a\u0000b")), 422),
        (json.dumps(good(text="\ud800")), 400),
        (json.dumps(good(more=1)), 422),
        (json.dumps(good(conversation="../../etc/passwd")), 422),
        (json.dumps(good(conversation="a" * 26)), 404),
        (json.dumps(good(changes=[{"path": "job.x", "value": 1}] * 21)), 422),
    ],
)
async def test_a_body_that_cannot_be_is_refused_in_one_line(client: Client, body: str, status: int) -> None:
    async with client.post(
        "/api/messages", data=body, headers={"Content-Type": "application/json"}
    ) as answer:
        error = (await answer.json())["error"]

        assert answer.status == status
    assert error
    assert "\n" not in error
    assert len(error) < 300


async def test_bytes_that_are_no_utf8_are_refused(client: Client) -> None:
    async with client.post(
        "/api/messages", data=b'{"message_id": "\xff\xfe"}', headers={"Content-Type": "application/json"}
    ) as answer:
        assert answer.status == 400


async def test_a_huge_body_is_refused(client: Client) -> None:
    async with client.post(
        "/api/messages", data=b" " * 1_000_000, headers={"Content-Type": "application/json"}
    ) as answer:
        assert answer.status == 413


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", "multipart/form-data"])
async def test_a_form_of_another_site_is_refused(client: Client, kind: str) -> None:
    async with client.post(
        "/api/messages", data=json.dumps(good()), headers={"Content-Type": kind}
    ) as answer:
        assert answer.status == 415


@pytest.mark.parametrize("origin", ["https://elsewhere.example.com", "null", "http://127.0.0.1.example.com"])
async def test_a_page_of_another_site_may_neither_send_nor_chat(client: Client, origin: str) -> None:
    async with client.post("/api/messages", json=good(), headers={"Origin": origin}) as answer:
        assert answer.status == 403
    with pytest.raises(WSServerHandshakeError) as refusal:
        await client.ws_connect("/ws", headers={"Origin": origin})
    assert refusal.value.status == 403


async def test_our_own_page_may_chat(client: Client) -> None:
    origin = str(client.make_url("/")).rstrip("/")
    async with client.ws_connect("/ws", headers={"Origin": origin}) as socket:
        await socket.send_json({"type": "join"})

        assert (await socket.receive_json())["type"] == "joined"


async def test_a_name_made_to_point_here_is_not_ours(client: Client) -> None:
    rebound = {"Host": "rebound.example.com", "Origin": "http://rebound.example.com"}
    async with client.post("/api/messages", json=good(), headers=rebound) as answer:
        assert answer.status == 421


def test_a_named_further_origin_is_let_in_behind_a_proxy() -> None:
    class Request:
        def __init__(self, **headers: str) -> None:
            self.headers = headers

    origins = SameOrigin("127.0.0.1", ("https://quotes.example.com",))

    assert origins.allows(Request(Host="quotes.example.com", Origin="https://quotes.example.com"))  # type: ignore[arg-type]
    assert not origins.allows(Request(Host="quotes.example.com", Origin="https://elsewhere.example.com"))  # type: ignore[arg-type]


@pytest.mark.parametrize("path", [*FILES, "/openapi.json", "/healthz", "/nowhere"])
async def test_every_answer_carries_the_security_headers(client: Client, path: str) -> None:
    async with client.get(path) as answer:
        policy = answer.headers["Content-Security-Policy"]

        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert answer.headers["X-Content-Type-Options"] == "nosniff"
        assert answer.headers["Referrer-Policy"] == "no-referrer"
        assert "Python" not in answer.headers["Server"]


async def test_the_page_holds_no_inline_script_or_style_and_nothing_from_elsewhere(client: Client) -> None:
    for path in FILES:
        async with client.get(path) as answer:
            body = (await answer.read()).decode()

        assert answer.status == 200
        assert "<style" not in body
        assert " style=" not in body
        assert "innerHTML" not in body
        assert "//cdn" not in body
        if path == "/":
            assert body.count("<script") == body.count('<script type="module" src="/page.js">') == 1


async def test_a_page_that_the_browser_has_is_not_sent_again(client: Client) -> None:
    async with client.get("/page.js") as answer:
        tag = answer.headers["ETag"]
    async with client.get("/page.js", headers={"If-None-Match": tag}) as answer:
        assert answer.status == 304


async def test_markup_in_a_message_comes_back_as_text_only(client: Client) -> None:
    text = "12 wallpacks 250w <img src=x onerror=alert(1)> </script>"
    async with client.post("/api/messages", json=good(text=text)) as answer:
        turn = await answer.json()

        assert answer.content_type == "application/json"
    assert turn["text"] == text
    assert not any("<img" in each["svg"] for each in turn["answer"]["card"]["pictures"])


async def test_too_many_messages_are_asked_to_wait(make_settings: Callable[..., Settings]) -> None:
    async with TestClient(TestServer(build_app(make_settings(messages_per_minute=2)))) as client:
        statuses = []
        for number in range(4):
            async with client.post("/api/messages", json=good(message_id=f"{ID}{number}")) as answer:
                statuses.append(answer.status)
                wait = answer.headers.get("Retry-After")

    assert statuses == [200, 200, 429, 429]
    assert wait is not None
    assert int(wait) >= 1


def test_the_pace_lets_in_again_as_time_goes_by_and_forgets_old_addresses() -> None:
    now = [0.0]
    pace = Pace(2, lambda: now[0])

    assert [pace.wait_for("a"), pace.wait_for("a"), pace.wait_for("b")] == [0, 0, 0]
    assert pace.wait_for("a") > 0
    now[0] += 31
    assert pace.wait_for("a") == 0
    assert pace.wait_for("a") > 0
    for number in range(Pace.MOST_ADDRESSES + 1):
        pace.wait_for(f"other {number}")
    assert len(pace._buckets) == Pace.MOST_ADDRESSES


async def test_a_socket_that_sends_nonsense_is_told_so_and_goes_on(client: Client) -> None:
    async with client.ws_connect("/ws") as socket:
        for frame in (
            "nonsense",
            "[]",
            "{}",
            '{"type": "message"}',
            '{"type": "join", "have": -1}',
            "[" * 9000,
        ):
            await socket.send_str(frame)
            answer = await socket.receive_json()
            assert answer["type"] == "refused"
            assert answer["error"]
        await socket.send_json({"type": "message", **good()})

        assert (await socket.receive_json())["type"] == "turn"


async def test_a_socket_that_sends_too_much_or_no_text_is_closed(client: Client) -> None:
    async with client.ws_connect("/ws") as socket:
        await socket.send_str("x" * 400_000)
        assert (await socket.receive()).type in {WSMsgType.CLOSE, WSMsgType.CLOSED}
    async with client.ws_connect("/ws") as socket:
        await socket.send_bytes(b"\x00\x01")
        assert (await socket.receive()).type in {WSMsgType.CLOSE, WSMsgType.CLOSED}
    assert client.app is not None
    async with asyncio.timeout(10):
        while client.app[CHANNEL].sockets:  # noqa: ASYNC110  nothing tells when the server side is done
            await asyncio.sleep(0.01)


async def test_more_sockets_than_allowed_are_turned_away(make_settings: Callable[..., Settings]) -> None:
    async with (
        TestClient(TestServer(build_app(make_settings(max_sockets=1)))) as client,
        client.ws_connect("/ws"),
    ):
        with pytest.raises(WSServerHandshakeError) as refusal:
            await client.ws_connect("/ws")

    assert refusal.value.status == 503


async def test_a_fault_of_ours_is_said_without_its_text(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise RuntimeError("secret path /srv/secret")

    monkeypatch.setattr("bot.answering.answer_of", fail)
    async with client.post("/api/messages", json=good()) as answer:
        body = await answer.text()

        assert answer.status == 500
    assert "secret" not in body
    async with client.ws_connect("/ws") as socket:
        await socket.send_json({"type": "message", **good()})
        answer = await socket.receive_json()
    assert answer["type"] == "refused"
    assert "secret" not in json.dumps(answer)
