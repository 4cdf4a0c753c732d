"""Forms of our own pages: read once, and taken only when they come from a page that we made for the same person."""

from urllib.parse import parse_qsl

from aiohttp import web

from bot.channels.guards import SameOrigin
from bot.staff.gate import is_marked

MOST_FIELDS = 20


class PageRefused(Exception):
    """What the browser asked for is not done; ``key`` says why in the pages' words."""

    def __init__(self, status: int, key: str) -> None:
        self.status = status
        self.key = key


async def form_of(request: web.Request, origins: SameOrigin, form_key: str) -> dict[str, str]:
    """The form's fields.

    Raises:
        PageRefused: it is none of ours, was made for somebody else, or can't be read.
    """
    if not origins.allows(request):
        raise PageRefused(403, "error_form")
    if request.content_type != "application/x-www-form-urlencoded":
        raise PageRefused(415, "error_other")
    try:
        text = (await request.read()).decode("utf-8")
        fields = dict(parse_qsl(text, keep_blank_values=True, max_num_fields=MOST_FIELDS, errors="strict"))
    except ValueError:
        raise PageRefused(400, "error_other") from None
    if any("\0" in value for value in fields.values()):
        raise PageRefused(400, "error_other")
    if not is_marked(form_key, fields.get("mark", "")):
        raise PageRefused(403, "error_form")
    return fields
