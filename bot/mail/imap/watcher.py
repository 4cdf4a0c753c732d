"""Watches a folder: looks at it whenever something may have come, and comes back whatever the server does."""

import logging
import threading
from collections import Counter
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import groupby
from typing import Final

from bot.clock import stamp
from bot.mail.imap.account import Account, ConnectionLost, DraftRefused, MailboxUnusable
from bot.mail.imap.connection import MOST_HEADS, Mailbox
from bot.mail.imap.worker import Worker
from bot.store.mails import MOST_MAILS
from bot.store.records import StoreUnusable

log = logging.getLogger("wattclerk.mail")

IDLE_SECONDS: Final = 120.0
"""IDLE is ended and begun again after so long: RFC 2177 wants less than 29 minutes, and routers forget quiet connections
sooner. Every time the folder is looked at, too, so that what a dead worker left waits no longer than this."""
PAUSES: Final = (1, 2, 4, 8, 15, 30, 60, 120, 300)
"""Seconds until the next connection, by how many failed in a row; the last goes on."""


@dataclass(slots=True)
class Watcher:
    """Watches one folder, in one thread.

    Attributes:
        idle_seconds: how long the server is listened to at a time.
        pauses: before the next connection after some that failed.
        seen: what became of mails so far, by verdict.
    """

    account: Account
    worker: Worker
    idle_seconds: float = IDLE_SECONDS
    pauses: tuple[float, ...] = PAUSES
    seen: Counter[str] = field(default_factory=Counter)
    _stop: threading.Event = field(default_factory=threading.Event)
    _said: bool = False

    def stop(self) -> None:
        """Ends after the mail that is being seen to; may be called from a signal's handler or another thread."""
        self._stop.set()

    def connect(self) -> Mailbox:
        """A connection with the folder open.

        Raises:
            MailboxUnusable: that can't be had; the line says why.
        """
        mailbox = Mailbox(self.account)
        if not mailbox.takes_keywords and not self._said:
            self._said = True
            log.warning(
                "the server takes no keywords of ours: which mails were seen to is kept in the store alone"
            )
        return mailbox

    def once(self, mailbox: Mailbox) -> None:
        """Looks at the folder once, through all that waits in it.

        Raises:
            ConnectionLost, bot.store.records.StoreUnusable: it could not be gone through.
        """
        while not self._stop.is_set():
            try:
                self.look(mailbox)
            except DraftRefused:
                # That mail waits to be tried again; the others have their turn.
                mailbox = self.connect()
            else:
                mailbox.leave()
                return

    def run(self, mailbox: Mailbox) -> None:
        """Watches until it is stopped; begins with an open connection, and makes others."""
        opened: Mailbox | None = mailbox
        failed = 0
        while not self._stop.is_set():
            try:
                if opened is None:
                    opened = self.connect()
                    log.warning("the mailbox can be used again")
                self.look(opened)
                failed = 0
                self._wait(opened)
            except DraftRefused as refused:
                log.warning("a draft could not be laid, and waits to be tried again: %s", refused)
                opened = self._again()
            except (ConnectionLost, MailboxUnusable, StoreUnusable) as error:
                pause = self.pauses[min(failed, len(self.pauses) - 1)]
                failed += 1
                log.warning("the mailbox can't be used now; tried again in %g s: %s", pause, error)
                if opened is not None:
                    opened.close()
                opened = None
                self._stop.wait(pause)
        if opened is not None:
            opened.leave()

    def _again(self) -> Mailbox | None:
        try:
            return self.connect()
        except MailboxUnusable:
            return None

    def look(self, mailbox: Mailbox) -> None:
        """Sees to everything in the folder that waits for it.

        Raises:
            ConnectionLost, DraftRefused: the mailbox is closed.
            bot.store.records.StoreUnusable: the store can't be used.
        """
        worker, account = self.worker, self.account
        mailbox.refresh()
        worker.do(lambda s: s.free_mails_of_the_dead())
        now = worker.clock()
        uids = mailbox.waiting((now - timedelta(days=account.days)).date())
        if uids:
            quiet = worker.do(
                lambda s: s.quiet_places(account.name, account.folder, mailbox.validity, uids[0], stamp(now))
            )
            uids = [uid for uid in uids if uid not in quiet]
        for first in range(0, len(uids), MOST_HEADS):
            for head in mailbox.heads(uids[first : first + MOST_HEADS]):
                if self._stop.is_set():
                    return
                self._count(worker.see_to(mailbox, head))
        self._take_up(mailbox)
        self._tag(mailbox)
        worker.put_away(mailbox)

    def _take_up(self, mailbox: Mailbox) -> None:
        """Goes on with mails that somebody left and that are not found by searching: moved, or answered meanwhile."""
        account = self.account
        left = self.worker.do(
            lambda s: s.open_mails(account.name, account.folder, stamp(self.worker.clock()))
        )
        for number, place in left:
            if self._stop.is_set():
                return
            self._count(self.worker.resume(mailbox, number, place))

    def _tag(self, mailbox: Mailbox) -> None:
        account = self.account
        while True:
            left = self.worker.do(lambda s: s.untagged(account.name, account.folder, mailbox.validity))
            by_verdict = sorted(left, key=lambda each: (each[1], each[0]))
            for verdict, some in groupby(by_verdict, key=lambda each: each[1]):
                self.worker.tag_all(mailbox, [uid for uid, _ in some], verdict)
            if len(left) < MOST_MAILS:
                return

    def _count(self, verdict: str | None) -> None:
        if verdict is not None:
            self.seen[verdict] += 1

    def _wait(self, mailbox: Mailbox) -> None:
        """Until there may be something to do."""
        seconds = self.idle_seconds if mailbox.idles else float(self.account.poll_seconds)
        due = self.worker.do(lambda s: s.next_mail_due())
        if due is not None:
            left = (datetime.fromisoformat(due) - self.worker.clock()).total_seconds()
            seconds = max(0.2, min(seconds, left + 0.01))
        if mailbox.idles:
            mailbox.wait(seconds, self._stop.is_set)
        else:
            self._stop.wait(seconds)
            if not self._stop.is_set():
                mailbox.still_there()
