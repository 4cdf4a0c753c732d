"""What is seen from outside, and what must not be: logs, metrics, health, the id of a request."""

import json
import logging
from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from datetime import datetime, timedelta
from io import StringIO
from typing import Any

import pytest
from aiohttp.test_utils import TestClient, TestServer
from prometheus_client.parser import text_string_to_metric_families

from bot.app import INBOX, build_app
from bot.clock import utc_now
from bot.settings import Settings
from bot.staff.gate import form_mark
from bot.watch.health import STUCK_SECONDS
from bot.watch.logs import Json, Plain
from tests.system.conftest import Client
from tests.system.security.conftest import FIRST, PASSWORD, Staffed, carrying

OpenServer = Callable[..., AbstractAsyncContextManager[Staffed]]


@pytest.fixture
def logged() -> Any:
    """Everything that is logged, by whom ever, as it would be written."""
    out = StringIO()
    handler = logging.StreamHandler(out)
    handler.setFormatter(Json())
    root = logging.getLogger()
    level = root.level
    root.addHandler(handler)
    # The test server's own, which `serve` turns off.
    logging.getLogger("aiohttp.access").disabled = True
    root.setLevel(logging.DEBUG)
    yield lambda: [json.loads(line) for line in out.getvalue().splitlines()]
    root.removeHandler(handler)
    root.setLevel(level)
    logging.getLogger("aiohttp.access").disabled = False


async def test_nothing_of_a_person_is_logged(
    staffed_server: OpenServer, logged: Callable[[], list[dict[str, Any]]], monkeypatch: pytest.MonkeyPatch
) -> None:
    token = "token-that-nobody-may-see-0123456789"
    proxied: dict[str, Any] = {
        "proxies": ("127.0.0.1",),
        "origins": ("https://quotes.example.com",),
        "api_token": token,
    }
    async with staffed_server(talk=False, **proxied) as staffed:
        via = {"X-Forwarded-For": "203.0.113.77", "X-Forwarded-Proto": "https", "Host": "quotes.example.com"}
        message = {
            "message_id": "message-of-maria-0001",
            "text": "Maria Lopez 555-0134 maria@example.com " + FIRST,
        }
        async with staffed.client.post(
            "/api/messages", json=message, headers=via | {"Authorization": f"Bearer {token}"}
        ) as answer:
            turn = await answer.json()
        secret, link = await staffed.session("owner"), await staffed.link(turn["quote_id"])
        browser = via | {"Cookie": f"__Host-wattclerk-session={secret}"}
        for path in ("/staff", f"/staff/conversations/{turn['conversation']}", f"/staff/quotes/{turn['quote_id']}", f"/q/{link}",
                     f"/nowhere/{link}", f"/api/quotes/{turn['quote_id']}?name=Maria", "/metrics", "/healthz\u00e9"):  # fmt: skip
            async with staffed.client.get(path, headers=browser):
                pass
        form = {"mark": form_mark(secret), "kind": "sender", "value": "maria@example.com"}
        async with staffed.client.post("/staff/person", data=form, headers=browser):
            pass
        key = "k" * 43
        sign_in = {"name": "maria.lopez", "password": PASSWORD, "mark": form_mark(key)}
        async with staffed.client.post(
            "/staff/sign-in", data=sign_in, headers=via | {"Cookie": f"__Host-wattclerk-form={key}"}
        ):
            pass

        def fail(*_: object) -> None:
            raise RuntimeError("Maria Lopez 555-0134 maria@example.com")

        monkeypatch.setattr("bot.staff.pages.latest_talks", fail)
        async with staffed.client.get("/staff", headers=browser) as answer:
            assert answer.status == 500
        logging.getLogger("some.package").error("bad bytes %r", b"Maria Lopez 555-0134")

    lines = logged()
    text = json.dumps(lines)
    assert any(line["message"] == "request" and line["status"] == 500 for line in lines)
    assert any("RuntimeError" in str(line.get("exception")) for line in lines)
    for hidden in ("Maria", "maria", "555-0134", "Lopez", "43604", "203.0.113.77", "127.0.0.1", PASSWORD, token, secret, link,
                   turn["conversation"], turn["quote_id"], "message-of", key, form_mark(secret)):  # fmt: skip
        assert hidden not in text, hidden


