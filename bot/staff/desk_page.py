"""What the mail desk did, for staff: every mail that it saw, what became of it and why, and its draft."""

from dataclasses import dataclass

from aiohttp import web

from bot.channels.guards import FORMS_POLICY
from bot.mail.deciding import Decision
from bot.mail.shown import draft_as_html
from bot.staff.forms import PageRefused
from bot.staff.mail_page import MOST_TEXT, draft_document
from bot.staff.pages import StaffPages, number_in
from bot.store.listing import ON_A_PAGE
from bot.store.mail_records import KeptMail


@dataclass(slots=True)
class DeskPages:
    """Handlers of the mail desk's pages."""

    pages: StaffPages

    def routes(self) -> list[web.RouteDef]:
        """What the pages answer to."""
        return [
            web.get("/staff/mail", self.get_mails),
            web.get("/staff/mail/{number}", self.get_mail),
            web.get("/staff/mail/{number}/draft", self.get_draft),
        ]

    async def get_mails(self, request: web.Request) -> web.Response:
        """The latest mails."""
        before = number_in(request.query.get("before"))
        mails = await self.pages.inbox.reading.do(lambda s: s.latest_mails(before, ON_A_PAGE + 1))
        older = mails[ON_A_PAGE - 1].number if len(mails) > ON_A_PAGE else None
        return await self.pages.page(
            request,
            "desk.html.j2",
            "/staff/mail",
            mails=[_listed(mail) for mail in mails[:ON_A_PAGE]],
            older=older,
        )

    async def get_mail(self, request: web.Request) -> web.Response:
        """One mail: what was read of it, what became of it, and the draft in a frame that can do nothing."""
        mail = await self._one(request)
        response = await self.pages.page(
            request, "desk_mail.html.j2", "", mail=mail, why=_why(mail), text=mail.text[:MOST_TEXT]
        )
        response.headers["Content-Security-Policy"] = f"{FORMS_POLICY}; frame-src 'self'"
        return response

    async def get_draft(self, request: web.Request) -> web.Response:
        """The draft's HTML, its pictures within it."""
        mail = await self._one(request)
        draft = await self.pages.inbox.reading.do(lambda s: s.mail_draft(mail.number))
        if draft is None:
            raise PageRefused(404, "error_404")
        return draft_document(draft_as_html(draft))

    async def _one(self, request: web.Request) -> KeptMail:
        number = number_in(request.match_info["number"])
        mail = None
        if number is not None:
            mail = await self.pages.inbox.reading.do(lambda s: s.mail(number))
        if mail is None:
            raise PageRefused(404, "error_404")
        return mail


def _why(mail: KeptMail) -> str:
    """The kind of reason, as the words know it; "" while nothing is decided."""
    return Decision(mail.decision, mail.reason).kind if mail.decision is not None else ""


def _listed(mail: KeptMail) -> tuple[KeptMail, str]:
    return mail, _why(mail)
