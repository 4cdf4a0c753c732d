"""Lets many tasks use one store at once: what they ask for meanwhile is committed together.

A commit waits for the disk (or for the database's machine), and while it does, further requests pile up; they become the
next transaction. One flush then serves them all. The event loop never waits. Where messages stand in line for their answers
anyway, a flush lets some more requests come: it costs as much for one as for ten.
"""

import asyncio
import logging
import threading
import time
from collections.abc import Callable
from contextlib import AbstractContextManager
from queue import SimpleQueue
from typing import Any, Final, TypeVar

from bot.store.records import StoreUnusable
from bot.store.session import Session
from engine.errors import WattclerkError

log = logging.getLogger("wattclerk.store")

Result = TypeVar("Result")
Request = Callable[[Session], Any]
MOST_TOGETHER: Final = 64
PATIENCE_SECONDS: Final = 10.0
"""How long a store may be gone (a database that starts anew) before the caller is told."""
LINGER_SECONDS: Final = 0.01
"""How long a transaction may wait for more to come. A flush and its wake-ups cost about a third of a millisecond of processor time."""
_FIRST_PAUSE: Final = 0.05


class StoreGone(StoreUnusable):
    """The connection broke; what was asked for may or may not have been done. Asked for again it is done once."""


class StoreConflict(StoreUnusable):
    """Two servers got in each other's way; nothing was done, and asked for again it will be."""


class Lane:
    """A thread that runs requests, in the order in which they came, several to a transaction.

    A request is a function of a session. It may raise a `WattclerkError` before it has written anything; whatever else it
    raises undoes the transaction, and the others of it are run again, each alone. A request must therefore come out the
    same when it is run twice.
    """

    def __init__(
        self,
        name: str,
        begin: Callable[[], AbstractContextManager[Session]],
        may_linger: Callable[[], bool] = lambda: False,
    ) -> None:
        """Starts it.

        Args:
            name: of the thread.
            begin: a transaction.
            may_linger: whether nobody is the worse for it if requests wait `LINGER_SECONDS` for others; asked in the thread.
        """
        self._begin = begin
        self._may_linger = may_linger
        self._waiting: SimpleQueue[_Asked | None] = SimpleQueue()
        self._closing = False
        # Between looking whether the lane is closed and asking: the end is the last thing that it is told.
        self._asking = threading.Lock()
        self._thread = threading.Thread(target=self._work, name=name, daemon=True)
        self._thread.start()

    async def do(self, request: Callable[[Session], Result], key: str = "") -> Result:
        """What ``request`` gives, once it is committed.

        ``key`` names what it changes: within a transaction the requests stand in the order of their keys, so that servers
        that change the same things never wait for each other in a circle.
        """
        loop = asyncio.get_running_loop()
        future: asyncio.Future[Result] = loop.create_future()
        with self._asking:
            if self._closing:
                raise StoreUnusable("the store is being closed: try again in a minute")
            self._waiting.put(_Asked(request, key, loop, future))
        return await future

    def close(self) -> None:
        """Ends after the last request that was made; waits for it."""
        with self._asking:
            if not self._closing:
                self._closing = True
                self._waiting.put(None)
        self._thread.join()

    def _work(self) -> None:
        going_on = True
        while going_on:
            batch, going_on = self._next()
            if len(batch) > 1:
                batch.sort(key=lambda each: each.key)
            if batch:
                self._patiently(batch)
                _tell(batch)

    def _next(self) -> "tuple[list[_Asked], bool]":
        """What has piled up, at least one, and whether more may come."""
        batch: list[_Asked] = []
        asked = self._waiting.get()
        if asked is not None and self._may_linger():
            time.sleep(LINGER_SECONDS)
        while asked is not None:
            batch.append(asked)
            if len(batch) == MOST_TOGETHER or self._waiting.empty():
                return batch, True
            asked = self._waiting.get()
        return batch, False

    def _patiently(self, batch: "list[_Asked]") -> None:
        """Goes on asking a store that is gone for a while."""
        until = time.monotonic() + PATIENCE_SECONDS
        pause = _FIRST_PAUSE
        while True:
            try:
                self._together(batch)
            except StoreGone as error:
                if self._closing or time.monotonic() + pause > until:
                    for each in batch:
                        each.fault = error
                    return
                time.sleep(pause)
                pause = min(1.0, pause * 2)
            else:
                return

    def _together(self, batch: "list[_Asked]", again: int = 3) -> None:
        begun = False
        try:
            with self._begin() as session:
                begun = True
                for each in batch:
                    each.run(session)
        except StoreGone:
            raise
        except Exception as error:
            if len(batch) == 1 and isinstance(error, StoreConflict) and again > 0:
                self._together(batch, again - 1)
                return
            if len(batch) == 1 or not begun:
                if not isinstance(error, WattclerkError):
                    log.exception("a request to the store failed")
                for each in batch:
                    each.fault = error
                return
            for each in batch:
                self._together([each])


class _Asked:
    """A request, and who waits for it."""

    __slots__ = ("fault", "future", "key", "loop", "request", "result")

    def __init__(
        self, request: Request, key: str, loop: asyncio.AbstractEventLoop, future: "asyncio.Future[Any]"
    ) -> None:
        self.request = request
        self.key = key
        self.loop = loop
        self.future = future
        self.result: Any = None
        self.fault: Exception | None = None

    def run(self, session: Session) -> None:
        self.fault = None
        try:
            self.result = self.request(session)
        except StoreUnusable:
            raise
        except WattclerkError as refusal:
            self.fault = refusal


def _tell(batch: list[_Asked]) -> None:
    """One wake-up of the loop for all of them."""

    def deliver() -> None:
        for each in batch:
            if each.future.done():
                continue
            if each.fault is not None:
                each.future.set_exception(each.fault)
            else:
                each.future.set_result(each.result)

    try:
        batch[0].loop.call_soon_threadsafe(deliver)
    except RuntimeError:
        log.warning("%d requests were done after everybody had left", len(batch))
