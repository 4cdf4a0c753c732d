"""The roll of staff, their sessions and customers' links, within one transaction of the store.

Statements are those of both stores, with ``?`` for a value. Times are ISO 8601 in UTC, so that text compares as time does.
"""

import re
from dataclasses import dataclass
from typing import Final

from bot.staff.faults import StaffFault
from bot.staff.roles import ROLES, Role
from bot.store.session import Connection

NAME: Final = re.compile(r"[a-z0-9][a-z0-9._@-]{1,59}")
MOST_LINKS: Final = 100
"""Links of one quote that are listed."""


@dataclass(frozen=True, slots=True)
class Account:
    """A member of staff. ``password`` is the hash; ``None`` where a proxy signs this one in."""

    name: str
    role: Role
    password: str | None
    made_at: str


@dataclass(frozen=True, slots=True)
class Session:
    """A session as it is kept; the role is the one that the account has now."""

    name: str
    role: Role
    begun_at: str
    seen_at: str


@dataclass(frozen=True, slots=True)
class Link:
    """A customer's link to one quote; ``id`` names it to staff, and opens nothing."""

    id: str
    quote: str
    made_by: str
    made_at: str
    expires_at: str
    revoked_at: str | None

    def is_open(self, now: str) -> bool:
        """Whether it still shows its quote."""
        return self.revoked_at is None and now < self.expires_at


@dataclass(frozen=True, slots=True)
class Act:
    """Something that a member of staff did; ``act`` is a key of the pages' words."""

    at: str
    name: str
    act: str
    subject: str


def usable_name(name: str) -> str:
    """The account name as it is kept.

    Raises:
        StaffFault: it can't be one.
    """
    name = name.strip().lower()
    if NAME.fullmatch(name) is None:
        raise StaffFault(
            "fault_name",
            "an account name has 2 to 60 letters, digits, dots or dashes, like maria.lopez or m.lopez@example.com",
        )
    return name


def usable_role(text: str) -> Role:
    """The role of that name.

    Raises:
        StaffFault: there is none.
    """
    for role in ROLES:
        if text == role:
            return role
    raise StaffFault("fault_role", "a role is clerk, manager or owner")


