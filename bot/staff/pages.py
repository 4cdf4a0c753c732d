"""The pages that staff work at: conversations, quotes with their links, what failed. Plain HTML and forms, no script needed."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any, Final

from aiohttp import web

from bot.channels.guards import SameOrigin
from bot.clock import stamp
from bot.inbox import Inbox, new_secret
from bot.staff.forms import PageRefused, form_of
from bot.staff.gate import Gate, SignInRefused, form_mark
from bot.staff.rendering import page
from bot.staff.roles import Person
from bot.staff.roll import Roll
from bot.staff.secrets import kept_form
from bot.staff.secrets import new_secret as new_token
from bot.staff.words import page_words
from bot.store.listing import ON_A_PAGE, latest_talks, ticket_of, whole_talk
from bot.store.session import Session

CHANNELS: Final = frozenset({"web", "sms", "mail"})
"""Those that have words of their own."""
_HIGHEST: Final = 2**62


@dataclass(slots=True)
class StaffPages:
    """Handlers of the staff's pages.

    Attributes:
        nudge: told that something waits to be tried again.
    """

    gate: Gate
    inbox: Inbox
    origins: SameOrigin
    nudge: Callable[[], None]

    def routes(self) -> list[web.RouteDef]:
        """What the pages answer to."""
        return [
            web.get("/staff/sign-in", self.get_sign_in),
            web.post("/staff/sign-in", self.post_sign_in),
            web.post("/staff/sign-out", self.post_sign_out),
            web.get("/staff", self.get_talks),
            web.get("/staff/conversations/{id}", self.get_talk),
            web.get("/staff/quotes/{id}", self.get_quote),
            web.post("/staff/quotes/{id}/links", self.post_link),
            web.post("/staff/links/{id}/close", self.post_close_link),
            web.get("/staff/aside", self.get_aside),
            web.post("/staff/aside/{kind}/{number}/again", self.post_again),
        ]

    # Signing in

    async def get_sign_in(self, request: web.Request) -> web.Response:
        """The form; whoever has signed in goes on to where they wanted."""
        to = "chat" if request.query.get("to") == "chat" else "staff"
        if await self.gate.person(request) is not None:
            raise web.HTTPSeeOther(_PLACES[to])
        return await self._sign_in_page(request, to)

    async def _sign_in_page(
        self,
        request: web.Request,
        to: str,
        *,
        status: int = 200,
        fault: str = "",
        wait: int = 0,
        name: str = "",
    ) -> web.Response:
        cookie = self.gate.form_cookie(request)
        key = request.cookies.get(cookie, "")
        fresh = key or new_token()
        anybody = not await self.inbox.reading.do(lambda s: Roll(s.connection).is_empty())
        response = page(
            request, "sign_in.html.j2", status=status, mark=form_mark(fresh), to=to, fault=fault, wait=wait, name=name,
            may_send=self.gate.may_send_password(request), anybody=anybody,
        )  # fmt: skip
        if not key:
            self.gate.set_cookie(request, response, cookie, fresh)
        if wait:
            response.headers["Retry-After"] = str(wait)
        return response

    async def post_sign_in(self, request: web.Request) -> web.Response:
        """Begins a session under a new secret."""
        cookie = self.gate.form_cookie(request)
        try:
            fields = await form_of(request, self.origins, request.cookies.get(cookie, ""))
        except PageRefused as refused:
            if refused.status != 403:
                raise
            return await self._sign_in_page(request, "staff", status=403, fault="sign_in_form")
        to = "chat" if fields.get("to") == "chat" else "staff"
        name, password = fields.get("name", ""), fields.get("password", "")
        try:
            secret = await self.gate.sign_in(request, name, password)
        except SignInRefused as refused:
            status = 429 if refused.wait else 403
            return await self._sign_in_page(
                request, to, status=status, fault=refused.key, wait=refused.wait, name=name[:60]
            )
        response = web.Response(status=303, headers={"Location": _PLACES[to]})
        self.gate.set_cookie(request, response, self.gate.session_cookie(request), secret)
        self.gate.drop_cookie(request, response, cookie)
        return response

    async def post_sign_out(self, request: web.Request) -> web.Response:
        """Ends the session."""
        person = await self.gate.person(request)
        if person is not None:
            await form_of(request, self.origins, person.form_key)
            await self.gate.sign_out(request)
        response = web.Response(status=303, headers={"Location": "/staff/sign-in"})
        self.gate.drop_cookie(request, response, self.gate.session_cookie(request))
        return response

    # Conversations and quotes

    async def get_talks(self, request: web.Request) -> web.Response:
        """The latest conversations."""
        before = number_in(request.query.get("before"))
        talks = await self.inbox.reading.do(lambda s: latest_talks(s.connection, before, ON_A_PAGE + 1))
        older = talks[ON_A_PAGE - 1].number if len(talks) > ON_A_PAGE else None
        return await self.page(request, "talks.html.j2", "/staff", talks=talks[:ON_A_PAGE], older=older)

    async def get_talk(self, request: web.Request) -> web.Response:
        """One conversation, whole."""
        name = request.match_info["id"]
        talk = await self.inbox.reading.do(lambda s: whole_talk(s.connection, name))
        if talk is None:
            raise PageRefused(404, "error_404")
        return await self.page(request, "talk.html.j2", "", talk=talk)

    async def get_quote(self, request: web.Request) -> web.Response:
        """A quote to be read, with its links."""
        return await self._quote_page(request, request.match_info["id"])

    async def _quote_page(self, request: web.Request, name: str, fresh: str = "") -> web.Response:
        def look(session: Session) -> Any:
            quote = session.quote(name)
            if quote is None:
                return None
            card = ticket_of(session.connection, quote.conversation, name)
            return quote, card, Roll(session.connection).links(name)

        found = await self.inbox.reading.do(look)
        if found is None:
            raise PageRefused(404, "error_404")
        quote, card, links = found
        return await self.page(
            request, "quote.html.j2", "", quote=quote, erased_at=quote.erased_at, card=None if card is None else card[0],
            links=links, fresh=fresh, now=stamp(self.gate.clock()), days=self.gate.settings.link_days,
            said=_said(page_words(quote.language)),
        )  # fmt: skip

    async def post_link(self, request: web.Request) -> web.Response:
        """Makes a link; the page that follows is the only one that shows it."""
        person, _ = await self.form(request)
        name, secret, now = request.match_info["id"], new_token(), self.gate.clock()
        until = now + timedelta(days=self.gate.settings.link_days)
        public = new_secret()

        def make(session: Session) -> None:
            roll = Roll(session.connection)
            roll.add_link(public, kept_form(secret), name, person.name, stamp(now), stamp(until))
            roll.note(person.name, "link_made", name, stamp(now))

        await self._write(make)
        return await self._quote_page(request, name, fresh=f"{self.address(request)}/q/{secret}")

    async def post_close_link(self, request: web.Request) -> web.Response:
        """Closes a link for good."""
        person, _ = await self.form(request)
        name, at = request.match_info["id"], stamp(self.gate.clock())

        def close(session: Session) -> str:
            roll = Roll(session.connection)
            quote = roll.revoke(name, at)
            roll.note(person.name, "link_closed", quote, at)
            return quote

        quote = await self._write(close)
        raise web.HTTPSeeOther(f"/staff/quotes/{quote}")

    # What failed

    async def get_aside(self, request: web.Request) -> web.Response:
        """Messages and replies that failed for good."""
        aside = await self.inbox.reading.do(lambda s: s.aside(200))
        return await self.page(request, "aside.html.j2", "/staff/aside", aside=aside)

    async def post_again(self, request: web.Request) -> web.Response:
        """Lets one be tried again."""
        person, _ = await self.form(request)
        kind, number = request.match_info["kind"], number_in(request.match_info["number"])
        if kind not in {"message", "reply"} or number is None:
            raise PageRefused(404, "error_404")
        at = stamp(self.gate.clock())

        def again(session: Session) -> bool:
            if not session.again(kind, number, at):
                return False
            Roll(session.connection).note(person.name, "run_again", f"{kind} {number}", at)
            return True

        if not await self._write(again):
            raise PageRefused(404, "error_404")
        self.nudge()
        raise web.HTTPSeeOther("/staff/aside")

    # For the other pages too

    async def form(self, request: web.Request) -> tuple[Person, dict[str, str]]:
        """Who sent a form, and its fields.

        Raises:
            PageRefused: it is none of ours, or was made for somebody else.
        """
        person = await self.gate.person(request)
        if person is None:
            raise PageRefused(401, "error_401")
        return person, await form_of(request, self.origins, person.form_key)

    async def page(self, request: web.Request, template: str, here: str, **values: Any) -> web.Response:
        """A page for somebody who has signed in."""
        person = await self.gate.person(request)
        if person is None:
            raise PageRefused(401, "error_401")
        aside, desk = await self.inbox.reading.do(lambda s: (len(s.aside(99)), s.mails_in_trouble()))
        key = person.form_key or new_token()
        response = page(
            request, template, person=person, mark=form_mark(key), here=here, aside_count=aside, desk_count=desk,
            channels=CHANNELS, has_session=bool(request.cookies.get(self.gate.session_cookie(request))), **values,
        )  # fmt: skip
        if not person.form_key:
            self.gate.set_cookie(request, response, self.gate.form_cookie(request), key)
        return response

    def address(self, request: web.Request) -> str:
        """Where customers reach us: the first named origin, else the address that this request came to."""
        if self.gate.settings.origins:
            return self.gate.settings.origins[0]
        return f"{'https' if self.gate.senders.is_https(request) else 'http'}://{request.headers['Host']}"

    async def _write(self, change: Callable[[Session], Any]) -> Any:
        return await self.inbox.writing.do(change, "~staff")


_PLACES: Final = {"staff": "/staff", "chat": "/"}
"""Where a sign-in may lead; nowhere that the address names."""


def number_in(text: str | None) -> int | None:
    """A message's number from an address; ``None`` for what is none."""
    if text is None or not text.isascii() or not text.isdigit() or len(text) > 18:
        return None
    return min(int(text), _HIGHEST)


def _said(words: Any) -> Callable[..., str]:
    def say(key: str, **values: object) -> str:
        frame: str = words[key]
        return frame.format_map(values)

    return say
