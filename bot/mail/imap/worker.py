"""One mail's way: taken, read and decided, its draft laid, the mail tagged. Every step may be the last one of a process.

    found ─▶ taken ─▶ decided, the draft's bytes kept ─▶ draft laid ─▶ settled ─▶ tagged
              (1)       (2)                                APPEND       (3)       STORE, (4)

The numbers are transactions of the store. What a worker that died left is gone on with from the last of them: a draft is
made only while nothing is decided, is laid again only after a look into Drafts for its Message-ID, and a tag set twice is
one tag.
"""

import logging
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from hashlib import sha256
from typing import Any, Final, TypeVar

from bot.clock import Clock, stamp
from bot.mail.bounds import MOST_BYTES
from bot.mail.desk import Answer
from bot.mail.imap.account import ConnectionLost, DraftRefused
from bot.mail.imap.connection import Head, Mailbox
from bot.mail.parsing import heading
from bot.replies.clean import one_line
from bot.store.ledger import PATIENCE_SECONDS, StoreConflict, StoreGone
from bot.store.mail_records import FoundMail, MailOutcome, MailWork, Place, Verdict
from bot.store.protocol import Store
from bot.store.records import LeaseLost
from bot.store.session import Session

log = logging.getLogger("wattclerk.mail")
Result = TypeVar("Result")

MOST_ATTEMPTS: Final = 5
"""Readings of one mail that failed; then a person gets it."""
MOST_BEGUN: Final = 12
"""Readings of one mail that nobody came back from: more, since a process may have been ended for another reason."""
RETRY_SECONDS: Final = (30, 60, 120, 300, 600, 1800, 3600)
"""Until what could not be done is tried again, by attempts; the last goes on."""
MOST_ORIGINAL_BYTES: Final = 10_000_000
"""Of a mail that is kept for a person."""
MOST_TEXT_CHARS: Final = 20_000
_CONFLICTS: Final = 5


def nothing(step: str) -> None:
    """Nobody wants to know how far it is."""


