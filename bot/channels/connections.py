"""Time bounds of connections, which the HTTP server itself has none of: a request's head comes soon, replies are taken.

Without them a handful of machines that send a byte a minute hold every connection that the server may have.
"""

import asyncio
from dataclasses import dataclass, field
from typing import Any, Final, cast

from aiohttp import web

HEAD_SECONDS: Final = 10.0
"""From the connection's first moment, or from the first byte of a further request, to the end of its head."""
TAKE_SECONDS: Final = 30.0
"""How long a reader may take nothing of what is waiting for it."""
IDLE_SECONDS: Final = 75.0
LINGER_SECONDS: Final = 2.0
"""How long what still comes is read and dropped after a refusal, so that the sender gets to see it."""


@dataclass(slots=True)
class Connections:
    """Makes the connections of a server, so many at once, and knows each by its protocol.

    Attributes:
        most: connections beyond are closed at once.
    """

    most: int
    head_seconds: float = HEAD_SECONDS
    take_seconds: float = TAKE_SECONDS
    open: dict[asyncio.BaseProtocol, "_Timed"] = field(default_factory=dict)

    def request_came(self, request: web.Request) -> None:
        """A request's head is here."""
        timed = self.open.get(request.protocol)
        if timed is not None:
            timed.head_came()

    def request_done(self, request: web.Request) -> None:
        """Its handler has ended: what comes now is the next one."""
        timed = self.open.get(request.protocol)
        if timed is not None:
            timed.busy = False

    def timed(self, protocol: asyncio.Protocol) -> asyncio.Protocol:
        """The protocol behind its time bounds."""
        return _Timed(protocol, self)


CONNECTIONS: Final = web.AppKey("connections", Connections)


class BoundedRunner(web.AppRunner):
    """Runs an application over bounded connections."""

    def __init__(self, app: web.Application, **options: Any) -> None:
        super().__init__(
            app,
            access_log=None,
            auto_decompress=False,
            keepalive_timeout=IDLE_SECONDS,
            lingering_time=LINGER_SECONDS,
            **options,
        )

    @property
    def server(self) -> Any:
        """What makes a protocol for each connection, once the runner is set up."""
        inner = super().server
        if inner is None:
            return None
        connections = self.app[CONNECTIONS]
        return lambda: connections.timed(cast(asyncio.Protocol, inner()))


class _Timed(asyncio.Protocol):
    """Hands everything on, and closes the connection when something takes too long."""

    __slots__ = ("_all", "_head", "_inner", "_taking", "_transport", "busy")

    def __init__(self, inner: asyncio.Protocol, connections: Connections) -> None:
        self._inner = inner
        self._all = connections
        self._transport: asyncio.Transport | None = None
        self._head: asyncio.TimerHandle | None = None
        self._taking: asyncio.TimerHandle | None = None
        self.busy = False

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        self._transport = cast(asyncio.Transport, transport)
        self._inner.connection_made(transport)
        self._all.open[self._inner] = self
        if len(self._all.open) > self._all.most:
            self._transport.abort()
            return
        self._head = self._in(self._all.head_seconds)

    def data_received(self, data: bytes) -> None:
        if not self.busy and self._head is None:
            self._head = self._in(self._all.head_seconds)
        self._inner.data_received(data)

    def eof_received(self) -> bool | None:
        return self._inner.eof_received()

    def pause_writing(self) -> None:
        self._taking = self._in(self._all.take_seconds)
        self._inner.pause_writing()

    def resume_writing(self) -> None:
        self._taken()
        self._inner.resume_writing()

    def connection_lost(self, error: Exception | None) -> None:
        self._taken()
        self._head_is_here()
        self._all.open.pop(self._inner, None)
        self._inner.connection_lost(error)

    def head_came(self) -> None:
        self.busy = True
        self._head_is_here()

    def _head_is_here(self) -> None:
        if self._head is not None:
            self._head.cancel()
            self._head = None

    def _taken(self) -> None:
        if self._taking is not None:
            self._taking.cancel()
            self._taking = None

    def _in(self, seconds: float) -> asyncio.TimerHandle:
        assert self._transport is not None  # noqa: S101  made before anything else comes
        return asyncio.get_running_loop().call_later(seconds, self._transport.abort)
