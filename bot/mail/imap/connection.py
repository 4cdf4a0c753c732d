"""One connection to an IMAP server, and all that is ever asked of it; used by one thread.

After any fault the connection is dropped: a client that is out of step with its server reads one command's answer as
another's. Nothing that anybody wrote goes into a command: UIDs, our own keywords, names from the settings, and Message-IDs
that we made ourselves.
"""

import imaplib
import logging
import re
import socket
import ssl
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any, Final

from imapclient import IMAPClient, SocketTimeout
from imapclient.exceptions import IMAPClientError, LoginError
from imapclient.imapclient import DRAFTS

from bot.mail.bounds import MOST_BYTES, MOST_HEADER_BYTES
from bot.mail.imap.account import Account, ConnectionLost, DraftRefused, MailboxUnusable
from bot.replies.clean import one_line
from bot.store.mail_records import Place, Verdict

log = logging.getLogger("wattclerk.mail")

KEYWORDS: Final[dict[Verdict, bytes]] = {
    "draft": b"WattclerkDrafted",
    "human": b"WattclerkForPerson",
    "none": b"WattclerkNoDraft",
}
"""The keywords (RFC 9051, 2.3.2) that a mail is tagged with, by what became of it."""
CONNECT_SECONDS: Final = 15.0
READ_SECONDS: Final = 90.0
SLICE_SECONDS: Final = 0.5
"""How long nobody looks, while the server is listened to, whether we are to stop."""
MOST_HEADS: Final = 50
"""Mails whose headers are asked for at once."""
_BROKEN: Final = (OSError, imaplib.IMAP4.abort, EOFError)
_EXISTS: Final = "EXISTS"
_OWN_ID: Final = re.compile(r"[0-9a-f]{40}@[A-Za-z0-9.-]{1,200}")
_APPENDED: Final = re.compile(rb"\[APPENDUID (\d{1,10}) (\d{1,10})\]", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Head:
    """What is asked of a mail before it is read: its size [bytes], when it arrived, its headers (bounded)."""

    uid: int
    size: int
    arrived: datetime
    header: bytes


class Mailbox:
    """The watched folder of an account, over one connection.

    Attributes:
        validity: UIDVALIDITY of the folder.
        takes_keywords: whether mails can be tagged on the server; else that is remembered in the store alone.
        idles: whether the server tells of new mail by itself (IDLE).
        drafts: the folder that drafts are laid in.
    """

    def __init__(self, account: Account) -> None:
        """Connects, signs in, finds Drafts and opens the folder.

        Raises:
            MailboxUnusable: that can't be done; the line says why.
        """
        self.account = account
        self.validity = 0
        self.takes_keywords = self.idles = self._closed = False
        self._client = _connected(account)
        try:
            self._sign_in()
            self.idles = self._client.has_capability("IDLE")
            self.drafts = self._find_drafts()
            self._open()
        except _BROKEN as error:
            self.close()
            raise MailboxUnusable(f"{account.place}: the connection broke ({_reason(error)})") from None
        except MailboxUnusable:
            self.close()
            raise
        except imaplib.IMAP4.error as error:
            self.close()
            raise MailboxUnusable(f"{account.place}: {_reason(error)}") from None

    def _sign_in(self) -> None:
        account, client = self.account, self._client
        try:
            if client.has_capability("AUTH=PLAIN"):
                # Takes any characters, which LOGIN does not.
                client.plain_login(account.user, account.password)
            else:
                client.login(account.user, account.password)
        except (LoginError, UnicodeError) as error:
            if isinstance(error, LoginError) and isinstance(error.__context__, imaplib.IMAP4.abort):
                raise error.__context__ from None
            raise MailboxUnusable(
                f"{account.place}: the server refuses the user name or the password of {one_line(account.user)}: check both"
                " (some providers want a password made for this program)"
            ) from None

    def _find_drafts(self) -> str:
        wanted, folder = self.account.drafts, self.account.folder
        if wanted is None:
            found = self._client.find_special_folder(DRAFTS)
            if found is None:
                raise MailboxUnusable(
                    f"{self.account.place}: no folder is marked as the one for drafts: name it in WATTCLERK_IMAP_DRAFTS"
                    f" (there are: {self._folders()})"
                )
            wanted = str(found)
        elif not self._client.folder_exists(wanted):
            raise MailboxUnusable(
                f"{self.account.place}: there is no folder {one_line(wanted)!r}: WATTCLERK_IMAP_DRAFTS names one of:"
                f" {self._folders()}"
            )
        if wanted.lower() == folder.lower():
            raise MailboxUnusable(
                f"{self.account.place}: drafts can't be laid in the folder that is watched ({one_line(folder)!r})"
            )
        return wanted

    def _folders(self) -> str:
        names = [one_line(str(name)) for _, _, name in self._client.list_folders()]
        return ", ".join(names[:20]) + (", ..." if len(names) > 20 else "")

    def _open(self) -> None:
        """Opens the watched folder, for its flags to be changed."""
        try:
            opened = self._client.select_folder(self.account.folder)
        except imaplib.IMAP4.abort:
            raise
        except IMAPClientError:
            raise MailboxUnusable(
                f"{self.account.place}: there is no folder {one_line(self.account.folder)!r}, or it can't be opened:"
                f" WATTCLERK_IMAP_FOLDER names one of: {self._folders()}"
            ) from None
        self.validity = int(opened.get(b"UIDVALIDITY") or 0)
        allowed = {bytes(flag).lower() for flag in opened.get(b"PERMANENTFLAGS") or ()}
        ours = {keyword.lower() for keyword in KEYWORDS.values()}
        self.takes_keywords = b"READ-ONLY" not in opened and (b"\\*" in allowed or ours <= allowed)

    # Looking

    def refresh(self) -> None:
        """Opens the folder again where something else was opened, or its UIDs may have changed meanwhile."""
        with self._in_step():
            self._open()

    def waiting(self, since: date) -> list[int]:
        """UIDs of mails that arrived since a day, were not answered by hand, and are not tagged yet; the oldest first."""
        asked: list[Any] = ["UNDELETED", "UNDRAFT", "UNANSWERED", "SINCE", since]
        if self.takes_keywords:
            for keyword in KEYWORDS.values():
                asked += ["UNKEYWORD", keyword.decode()]
        with self._in_step():
            # What is told from here on has not been looked for.
            self._told.pop(_EXISTS, None)
            return sorted(int(uid) for uid in self._client.search(asked))

    @property
    def _told(self) -> dict[str, Any]:
        """What the server told beside its answers. The client keeps it, and shows it to nobody."""
        told: dict[str, Any] = self._client._imap.untagged_responses
        return told

    def heads(self, uids: Sequence[int]) -> list[Head]:
        """Size, arrival and headers of mails, in the order of their UIDs; those that are gone are left out."""
        if not uids:
            return []
        wanted = ["RFC822.SIZE", "INTERNALDATE", f"BODY.PEEK[HEADER]<0.{MOST_HEADER_BYTES}>"]
        with self._in_step():
            found = self._client.fetch(uids, wanted)
            return [
                Head(
                    uid, int(data[b"RFC822.SIZE"]), data[b"INTERNALDATE"], data.get(b"BODY[HEADER]<0>") or b""
                )
                for uid, data in sorted(found.items())
                if b"RFC822.SIZE" in data and b"INTERNALDATE" in data
            ]

    def content(self, uid: int) -> bytes | None:
        """A mail's bytes, at most one more than is read; ``None`` where it is gone. It stays unread."""
        with self._in_step():
            found = self._client.fetch([uid], [f"BODY.PEEK[]<0.{MOST_BYTES + 1}>"])
            data = found.get(uid, {}).get(b"BODY[]<0>")
        return None if data is None else bytes(data)

    def flags(self, uid: int) -> frozenset[bytes] | None:
        """A mail's flags, lower case; ``None`` where it is gone."""
        with self._in_step():
            found = self._client.fetch([uid], ["FLAGS"])
            if uid not in found:
                return None
            return frozenset(bytes(flag).lower() for flag in found[uid].get(b"FLAGS", ()))

    # Drafts

    def lay(self, draft: bytes) -> Place | None:
        """Lays a draft in Drafts; where, as far as the server says.

        Raises:
            DraftRefused: it did not take it.
            ConnectionLost: nobody knows whether it took it.
        """
        self._must_be_open()
        try:
            answer = self._client.append(self.drafts, draft, (b"\\Draft", b"\\Seen"))
        except _BROKEN as error:
            raise self._lost(error) from None
        except imaplib.IMAP4.error as error:
            self.close()
            line = _reason(error)
            raise DraftRefused(line, quota="quota" in line.lower()) from None
        said = _APPENDED.search(answer if isinstance(answer, bytes) else str(answer).encode())
        return None if said is None else Place(self.account.name, self.drafts, int(said[1]), int(said[2]))

    def laid(self, draft_id: str) -> list[Place]:
        """Where in Drafts the draft of that Message-ID, one of ours, lies; the oldest first."""
        with self._drafts_open(readonly=True) as validity:
            return [Place(self.account.name, self.drafts, validity, uid) for uid in self._laid(draft_id)]

    def _laid(self, draft_id: str) -> list[int]:
        if not _OWN_ID.fullmatch(draft_id):
            raise ValueError(f"{draft_id!r} is no Message-ID of ours")
        return sorted(int(uid) for uid in self._client.search(["HEADER", "Message-ID", draft_id]))

    def one_of(self, draft_id: str, ours: Place | None) -> Place | None:
        """Where the draft lies after two workers may have laid it: the older copy stays, ``ours`` goes where it is the newer.

        Both copies are the same bytes, and only the copy that this worker has just laid is ever taken away.
        """
        with self._drafts_open(readonly=False) as validity:
            uids = self._laid(draft_id)
            if not uids:
                return ours
            if len(uids) > 1 and ours is not None and ours.validity == validity and ours.uid in uids[1:]:
                self._client.add_flags([ours.uid], [b"\\Deleted"], silent=True)
                if self._client.has_capability("UIDPLUS"):
                    self._client.uid_expunge([ours.uid])
                log.warning("two workers laid the same draft; one copy was taken back")
            return Place(self.account.name, self.drafts, validity, uids[0])

    def take_away(self, draft: bytes, draft_id: str) -> bool:
        """Takes a draft out of Drafts that was sent from elsewhere; ``False`` where it is not there, or was changed since.

        A server without UIDPLUS keeps it: there a message can't be taken away without others that somebody marked.
        """
        with self._drafts_open(readonly=False):
            if not self._client.has_capability("UIDPLUS"):
                return False
            uids = self._laid(draft_id)
            found = self._client.fetch(uids, ["BODY.PEEK[]"]) if uids else {}
            same = [uid for uid in uids if found.get(uid, {}).get(b"BODY[]") == draft]
            if not same:
                return False
            self._client.add_flags(same, [b"\\Deleted"], silent=True)
            self._client.uid_expunge(same)
        return True

    @contextmanager
    def _drafts_open(self, *, readonly: bool) -> Iterator[int]:
        """Has Drafts open instead of the watched folder; gives its UIDVALIDITY."""
        with self._in_step():
            opened = self._client.select_folder(self.drafts, readonly=readonly)
            yield int(opened.get(b"UIDVALIDITY") or 0)
            self._open()

    # Tagging

    def tag(self, uids: Sequence[int], verdict: Verdict) -> bool:
        """Tags mails with what became of them; ``False`` where the server does not take that."""
        if not self.takes_keywords:
            return False
        self._must_be_open()
        try:
            self._client.add_flags(list(uids), [KEYWORDS[verdict]], silent=True)
        except _BROKEN as error:
            raise self._lost(error) from None
        except imaplib.IMAP4.error:
            self.close()
            return False
        return True

    def answered(self, uid: int) -> None:
        """Marks a mail as answered."""
        with self._in_step():
            self._client.add_flags([uid], [b"\\Answered"], silent=True)

    # Waiting

    def wait(self, seconds: float, stopped: Callable[[], bool]) -> None:
        """Returns when the server tells of something new (IDLE, RFC 2177), when the time is up, or when we are to stop."""
        until = time.monotonic() + seconds
        with self._in_step():
            if _EXISTS in self._told:
                # Told with the answer to an earlier command; the server does not tell it again.
                return
            self._client.idle()
            # Told in one breath with the server's consent: it lies in the stream's buffer, and the socket stays quiet.
            while not self._unread() and not stopped() and (left := until - time.monotonic()) > 0:
                begun, asked = time.monotonic(), min(SLICE_SECONDS, left)
                if self._client.idle_check(timeout=asked):
                    break
                if time.monotonic() - begun < asked / 2:
                    # Something came that was no whole line, as at the end of a connection: the next command will tell.
                    break
            self._client.idle_done()

    def _unread(self) -> bool:
        """Whether something that the server sent was taken from the socket, and not read yet."""
        connection, stream = self._client.socket(), self._client._imap.file
        connection.settimeout(0)
        try:
            return bool(stream.peek(1))
        except (BlockingIOError, ssl.SSLWantReadError):
            return False
        finally:
            connection.settimeout(READ_SECONDS)

    def still_there(self) -> None:
        """Asks the server for a sign of life.

        Raises:
            ConnectionLost: there was none.
        """
        with self._in_step():
            self._client.noop()

    # Connection

    @contextmanager
    def _in_step(self) -> Iterator[None]:
        self._must_be_open()
        try:
            yield
        except (*_BROKEN, imaplib.IMAP4.error) as error:
            raise self._lost(error) from None

    def _must_be_open(self) -> None:
        if self._closed:
            raise ConnectionLost(f"{self.account.place}: the connection was dropped after a fault")

    def _lost(self, error: BaseException) -> ConnectionLost:
        self.close()
        return ConnectionLost(f"{self.account.place}: {_reason(error)}")

    def close(self) -> None:
        """Drops the connection, however it stands."""
        self._closed = True
        with suppress(OSError, imaplib.IMAP4.error, AttributeError):
            self._client.shutdown()

    def leave(self) -> None:
        """Signs off."""
        with suppress(OSError, imaplib.IMAP4.error, AttributeError):
            self._client.logout()


def _connected(account: Account) -> IMAPClient:
    timeout = SocketTimeout(CONNECT_SECONDS, READ_SECONDS)
    tls = account.security == "tls"
    try:
        client = IMAPClient(
            account.host, account.port, ssl=tls, ssl_context=account.context if tls else None, timeout=timeout
        )
        client.normalise_times = False
        client.socket().setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
        if account.security == "starttls":
            if not client.has_capability("STARTTLS"):
                client.shutdown()
                raise MailboxUnusable(
                    f"{account.place}: the server offers no encryption there, so no password is sent: try imaps://"
                )
            client.starttls(account.context)
    except ssl.SSLCertVerificationError as error:
        raise MailboxUnusable(
            f"{account.place}: its certificate can't be trusted ({one_line(error.verify_message, 120)}): check the host's"
            " name, or name the authority's file in WATTCLERK_IMAP_CA"
        ) from None
    except ssl.SSLError as error:
        raise MailboxUnusable(
            f"{account.place}: no TLS comes about ({one_line(error.reason or 'no reason given', 120)}): imaps:// is for TLS"
            " from the first byte, imap:// for STARTTLS"
        ) from None
    except socket.gaierror:
        raise MailboxUnusable(
            f"{one_line(account.host)}: there is no such host: check WATTCLERK_IMAP_URL"
        ) from None
    except TimeoutError:
        raise MailboxUnusable(
            f"{account.place}: no answer comes: check WATTCLERK_IMAP_URL (imaps:// is for TLS from the first byte, imap:// for"
            " STARTTLS)"
        ) from None
    except _BROKEN as error:
        raise MailboxUnusable(
            f"{account.place}: can't be reached ({_reason(error)}): check WATTCLERK_IMAP_URL"
        ) from None
    except imaplib.IMAP4.error as error:
        raise MailboxUnusable(f"{account.place}: {_reason(error)}") from None
    return client


def _reason(error: BaseException) -> str:
    """What went wrong, one line, whatever the server wrote."""
    if isinstance(error, OSError) and error.strerror:
        return one_line(error.strerror, 120)
    return one_line(str(error), 200) or type(error).__name__
