"""Who is at the other end: the peer of the connection or, behind proxies that the operator named, whom they speak for."""

from collections.abc import Sequence
from functools import lru_cache
from ipaddress import IPv4Address, IPv6Address, ip_address
from typing import Final

from aiohttp import web

from bot.settings import Network

MOST_HOPS: Final = 20
_SUBSCRIBER_BITS: Final = 64
"""What one customer of a provider gets of IPv6; every address in it is the same sender."""


class Senders:
    """Reads the peer, and the proxies' headers where the peer is one of them. Nobody else's headers count."""

    def __init__(self, proxies: Sequence[Network] = ()) -> None:
        self._proxies = tuple(proxies)

    def is_proxy(self, request: web.Request) -> bool:
        """Whether the request comes from a proxy that the operator named."""
        peer = _address(request.remote or "")
        return peer is not None and self._named(peer)

    def address(self, request: web.Request) -> str:
        """The sender's address: the last one of ``X-Forwarded-For`` that is not a named proxy, else the peer."""
        if not self.is_proxy(request):
            return request.remote or ""
        hops = ",".join(request.headers.getall("X-Forwarded-For", ())).split(",")
        for hop in reversed(hops[-MOST_HOPS:]):
            address = _address(hop.strip())
            if address is None:
                break
            if not self._named(address):
                return str(address)
        return request.remote or ""

    def is_https(self, request: web.Request) -> bool:
        """Whether the sender's side of the connection has TLS."""
        if self.is_proxy(request):
            return request.headers.get("X-Forwarded-Proto", "").strip().lower() == "https"
        return request.secure

    def is_this_machine(self, request: web.Request) -> bool:
        """Whether the peer is a program here (which may be a proxy that nobody told us of)."""
        peer = _address(request.remote or "")
        return peer is not None and peer.is_loopback and not self._named(peer)

    def _named(self, address: IPv4Address | IPv6Address) -> bool:
        return any(address in network for network in self._proxies)


def bucket_of(address: str) -> str:
    """What a limit is counted by: an IPv4 address, or the network of an IPv6 one."""
    parsed = _address(address)
    if isinstance(parsed, IPv6Address):
        return str(IPv6Address(int(parsed) >> _SUBSCRIBER_BITS << _SUBSCRIBER_BITS))
    return address


@lru_cache(maxsize=4096)
def _address(text: str) -> IPv4Address | IPv6Address | None:
    try:
        parsed = ip_address(text.partition("%")[0])
    except ValueError:
        return None
    return parsed.ipv4_mapped or parsed if isinstance(parsed, IPv6Address) else parsed
