"""The page behind a customer's link: one quote, to be read, as long as the link is open. No other id stands in it."""

import asyncio
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final

from aiohttp import web

from bot.answering import draft_of
from bot.channels.guards import Pace
from bot.channels.senders import Senders, bucket_of
from bot.clock import Clock, stamp
from bot.contents import Versions
from bot.documents.material import Head
from bot.documents.quote_pdf import PDF, file_name, quote_pdf
from bot.documents.typesetting import DocumentFailed
from bot.inbox import Inbox
from bot.mail.headers import Address
from bot.staff.forms import PageRefused
from bot.staff.rendering import page
from bot.staff.roll import Roll
from bot.staff.secrets import kept_form
from bot.store.listing import ticket_of
from bot.store.records import KeptQuote
from bot.store.session import Session
from engine.request import Request

LOOKS_PER_MINUTE: Final = 60
PRICES_HOLD: Final = timedelta(days=30)


@dataclass(slots=True)
class LinkPage:
    """Handlers of customers' links.

    Attributes:
        versions: what the server makes quotes from; a quote of the same can be made again as it was, and be a document.
        seller: who quotes, for the document's head; ``None`` where no address of ours is set.
    """

    inbox: Inbox
    senders: Senders
    pace: Pace
    clock: Clock
    versions: Versions
    seller: Address | None = None

    def routes(self) -> list[web.RouteDef]:
        """What links lead to."""
        return [web.get("/q/{secret}", self.get_quote), web.get("/q/{secret}/pdf", self.get_pdf)]

    async def get_quote(self, request: web.Request) -> web.Response:
        """The quote; the same page for a link that ran out, was closed, or never was."""
        found = await self._found(request)
        if found is None:
            return page(request, "link_gone.html.j2", status=404)
        link, quote, card = found
        return page(
            request, "link.html.j2", language=quote.language, link=link, quote=quote,
            card=None if card is None else card[0], has_pdf=self._can_be_made(quote),
            secret=request.match_info["secret"],
        )  # fmt: skip

    async def get_pdf(self, request: web.Request) -> web.Response:
        """The quote as PDF, to be saved."""
        found = await self._found(request)
        made = await asyncio.to_thread(self._made, found[1]) if found is not None else None
        if found is None or made is None:
            return page(request, "link_gone.html.j2", status=404)
        return web.Response(
            body=made,
            content_type=PDF,
            headers={
                "Content-Disposition": f'attachment; filename="{file_name(found[1].language)}"',
                "Cache-Control": "no-store",
            },
        )

    def _can_be_made(self, quote: KeptQuote) -> bool:
        return quote.versions == self.versions and quote.erased_at is None

    def _made(self, quote: KeptQuote) -> bytes | None:
        """The document; ``None`` where the quote does not come out as it was kept, or the document can't be made."""
        if not self._can_be_made(quote):
            return None
        turn = self.inbox.assistant.quote(Request.model_validate(quote.request), quote.language)
        if (
            turn.quote is None
            or turn.quote.stop is not None
            or not turn.quote.lines
            or draft_of(turn, self.versions).digest != quote.digest
        ):
            return None
        head = Head(
            seller=self.seller.name if self.seller is not None else "",
            contact=(self.seller.mailbox,) if self.seller is not None else (),
            good_until=(datetime.fromisoformat(quote.made_at) + PRICES_HOLD).date(),
        )
        try:
            return quote_pdf(turn.quote, turn.reading, quote.language, (), head)
        except DocumentFailed:
            return None

    async def _found(self, request: web.Request) -> Any:
        """The link with its quote and card; ``None`` for a link that ran out, was closed, or never was.

        Raises:
            PageRefused: too many looks from there.
        """
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

        return await self.inbox.reading.do(look)
