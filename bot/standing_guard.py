"""Puts what guards and watches a server around its application: sign-in, bounds, who may use what, logs and metrics."""

import asyncio
from collections.abc import AsyncIterator
from concurrent.futures import ThreadPoolExecutor

from aiohttp import web

from bot.channels.access import GATE, authorized, check_all_listed
from bot.channels.bounds import bounded
from bot.channels.connections import CONNECTIONS, Connections
from bot.channels.guards import HTTPS_ONLY, Pace, add_headers, errors_as_json
from bot.channels.senders import Senders
from bot.channels.web import WebChannel
from bot.clock import Clock
from bot.contents import Versions
from bot.inbox import Inbox
from bot.mail.headers import addresses_in
from bot.mail.mailbox import DEMO_MAILBOX, Mailbox
from bot.mail.outgoing.account import smtp_account_in
from bot.settings import Settings
from bot.staff.desk_page import DeskPages
from bot.staff.fault_pages import faults_as_pages
from bot.staff.gate import Gate, refuse_unguarded
from bot.staff.link_page import LOOKS_PER_MINUTE, LinkPage
from bot.staff.mail_page import MailPages
from bot.staff.owner_pages import OwnerPages
from bot.staff.pages import StaffPages
from bot.staff.roll import Roll
from bot.staff.secrets import new_secret
from bot.staff.send_page import SendPages
from bot.store.protocol import Store
from bot.watch.health import Watch
from bot.watch.metrics import Metrics
from bot.watch.observed import add_request_id, observed
from bot.work_queue import WorkQueue

METRICS = web.AppKey("metrics", Metrics)


def stand_guard(
    app: web.Application,
    settings: Settings,
    store: Store,
    inbox: Inbox,
    channel: WebChannel,
    queue: WorkQueue,
    versions: Versions,
    clock: Clock,
) -> None:
    """Adds the middlewares, the staff's and the monitors' routes. Every other route must be there already.

    Raises:
        engine.errors.ConfigurationError: people elsewhere could come here, and nobody can sign in.
    """
    with store.transaction() as session:
        roll = Roll(session.connection)
        has_staff = not roll.is_empty()
        key = roll.key("senders", new_secret())
        roll.key("ready", "")
    refuse_unguarded(settings, has_staff=has_staff)
    senders, origins, metrics = Senders(settings.proxies), channel.origins, Metrics()
    hashing = ThreadPoolExecutor(max_workers=1, thread_name_prefix="passwords")
    gate = Gate(
        settings, senders, inbox.writing, inbox.reading, hashing, _seconds, has_staff, clock, metrics.sign_in
    )
    connections = Connections(settings.max_connections)
    channel.lets_chat, channel.senders = gate.lets_chat, senders
    inbox.measure = metrics
    pages = StaffPages(gate, inbox, origins, queue.nudge)
    account = smtp_account_in(settings)
    desk = DeskPages(pages, account)
    watch = Watch(
        inbox,
        metrics,
        versions.catalogue,
        lambda: len(channel.sockets),
        lambda: len(connections.open),
        clock,
        _seconds,
    )
    app[GATE], app[CONNECTIONS], app[METRICS] = gate, connections, metrics
    for part in (
        pages,
        OwnerPages(pages, store),
        desk,
        SendPages(desk, account),
        MailPages(Mailbox(DEMO_MAILBOX, inbox.assistant, clock) if settings.catalogue is None else None),
        LinkPage(
            inbox,
            senders,
            Pace(LOOKS_PER_MINUTE, _seconds),
            clock,
            versions,
            next(iter(addresses_in(settings.mail_own or "")), None),
        ),
        watch,
    ):
        app.add_routes(part.routes())
    check_all_listed(app)
    app.middlewares.extend(
        [
            observed(metrics, senders, key, _seconds),
            errors_as_json,
            faults_as_pages,
            bounded(origins),
            authorized,
        ]
    )
    app.on_response_prepare.append(add_headers)
    app.on_response_prepare.append(add_request_id)

    async def https_stays(request: web.Request, response: web.StreamResponse) -> None:
        if senders.is_https(request):
            response.headers["Strict-Transport-Security"] = HTTPS_ONLY

    app.on_response_prepare.append(https_stays)

    async def hashing_ends(app: web.Application) -> AsyncIterator[None]:
        yield
        await asyncio.to_thread(hashing.shutdown)

    app.cleanup_ctx.append(hashing_ends)


def _seconds() -> float:
    return asyncio.get_running_loop().time()
