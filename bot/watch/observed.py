"""Watches every request: gives it its id, counts it, measures it, and writes a line about it that names nobody."""

import hashlib
import hmac
import logging
from collections.abc import Callable
from typing import Final

from aiohttp import web
from aiohttp.typedefs import Middleware

from bot.channels.guards import Handler
from bot.channels.senders import Senders
from bot.watch.metrics import Metrics
from bot.watch.request_ids import HEADER, REQUEST_ID, current, request_id_of

log = logging.getLogger("wattclerk.access")

OPEN_FOR_LONG: Final = frozenset({"/ws"})
"""Routes whose requests last as long as somebody looks at a page: not measured."""
NOWHERE: Final = "none"


def observed(metrics: Metrics, senders: Senders, key: str, seconds: Callable[[], float]) -> Middleware:
    """The outermost middleware.

    Args:
        metrics: where it is counted.
        senders: who is at the other end.
        key: that addresses are hashed with; without it a hash could be found by trying all addresses.
        seconds: that only go forward.
    """

    @web.middleware
    async def observe(request: web.Request, handler: Handler) -> web.StreamResponse:
        request[REQUEST_ID] = request_id_of(request.headers.get(HEADER))
        token = current.set(request[REQUEST_ID])
        begun, status = seconds(), 500
        try:
            response = await handler(request)
            status = response.status
            return response
        except web.HTTPException as error:
            status = error.status
            raise
        finally:
            resource = request.match_info.route.resource
            route = NOWHERE if resource is None else resource.canonical
            took = seconds() - begun
            if route not in OPEN_FOR_LONG:
                method = request.method if request.method in _METHODS else "other"
                metrics.request_done(route, method, status, took)
            if status >= 500:
                metrics.failed("answer" if status == 500 else "refused")
            if log.isEnabledFor(logging.INFO):
                log.info(
                    "request",
                    extra={
                        "method": request.method if request.method in _METHODS else "other",
                        "route": route,
                        "status": status,
                        "ms": round(1000 * took, 1),
                        "sender": hashed_sender(senders.address(request), key),
                    },
                )
            current.reset(token)

    return observe


_METHODS: Final = frozenset({"GET", "HEAD", "POST", "OPTIONS", "PUT", "PATCH", "DELETE"})


def hashed_sender(address: str, key: str) -> str:
    """What stands for an address in the logs: the same for the same address of this installation, and no way back."""
    return hmac.new(key.encode(), address.encode("utf-8", "replace"), hashlib.sha256).hexdigest()[:16]


async def add_request_id(request: web.Request, response: web.StreamResponse) -> None:
    """Signal: every reply names its request."""
    if REQUEST_ID in request:
        response.headers[HEADER] = request[REQUEST_ID]
