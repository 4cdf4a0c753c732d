"""Wires the server: the only place that knows which parts stand behind which."""

import asyncio
from collections.abc import AsyncIterator
from concurrent.futures import ThreadPoolExecutor
from typing import Final

from aiohttp import web

from bot.assistant import Assistant
from bot.channels.guards import Pace, SameOrigin, add_headers, errors_as_json
from bot.channels.openapi import openapi_document
from bot.channels.page import page_routes
from bot.channels.web import MOST_BODY_BYTES, WebChannel
from bot.clock import Clock, utc_now
from bot.inbox import Inbox
from bot.opening import open_tables, open_tariff, open_terms
from bot.settings import Settings
from bot.store.catalogue import served_catalogue
from bot.store.sqlite import SqliteStore

SETTINGS: Final = web.AppKey("settings", Settings)
INBOX: Final = web.AppKey("inbox", Inbox)
CHANNEL: Final = web.AppKey("channel", WebChannel)
WORKER: Final = web.AppKey("worker", ThreadPoolExecutor)


def build_app(settings: Settings, clock: Clock = utc_now) -> web.Application:
    """The server's application: opens the store, imports the catalogue if it changed, loads the tables.

    Raises:
        ConfigurationError: a table or a catalogue can't be used.
        StoreUnusable: the store can't be opened.
    """
    tables = open_tables(settings.tables)
    tables.check()
    terms, tariff = open_terms(settings.terms), open_tariff(settings.tariff)
    store = SqliteStore(settings.database)
    try:
        catalogue = served_catalogue(store.database, settings.catalogue)
    except BaseException:
        store.close()
        raise
    inbox = Inbox(Assistant(catalogue, tables, terms, tariff), store, clock, most_turns=settings.max_turns)
    # One thread: the store's file has one writer, and messages are answered in the order in which they came.
    worker = ThreadPoolExecutor(max_workers=1, thread_name_prefix="inbox")
    channel = WebChannel(
        inbox=inbox,
        worker=worker,
        origins=SameOrigin(settings.host, settings.origins),
        pace=Pace(settings.messages_per_minute, _seconds),
        longest_text=settings.max_text_chars,
        most_sockets=settings.max_sockets,
    )
    app = web.Application(middlewares=[errors_as_json], client_max_size=MOST_BODY_BYTES)
    app[SETTINGS] = settings
    app[INBOX] = inbox
    app[CHANNEL] = channel
    app[WORKER] = worker
    app.on_response_prepare.append(add_headers)
    app.add_routes(channel.routes())
    app.add_routes(page_routes())
    document = openapi_document()

    async def openapi(request: web.Request) -> web.Response:
        return web.json_response(document)

    app.router.add_get("/openapi.json", openapi)
    app.cleanup_ctx.append(_store_open)
    app.on_shutdown.append(_close_sockets)
    return app


async def _store_open(app: web.Application) -> AsyncIterator[None]:
    """The worker and the store end with the application, after the last message was kept."""
    yield
    await asyncio.to_thread(app[WORKER].shutdown)
    app[INBOX].store.close()


async def _close_sockets(app: web.Application) -> None:
    await app[CHANNEL].close_sockets()


def _seconds() -> float:
    return asyncio.get_running_loop().time()
