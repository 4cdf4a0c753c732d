"""What stands between the network and the assistant: who may speak, how much, and what a browser may do with our pages."""

import logging
from collections import OrderedDict
from collections.abc import Awaitable, Callable
from ipaddress import ip_address
from typing import Final
from urllib.parse import urlsplit

from aiohttp import web

from bot.settings import is_loopback
from engine.errors import WattclerkError

log = logging.getLogger("wattclerk")

Handler = Callable[[web.Request], Awaitable[web.StreamResponse]]

CONTENT_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
FORMS_POLICY: Final = CONTENT_POLICY.replace("form-action 'none'", "form-action 'self'")
"""Of pages that have forms: they go to us only."""
HTTPS_ONLY: Final = "max-age=31536000"
"""A browser that has come over TLS once does so for a year."""
HEADERS: Final = {
    "Server": "wattclerk",
    "Content-Security-Policy": CONTENT_POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}
CACHED: Final = (".css", ".js", ".svg")
"""What holds nothing of anybody; all else no browser and no proxy keeps."""
LOOPBACK_NAMES: Final = frozenset({"localhost", "127.0.0.1", "::1"})


def refusal(status: int, line: str, **headers: str) -> web.Response:
    """An error as the API says it: ``{"error": "one plain line"}``."""
    return web.json_response({"error": line}, status=status, headers=headers)


async def add_headers(request: web.Request, response: web.StreamResponse) -> None:
    """Signal: the headers that every answer carries."""
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    response.headers["Server"] = HEADERS["Server"]
    if not request.path.endswith(CACHED):
        response.headers.setdefault("Cache-Control", "no-store")


@web.middleware
async def errors_as_json(request: web.Request, handler: Handler) -> web.StreamResponse:
    """Says every error in one line of JSON; what a programmer broke is logged and never shown."""
    try:
        return await handler(request)
    except web.HTTPException as error:
        if error.status < 400:
            raise
        return refusal(error.status, error.text or error.reason, **_allow(error))
    except WattclerkError as error:
        log.warning("a request failed: %s", error)
        return refusal(503, "the assistant can't keep messages just now: try again in a minute")
    except Exception:
        log.exception("a request failed")
        return refusal(500, "something went wrong here; it has been noted: try again")


def _allow(error: web.HTTPException) -> dict[str, str]:
    return {"Allow": error.headers["Allow"]} if "Allow" in error.headers else {}


class SameOrigin:
    """Lets in pages that we served, those of the named further origins, and programs that are no browser.

    Bound to a loopback address, only loopback names are ours: a page elsewhere whose name was made to
    point here (DNS rebinding) must not speak for the person at this machine.
    """

    def __init__(self, bound_to: str, further: tuple[str, ...] = ()) -> None:
        self._loopback_only = is_loopback(bound_to)
        self._bound_to = bound_to.lower()
        self._further = frozenset(origin.rstrip("/").lower() for origin in further)
        self._further_names = frozenset(urlsplit(origin).hostname for origin in self._further)

    def knows_host(self, host: str) -> bool:
        """True where the ``Host`` header names us: a loopback name, a named origin or, bound wider, an address.

        Names are what can be made to point here; bound to an address others can reach, the operator names them in the origins.
        """
        name = host_name(host)
        # Whatever the port: a proxy may have another, or leave it out.
        if name in LOOPBACK_NAMES or name in self._further_names:
            return True
        return not self._loopback_only and (name == self._bound_to or _is_address(name))

    def allows(self, request: web.Request) -> bool:
        """True where the request may speak: it came to us by our name, and not from a page of another site."""
        host = request.headers.get("Host", "").lower()
        if not self.knows_host(host):
            return False
        origin = request.headers.get("Origin")
        if origin is None:
            return True
        origin = origin.lower()
        return origin in self._further or origin in {f"http://{host}", f"https://{host}"}


def _is_address(name: str) -> bool:
    try:
        ip_address(name)
    except ValueError:
        return False
    return True


def host_name(host: str) -> str:
    """The name in a ``Host`` header, small; "" where it is none."""
    try:
        return urlsplit(f"//{host.lower()}").hostname or ""
    except ValueError:
        return ""


class Pace:
    """How many messages an address may send: a bucket that fills evenly and holds one minute's worth.

    Args:
        per_minute: 0 sets no limit.
        now: seconds that only go forward.
    """

    MOST_ADDRESSES: Final = 10_000

    def __init__(self, per_minute: int, now: Callable[[], float]) -> None:
        self._per_minute = per_minute
        self._now = now
        self._buckets: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def wait_for(self, address: str) -> int:
        """0 where a message is let in (and counted), else how long to wait [s, at least 1]."""
        if self._per_minute == 0:
            return 0
        now = self._now()
        left, then = self._buckets.pop(address, (float(self._per_minute), now))
        left = min(float(self._per_minute), left + (now - then) * self._per_minute / 60)
        let_in = left >= 1
        self._buckets[address] = (left - 1 if let_in else left, now)
        if len(self._buckets) > self.MOST_ADDRESSES:
            self._buckets.popitem(last=False)
        return 0 if let_in else max(1, round((1 - left) * 60 / self._per_minute + 0.5))