async def test_a_line_tells_route_status_time_sender_and_request(
    client: Client, logged: Callable[[], list[dict[str, Any]]]
) -> None:
    for _ in range(2):
        async with client.get("/api/quotes/nothing", headers={"X-Request-ID": "abc-12345"}) as answer:
            assert answer.headers["X-Request-ID"] == "abc-12345"

    lines = [line for line in logged() if line["message"] == "request"]
    assert {key: lines[0][key] for key in ("method", "route", "status", "request_id")} == {
        "method": "GET", "route": "/api/quotes/{id}", "status": 404, "request_id": "abc-12345",
    }  # fmt: skip
    assert lines[0]["ms"] >= 0
    assert len(lines[0]["sender"]) == 16
    assert lines[0]["sender"] == lines[1]["sender"]


def test_a_plain_line_is_one_line_whatever_it_holds() -> None:
    record = logging.LogRecord("wattclerk.x", logging.WARNING, "x", 1, "a\nb %s", ("c\r\nd",), None)

    assert "\n" not in Plain().format(record)
    assert "\n" not in Json().format(record)


@pytest.mark.parametrize(
    "given", ["short", "x" * 65, "with space 12345", "new\tline-12345", "<script>12345678", "\u00e9" * 12]
)
async def test_an_id_that_could_break_a_log_is_replaced(client: Client, given: str) -> None:
    async with client.get("/healthz", headers={"X-Request-ID": given}) as answer:
        made = answer.headers["X-Request-ID"]

    assert made != given
    assert len(made) == 32


async def test_the_id_of_a_request_stands_beside_the_message_that_it_brought(staffed: Staffed) -> None:
    secret = await staffed.session("clerk")
    message = {"message_id": "message-00000000000777", "text": "8 troffers"}
    headers = carrying(secret) | {"X-Request-ID": "from-the-balancer-7"}
    async with staffed.client.post("/api/messages", json=message, headers=headers) as answer:
        turn = await answer.json()
        assert answer.headers["X-Request-ID"] == "from-the-balancer-7"
    async with staffed.client.ws_connect("/ws", headers=headers) as socket:
        await socket.send_json(
            {
                "type": "message",
                "message_id": "message-00000000000778",
                "text": "make it 9",
                "conversation": turn["conversation"],
            }
        )
        await socket.receive_json()
    _, page = await staffed.page(f"/staff/conversations/{turn['conversation']}")

    assert "<code>from-the-balancer-7</code>" in page
    assert "<code>from-the-balancer-7-1</code>" in page


# Metrics


async def measures(client: Client, **headers: str) -> dict[str, float]:
    async with client.get("/metrics", headers=headers) as answer:
        assert answer.status == 200
        text = await answer.text()
    return {
        f"{sample.name}{sorted(sample.labels.items())}": sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
    }


async def test_messages_doubts_times_and_queues_are_measured(client: Client) -> None:
    doubts = 0
    for number, text in enumerate(
        ("12 wallpacks 250w", "12 or so wallpacks 250w mh or hps", "8 troffers t8 maybe t12")
    ):
        message = {"message_id": f"message-{number:016d}", "text": text}
        async with client.post("/api/messages", json=message) as answer:
            doubts += len((await answer.json())["reading"]["doubts"])
    async with client.get("/nowhere"):
        pass
    found = await measures(client)

    assert found["wattclerk_messages_total[('channel', 'web'), ('outcome', 'answered')]"] == 3
    assert found["wattclerk_message_seconds_count[('channel', 'web')]"] == 3
    assert found["wattclerk_doubts_per_message_count[]"] == 3
    assert found["wattclerk_doubts_per_message_sum[]"] == doubts > 0
    assert (
        found["wattclerk_requests_total[('method', 'POST'), ('route', '/api/messages'), ('status', '200')]"]
        == 3
    )
    assert found["wattclerk_requests_total[('method', 'GET'), ('route', 'none'), ('status', '404')]"] == 1
    assert found["wattclerk_inbox[('state', 'waiting')]"] == 0
    assert found["wattclerk_outbox[('state', 'failed')]"] == 0
    assert found["wattclerk_mails[('state', 'open')]"] == 0
    assert found["wattclerk_mail_sends[('state', 'unsure')]"] == 0
    assert 0 <= found["wattclerk_catalogue_age_seconds[]"] < 600
    assert found["process_resident_memory_bytes[]"] > 0


