"""What staff send from the desk: a draft to who asked, or a mail to the person who has to answer it. Never without a press."""

from collections.abc import Awaitable, Callable
from dataclasses import dataclass
from typing import Any

from aiohttp import web

from bot.clock import stamp
from bot.mail.outgoing.account import SmtpAccount
from bot.mail.outgoing.forward import forward_of
from bot.mail.outgoing.message import NotSendable, Outgoing, file_of, reply_of
from bot.mail.outgoing.submission import NotSent, Unsure, submit
from bot.staff.desk_page import LOST_AFTER, DeskPages, why_of
from bot.staff.forms import PageRefused
from bot.staff.mail_page import saved_as
from bot.staff.pages import number_in
from bot.staff.rendering import words_of
from bot.staff.roles import Person
from bot.staff.roll import Roll
from bot.store.mail_records import KeptMail
from bot.store.sends import SendKind, SendState
from bot.store.session import Session


@dataclass(slots=True)
class SendPages:
    """Handlers of what sends.

    Attributes:
        account: where it is sent through; ``None`` where nothing can be sent.
        submit: hands a message over.
    """

    desk: DeskPages
    account: SmtpAccount | None
    submit: Callable[[SmtpAccount, Outgoing], Awaitable[None]] = submit

    def routes(self) -> list[web.RouteDef]:
        """What the pages answer to."""
        return [
            web.get("/staff/mail/{number}/files/{file}", self.get_file),
            web.post("/staff/mail/{number}/send", self.post_send),
            web.post("/staff/mail/{number}/forward", self.post_forward),
            web.post("/staff/mail/{number}/sends/{send}/again", self.post_again),
        ]

    async def get_file(self, request: web.Request) -> web.Response:
        """A file that the draft carries, to be saved and not opened here."""
        mail, number = await self.desk.one(request), number_in(request.match_info["file"])
        draft = await self.desk.pages.inbox.reading.do(lambda s: s.mail_draft(mail.number))
        file = file_of(draft, number) if draft is not None and number is not None else None
        if file is None:
            raise PageRefused(404, "error_404")
        return web.Response(
            body=file.data,
            content_type="application/octet-stream",
            headers={"Content-Disposition": saved_as(file.name), "Cache-Control": "no-store"},
        )

    async def post_send(self, request: web.Request) -> web.Response:
        """Sends a draft, as it is or as the form has it."""
        person, fields = await self.desk.pages.form(request)
        mail, text = await self.desk.one(request), fields.get("text")
        draft = await self.desk.pages.inbox.reading.do(lambda s: s.mail_draft(mail.number))
        if self.account is None or draft is None:
            raise PageRefused(404, "error_404")
        try:
            outgoing = reply_of(draft, text, self.desk.pages.gate.clock())
        except NotSendable as fault:
            return await self.desk.mail_page(request, mail, fault=fault.key, text=text, status=422)
        return await self._send(mail, "reply", outgoing, person)

    async def post_forward(self, request: web.Request) -> web.Response:
        """Passes a mail on to one of the people whom the settings name."""
        person, fields = await self.desk.pages.form(request)
        mail = await self.desk.one(request)
        original = await self.desk.pages.inbox.reading.do(lambda s: s.mail_original(mail.number))
        if self.account is None or original is None:
            raise PageRefused(404, "error_404")
        to = next((each for each in self.account.people if each.mailbox == fields.get("to")), None)
        sender = self.account.sender
        if to is None or sender is None:
            return await self.desk.mail_page(request, mail, fault="nobody", status=422)
        words = words_of(request)
        why = " ".join(
            filter(None, (words["forward_words"], words[f"why_{why_of(mail)}"] if why_of(mail) else ""))
        )
        outgoing = forward_of(
            original, (sender, to), mail.subject, f"{why}\n{words['mail_from']}: {mail.sender}", mail.text,
            self.desk.pages.gate.clock(), f"{mail.message_id or mail.number}",
        )  # fmt: skip
        return await self._send(mail, "forward", outgoing, person)

    async def post_again(self, request: web.Request) -> web.Response:
        """Sends the same bytes once more, where nobody can tell whether they went."""
        person, _ = await self.desk.pages.form(request)
        mail, number = await self.desk.one(request), number_in(request.match_info["send"])
        now = self.desk.pages.gate.clock()
        if self.account is None or number is None:
            raise PageRefused(404, "error_404")

        def take_up(session: Session) -> tuple[str, str, str, bytes] | None:
            taken = session.send_again(number, mail.number, person.name, stamp(now), stamp(now - LOST_AFTER))
            if taken is not None:
                Roll(session.connection).note(person.name, "mail_again", f"mail {mail.number}", stamp(now))
            return taken

        taken = await self._write(take_up)
        if taken is not None:
            sender, recipient, message_id, data = taken
            await self._submit(self.account, number, Outgoing(data, message_id, sender, recipient))
        raise web.HTTPSeeOther(f"/staff/mail/{mail.number}")

    async def _send(self, mail: KeptMail, kind: SendKind, outgoing: Outgoing, person: Person) -> web.Response:
        """Sends a message, unless it was sent already; the page that follows says which."""
        assert self.account is not None  # noqa: S101  whoever calls has looked
        at = stamp(self.desk.pages.gate.clock())

        def begin(session: Session) -> int | None:
            number = session.begin_send(
                mail.number, kind, outgoing.recipient, outgoing.sender, outgoing.message_id, outgoing.data, person.name, at
            )  # fmt: skip
            if number is not None:
                act = "mail_sent" if kind == "reply" else "mail_forwarded"
                Roll(session.connection).note(person.name, act, f"mail {mail.number}", at)
            return number

        number = await self._write(begin)
        if number is not None:
            await self._submit(self.account, number, outgoing)
        said = "?note=taken_out" if number is not None and outgoing.note_taken_out else ""
        raise web.HTTPSeeOther(f"/staff/mail/{mail.number}{said}")

    async def _submit(self, account: SmtpAccount, number: int, outgoing: Outgoing) -> None:
        state: SendState = "sent"
        reason = line = ""
        try:
            await self.submit(account, outgoing)
        except NotSent as fault:
            state, reason, line = "failed", fault.key, fault.line
        except Unsure:
            state, reason = "unsure", "unsure"
        at = stamp(self.desk.pages.gate.clock())
        await self._write(lambda s: s.end_send(number, state, reason, line, at))

    async def _write(self, change: Callable[[Session], Any]) -> Any:
        return await self.desk.pages.inbox.writing.do(change, "~staff")
