"""What takes too much: long, slow, compressed, deep, many; and addresses that are not ours."""

import asyncio
import gzip
import json
import zlib
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from ipaddress import ip_network
from typing import Any

import pytest
from aiohttp import ClientSession, WSMsgType, web
from aiohttp.test_utils import TestClient, TestServer
from multidict import CIMultiDict

from bot.app import build_app
from bot.channels import bounds
from bot.channels.connections import CONNECTIONS, BoundedRunner
from bot.channels.senders import Senders, bucket_of
from bot.settings import Settings
from tests.system.conftest import Client

ID = "message-00000000000001"
GOOD = {"message_id": ID, "text": "12 wallpacks 250w"}
JSON = {"Content-Type": "application/json"}


@pytest.fixture
def bounded(make_settings: Callable[..., Settings]) -> Callable[..., Any]:
    """A server over bounded connections, as `wattclerk serve` runs it, with bounds of fractions of a second."""

    @asynccontextmanager
    async def open_it(head: float = 0.3, **settings: object) -> AsyncIterator[tuple[web.Application, int]]:
        app = build_app(make_settings(**settings))
        app[CONNECTIONS].head_seconds = head
        runner = BoundedRunner(app)
        await runner.setup()
        site = web.TCPSite(runner, "127.0.0.1", 0)
        await site.start()
        try:
            yield app, runner.addresses[0][1]
        finally:
            await runner.cleanup()

    return open_it


async def read_all(reader: asyncio.StreamReader) -> bytes:
    """Until the other end closes, however it does."""
    try:
        async with asyncio.timeout(10):
            return await reader.read()
    except ConnectionError:
        return b""


@pytest.mark.parametrize("sent", [b"", b"GET /heal", b"GET /healthz HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: "])
async def test_a_connection_that_never_says_what_it_wants_is_closed(
    bounded: Callable[..., Any], sent: bytes
) -> None:
    async with bounded() as (app, port):
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        writer.write(sent)
        await writer.drain()

        assert await read_all(reader) == b""
        writer.close()
        assert len(app[CONNECTIONS].open) == 0


async def test_a_head_that_drips_is_closed_on_a_kept_connection_too(bounded: Callable[..., Any]) -> None:
    async with bounded() as (_, port):
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        writer.write(b"GET /healthz HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n")
        assert (await reader.readuntil(b"\r\n")).startswith(b"HTTP/1.1 200")
        dripped = 0
        for byte in b"GET /healthz HTTP/1.1\r\nHost: 127.0.0.1\r\nX-Slow: " + b"x" * 200:
            try:
                writer.write(bytes([byte]))
                await writer.drain()
            except ConnectionError:
                break
            dripped += 1
            await asyncio.sleep(0.02)

        assert dripped < 60
        writer.close()


async def test_an_honest_connection_may_be_idle_and_go_on(bounded: Callable[..., Any]) -> None:
    async with bounded(head=0.15) as (_, port), ClientSession() as session:
        for _ in range(3):
            async with session.get(f"http://127.0.0.1:{port}/healthz") as answer:
                assert answer.status == 200
            await asyncio.sleep(0.25)
        async with session.ws_connect(f"http://127.0.0.1:{port}/ws") as socket:
            await asyncio.sleep(0.4)
            await socket.send_json({"type": "join"})
            assert (await socket.receive_json())["type"] == "joined"


async def test_a_body_that_drips_is_refused(
    bounded: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bounds.bounded, "__defaults__", (0.3,))
    async with bounded(head=5.0) as (_, port):
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        writer.write(
            b"POST /api/messages HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\nContent-Length: 5000\r\n\r\n{"
        )
        answer = await read_all(reader)
        writer.close()

    assert answer.startswith(b"HTTP/1.1 408")


async def test_a_crowd_of_connections_leaves_room_for_the_rest(bounded: Callable[..., Any]) -> None:
    async with bounded(head=5.0, max_connections=10) as (app, port):
        crowd = [await asyncio.open_connection("127.0.0.1", port) for _ in range(30)]
        async with asyncio.timeout(10):
            while len(app[CONNECTIONS].open) != 10:  # noqa: ASYNC110  nothing tells when the server side is done
                await asyncio.sleep(0.01)
        for _, writer in crowd:
            writer.close()
        async with asyncio.timeout(10):
            while app[CONNECTIONS].open:  # noqa: ASYNC110
                await asyncio.sleep(0.01)
        async with ClientSession() as session, session.get(f"http://127.0.0.1:{port}/healthz") as answer:
            assert answer.status == 200


async def test_a_compressed_body_is_refused_unopened(bounded: Callable[..., Any]) -> None:
    bodies = [
        ("gzip", gzip.compress(b" " * 50_000_000)),
        ("deflate", zlib.compress(b" " * 50_000_000)),
        ("gzip", gzip.compress(json.dumps(GOOD).encode())),
        ("br", b"anything"),
        ("gzip, identity", b"anything"),
    ]
    async with bounded() as (_, port), ClientSession() as session:
        for coding, body in bodies:
            headers = JSON | {"Content-Encoding": coding}
            async with session.post(
                f"http://127.0.0.1:{port}/api/messages", data=body, headers=headers
            ) as answer:
                assert answer.status == 415, coding


async def test_a_bomb_in_a_socket_frame_closes_the_socket(client: Client) -> None:
    async with client.ws_connect("/ws", compress=15) as socket:
        await socket.send_str(json.dumps({"type": "join", "x": " " * 30_000_000}))
        frame = await socket.receive()

    assert frame.type in {WSMsgType.CLOSE, WSMsgType.CLOSED, WSMsgType.ERROR}


