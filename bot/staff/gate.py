"""Who stands before us: a session, a member of staff whom a proxy has signed in, a program with a token, or anybody."""

import asyncio
import logging
from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Final, TypeVar

from aiohttp import web

from bot.channels.guards import LOOPBACK_NAMES, Pace, host_name
from bot.channels.senders import Senders, bucket_of
from bot.clock import Clock, stamp, utc_now
from bot.settings import Settings
from bot.staff.faults import StaffFault
from bot.staff.passwords import hashed, is_dated, matches
from bot.staff.roles import PERSON, Known, Person
from bot.staff.roll import Roll, usable_name
from bot.staff.secrets import kept_form, mark_of, new_secret, same
from bot.store.ledger import Lane
from engine.errors import ConfigurationError, WattclerkError

log = logging.getLogger("wattclerk.staff")

Result = TypeVar("Result")

TRIES_BY_ACCOUNT: Final = 6
TRIES_BY_ADDRESS: Final = 12
"""Sign-ins a minute; a password is tried a few times, not a few thousand times."""
MOST_HASHING: Final = 8
"""Passwords that are being checked or wait for it; each takes 64 MiB and some tenths of a second."""
LOOK_EVERY: Final = 5.0
SEEN_EVERY: Final = timedelta(minutes=1)


class SignInRefused(WattclerkError):
    """The sign-in didn't work; the message is a key of the pages' words.

    Attributes:
        wait: how long to wait before the next try [s]; 0 where it needs no waiting.
    """

    def __init__(self, key: str, wait: int = 0) -> None:
        super().__init__(key)
        self.key = key
        self.wait = wait


def refuse_unguarded(settings: Settings, *, has_staff: bool) -> None:
    """A server that people elsewhere can reach has someone who can sign in.

    Raises:
        ConfigurationError: it has not.
    """
    if settings.is_reachable and not has_staff:
        raise ConfigurationError(
            "people elsewhere can come here and nobody can sign in: make an account first (wattclerk staff add NAME --role owner),"
            " or listen on 127.0.0.1 without WATTCLERK_ORIGINS and WATTCLERK_PROXIES"
        )


