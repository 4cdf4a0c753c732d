"""Bounds of every request: addressed to us, not compressed, its body here within seconds."""

import asyncio
from typing import Final

from aiohttp import web
from aiohttp.typedefs import Middleware

from bot.channels.connections import CONNECTIONS
from bot.channels.guards import Handler, SameOrigin, refusal

BODY_SECONDS: Final = 10.0
"""For a body of a quarter of a megabyte at most: even a slow telephone does that."""
MOST_QUERY: Final = 2_000


def bounded(origins: SameOrigin, body_seconds: float = BODY_SECONDS) -> Middleware:
    """The outermost check: what fails it reaches no handler."""

    @web.middleware
    async def check(request: web.Request, handler: Handler) -> web.StreamResponse:
        connections = request.app[CONNECTIONS]
        connections.request_came(request)
        try:
            return await checked(request, handler)
        finally:
            connections.request_done(request)

    async def checked(request: web.Request, handler: Handler) -> web.StreamResponse:
        if not origins.knows_host(request.headers.get("Host", "")):
            return refusal(421, "this server has another name: use the address that its operator gave you")
        if request.headers.get("Content-Encoding", "identity").strip().lower() != "identity":
            return refusal(415, "send the body as it is, not compressed")
        if len(request.query_string) > MOST_QUERY:
            return refusal(414, "the address is too long")
        if request.can_read_body:
            try:
                if request.content.is_eof():
                    await request.read()  # All of it came with the head: there is nothing to wait for.
                else:
                    async with asyncio.timeout(body_seconds):
                        await request.read()
            except TimeoutError:
                late = refusal(408, "the body took too long to come")
                late.force_close()
                return late
        return await handler(request)

    return check