async def test_what_is_too_long_or_of_another_kind_is_refused(client: Client) -> None:
    for method, path, status in (
        ("GET", "/healthz?" + "x" * 3000, 414),
        ("GET", "/" + "x" * 9000, 400),
        ("POST", "/staff/sign-in", 413),
        ("POST", "/api/messages", 413),
        ("PUT", "/api/messages", 405),
        ("DELETE", "/staff", 405),
        ("TRACE", "/", 405),
    ):
        data = b"x" * 600_000 if status == 413 else None
        async with client.request(method, path, data=data, headers=JSON) as answer:
            assert answer.status == status, (method, path[:20])


async def test_json_of_any_depth_is_answered_with_a_line(client: Client) -> None:
    for number, depth in enumerate((150, 1_000, 100_000)):
        for opening, closing in (("[", "]"), ('{"a":', "}")):
            value = opening * depth + "1" + closing * depth
            body = f'{{"message_id":"{ID}{number}{len(opening)}","text":"x","changes":[{{"path":"job.x","value":{value}}}]}}'
            async with client.post("/api/messages", data=body, headers=JSON) as answer:
                assert answer.status in {400, 413, 422}, depth
                assert "\n" not in (await answer.json())["error"]


async def test_a_number_that_is_none_is_refused(client: Client) -> None:
    for number in ("NaN", "Infinity", "-Infinity", "1e999"):
        body = (
            '{"message_id":"'
            + ID
            + '","text":"x","changes":[{"path":"job.rate_per_kwh","value":'
            + number
            + "}]}"
        )
        async with client.post("/api/messages", data=body, headers=JSON) as answer:
            assert answer.status in {400, 422}, number


PATHS = [
    "/../etc/passwd", "/..%2f..%2fetc%2fpasswd", "/page.css/../../app.py", "/%2e%2e/bot/app.py", "/page.js%00.css",
    "/staff/../../etc/passwd", "/q/..%2f..%2fwattclerk.db", "/api/quotes/..%2f..%2fwattclerk.db", "//etc/passwd",
    "/staff.css\\..\\..\\app.py", "/api/quotes/x/figures/..%2f..%2f..%2fetc%2fpasswd", "/wattclerk.db", "/words.toml",
]  # fmt: skip


async def test_no_path_leads_out_of_what_is_served(bounded: Callable[..., Any]) -> None:
    async with bounded() as (_, port):
        for path in PATHS:
            reader, writer = await asyncio.open_connection("127.0.0.1", port)
            writer.write(f"GET {path} HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n".encode())
            answer = await read_all(reader)
            writer.close()

            assert answer.split(b" ")[1] in {b"400", b"404", b"303", b"401"}, path
            assert b"root:" not in answer, path
            assert b"SQLite" not in answer, path


async def test_a_request_by_another_name_reaches_nothing(client: Client) -> None:
    names = [
        "elsewhere.example.com",
        "127.0.0.1.example.com",
        "localhost.example.com",
        "169.254.169.254",
        "",
        "[::1",
        "a@127.0.0.2:x",
    ]
    for host in names:
        for path in ("/", "/healthz", "/staff", "/q/x", "/ws"):
            async with client.get(path, headers={"Host": host}, allow_redirects=False) as answer:
                assert answer.status == 421, host


async def test_a_link_is_looked_up_so_often_and_no_more(make_settings: Callable[..., Settings]) -> None:
    async with TestClient(TestServer(build_app(make_settings()))) as client:
        statuses = []
        for number in range(65):
            async with client.get(f"/q/guess{number}") as answer:
                statuses.append(answer.status)

    assert statuses[:60] == [404] * 60
    assert statuses[-1] == 429


# Who is at the other end


class Asked:
    """A request as far as senders look at it."""

    def __init__(self, remote: str, secure: bool = False, **headers: str) -> None:
        self.remote = remote
        self.secure = secure
        self.headers = CIMultiDict({name.replace("_", "-"): value for name, value in headers.items()})


@pytest.mark.parametrize(
    ("peer", "forwarded", "sender"),
    [
        ("203.0.113.5", "198.51.100.1", "203.0.113.5"),
        ("10.0.0.7", "198.51.100.1", "198.51.100.1"),
        ("10.0.0.7", "6.6.6.6, 198.51.100.1", "198.51.100.1"),
        ("10.0.0.7", "6.6.6.6, 198.51.100.1, 10.0.0.9", "198.51.100.1"),
        ("10.0.0.7", "6.6.6.6, nonsense", "10.0.0.7"),
        ("10.0.0.7", "", "10.0.0.7"),
        ("10.0.0.7", "10.0.0.8, 10.0.0.9", "10.0.0.7"),
        ("::ffff:10.0.0.7", "2001:db8::5", "2001:db8::5"),
    ],
)
def test_only_a_named_proxy_says_whom_it_speaks_for(peer: str, forwarded: str, sender: str) -> None:
    senders = Senders((ip_network("10.0.0.0/24"),))

    assert senders.address(Asked(peer, X_Forwarded_For=forwarded)) == sender  # type: ignore[arg-type]


def test_only_a_named_proxy_says_that_there_was_tls() -> None:
    senders = Senders((ip_network("10.0.0.7"),))

    assert senders.is_https(Asked("10.0.0.7", X_Forwarded_Proto="https"))  # type: ignore[arg-type]
    assert not senders.is_https(Asked("10.0.0.8", X_Forwarded_Proto="https"))  # type: ignore[arg-type]
    assert senders.is_https(Asked("10.0.0.8", secure=True))  # type: ignore[arg-type]


def test_all_addresses_of_one_subscriber_count_as_one() -> None:
    assert (
        bucket_of("2001:db8:1:2:aaaa::1") == bucket_of("2001:db8:1:2:bbbb::2") != bucket_of("2001:db8:1:3::1")
    )
    assert bucket_of("203.0.113.5") != bucket_of("203.0.113.6")
