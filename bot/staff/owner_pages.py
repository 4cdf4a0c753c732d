"""The pages of managers and owners: a customer's data, the table of quotes, staff accounts."""

import asyncio
import json
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Final

from aiohttp import web

from bot.clock import stamp
from bot.staff import privacy
from bot.staff.faults import StaffFault
from bot.staff.forms import PageRefused
from bot.staff.gate import SignInRefused
from bot.staff.pages import StaffPages
from bot.staff.quotes_csv import quotes_csv
from bot.staff.roles import PERSON, ROLES
from bot.staff.roll import Roll, usable_name, usable_role
from bot.store.erasing import Erased
from bot.store.listing import ListedQuote, quotes_since
from bot.store.protocol import Store
from bot.store.session import Session

MOST_QUOTES: Final = 50_000
_TOGETHER: Final = 50
"""Read at once: whoever else reads waits for no more."""


@dataclass(slots=True)
class OwnerPages:
    """Handlers of what only managers and owners do."""

    pages: StaffPages
    store: Store

    def routes(self) -> list[web.RouteDef]:
        """What the pages answer to."""
        return [
            web.get("/staff/person", self.get_person),
            web.post("/staff/person", self.post_find),
            web.post("/staff/person/export", self.post_export),
            web.post("/staff/person/erase", self.post_erase),
            web.get("/staff/quotes.csv", self.get_quotes_csv),
            web.get("/staff/accounts", self.get_accounts),
            web.post("/staff/accounts", self.post_account),
            web.post("/staff/accounts/{name}/role", self.post_role),
            web.post("/staff/accounts/{name}/password", self.post_password),
            web.post("/staff/accounts/{name}/remove", self.post_remove),
        ]

    # A customer's data

    async def get_person(self, request: web.Request) -> web.Response:
        """Where a person is looked for."""
        return await self._person_page(request)

    async def _person_page(
        self,
        request: web.Request,
        kind: str = "sender",
        value: str = "",
        found: list[str] | None = None,
        done: Erased | None = None,
        fault: str = "",
    ) -> web.Response:
        return await self.pages.page(
            request,
            "person.html.j2",
            "/staff/person",
            kind=kind,
            value=value,
            found=found,
            done=done,
            fault=fault,
        )

    async def _asked(self, request: web.Request) -> tuple[str, privacy.Kind, str, dict[str, str]]:
        person, fields = await self.pages.form(request)
        for kind in privacy.KINDS:
            if fields.get("kind") == kind:
                return person.name, kind, fields.get("value", "").strip()[:200], fields
        raise PageRefused(422, "error_other")

    async def post_find(self, request: web.Request) -> web.Response:
        """How much there is of a person. A form, so that no log of addresses holds the name."""
        _, kind, value, _ = await self._asked(request)
        if not value:
            return await self._person_page(request, kind, fault="person_empty")
        found = await self._read(lambda s: privacy.found(s.connection, kind, value))
        return await self._person_page(request, kind, value, found)

    async def post_export(self, request: web.Request) -> web.Response:
        """All of it as a file."""
        by, kind, value, _ = await self._asked(request)
        at = self._now()

        def take_out(session: Session) -> dict[str, Any]:
            return privacy.taken_out(session.connection, privacy.found(session.connection, kind, value), at)

        whole = await self._read(take_out)
        await self._write(lambda s: privacy.note(s.connection, by, "exported", kind, at))
        return _file(
            json.dumps(whole, ensure_ascii=False, indent=1), "application/json", "customer-data.json"
        )

    async def post_erase(self, request: web.Request) -> web.Response:
        """Erases all of it; the quotes' figures stay."""
        by, kind, value, fields = await self._asked(request)
        found = await self._read(lambda s: privacy.found(s.connection, kind, value)) if value else []
        if fields.get("sure") != "yes":
            return await self._person_page(request, kind, value, found, fault="erase_unsure")
        done, at = Erased(), self._now()
        for first in range(0, len(found), privacy.TOGETHER):
            some = found[first : first + privacy.TOGETHER]
            done += await self._write(lambda s, some=some: privacy.erased(s.connection, some, at))
        await self._write(lambda s: privacy.note(s.connection, by, "erased", kind, at))
        await asyncio.to_thread(self.store.sweep)
        return await self._person_page(request, done=done)

    async def get_quotes_csv(self, request: web.Request) -> web.Response:
        """The quotes of some days as a table."""
        since, until = (
            _day(request.query.get("since"), date.min),
            _day(request.query.get("until"), date(9998, 12, 31)),
        )
        first, after = since.isoformat(), (until + timedelta(days=1)).isoformat()
        listed: list[ListedQuote] = []
        while len(listed) < MOST_QUOTES:
            start = first
            some = await self._read(
                lambda s, start=start: quotes_since(s.connection, start, after, _TOGETHER)
            )
            known = {each.id for each in listed[-_TOGETHER:]}
            fresh = [each for each in some if each.id not in known]
            listed += fresh
            if len(some) < _TOGETHER or not fresh:
                break
            first = some[-1].made_at
        person = await self.pages.gate.person(request)
        at = self._now()
        by = "" if person is None else person.name
        await self._write(lambda s: privacy.note(s.connection, by, "quotes_out", "", at))
        return _file(quotes_csv(listed), "text/csv", "quotes.csv")

    # Accounts

    async def get_accounts(self, request: web.Request) -> web.Response:
        """All accounts, and what was done of late."""
        return await self._accounts_page(request)

    async def _accounts_page(
        self, request: web.Request, *, fault: str = "", done: str = "", status: int = 200
    ) -> web.Response:
        accounts, acts = await self._read(
            lambda s: (Roll(s.connection).accounts(), Roll(s.connection).acts())
        )
        response = await self.pages.page(
            request, "accounts.html.j2", "/staff/accounts", accounts=accounts, acts=acts, roles=ROLES, fault=fault,
            done=done, proxied=self.pages.gate.settings.proxy_user_header is not None,
        )  # fmt: skip
        response.set_status(status)
        return response

    async def post_account(self, request: web.Request) -> web.Response:
        """Makes an account."""
        person, fields = await self.pages.form(request)

        async def add() -> str:
            name, role = usable_name(fields.get("name", "")), usable_role(fields.get("role", ""))
            typed, at = fields.get("password", ""), self._now()
            proxied = self.pages.gate.settings.proxy_user_header is not None
            kept = None if proxied and not typed else await self.pages.gate.hash_of(typed, name)

            def keep(session: Session) -> None:
                Roll(session.connection).add(name, role, kept, at)
                Roll(session.connection).note(person.name, "account_added", f"{name}, {role}", at)

            await self._write(keep)
            return "done_added"

        return await self._told(request, add)

    async def post_role(self, request: web.Request) -> web.Response:
        """Sets a role."""
        person, fields = await self.pages.form(request)

        async def change() -> str:
            name, role, at = request.match_info["name"], usable_role(fields.get("role", "")), self._now()

            def keep(session: Session) -> None:
                Roll(session.connection).set_role(name, role)
                Roll(session.connection).note(person.name, "account_role", f"{name}, {role}", at)

            await self._write(keep)
            return "done_role"

        return await self._told(request, change)

    async def post_password(self, request: web.Request) -> web.Response:
        """Sets a password; the account is signed out everywhere."""
        person, fields = await self.pages.form(request)

        async def change() -> str:
            name, at = request.match_info["name"], self._now()
            kept = await self.pages.gate.hash_of(fields.get("password", ""), name)

            def keep(session: Session) -> None:
                Roll(session.connection).set_password(name, kept)
                Roll(session.connection).note(person.name, "account_password", name, at)

            await self._write(keep)
            return "done_password"

        return await self._told(request, change)

    async def post_remove(self, request: web.Request) -> web.Response:
        """Takes an account away."""
        person, fields = await self.pages.form(request)
        if fields.get("sure") != "yes":
            return await self._accounts_page(request, fault="fault_unsure", status=422)

        async def remove() -> str:
            name, at = request.match_info["name"], self._now()

            def keep(session: Session) -> None:
                Roll(session.connection).remove(name)
                Roll(session.connection).note(person.name, "account_removed", name, at)

            await self._write(keep)
            return "done_removed"

        return await self._told(request, remove)

    async def _told(self, request: web.Request, act: Any) -> web.Response:
        """The accounts after an act, with what came of it."""
        try:
            done = await act()
        except StaffFault as fault:
            return await self._accounts_page(request, fault=fault.key, status=422)
        except SignInRefused as refused:
            return await self._accounts_page(request, fault=refused.key, status=429)
        # The act may have been about the one who did it.
        request.pop(PERSON, None)
        person = await self.pages.gate.person(request)
        if person is None or not person.may("owner"):
            raise web.HTTPSeeOther("/staff")
        return await self._accounts_page(request, done=done)

    async def _read(self, look: Any) -> Any:
        return await self.pages.inbox.reading.do(look)

    async def _write(self, change: Any) -> Any:
        return await self.pages.inbox.writing.do(change, "~staff")

    def _now(self) -> str:
        return stamp(self.pages.gate.clock())


def _file(text: str, kind: str, name: str) -> web.Response:
    return web.Response(
        text=text,
        content_type=kind,
        headers={"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"},
    )


def _day(text: str | None, otherwise: date) -> date:
    if not text:
        return otherwise
    try:
        day = date.fromisoformat(text)
    except ValueError:
        raise PageRefused(422, "error_other") from None
    return min(day, date(9998, 12, 31))
