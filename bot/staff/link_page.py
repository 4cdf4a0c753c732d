"""The page behind a customer's link: one quote, to be read, as long as the link is open. No other id stands in it."""

from dataclasses import dataclass
from typing import Any, Final

from aiohttp import web

from bot.channels.guards import Pace
from bot.channels.senders import Senders, bucket_of
from bot.clock import Clock, stamp
from bot.inbox import Inbox
from bot.staff.forms import PageRefused
from bot.staff.rendering import page
from bot.staff.roll import Roll
from bot.staff.secrets import kept_form
from bot.store.listing import ticket_of
from bot.store.session import Session

LOOKS_PER_MINUTE: Final = 60


@dataclass(slots=True)
class LinkPage:
    """Handler of customers' links."""

    inbox: Inbox
    senders: Senders
    pace: Pace
    clock: Clock

    def routes(self) -> list[web.RouteDef]:
        """What links lead to."""
        return [web.get("/q/{secret}", self.get_quote)]

    async def get_quote(self, request: web.Request) -> web.Response:
        """The quote; the same page for a link that ran out, was closed, or never was."""
        if self.pace.wait_for(bucket_of(self.senders.address(request))):
            raise PageRefused(429, "error_429")
        kept, now = kept_form(request.match_info["secret"]), stamp(self.clock())

        def look(session: Session) -> Any:
            link = Roll(session.connection).link_of(kept)
            if link is None or not link.is_open(now):
                return None
            quote = session.quote(link.quote)
            return (
                None
                if quote is None
                else (link, quote, ticket_of(session.connection, quote.conversation, quote.id))
            )

        found = await self.inbox.reading.do(look)
        if found is None:
            return page(request, "link_gone.html.j2", status=404)
        link, quote, card = found
        return page(
            request, "link.html.j2", language=quote.language, link=link, quote=quote,
            card=None if card is None else card[0],
        )  # fmt: skip
