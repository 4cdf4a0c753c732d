"""The chat page's files, read once, with tags by which a browser knows that it has them."""

import hashlib
from collections.abc import Awaitable, Callable
from importlib.resources import files
from typing import Final

from aiohttp import web

SCRIPTS: Final = ("page", "card", "edit", "line", "make", "marks", "tape", "words", "working")
FILES: Final = {
    "/": ("page.html", "text/html"),
    "/page.css": ("page.css", "text/css"),
    "/staff.css": ("staff.css", "text/css"),
    "/staff.js": ("staff.js", "text/javascript"),
    "/icon.svg": ("icon.svg", "image/svg+xml"),
    **{f"/{name}.js": (f"{name}.js", "text/javascript") for name in SCRIPTS},
}


def page_routes() -> list[web.RouteDef]:
    """One route a file."""
    return [web.get(path, _server_of(name, kind)) for path, (name, kind) in FILES.items()]


def _server_of(name: str, kind: str) -> Callable[[web.Request], Awaitable[web.Response]]:
    body = files("bot.page").joinpath(name).read_bytes()
    tag = hashlib.sha256(body).hexdigest()[:16]

    async def serve(request: web.Request) -> web.Response:
        headers = {"ETag": f'"{tag}"', "Cache-Control": "no-cache"}
        known = request.if_none_match or ()
        if any(etag.value == tag for etag in known):
            return web.Response(status=304, headers=headers)
        return web.Response(body=body, content_type=kind, charset="utf-8", headers=headers)

    return serve