@dataclass(slots=True)
class Gate:
    """Knows people and programs by what they carry. Lives in one event loop.

    Attributes:
        locked: whether there is anybody who can sign in: from then on the chat is for staff, unless the settings open it.
        hashing: where passwords are checked.
        seconds: that only go forward.
        tried: told the outcome of each sign-in.
    """

    settings: Settings
    senders: Senders
    writing: Lane
    reading: Lane
    hashing: Executor
    seconds: Callable[[], float]
    locked: bool
    clock: Clock = utc_now
    tried: Callable[[str], None] = lambda outcome: None
    _looked: float = float("-inf")
    _hashing: int = 0
    _reachable: bool = field(init=False)
    _by_account: Pace = field(init=False)
    _by_address: Pace = field(init=False)

    def __post_init__(self) -> None:
        """The limits of sign-ins, and what every message asks for."""
        self._reachable = self.settings.is_reachable
        self._by_account = Pace(TRIES_BY_ACCOUNT, self.seconds)
        self._by_address = Pace(TRIES_BY_ADDRESS, self.seconds)

    async def lets_chat(self, request: web.Request) -> bool:
        """Whether this one may write messages and read what an id that can't be guessed names."""
        return await self.chat_is_open() or self.has_token(request) or await self.person(request) is not None

    async def chat_is_open(self) -> bool:
        """Whether anybody may chat: the operator said so, or it is a demo on this machine that nobody signs in to."""
        if self.settings.open_chat:
            return True
        if not self.locked and self.seconds() >= self._looked + LOOK_EVERY:
            self.locked = not await self.reading.do(lambda s: Roll(s.connection).is_empty())
            self._looked = self.seconds()
        return not self.locked and not self._reachable

    def has_token(self, request: web.Request) -> bool:
        """Whether the request carries the programs' token."""
        return _bears(
            request, None if self.settings.api_token is None else self.settings.api_token.get_secret_value()
        )

    def may_measure(self, request: web.Request) -> bool:
        """Whether the request may read the metrics: it carries their token, or comes from this machine past no proxy."""
        token = self.settings.metrics_token
        if _bears(request, None if token is None else token.get_secret_value()):
            return True
        # Behind a proxy on this machine everybody seems to come from here.
        behind = self.settings.origins or self.settings.proxies or "X-Forwarded-For" in request.headers
        return not behind and self.senders.is_this_machine(request)

    # Members of staff

    async def person(self, request: web.Request) -> Person | None:
        """The member of staff who makes the request; ``None`` where nobody has signed in."""
        if PERSON not in request:
            request[PERSON] = Known(await self._by_proxy(request) or await self._by_session(request))
        return request[PERSON].person

    async def _by_proxy(self, request: web.Request) -> Person | None:
        header = self.settings.proxy_user_header
        if header is None or not self.senders.is_proxy(request):
            return None
        named = request.headers.getall(header, [])
        if len(named) != 1:
            return None
        try:
            name = usable_name(named[0])
        except StaffFault:
            return None
        account = await self.reading.do(lambda s: Roll(s.connection).account(name))
        if account is None:
            return None
        return Person(account.name, account.role, request.cookies.get(self.form_cookie(request), ""))

    async def _by_session(self, request: web.Request) -> Person | None:
        secret = request.cookies.get(self.session_cookie(request), "")
        if not secret:
            return None
        kept = kept_form(secret)
        session = await self.reading.do(lambda s: Roll(s.connection).session(kept))
        now = self.clock()
        begun_after, seen_after = self._limits()
        if session is None or session.begun_at < begun_after or session.seen_at < seen_after:
            return None
        if session.seen_at < stamp(now - SEEN_EVERY):
            at = stamp(now)
            await self.writing.do(lambda s: Roll(s.connection).seen(kept, at), "~staff")
        return Person(session.name, session.role, secret)

    def _limits(self) -> tuple[str, str]:
        now = self.clock()
        return (
            stamp(now - timedelta(hours=self.settings.session_hours)),
            stamp(now - timedelta(minutes=self.settings.session_idle_minutes)),
        )

    # Signing in and out

    def may_send_password(self, request: web.Request) -> bool:
        """Whether a password that is typed here travels unseen: over TLS, or from the browser to its own machine."""
        return (
            self.settings.plain_http_sign_in
            or self.senders.is_https(request)
            or host_name(request.headers.get("Host", "")) in LOOPBACK_NAMES
        )

    async def sign_in(self, request: web.Request, name: str, password: str) -> str:
        """The secret of a new session; whatever session the browser had before is ended.

        Raises:
            SignInRefused: the name or the password is not right, or it was tried too often.
        """
        if not self.may_send_password(request):
            raise SignInRefused("sign_in_plain")
        name = name.strip().lower()[:60]
        address = bucket_of(self.senders.address(request))
        if wait := self._by_address.wait_for(address) or self._by_account.wait_for(name):
            log.warning("sign-in tried too often")
            self.tried("too_often")
            raise SignInRefused("sign_in_often", wait)
        account = await self.reading.do(lambda s: Roll(s.connection).account(name))
        kept = None if account is None else account.password
        if not await self._hashed(matches, kept, password) or account is None or kept is None:
            log.warning("sign-in refused")
            self.tried("refused")
            raise SignInRefused("sign_in_wrong")
        anew = await self._hashed(hashed, password, name) if is_dated(kept) else None
        secret, before, at = (
            new_secret(),
            request.cookies.get(self.session_cookie(request), ""),
            stamp(self.clock()),
        )
        limits = self._limits()

        def begin(roll: Roll) -> None:
            roll.sweep(*limits)
            if before:
                roll.end_session(kept_form(before))
            if anew is not None:
                roll.hash_anew(name, kept, anew)
            roll.begin_session(kept_form(secret), name, at)
            roll.note(name, "signed_in", "", at)

        await self.writing.do(lambda s: begin(Roll(s.connection)), "~staff")
        log.info("signed in")
        self.tried("signed_in")
        return secret

    async def sign_out(self, request: web.Request) -> None:
        """Ends the session."""
        secret = request.cookies.get(self.session_cookie(request), "")
        if secret:
            await self.writing.do(lambda s: Roll(s.connection).end_session(kept_form(secret)), "~staff")

    async def hash_of(self, password: str, name: str) -> str:
        """The hash of a new password.

        Raises:
            StaffFault: it is too easy.
            SignInRefused: too many are being hashed.
        """
        result: str = await self._hashed(hashed, password, name)
        return result

    async def _hashed(self, function: Callable[..., Result], *arguments: str | None) -> Result:
        if self._hashing >= MOST_HASHING:
            raise SignInRefused("sign_in_often", 5)
        self._hashing += 1
        try:
            return await asyncio.get_running_loop().run_in_executor(self.hashing, function, *arguments)
        finally:
            self._hashing -= 1

    # Cookies and marks

    def session_cookie(self, request: web.Request) -> str:
        """The cookie's name; browsers take one of this prefix only over TLS and for the whole host."""
        return "__Host-wattclerk-session" if self.senders.is_https(request) else "wattclerk-session"

    def form_cookie(self, request: web.Request) -> str:
        """The cookie that forms are marked by where nobody has a session."""
        return "__Host-wattclerk-form" if self.senders.is_https(request) else "wattclerk-form"

    def set_cookie(self, request: web.Request, response: web.StreamResponse, name: str, value: str) -> None:
        """Sets a cookie that scripts and other sites get no hold of."""
        response.set_cookie(
            name, value, path="/", httponly=True, samesite="Strict", secure=self.senders.is_https(request),
            max_age=self.settings.session_hours * 3600,
        )  # fmt: skip

    def drop_cookie(self, request: web.Request, response: web.StreamResponse, name: str) -> None:
        """Takes a cookie back."""
        response.del_cookie(
            name, path="/", httponly=True, samesite="Strict", secure=self.senders.is_https(request)
        )


def is_marked(form_key: str, mark: str) -> bool:
    """Whether a form was made for the holder of ``form_key``."""
    return bool(form_key) and same(mark, form_mark(form_key))


def form_mark(form_key: str) -> str:
    """What the forms made for the holder of ``form_key`` carry."""
    return mark_of(form_key, "form")


def _bears(request: web.Request, token: str | None) -> bool:
    scheme, _, given = request.headers.get("Authorization", "").partition(" ")
    return token is not None and scheme.lower() == "bearer" and same(given.strip(), token)
