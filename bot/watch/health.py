"""Health, readiness and metrics, as a load balancer and a monitor ask for them."""

import asyncio
import logging
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from aiohttp import web

from bot.clock import Clock
from bot.inbox import Inbox
from bot.staff.roll import Roll
from bot.store.records import StoreUnusable
from bot.store.session import Session
from bot.watch.depths import depths, oldest_seconds
from bot.watch.metrics import CONTENT_TYPE, Metrics

log = logging.getLogger("wattclerk.watch")

STUCK_SECONDS: Final = 120.0
"""A message that is due is answered in a second or two; one that waits so long shows that nobody answers."""
LOOK_WITHIN: Final = 3.0
KEPT_FOR: Final = 1.0
"""How long an outcome is told again: a look writes to the disk, and anybody may ask."""


@dataclass(slots=True)
class Watch:
    """Handlers of what is seen from outside.

    Attributes:
        catalogue: root of the catalogue that is served.
        sockets, connections: how many are open.
        seconds: that only go forward.
    """

    inbox: Inbox
    metrics: Metrics
    catalogue: str
    sockets: Callable[[], int]
    connections: Callable[[], int]
    clock: Clock
    seconds: Callable[[], float]
    _looking: asyncio.Lock = field(default_factory=asyncio.Lock)
    _faults: tuple[str, ...] = ()
    _looked: float = float("-inf")

    def routes(self) -> list[web.RouteDef]:
        """What monitors ask."""
        return [
            web.get("/healthz", self.get_health),
            web.get("/readyz", self.get_ready),
            web.get("/metrics", self.get_metrics),
        ]

    async def get_health(self, request: web.Request) -> web.Response:
        """Up, and with which catalogue and tables."""
        assistant = self.inbox.assistant
        return web.json_response(
            {
                "status": "ok",
                "catalog_version": assistant.catalogue.version,
                "tables_version": assistant.tables.version,
            }
        )

    async def get_ready(self, request: web.Request) -> web.Response:
        """Whether messages can be taken: the store can be written, there is a catalogue, and the queue moves."""
        async with self._looking:
            if self.seconds() >= self._looked + KEPT_FOR:
                self._faults = await self._look()
                self._looked = self.seconds()
        if self._faults:
            log.warning("not ready: %s", ", ".join(self._faults))
            return web.json_response({"status": "not ready", "faults": list(self._faults)}, status=503)
        return web.json_response({"status": "ready", "faults": []})

    async def _look(self) -> tuple[str, ...]:
        faults = [] if self.inbox.assistant.catalogue.products else ["the catalogue is empty"]
        now = self.clock()

        def write(session: Session) -> float:
            Roll(session.connection).touch_key("ready")
            return oldest_seconds(session.connection, now)

        try:
            async with asyncio.timeout(LOOK_WITHIN):
                oldest = await self.inbox.writing.do(write, "~ready")
        except (StoreUnusable, TimeoutError):
            faults.append("the store can't be written")
        else:
            if oldest > STUCK_SECONDS:
                faults.append("messages wait and nobody answers them")
        return tuple(faults)

    async def get_metrics(self, request: web.Request) -> web.Response:
        """Everything that is counted and measured."""
        now = self.clock()
        found = await self.inbox.reading.do(lambda s: depths(s.connection, self.catalogue, now))
        body = self.metrics.text(found, self.sockets(), self.connections())
        return web.Response(body=body, headers={"Content-Type": CONTENT_TYPE})
