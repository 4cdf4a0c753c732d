"""Sends what is in the outbox: each reply until its gateway has taken it, with longer and longer pauses, in order."""

import asyncio
import logging
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

from bot.channels.gateway import Gateway, NeverSent, NotSent
from bot.clock import Clock, stamp, utc_now
from bot.inbox import pause_after
from bot.store.ledger import Lane
from bot.store.records import Outgoing

log = logging.getLogger("wattclerk.outbox")

MOST_ATTEMPTS: Final = 12
"""With the pauses of `bot.inbox.pause_after` that is about an hour and a half."""
SEND_WITHIN: Final = 30.0


@dataclass(slots=True)
class Outbox:
    """Sends replies over gateways. Lives in one event loop."""

    gateways: Mapping[str, Gateway]
    writing: Lane
    clock: Clock = utc_now
    _at_it: set[int] = field(default_factory=set)

    async def send(self, reply: int) -> int | None:
        """Sends a reply, unless it is being sent; gives the number of the next one of its conversation that waits.

        Raises:
            bot.store.records.StoreUnusable: what became of it can't be kept; it will be sent again under the same key.
        """
        if reply in self._at_it:
            return None
        self._at_it.add(reply)
        try:
            outgoing = await self.writing.do(lambda s: s.outgoing(reply))
            if outgoing is None:
                return None
            fault, for_good = await self._try(outgoing)
            now = self.clock()
            if fault is None:
                return await self.writing.do(lambda s: s.sent(reply, stamp(now)))
            attempts = outgoing.attempts + 1
            again = None
            if not for_good and attempts < MOST_ATTEMPTS:
                again = stamp(now + pause_after(attempts))
            else:
                log.error("reply %d is set aside after %d attempts: %s", reply, attempts, fault)
            reason = fault
            return await self.writing.do(lambda s: s.not_sent(reply, reason, again))
        finally:
            self._at_it.discard(reply)

    async def _try(self, outgoing: Outgoing) -> tuple[str | None, bool]:
        """What was wrong, and whether it will be wrong every time."""
        gateway = self.gateways.get(outgoing.channel)
        if gateway is None:
            return f"no gateway for {outgoing.channel} is set up", True
        try:
            async with asyncio.timeout(SEND_WITHIN):
                await gateway.send(outgoing)
        except NeverSent as error:
            return str(error), True
        except NotSent as error:
            return str(error), False
        except TimeoutError:
            return f"the gateway gave no answer within {SEND_WITHIN:g} s", False
        except Exception as error:
            log.exception("gateway %s failed", outgoing.channel)
            return f"the gateway failed ({type(error).__name__})", False
        return None, False
