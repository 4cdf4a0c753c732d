"""A server with staff of every role, and a customer's conversation and quote that others must not get at."""

from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

import pytest
from aiohttp import web
from aiohttp.test_utils import TestClient, TestServer

from bot.app import INBOX, build_app
from bot.clock import stamp, utc_now
from bot.settings import Settings
from bot.staff.gate import form_mark
from bot.staff.passwords import hashed
from bot.staff.roles import ROLES, Role
from bot.staff.roll import Roll
from bot.staff.secrets import kept_form, new_secret
from bot.store.opened import open_store
from tests.system.conftest import Client

PASSWORD = "a few plain words in a row"
FIRST = "twelve 250W wallpacks at 20 ft for Lopez Bakery in Toledo 43604, $0.11/kWh, dusk-to-dawn"
_hashes: list[str] = []


def password_hash() -> str:
    """Hashing is slow on purpose: once is enough for all tests."""
    if not _hashes:
        _hashes.append(hashed(PASSWORD, "somebody else"))
    return _hashes[0]


@dataclass
class Staffed:
    """A server with accounts ``clerk``, ``manager`` and ``owner``, all of one password."""

    client: Client
    settings: Settings
    conversation: str = ""
    quote: str = ""
    message_ids: list[str] = field(default_factory=list)

    async def session(self, role: Role) -> str:
        """The secret of a fresh session."""
        secret, at = new_secret(), stamp(utc_now())
        await self.write(lambda roll: roll.begin_session(kept_form(secret), role, at))
        return secret

    async def link(self, quote: str | None = None, days: float = 30) -> str:
        """The secret of a fresh link."""
        secret, now = new_secret(), utc_now()
        until = stamp(now + timedelta(days=days))
        await self.write(
            lambda roll: roll.add_link(
                new_secret(), kept_form(secret), quote or self.quote, "clerk", stamp(now), until
            )
        )
        return secret

    async def write(self, change: Callable[[Roll], Any]) -> Any:
        assert self.client.app is not None
        return await self.client.app[INBOX].writing.do(lambda s: change(Roll(s.connection)))

    async def say(self, text: str = FIRST, **more: str) -> dict[str, Any]:
        """A customer's message, and its turn."""
        self.message_ids.append(f"message-{len(self.message_ids):016d}")
        message = {"message_id": self.message_ids[-1], "text": text} | more
        secret = await self.session("clerk")
        async with self.client.post("/api/messages", json=message, headers=carrying(secret)) as answer:
            assert answer.status == 200, await answer.text()
            return await answer.json()

    async def page(self, path: str, by: Role = "owner") -> tuple[int, str]:
        """A page as somebody of that role sees it."""
        secret = await self.session(by)
        async with self.client.get(path, headers=carrying(secret), allow_redirects=False) as answer:
            return answer.status, await answer.text()

    async def send(self, path: str, by: Role = "owner", **fields: str) -> tuple[int, str]:
        """A form as somebody of that role sends it."""
        secret = await self.session(by)
        form = {"mark": form_mark(secret)} | fields
        async with self.client.post(
            path, data=form, headers=carrying(secret), allow_redirects=False
        ) as answer:
            return answer.status, await answer.text()


def carrying(secret: str) -> dict[str, str]:
    """The headers of a browser that has that session."""
    return {"Cookie": f"wattclerk-session={secret}"}


def add_staff(settings: Settings) -> None:
    """Accounts of every role."""
    store = open_store(settings)
    with store.transaction() as session:
        for role in ROLES:
            Roll(session.connection).add(role, role, password_hash(), stamp(utc_now()))
    store.close()


@pytest.fixture
def staffed_server(
    make_settings: Callable[..., Settings],
) -> Callable[..., AbstractAsyncContextManager[Staffed]]:
    """Opens a server with staff; ``settings`` as given."""

    @asynccontextmanager
    async def open_it(*, talk: bool = True, **settings: object) -> AsyncIterator[Staffed]:
        made = make_settings(**settings)
        add_staff(made)
        app: web.Application = build_app(made)
        async with TestClient(TestServer(app)) as client:
            staffed = Staffed(client, made)
            if talk:
                turn = await staffed.say()
                staffed.conversation, staffed.quote = turn["conversation"], turn["quote_id"]
            yield staffed

    return open_it


@pytest.fixture
async def staffed(
    staffed_server: Callable[..., AbstractAsyncContextManager[Staffed]],
) -> AsyncIterator[Staffed]:
    """A server with staff and one customer's quote, its chat for staff only."""
    async with staffed_server() as opened:
        yield opened
