"""Who may use which route. A route that stands in no list is refused at the start: none is open because it was forgotten."""

from typing import Final, Literal

from aiohttp import web

from bot.channels.guards import Handler, refusal
from bot.channels.page import FILES
from bot.staff.gate import Gate
from bot.staff.roles import Role

Access = Literal["anybody", "chat", "clerk", "manager", "owner", "metrics"]

ANYBODY: Final = {
    *(("GET", path) for path in FILES if path != "/"),
    ("GET", "/openapi.json"),
    ("GET", "/healthz"),
    ("GET", "/readyz"),
    # Whoever has the link: it can't be guessed, shows one quote and runs out.
    ("GET", "/q/{secret}"),
    ("GET", "/q/{secret}/pdf"),
    ("GET", "/staff/sign-in"),
    ("POST", "/staff/sign-in"),
    ("POST", "/staff/sign-out"),
}
CHAT: Final = {
    ("GET", "/"),
    ("GET", "/ws"),
    ("POST", "/api/messages"),
    # What an id names that can't be guessed.
    ("GET", "/api/conversations/{id}"),
    ("GET", "/api/quotes/{id}"),
    ("GET", "/api/quotes/{id}/figures"),
    ("GET", "/api/quotes/{id}/figures/{path}"),
    # The demo's invented messages; with a catalogue of one's own there are none.
    ("GET", "/mail"),
    ("GET", "/mail/{name}"),
    ("GET", "/mail/{name}/draft"),
    ("GET", "/mail/{name}/files/{number}"),
}
CLERK: Final = {
    ("GET", "/staff"),
    ("GET", "/staff/conversations/{id}"),
    ("GET", "/staff/quotes/{id}"),
    ("POST", "/staff/quotes/{id}/links"),
    ("POST", "/staff/links/{id}/close"),
    ("GET", "/staff/mail"),
    ("GET", "/staff/mail/{number}"),
    ("GET", "/staff/mail/{number}/draft"),
    ("GET", "/staff/mail/{number}/files/{file}"),
    ("POST", "/staff/mail/{number}/send"),
    ("POST", "/staff/mail/{number}/forward"),
    ("POST", "/staff/mail/{number}/sends/{send}/again"),
    ("GET", "/staff/aside"),
}
MANAGER: Final = {
    ("POST", "/staff/aside/{kind}/{number}/again"),
    ("GET", "/staff/quotes.csv"),
    ("GET", "/staff/person"),
    ("POST", "/staff/person"),
    ("POST", "/staff/person/export"),
}
OWNER: Final = {
    ("POST", "/staff/person/erase"),
    ("GET", "/staff/accounts"),
    ("POST", "/staff/accounts"),
    ("POST", "/staff/accounts/{name}/role"),
    ("POST", "/staff/accounts/{name}/password"),
    ("POST", "/staff/accounts/{name}/remove"),
}
METRICS: Final = {("GET", "/metrics")}

ACCESS: Final[dict[tuple[str, str], Access]] = {
    **dict.fromkeys(ANYBODY, "anybody"),
    **dict.fromkeys(CHAT, "chat"),
    **dict.fromkeys(CLERK, "clerk"),
    **dict.fromkeys(MANAGER, "manager"),
    **dict.fromkeys(OWNER, "owner"),
    **dict.fromkeys(METRICS, "metrics"),
}
_ROLES: Final[dict[str, Role]] = {"clerk": "clerk", "manager": "manager", "owner": "owner"}


def routes_of(app: web.Application) -> set[tuple[str, str]]:
    """Every route that the application serves: method and pattern."""
    return {
        (route.method, resource.canonical)
        for resource in app.router.resources()
        for route in resource
        if route.method != "HEAD"
    }


def check_all_listed(app: web.Application) -> None:
    """Every route has its place in the lists.

    Raises:
        RuntimeError: one has none.
    """
    forgotten = routes_of(app) - ACCESS.keys()
    if forgotten:
        raise RuntimeError(f"who may use {sorted(forgotten)}? bot/channels/access.py doesn't say")


GATE: Final = web.AppKey("gate", Gate)


@web.middleware
async def authorized(request: web.Request, handler: Handler) -> web.StreamResponse:
    """Lets through those whom the lists let."""
    resource = request.match_info.route.resource
    if resource is None:
        return await handler(request)  # Nothing is there, and the handler says so.
    method = "GET" if request.method == "HEAD" else request.method
    needed = ACCESS[method, resource.canonical]
    if needed == "anybody":
        return await handler(request)
    gate = request.app[GATE]
    if needed == "metrics":
        if gate.may_measure(request):
            return await handler(request)
        return refusal(401, "send the metrics token as a bearer token", **_BEARER)
    if needed == "chat":
        if await gate.lets_chat(request):
            return await handler(request)
        if resource.canonical == "/":
            raise web.HTTPSeeOther("/staff/sign-in?to=chat")
        return refusal(401, "sign in at /staff/sign-in, or send the API token as a bearer token", **_BEARER)
    person = await gate.person(request)
    if person is None:
        raise web.HTTPSeeOther("/staff/sign-in")
    if not person.may(_ROLES[needed]):
        return refusal(403, f"this takes the role of {needed}: ask an owner")
    return await handler(request)


_BEARER: Final = {"WWW-Authenticate": 'Bearer realm="wattclerk"'}