@dataclass(slots=True)
class Worker:
    """Sees to mails, one at a time.

    Attributes:
        answer: what becomes of a message, at a time.
        step: told how far it is, for whoever wants to end it there.
        full_until: when drafts are laid again after the server had no room for one; "" where it has.
    """

    store: Store
    answer: Callable[[bytes, Any], Answer]
    clock: Clock
    step: Callable[[str], None] = nothing
    full_until: str = ""
    full_reason: str = ""

    def see_to(self, mailbox: Mailbox, head: Head) -> Verdict | None:
        """Sees to a mail that was found in the folder; what became of it, ``None`` where others see to it or nothing is to do.

        Raises:
            ConnectionLost, DraftRefused: the mailbox is closed; the mail is put back.
            bot.store.records.StoreUnusable: the store can't be written.
        """
        self.step("found")
        place = Place(mailbox.account.name, mailbox.account.folder, mailbox.validity, head.uid)
        message_id, sender, subject = heading(head.header)
        data: bytes | None = None
        identity = message_id
        if not identity and head.size <= MOST_BYTES:
            data = mailbox.content(head.uid)
            if data is None:
                return None
        if not identity:
            identity = f"sha256:{sha256(head.header if data is None else data).hexdigest()}"
        found = FoundMail(
            identity=identity, message_id=message_id, sender=_kept_text(str(sender or ""), 300),
            mailbox=_kept_text(sender.mailbox if sender else "", 300), subject=_kept_text(subject, 400),
            arrived_at=stamp(head.arrived),
        )  # fmt: skip
        work = self.do(lambda s: s.take_mail(found, place, stamp(self.clock())))
        self.step("taken")
        return None if work is None else self._go_on(mailbox, work, place, head.size, data)

    def resume(self, mailbox: Mailbox, number: int, place: Place) -> Verdict | None:
        """Goes on with a mail that somebody left, wherever it lies by now. The same errors."""
        work = self.do(lambda s: s.hold_mail(number, stamp(self.clock())))
        if work is None:
            return None
        return self._go_on(mailbox, work, place, None, None)

    def _go_on(
        self, mailbox: Mailbox, work: MailWork, place: Place, size: int | None, data: bytes | None
    ) -> Verdict | None:
        try:
            if work.state == "taken":
                outcome = self._decided(mailbox, work, place, size, data)
                if outcome is None:
                    return None
                self.do(lambda s: s.keep_outcome(work.number, outcome, stamp(self.clock())))
                self.step("decided")
                verdict, draft, draft_id = outcome.decision, outcome.draft, outcome.draft_id
            else:
                verdict, draft, draft_id = work.decision or "draft", work.draft, work.draft_id
            if draft is not None and not self._lay(
                mailbox, work, place, draft, draft_id, fresh=work.state == "taken"
            ):
                return None
        except LeaseLost:
            log.info("another worker took a mail over")
            return None
        except ConnectionLost:
            # Once is no fault of the mail's.
            self._put_back(work, None if work.attempts == 0 else "failed: the connection broke over it")
            raise
        except DraftRefused as refused:
            kind = "quota" if refused.quota else "refused"
            self._put_back(work, f"{kind}: {refused}", wait=True)
            if refused.quota:
                self.full_until = stamp(self.clock() + timedelta(seconds=RETRY_SECONDS[0]))
                self.full_reason = f"quota: {refused}"
            raise
        self._tag(mailbox, place, verdict)
        return verdict

    # Deciding

    def _decided(
        self, mailbox: Mailbox, work: MailWork, place: Place, size: int | None, data: bytes | None
    ) -> MailOutcome | None:
        """What becomes of a mail; ``None`` where that could not be found out now, and the mail is put back."""
        if work.attempts >= MOST_BEGUN:
            return MailOutcome("human", f"failed: reading it was begun {work.attempts} times and never ended")
        if size is None or data is None:
            heads = mailbox.heads([place.uid]) if place.validity == mailbox.validity else []
            if not heads:
                return MailOutcome("none", "gone: it was taken out of its folder before it was read")
            size = heads[0].size
        if size > MOST_BYTES:
            return MailOutcome("human", f"large: it has {size / 1e6:.0f} MB, more than is read")
        data = mailbox.content(place.uid) if data is None else data
        self.step("fetched")
        if data is None:
            return MailOutcome("none", "gone: it was taken out of its folder before it was read")
        if work.clashes:
            return MailOutcome(
                "human", "clash: another mail came under its Message-ID", original=_kept_original(data)
            )
        self.do(lambda s: s.begin_reading(work.number))
        begun = time.monotonic()
        try:
            answer = self.answer(data, self.clock())
        except Exception as error:
            log.exception("a mail could not be read")
            if work.attempts + 1 >= MOST_ATTEMPTS:
                return MailOutcome(
                    "human", f"failed: reading it failed {MOST_ATTEMPTS} times", original=_kept_original(data)
                )
            self._put_back(
                work, f"failed: the program failed ({type(error).__name__})", wait=True, counted=True
            )
            return None
        self.step("answered")
        ms = round(1000 * (time.monotonic() - begun))
        log.info(
            "a mail was read",
            extra={"channel": "mail", "outcome": answer.decision.reply, "ms": ms, "bytes": len(data)},
        )
        return outcome_of(answer, data)

    # Laying

    def _lay(
        self, mailbox: Mailbox, work: MailWork, place: Place, draft: bytes, draft_id: str, *, fresh: bool
    ) -> bool:
        """Lays the draft, once; ``False`` where it has to wait. ``fresh``: decided just now, so that nobody can have laid it."""
        if not fresh:
            found = mailbox.laid(draft_id)
            flags = None if found else self._flags(mailbox, place)
            if (
                found
                or (flags is not None and b"\\answered" in flags)
                or self.do(lambda s: s.is_answered(work.number))
            ):
                # It lies there; or somebody has found it there or at the desk, and the mail is answered.
                self.do(lambda s: s.keep_laid(work.number, found[0] if found else None, stamp(self.clock())))
                self.step("settled")
                return True
        if self.full_until > stamp(self.clock()):
            self._put_back(work, self.full_reason, wait=True)
            return False
        self.step("laying")
        laid = mailbox.lay(draft)
        self.step("appended")
        try:
            if not fresh:
                # Whoever held it before seemed gone; should it have been slow only, there are two copies now.
                laid = mailbox.one_of(draft_id, laid)
            self.do(lambda s: s.keep_laid(work.number, laid, stamp(self.clock())))
        except LeaseLost:
            mailbox.one_of(draft_id, laid)
            raise
        self.full_until = ""
        self.step("settled")
        return True

    def _flags(self, mailbox: Mailbox, place: Place) -> frozenset[bytes] | None:
        return mailbox.flags(place.uid) if place.validity == mailbox.validity else None

    # Tagging

    def _tag(self, mailbox: Mailbox, place: Place, verdict: Verdict) -> None:
        if place.validity != mailbox.validity:
            self.do(lambda s: s.keep_tagged([place], "gone"))
            return
        there = mailbox.tag([place.uid], verdict)
        self.step("tagged")
        self.do(lambda s: s.keep_tagged([place], "there" if there else "here"))
        self.step("noted")

    def tag_all(self, mailbox: Mailbox, uids: list[int], verdict: Verdict) -> None:
        """Tags mails that were settled before, or under another UID."""
        there = mailbox.tag(uids, verdict)
        places = [Place(mailbox.account.name, mailbox.account.folder, mailbox.validity, uid) for uid in uids]
        self.do(lambda s: s.keep_tagged(places, "there" if there else "here"))

    def put_away(self, mailbox: Mailbox) -> None:
        """Takes the drafts of replies that staff sent at the desk out of Drafts, and marks their mails as answered."""
        account = mailbox.account
        for number, uid, draft, draft_id in self.do(
            lambda s: s.to_put_away(account.name, account.folder, mailbox.validity)
        ):
            mailbox.answered(uid)
            if draft is not None and draft_id:
                mailbox.take_away(draft, draft_id)
            self.do(lambda s, number=number: s.keep_put_away(number, stamp(self.clock())))  # type: ignore[misc]

    # The store

    def _put_back(
        self, work: MailWork, trouble: str | None, *, wait: bool = False, counted: bool = False
    ) -> None:
        seconds = RETRY_SECONDS[min(work.attempts, len(RETRY_SECONDS) - 1)]
        due = stamp(self.clock() + timedelta(seconds=seconds)) if wait or work.attempts else None
        shown = None if trouble is None else _kept_text(trouble, 300)
        try:
            self.do(lambda s: s.put_mail_back(work.number, shown, due, counted=counted))
        except LeaseLost:
            log.info("another worker took a mail over")

    def do(self, request: Callable[[Session], Result]) -> Result:
        """What a request gives, once it is committed; it goes on asking a store that is gone for a while."""
        until = time.monotonic() + PATIENCE_SECONDS
        pause, conflicts = 0.05, 0
        while True:
            try:
                with self.store.transaction() as session:
                    return request(session)
            except StoreConflict:
                conflicts += 1
                if conflicts > _CONFLICTS:
                    raise
            except StoreGone:
                if time.monotonic() + pause > until:
                    raise
                time.sleep(pause)
                pause = min(1.0, pause * 2)


def outcome_of(answer: Answer, data: bytes) -> MailOutcome:
    """An answer as it is kept."""
    decision = answer.decision
    drafted = answer.draft is not None
    draft_id = ""
    if answer.draft is not None:
        draft_id = heading(answer.draft)[0]
    return MailOutcome(
        decision=decision.reply,
        reason=_kept_text(decision.reason, 300),
        text="" if decision.reply == "none" else _kept_lines(answer.text),
        original=None if decision.reply == "none" else _kept_original(data),
        draft=answer.draft,
        draft_id=draft_id,
        draft_to=_kept_text(str(answer.to), 300) if drafted and answer.to is not None else "",
    )


def _kept_original(data: bytes) -> bytes | None:
    return data if len(data) <= MOST_ORIGINAL_BYTES else None


def _kept_text(text: str, limit: int) -> str:
    return one_line(text, limit)


def _kept_lines(text: str) -> str:
    """Lines as they are, without what no store takes."""
    return text[:MOST_TEXT_CHARS].encode("utf-8", "replace").decode("utf-8").replace("\0", "")
