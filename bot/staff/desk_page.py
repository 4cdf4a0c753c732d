"""What the mail desk did, for staff: every mail that it saw, what became of it and why, and its draft."""

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Final

from aiohttp import web

from bot.channels.guards import FORMS_POLICY
from bot.clock import stamp
from bot.mail.deciding import Decision
from bot.mail.outgoing.account import SmtpAccount
from bot.mail.outgoing.message import written
from bot.mail.outgoing.submission import MOST_SECONDS
from bot.mail.shown import draft_as_html
from bot.staff.forms import PageRefused
from bot.staff.mail_page import MOST_TEXT, draft_document
from bot.staff.pages import StaffPages, number_in
from bot.store.listing import ON_A_PAGE
from bot.store.mail_records import KeptMail

LOST_AFTER: Final = timedelta(seconds=3 * MOST_SECONDS)
"""Since a sending began that has not ended: whoever began it is gone, for no sending takes so long."""
MOST_TYPED: Final = 120_000


@dataclass(slots=True)
class DeskPages:
    """Handlers of the mail desk's pages.

    Attributes:
        account: what staff send is sent through; ``None`` where nothing can be sent.
    """

    pages: StaffPages
    account: SmtpAccount | None = None

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
        return await self.mail_page(request, await self.one(request))

    async def mail_page(
        self,
        request: web.Request,
        mail: KeptMail,
        *,
        fault: str = "",
        text: str | None = None,
        status: int = 200,
    ) -> web.Response:
        """The mail's page; ``fault`` is what kept it from being sent, ``text`` what was typed."""
        lost_before = stamp(self.pages.gate.clock() - LOST_AFTER)
        draft, sends = await self.pages.inbox.reading.do(
            lambda s: (s.mail_draft(mail.number), s.sends_of(mail.number, lost_before))
        )
        said = written(draft) if draft is not None else None
        if said is not None and text is not None:
            said = replace(said, text=text[:MOST_TYPED])
        reply = next((each for each in sends if each.kind == "reply"), None)
        may_forward = self.account is not None and self.account.sender is not None and mail.has_original
        people = self.account.people if self.account is not None and may_forward else ()
        passed_on = {each.recipient for each in sends if each.kind == "forward" and each.state != "failed"}
        response = await self.pages.page(
            request, "desk_mail.html.j2", "", mail=mail, why=why_of(mail), text=mail.text[:MOST_TEXT], said=said, sends=sends,
            may_send=self.account is not None and said is not None and (reply is None or reply.state == "failed"),
            can_send=self.account is not None, people=[each for each in people if each.mailbox not in passed_on], fault=fault,
            note_taken_out=request.query.get("note") == "taken_out",
        )  # fmt: skip
        response.set_status(status)
        response.headers["Content-Security-Policy"] = f"{FORMS_POLICY}; frame-src 'self'"
        return response

    async def get_draft(self, request: web.Request) -> web.Response:
        """The draft's HTML, its pictures within it."""
        mail = await self.one(request)
        draft = await self.pages.inbox.reading.do(lambda s: s.mail_draft(mail.number))
        if draft is None:
            raise PageRefused(404, "error_404")
        return draft_document(draft_as_html(draft))

    async def one(self, request: web.Request) -> KeptMail:
        """The mail that the address names.

        Raises:
            PageRefused: there is none.
        """
        number = number_in(request.match_info["number"])
        mail = None
        if number is not None:
            mail = await self.pages.inbox.reading.do(lambda s: s.mail(number))
        if mail is None:
            raise PageRefused(404, "error_404")
        return mail


def why_of(mail: KeptMail) -> str:
    """The kind of reason, as the words know it; "" while nothing is decided."""
    return Decision(mail.decision, mail.reason).kind if mail.decision is not None else ""


def _listed(mail: KeptMail) -> tuple[KeptMail, str]:
    return mail, why_of(mail)
