"""Who looks for work that nobody has at hand: messages kept for later or left by a crash, replies due to be sent.

With one server (SQLite) the waiting rows are the queue, and the server looks at them. With many (PostgreSQL) a queue
library hands the work out; see `bot.store.postgres_queue`.
"""

import asyncio
import logging
from dataclasses import dataclass, field
from typing import Final, Protocol

from bot.clock import stamp
from bot.inbox import LONGEST_PAUSE, Inbox
from bot.outbox import Outbox
from bot.store.records import StoreUnusable

log = logging.getLogger("wattclerk.work")

LOOK_EVERY: Final = 1.0
"""Seconds between two looks; what was just kept is looked for at once."""
STOP_AGAIN_AFTER: Final = 6.0


class WorkQueue(Protocol):
    """Hands out work until it is stopped."""

    def nudge(self) -> None:
        """There is something to do now."""

    async def run(self) -> None:
        """Hands out work until it is cancelled."""


@dataclass(slots=True)
class RowQueue:
    """Looks at the waiting rows."""

    inbox: Inbox
    outbox: Outbox
    _nudged: asyncio.Event = field(default_factory=asyncio.Event)
    _sending: set[asyncio.Task[None]] = field(default_factory=set)

    def nudge(self) -> None:
        """There is something to do now."""
        self._nudged.set()

    async def run(self) -> None:
        """Looks again and again, until it is cancelled."""
        while True:
            self._nudged.clear()
            try:
                await self._look()
            except StoreUnusable as error:
                log.warning("waiting messages can't be looked for: %s", error)
            try:
                async with asyncio.timeout(LOOK_EVERY):
                    await self._nudged.wait()
            except TimeoutError:
                pass

    async def _look(self) -> None:
        await self.inbox.flush()
        await self.inbox.take_up_dropped()
        now = self.inbox.clock()
        due, farthest = stamp(now), stamp(now + 2 * LONGEST_PAUSE)
        for conversation in await self.inbox.reading.do(lambda s: s.free_conversations(due, farthest)):
            self.inbox.answer(conversation)
        if self.outbox.gateways:
            for reply in await self.inbox.reading.do(lambda s: s.due_replies(due, farthest)):
                self._send(reply)

    def _send(self, reply: int) -> None:
        task = asyncio.get_running_loop().create_task(self._send_all(reply))
        self._sending.add(task)
        task.add_done_callback(self._sending.discard)

    async def _send_all(self, first: int) -> None:
        """The reply, and those that wait behind it."""
        reply: int | None = first
        try:
            while reply is not None:
                reply = await self.outbox.send(reply)
        except StoreUnusable as error:
            log.warning("reply %s: %s", reply, error)


async def stopped(looking: "asyncio.Task[None]") -> None:
    """Ends a queue that runs as a task; asks again where a library let the first asking fall."""
    while not looking.done():
        looking.cancel()
        await asyncio.wait({looking}, timeout=STOP_AGAIN_AFTER)
    if not looking.cancelled() and (error := looking.exception()) is not None:
        log.error("the work queue had failed", exc_info=error)