class Roll:
    """Statements about staff, sessions and links."""

    def __init__(self, connection: Connection) -> None:
        self._rows = connection.rows
        self._run = connection.run

    # Accounts

    def is_empty(self) -> bool:
        """Whether there is no account at all."""
        return not self._rows("select 1 from staff limit 1")

    def accounts(self) -> list[Account]:
        """All accounts, by name."""
        rows = self._rows("select name, role, password, made_at from staff order by name")
        return [Account(*row) for row in rows]

    def account(self, name: str) -> Account | None:
        """The account of that name."""
        rows = self._rows("select name, role, password, made_at from staff where name = ?", name)
        return Account(*rows[0]) if rows else None

    def add(self, name: str, role: Role, password: str | None, at: str) -> None:
        """Makes an account.

        Raises:
            StaffFault: there is one of that name.
        """
        added = self._run(
            "insert into staff (name, role, password, made_at) values (?, ?, ?, ?) on conflict (name) do nothing",
            name, role, password, at,
        )  # fmt: skip
        if added != 1:
            raise StaffFault(
                "fault_taken", f"there is an account {name} already: change its role or its password instead"
            )

    def set_password(self, name: str, password: str) -> None:
        """Sets a password and ends every session of the account.

        Raises:
            StaffFault: there is no such account.
        """
        if self._run("update staff set password = ? where name = ?", password, name) != 1:
            raise _no_account(name)
        self._run("delete from staff_sessions where name = ?", name)

    def hash_anew(self, name: str, before: str, after: str) -> None:
        """The same password under stronger parameters; nothing where it was changed meanwhile."""
        self._run("update staff set password = ? where name = ? and password = ?", after, name, before)

    def set_role(self, name: str, role: Role) -> None:
        """Sets a role.

        Raises:
            StaffFault: there is no such account, or nobody would be owner any more.
        """
        self._keep_an_owner(name, role)
        self._run("update staff set role = ? where name = ?", role, name)

    def remove(self, name: str) -> None:
        """Takes an account and its sessions away.

        Raises:
            StaffFault: there is no such account, or nobody would be owner any more.
        """
        self._keep_an_owner(name, None)
        self._run("delete from staff_sessions where name = ?", name)
        self._run("delete from staff where name = ?", name)

    def _keep_an_owner(self, name: str, role: Role | None) -> None:
        account = self.account(name)
        if account is None:
            raise _no_account(name)
        others = self._rows("select name from staff where role = 'owner' and name <> ?", name)
        anybody = self._rows("select 1 from staff where name <> ? limit 1", name)
        if account.role == "owner" and role != "owner" and not others and (role is not None or anybody):
            raise StaffFault("fault_last_owner", f"{name} is the only owner: make another one first")

    # Sessions

    def begin_session(self, kept: str, name: str, at: str) -> None:
        """Keeps a session that has just begun."""
        self._run(
            "insert into staff_sessions (hash, name, begun_at, seen_at) values (?, ?, ?, ?)",
            kept,
            name,
            at,
            at,
        )

    def session(self, kept: str) -> Session | None:
        """The session, with the role of its account."""
        rows = self._rows(
            "select s.name, a.role, s.begun_at, s.seen_at from staff_sessions s join staff a on a.name = s.name"
            " where s.hash = ?",
            kept,
        )
        return Session(*rows[0]) if rows else None

    def seen(self, kept: str, at: str) -> None:
        """Notes that a session was used."""
        self._run("update staff_sessions set seen_at = ? where hash = ? and seen_at < ?", at, kept, at)

    def end_session(self, kept: str) -> None:
        """Ends a session."""
        self._run("delete from staff_sessions where hash = ?", kept)

    def sweep(self, begun_before: str, seen_before: str) -> None:
        """Takes out sessions that have run out."""
        self._run("delete from staff_sessions where begun_at < ? or seen_at < ?", begun_before, seen_before)

    # Links

    def add_link(self, name: str, kept: str, quote: str, by: str, at: str, until: str) -> None:
        """Keeps a link to a quote.

        Raises:
            StaffFault: there is no such quote.
        """
        if not self._rows("select 1 from quotes where id = ?", quote):
            raise StaffFault("fault_quote", f"no quote {quote!r} is kept here")
        self._run(
            "insert into quote_links (id, hash, quote, made_by, made_at, expires_at) values (?, ?, ?, ?, ?, ?)",
            name, kept, quote, by, at, until,
        )  # fmt: skip

    def link_of(self, kept: str) -> Link | None:
        """The link of that secret, open or not."""
        rows = self._rows(f"select {_LINK} from quote_links where hash = ?", kept)  # noqa: S608  columns of this module
        return Link(*rows[0]) if rows else None

    def links(self, quote: str) -> list[Link]:
        """A quote's links, the newest first."""
        rows = self._rows(
            f"select {_LINK} from quote_links where quote = ? order by made_at desc, id limit {MOST_LINKS}",  # noqa: S608
            quote,
        )
        return [Link(*row) for row in rows]

    def revoke(self, name: str, at: str) -> str:
        """Closes a link for good; gives its quote.

        Raises:
            StaffFault: there is no such link.
        """
        rows = self._rows("select quote from quote_links where id = ?", name)
        if not rows:
            raise StaffFault("fault_link", f"there is no link {name!r}: the quote's page lists them")
        self._run("update quote_links set revoked_at = ? where id = ? and revoked_at is null", at, name)
        return str(rows[0][0])

    # Who did what

    def note(self, name: str, act: str, subject: str, at: str) -> None:
        """Keeps that a member of staff (or the command line) did something that may have to be accounted for."""
        self._run(
            "insert into staff_acts (at, name, act, subject) values (?, ?, ?, ?)",
            at,
            name,
            act,
            subject[:200],
        )

    def acts(self, most: int = 100) -> list[Act]:
        """What was done, the latest first."""
        rows = self._rows("select at, name, act, subject from staff_acts order by at desc limit ?", most)
        return [Act(*row) for row in rows]

    # Keys of the installation

    def key(self, name: str, fresh: str) -> str:
        """A key that all servers of this store have in common; ``fresh`` becomes it where there is none yet."""
        self._run(
            "insert into installation_keys (name, body) values (?, ?) on conflict (name) do nothing",
            name,
            fresh,
        )
        return str(self._rows("select body from installation_keys where name = ?", name)[0][0])

    def touch_key(self, name: str) -> None:
        """Writes a key as it is: whether the store can be written shows only in writing."""
        self._run("update installation_keys set body = body where name = ?", name)


_LINK: Final = "id, quote, made_by, made_at, expires_at, revoked_at"


def _no_account(name: str) -> StaffFault:
    return StaffFault("fault_account", f"there is no account {name!r}: wattclerk staff list names them")