async def test_what_fails_is_counted_by_kind(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise RuntimeError

    monkeypatch.setattr("bot.answering.answer_of", fail)
    async with client.post(
        "/api/messages", json={"message_id": "message-0000000000000009", "text": "12 wallpacks"}
    ) as answer:
        assert answer.status == 500
    found = await measures(client)

    assert found["wattclerk_errors_total[('kind', 'message')]"] == 1
    assert found["wattclerk_errors_total[('kind', 'answer')]"] == 1
    assert found["wattclerk_inbox[('state', 'waiting')]"] == 1


async def test_labels_cannot_be_multiplied_from_outside(client: Client) -> None:
    for number in range(30):
        async with client.request(f"ODD{number}", f"/odd{number}"):
            pass
    found = await measures(client)

    assert sum("wattclerk_requests_total" in name for name in found) <= 3


@pytest.mark.parametrize(
    "settings",
    [{"origins": ("https://quotes.example.com",)}, {"proxies": ("10.0.0.7",)}, {"proxies": ("127.0.0.1",)}],
)
async def test_behind_a_proxy_metrics_take_their_token(
    staffed_server: OpenServer, settings: dict[str, Any]
) -> None:
    token = "m" * 40
    async with staffed_server(talk=False, metrics_token=token, **settings) as staffed:
        for headers in (
            {},
            {"Authorization": "Bearer " + "n" * 40},
            carrying(await staffed.session("owner")),
        ):
            async with staffed.client.get("/metrics", headers=headers) as answer:
                assert answer.status == 401
        await measures(staffed.client, Authorization=f"Bearer {token}")


# Readiness


async def ready(client: Client) -> tuple[int, list[str]]:
    async with client.get("/readyz") as answer:
        return answer.status, (await answer.json())["faults"]


async def test_a_server_whose_store_can_be_written_is_ready(client: Client) -> None:
    assert await ready(client) == (200, [])


async def test_a_server_whose_store_cannot_be_written_says_so(client: Client) -> None:
    assert client.app is not None
    with client.app[INBOX].writing._begin() as session:
        session.connection.run("pragma query_only = on")

    assert await ready(client) == (503, ["the store can't be written"])


async def test_a_server_that_leaves_messages_lying_says_so(make_settings: Callable[..., Settings]) -> None:
    now: list[datetime] = [utc_now()]
    async with TestClient(TestServer(build_app(make_settings(), lambda: now[0]))) as client:
        assert client.app is not None
        with client.app[INBOX].writing._begin() as session:
            session.connection.run(
                "insert into conversations (id, channel, begun_at, turns, held_by) values ('c', 'web', '2026', 0, 1)"
            )
            session.connection.run(
                "insert into messages (conversation, channel, message_id, received_at, text, changes, state, attempts)"
                " values ('c', 'web', 'm', ?, 'x', '[]', 'waiting', 0)", now[0].isoformat(),
            )  # fmt: skip
        before = await ready(client)
        now[0] += timedelta(seconds=STUCK_SECONDS + 5)
        client.app[INBOX]
        import asyncio

        await asyncio.sleep(1.1)
        after = await ready(client)
        found = await measures(client)

    assert before == (200, [])
    assert after == (503, ["messages wait and nobody answers them"])
    assert found["wattclerk_oldest_waiting_seconds[]"] > STUCK_SECONDS
