"""Wires the server: the only place that knows which parts stand behind which."""

import asyncio
from collections.abc import AsyncIterator
from typing import Final

from aiohttp import web

from bot.answerers import Answerers, OwnProcesses, OwnThread
from bot.channels.gateway import open_gateways
from bot.channels.guards import Pace, SameOrigin
from bot.channels.openapi import openapi_document
from bot.channels.page import page_routes
from bot.channels.web import MOST_BODY_BYTES, WebChannel
from bot.clock import Clock, utc_now
from bot.inbox import Inbox
from bot.outbox import Outbox
from bot.settings import Settings
from bot.standing_guard import stand_guard
from bot.store.catalogue import Served, open_served, read_files
from bot.store.ledger import Lane
from bot.store.opened import open_store
from bot.store.protocol import Store
from bot.work_queue import RowQueue, WorkQueue, stopped

SETTINGS: Final = web.AppKey("settings", Settings)
STORE: Final = web.AppKey("store", Store)
INBOX: Final = web.AppKey("inbox", Inbox)
OUTBOX: Final = web.AppKey("outbox", Outbox)
CHANNEL: Final = web.AppKey("channel", WebChannel)
ANSWERERS: Final = web.AppKey("answerers", Answerers)
QUEUE: Final = web.AppKey("queue", WorkQueue)


def build_app(settings: Settings, clock: Clock = utc_now) -> web.Application:
    """The server's application: opens the store, imports the catalogue if it changed, loads the tables.

    Raises:
        ConfigurationError: a table or a catalogue can't be used.
        StoreUnusable: the store can't be opened, or has a server already.
    """
    written = read_files(settings)
    store = open_store(settings)
    try:
        store.serve()
        served = open_served(settings, written, store)
        gateways = open_gateways(settings)
        answerers = _answerers(settings, served)
    except BaseException:
        store.close()
        raise
    writing = Lane("store-writes", store.transaction, may_linger=answerers.is_behind)
    reading = Lane("store-reads", store.snapshot)
    inbox = Inbox(
        served.assistant,
        answerers,
        writing,
        reading,
        clock,
        forms={name: gateway.form for name, gateway in gateways.items()},
        most_turns=settings.max_turns,
        # A server that is alone answers every message itself: its word can't get lost on the way from another.
        look_after=0.25 if store.shared else 5.0,
    )
    outbox = Outbox(gateways, writing, clock)
    queue = _queue(settings, store, inbox, outbox)
    inbox.reply_kept = lambda reply: queue.nudge()
    inbox.kept_for_later = queue.nudge
    channel = WebChannel(
        inbox=inbox,
        origins=SameOrigin(settings.host, settings.origins),
        pace=Pace(settings.messages_per_minute, _seconds),
        longest_text=settings.max_text_chars,
        most_sockets=settings.max_sockets,
    )
    app = web.Application(client_max_size=MOST_BODY_BYTES)
    app[SETTINGS] = settings
    app[STORE] = store
    app[INBOX] = inbox
    app[OUTBOX] = outbox
    app[CHANNEL] = channel
    app[ANSWERERS] = answerers
    app[QUEUE] = queue
    app.add_routes(channel.routes())
    app.add_routes(page_routes())
    app.router.add_get("/openapi.json", _openapi)
    try:
        stand_guard(app, settings, store, inbox, channel, queue, served.versions, clock)
    except BaseException:
        for close in (answerers.close, writing.close, reading.close, store.close):
            close()
        raise
    app.cleanup_ctx.append(_work_goes_on)
    app.on_shutdown.append(_close_sockets)
    return app


def _answerers(settings: Settings, served: Served) -> Answerers:
    if not settings.workers:
        return OwnThread(served.assistant, served.versions)
    return OwnProcesses(
        settings.workers, served.versions, served.pieces, logs=(settings.log_level, settings.log_form)
    )


def _queue(settings: Settings, store: Store, inbox: Inbox, outbox: Outbox) -> WorkQueue:
    if settings.database is None:
        return RowQueue(inbox, outbox)
    from bot.store.postgres_queue import JobWorker

    return JobWorker(inbox, outbox, settings.database, at_once=4 * (settings.workers or 1))


async def _work_goes_on(app: web.Application) -> AsyncIterator[None]:
    """The queue runs while the server does; store and answerers end after the last message was kept."""
    inbox = app[INBOX]
    loop = asyncio.get_running_loop()

    def settled(messages: list[int]) -> None:
        for message in messages:
            inbox.settled_elsewhere(message)

    def heard(messages: list[int]) -> None:
        loop.call_soon_threadsafe(settled, messages)

    app[STORE].listen(heard)
    looking = asyncio.create_task(app[QUEUE].run())
    yield
    await stopped(looking)
    await inbox.drain()
    for close in (app[ANSWERERS].close, inbox.writing.close, inbox.reading.close, app[STORE].close):
        await asyncio.to_thread(close)


async def _openapi(request: web.Request) -> web.Response:
    # worked out when somebody asks: it would be a tenth of the time that a server takes to start
    return web.json_response(openapi_document())


async def _close_sockets(app: web.Application) -> None:
    await app[CHANNEL].close_sockets()


def _seconds() -> float:
    return asyncio.get_running_loop().time()
