"""The demo mailbox as pages: the messages, what became of each, and the draft as its reader will see it."""

import asyncio
import base64
import re
from dataclasses import dataclass
from typing import Final

from aiohttp import web

from bot.channels.guards import FORMS_POLICY
from bot.mail.desk import Answer
from bot.mail.mailbox import Mailbox
from bot.staff.forms import PageRefused
from bot.staff.pages import number_in
from bot.staff.rendering import page

SHOWN_POLICY: Final = (
    "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; "
    "frame-ancestors 'self'; sandbox"
)
"""Of a draft's own document: it runs nothing, asks for nothing, and stands in our page only."""
MOST_TEXT: Final = 6000


@dataclass(slots=True)
class MailPages:
    """Handlers of the demo mailbox. ``mailbox`` is ``None`` where a catalogue of one's own is served."""

    mailbox: Mailbox | None

    def routes(self) -> list[web.RouteDef]:
        """What the pages answer to."""
        return [
            web.get("/mail", self.get_mailbox),
            web.get("/mail/{name}", self.get_message),
            web.get("/mail/{name}/draft", self.get_draft),
            web.get("/mail/{name}/files/{number}", self.get_file),
        ]

    async def get_mailbox(self, request: web.Request) -> web.Response:
        """All messages."""
        if self.mailbox is None:
            raise PageRefused(404, "error_404")
        answers = await asyncio.to_thread(self.mailbox.answers)
        return page(request, "mailbox.html.j2", answers=answers.items())

    async def get_message(self, request: web.Request) -> web.Response:
        """One message: what was read of it, what becomes of it, and the draft in a frame that can do nothing."""
        name, answer = await self._one(request)
        response = page(request, "mail.html.j2", name=name, answer=answer, text=answer.text[:MOST_TEXT])
        response.headers["Content-Security-Policy"] = f"{FORMS_POLICY}; frame-src 'self'"
        return response

    async def get_draft(self, request: web.Request) -> web.Response:
        """The draft's HTML, its pictures within it."""
        _, answer = await self._one(request)
        if answer.draft is None:
            raise PageRefused(404, "error_404")
        return draft_document(_with_pictures(answer))

    async def get_file(self, request: web.Request) -> web.Response:
        """A file that the draft carries, to be saved and not opened here."""
        _, answer = await self._one(request)
        number = number_in(request.match_info["number"])
        if number is None or not 0 < number <= len(answer.files):
            raise PageRefused(404, "error_404")
        file = answer.files[number - 1]
        return web.Response(
            body=file.data,
            content_type="application/octet-stream",
            headers={"Content-Disposition": saved_as(file.name), "Cache-Control": "no-store"},
        )

    async def _one(self, request: web.Request) -> tuple[str, Answer]:
        name = request.match_info["name"]
        answers = await asyncio.to_thread(self.mailbox.answers) if self.mailbox is not None else {}
        if name not in answers:
            raise PageRefused(404, "error_404")
        return name, answers[name]


def draft_document(html: str) -> web.Response:
    """A draft's HTML as a document of its own, for a frame of ours."""
    return web.Response(
        text=html,
        content_type="text/html",
        headers={
            "Content-Security-Policy": SHOWN_POLICY,
            "X-Frame-Options": "SAMEORIGIN",
            "Cache-Control": "no-store",
        },
    )


def saved_as(name: str) -> str:
    """The header that has a file saved under ``name``, with nothing in it but plain characters."""
    plain = re.sub(r"[^A-Za-z0-9 ._()-]", "_", name)[:100].strip(". ")
    return f'attachment; filename="{plain or "file"}"'


def _with_pictures(answer: Answer) -> str:
    html = answer.html
    for picture in answer.pictures:
        shown = base64.b64encode(picture.png).decode()
        html = html.replace(f"cid:{picture.cid}", f"data:image/png;base64,{shown}")
    return html
