"""What a browser is shown where something can't be done: a page in words for people, under the pages' own addresses."""

from typing import Final

from aiohttp import web

from bot.channels.guards import Handler
from bot.staff.faults import StaffFault
from bot.staff.forms import PageRefused
from bot.staff.gate import SignInRefused
from bot.staff.rendering import page
from bot.staff.words import language_of, page_words

OF_PEOPLE: Final = ("/staff", "/q/", "/mail")
_GONE: Final = frozenset({"fault_quote", "fault_link", "fault_account"})


@web.middleware
async def faults_as_pages(request: web.Request, handler: Handler) -> web.StreamResponse:
    """Under the pages' addresses every refusal is a page; elsewhere nothing changes."""
    if not request.path.startswith(OF_PEOPLE):
        return await handler(request)
    words = page_words(language_of(request))
    try:
        response = await handler(request)
    except PageRefused as refused:
        return page(request, "error.html.j2", status=refused.status, line=words[refused.key])
    except SignInRefused as refused:
        return page(request, "error.html.j2", status=429, line=words[refused.key].format(wait=refused.wait))
    except StaffFault as fault:
        status = 404 if fault.key in _GONE else 422
        return page(request, "error.html.j2", status=status, line=words[fault.key])
    if (
        response.status < 400
        or response.content_type != "application/json"
        or not isinstance(response, web.Response)
    ):
        return response
    key = f"error_{response.status}"
    shown = page(request, "error.html.j2", status=response.status, line=words.get(key, words["error_other"]))
    for name in ("Allow", "Retry-After"):
        if name in response.headers:
            shown.headers[name] = response.headers[name]
    if response.keep_alive is False:
        shown.force_close()
    return shown
