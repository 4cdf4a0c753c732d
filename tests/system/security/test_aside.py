"""What failed for good: staff see it with its reason, a manager runs it again, and it is answered."""

import asyncio
from collections.abc import Callable

import pytest
from aiohttp.test_utils import TestClient, TestServer

from bot.app import INBOX, build_app
from bot.settings import Settings
from bot.store.records import Message
from tests.system.security.conftest import Staffed, add_staff


async def test_a_message_that_was_set_aside_is_seen_run_again_and_answered(
    make_settings: Callable[..., Settings], monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*_: object) -> None:
        raise RuntimeError("Maria Lopez")

    monkeypatch.setattr("bot.inbox.MOST_ATTEMPTS", 1)
    settings = make_settings()
    add_staff(settings)
    async with TestClient(TestServer(build_app(settings))) as client:
        staffed = Staffed(client, settings)
        assert client.app is not None
        inbox = client.app[INBOX]
        with monkeypatch.context() as broken:
            broken.setattr("bot.answering.answer_of", fail)
            receipt = await inbox.keep(
                Message("<m1@example.com>", "12 wallpacks 250w", channel="mail", thread="t")
            )
            await until(lambda s: s.aside(), inbox)
        _, seen = await staffed.page("/staff/aside", "clerk")
        _, whole = await staffed.page("/staff/aside", "manager")
        refused, _ = await staffed.send(f"/staff/aside/message/{receipt.number}/again", "clerk")
        again, _ = await staffed.send(f"/staff/aside/message/{receipt.number}/again", "manager")
        twice, _ = await staffed.send(f"/staff/aside/message/{receipt.number}/again", "manager")
        await until(lambda s: s.turns(receipt.conversation), inbox)
        _, after = await staffed.page("/staff/aside", "manager")
        _, talk = await staffed.page(f"/staff/conversations/{receipt.conversation}", "clerk")

    assert "the program failed (RuntimeError)" in seen
    assert "Maria" not in seen
    assert 'class="count">1<' in seen
    assert "Run again" not in seen
    assert "Run again" in whole
    assert (refused, again) == (403, 303)
    assert twice in {303, 404}
    assert "Every message was answered" in after
    assert "Saves about" in talk or "QUESTION" in talk


async def until(look: Callable[..., object], inbox: object) -> None:
    """Until the store holds it."""
    async with asyncio.timeout(20):
        while not await inbox.reading.do(look):  # type: ignore[attr-defined]  # noqa: ASYNC110
            await asyncio.sleep(0.05)
