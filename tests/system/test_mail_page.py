"""The demo mailbox in the browser: no mail server, every draft in a frame that can do nothing."""

import html
import re
from collections.abc import Callable

import pytest
from aiohttp.test_utils import TestClient, TestServer

from bot.app import build_app
from bot.mail.mailbox import DEMO_MAILBOX
from bot.opening import DEMO_CATALOGUE
from bot.settings import Settings
from bot.staff.mail_page import saved_as
from tests.system.conftest import Client


async def test_every_message_stands_in_the_list_with_what_becomes_of_it(client: Client) -> None:
    async with client.get("/mail") as answer:
        text = await answer.text()

    assert answer.status == 200
    names = {path.stem for path in DEMO_MAILBOX.glob("*.eml")}
    assert len(names) >= 25
    assert set(re.findall(r'href="/mail/([^"/]+)"', text)) == names
    for outcome in ("draft", "none", "human"):
        assert f"outcome-{outcome}" in text


async def test_a_draft_is_shown_in_a_frame_that_runs_nothing_and_asks_for_nothing(client: Client) -> None:
    async with client.get("/mail/01_wall_packs") as answer:
        text = await answer.text()
        assert 'sandbox=""' in text
        assert "frame-src 'self'" in answer.headers["Content-Security-Policy"]
        assert "script-src 'self'" in answer.headers["Content-Security-Policy"]
    async with client.get("/mail/01_wall_packs/draft") as answer:
        text = await answer.text()
        policy = answer.headers["Content-Security-Policy"]

    assert "default-src 'none'" in policy
    assert "sandbox" in policy
    assert "frame-ancestors 'self'" in policy
    assert "script" not in policy
    assert "Hello Marta," in text
    assert "cid:" not in text
    assert "data:image/png;base64," in text


@pytest.mark.parametrize(
    "path", ["/mail/nothing", "/mail/nothing/draft", "/mail/19_bounce/draft", "/mail/..%2f..%2fetc%2fpasswd"]
)
async def test_what_is_not_there_is_a_page_that_says_so(client: Client, path: str) -> None:
    async with client.get(path) as answer:
        assert answer.status == 404
        assert answer.content_type == "text/html"


async def test_a_strangers_words_are_words_on_the_page(client: Client) -> None:
    async with client.get("/mail/10_hidden_text") as answer:
        text = html.unescape(await answer.text())

    assert "20 bollards" in text
    assert "99 high bays" not in text
    assert "40 floods" not in text


async def test_with_a_catalogue_of_ones_own_there_is_no_demo_mailbox(
    make_settings: Callable[..., Settings],
) -> None:
    async with (
        TestClient(TestServer(build_app(make_settings(catalogue=DEMO_CATALOGUE)))) as client,
        client.get("/mail") as answer,
    ):
        assert answer.status == 404


async def test_the_files_of_a_draft_are_saved_and_never_opened_by_the_page(client: Client) -> None:
    async with client.get("/mail/01_wall_packs") as answer:
        text = await answer.text()
    assert '<a href="/mail/01_wall_packs/files/1">lighting quote.pdf</a>' in text
    async with client.get("/mail/01_wall_packs/files/1") as answer:
        data = await answer.read()

    assert answer.status == 200
    assert answer.content_type == "application/octet-stream"
    assert answer.headers["Content-Disposition"] == 'attachment; filename="lighting quote.pdf"'
    assert data.startswith(b"%PDF-")
    for path in (
        "/mail/01_wall_packs/files/2",
        "/mail/01_wall_packs/files/0",
        "/mail/19_bounce/files/1",
        "/mail/x/files/1",
    ):
        async with client.get(path) as answer:
            assert answer.status == 404


@pytest.mark.parametrize(
    ("name", "saved"),
    [
        ("a.pdf", "a.pdf"), ('x"; filename="y.exe', "x__ filename__y.exe"), ("a\r\nSet-Cookie: b", "a__Set-Cookie_ b"), ("../../x", "_.._x"),
        ("ñ.xlsx", "_.xlsx"), ("...", "file"),
    ],
)  # fmt: skip
def test_a_files_name_is_plain_in_the_header(name: str, saved: str) -> None:
    assert saved_as(name) == f'attachment; filename="{saved}"'
