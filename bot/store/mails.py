"""The mail desk's part of a session: mails are taken, decided, settled and tagged, each by one worker at a time.

A worker *holds* the mail that it works on (``held_by``), as servers hold conversations: the number is alive as long as its
process is, whatever any clock says, and what a dead one held is free for whoever looks first. A mail that is not held any
more can't be kept by who held it.
"""

import zlib
from collections.abc import Iterable, Sequence
from typing import Final

from bot.store.mail_records import FoundMail, KeptMail, MailOutcome, MailWork, Place, Tagged, Verdict
from bot.store.records import LeaseLost
from bot.store.statements import Row, Statements

MOST_MAILS: Final = 200
"""Open mails that one look finds; the next look finds the rest."""
_FARTHEST: Final = 2**62
_KEPT: Final = (
    "number, message_id, sender, mailbox, subject, arrived_at, taken_at, state, decision, reason, text,"
    " original is not null, draft is not null, draft_id, draft_to, draft_folder, draft_validity, draft_uid, settled_at,"
    " attempts, next_try_at, trouble, erased_at"
)
_WORK: Final = "number, state, attempts, decision, draft, draft_id"


class Mails(Statements):
    """The part of a session about mails."""

    # For whoever watches a folder

    def quiet_places(self, account: str, folder: str, validity: int, first: int, now: str) -> set[int]:
        """UIDs, from ``first`` on, of mails that are settled, held by somebody, or not due again yet."""
        rows = self._rows(
            "select p.uid from mail_places p join mails m on m.number = p.mail where p.account = ? and p.folder = ?"
            " and p.validity = ? and p.uid >= ? and (m.state = 'settled' or m.held_by is not null or m.next_try_at > ?)",
            account, folder, validity, first, now,
        )  # fmt: skip
        return {row[0] for row in rows}

    def free_mails_of_the_dead(self) -> int:
        """Lets go of what workers held that are gone; how many mails that were.

        To be called while nothing is in hand: what this worker holds is left from something that went wrong, and is let go too.
        """
        # Only what is open is held, and only that is looked through.
        held = {
            row[0]
            for row in self._rows(
                "select distinct held_by from mails where state <> 'settled' and held_by is not null"
            )
        }
        ours = {self._holder} & held
        dead = self._connection.dead(sorted(held - ours))
        return sum(
            self._run("update mails set held_by = null where state <> 'settled' and held_by = ?", number)
            for number in [*dead, *ours]
        )

    def take_mail(self, found: FoundMail, place: Place, now: str) -> MailWork | None:
        """Notes a mail and where it lies, and holds it if there is something to do about it.

        Gives ``None`` where it is settled, held by another worker, or not due again yet. A mail that is known by its
        Message-ID is the same mail; of another sender or subject it is one of its own, and clashes.
        """
        key, clashes = found.key, False
        known = self._one("select mailbox, subject, erased_at from mails where key = ?", key)
        if known is not None and known[2] is None and (known[0], known[1]) != (found.mailbox, found.subject):
            key, clashes = found.key_of_its_own, True
        self._run(
            "insert into mails (key, message_id, sender, mailbox, subject, arrived_at, taken_at, state, attempts)"
            " values (?, ?, ?, ?, ?, ?, ?, 'taken', 0) on conflict do nothing",
            key, found.message_id, found.sender, found.mailbox, found.subject, found.arrived_at, now,
        )  # fmt: skip
        row = self._one(f"select number from mails where key = ?{self._connection.locking}", key)
        assert row is not None  # noqa: S101  it was inserted, or was there
        number = int(row[0])
        # One that was taken out of its folder before it was read, and has come back.
        self._run(
            "update mails set state = 'taken', decision = null, reason = null where number = ? and state = 'settled'"
            " and reason like ?",
            number,
            "gone:%",
        )
        self._run(
            "insert into mail_places (account, folder, validity, uid, mail) values (?, ?, ?, ?, ?) on conflict do nothing",
            place.account, place.folder, place.validity, place.uid, number,
        )  # fmt: skip
        return self._hold(number, now, clashes=clashes)

    def hold_mail(self, number: int, now: str) -> MailWork | None:
        """Holds an open mail that is due; ``None`` where there is nothing to do about it, or not now, or not here."""
        return self._hold(number, now, clashes=False)

    def _hold(self, number: int, now: str, *, clashes: bool) -> MailWork | None:
        rows = self._rows(
            "update mails set held_by = ? where number = ? and state <> 'settled'"
            " and (held_by is null or held_by = ?) and (next_try_at is null or next_try_at <= ?)"
            f" returning {_WORK}",
            self._holder, number, self._holder, now,
        )  # fmt: skip
        if not rows or self._holder is None:
            return None
        name, state, attempts, decision, draft, draft_id = rows[0]
        return MailWork(
            name, state, attempts, clashes, decision, None if draft is None else zlib.decompress(draft), draft_id or ""
        )  # fmt: skip

    def open_mails(self, account: str, folder: str, now: str) -> list[tuple[int, Place]]:
        """Mails of a folder that are due, not settled and not held, the oldest first, each with its latest place."""
        rows = self._rows(
            "select m.number, p.validity, p.uid from mails m join mail_places p on p.mail = m.number"
            " where m.state <> 'settled' and m.held_by is null and (m.next_try_at is null or m.next_try_at <= ?)"
            f" and p.account = ? and p.folder = ? order by m.number, p.validity, p.uid limit {MOST_MAILS}",
            now, account, folder,
        )  # fmt: skip
        return list({row[0]: (row[0], Place(account, folder, row[1], row[2])) for row in rows}.values())

    def next_mail_due(self) -> str | None:
        """When the first of the mails that wait to be tried again is due; ``None`` where none waits."""
        row = self._one(
            "select min(next_try_at) from mails where state <> 'settled' and held_by is null and next_try_at is not null"
        )
        return None if row is None else row[0]

    def untagged(self, account: str, folder: str, validity: int) -> list[tuple[int, Verdict]]:
        """UIDs of settled mails that are not tagged yet, each with what was decided."""
        rows = self._rows(
            "select p.uid, m.decision from mail_places p join mails m on m.number = p.mail where p.tagged is null"
            " and m.state = 'settled' and p.account = ? and p.folder = ? and p.validity = ? order by p.uid"
            f" limit {MOST_MAILS}",
            account, folder, validity,
        )  # fmt: skip
        return [(row[0], row[1]) for row in rows]

    def keep_outcome(self, number: int, outcome: MailOutcome, now: str) -> None:
        """Keeps what was decided; with no draft to lay the mail is settled by that.

        Raises:
            LeaseLost: it is held here no longer.
        """
        laid = outcome.draft is None
        self._held(
            number,
            "state = ?, decision = ?, reason = ?, text = ?, original = ?, draft = ?, draft_id = ?, draft_to = ?,"
            " settled_at = ?, held_by = ?, attempts = 0, next_try_at = null, trouble = null",
            "settled" if laid else "decided", outcome.decision, outcome.reason, outcome.text, _packed(outcome.original),
            _packed(outcome.draft), outcome.draft_id, outcome.draft_to, now if laid else None,
            None if laid else self._holder,
        )  # fmt: skip

    def keep_laid(self, number: int, at: Place | None, now: str) -> None:
        """Keeps that the draft lies in Drafts; ``None`` where the server did not say under which UID.

        Raises:
            LeaseLost: it is held here no longer.
        """
        self._held(
            number,
            "state = 'settled', draft_folder = ?, draft_validity = ?, draft_uid = ?, settled_at = ?, held_by = null,"
            " attempts = 0, next_try_at = null, trouble = null",
            None if at is None else at.folder, None if at is None else at.validity, None if at is None else at.uid, now,
        )  # fmt: skip

    def begin_reading(self, number: int) -> None:
        """Counts a reading before it is begun, since it may take the process with it.

        Raises:
            LeaseLost: it is held here no longer.
        """
        self._held(number, "attempts = attempts + 1")

    def put_mail_back(
        self, number: int, trouble: str | None, next_try_at: str | None, *, counted: bool = False
    ) -> None:
        """Lets go of a mail that can't be gone on with now; staff see why, where ``trouble`` says it.

        ``counted``: the attempt was counted when it was begun.

        Raises:
            LeaseLost: it is held here no longer.
        """
        self._held(
            number,
            "held_by = null, trouble = ?, next_try_at = ?, attempts = attempts + ?",
            trouble,
            next_try_at,
            0 if counted else 1,
        )

    def keep_tagged(self, places: Iterable[Place], how: Tagged) -> None:
        """Keeps that nothing is left to do about messages at these places."""
        for place in places:
            self._run(
                "update mail_places set tagged = ? where account = ? and folder = ? and validity = ? and uid = ?",
                how, place.account, place.folder, place.validity, place.uid,
            )  # fmt: skip

    def _held(self, number: int, changes: str, *values: object) -> None:
        changed = self._run(
            f"update mails set {changes} where number = ? and held_by = ? and state <> 'settled'",
            *values, number, self._holder,
        )  # fmt: skip
        if changed != 1:
            raise LeaseLost("another worker has taken this mail over")

    # For staff

    def latest_mails(self, before: int | None, most: int) -> list[KeptMail]:
        """Mails, the latest first; those before number ``before``."""
        rows = self._rows(
            f"select {_KEPT} from mails where number < ? order by number desc limit ?",
            _FARTHEST if before is None else before,
            most,
        )
        return [_kept(row) for row in rows]

    def mail(self, number: int) -> KeptMail | None:
        """One mail with its places; ``None`` for an unknown one."""
        row = self._one(f"select {_KEPT} from mails where number = ?", number)
        if row is None:
            return None
        places = self._rows(
            "select account, folder, validity, uid from mail_places where mail = ? order by account, folder, validity, uid",
            number,
        )
        return _kept(row, tuple(Place(*place) for place in places))

    def mail_draft(self, number: int) -> bytes | None:
        """The draft's bytes; ``None`` where there is none."""
        return self._bytes_of("draft", number)

    def mail_original(self, number: int) -> bytes | None:
        """The mail's own bytes; ``None`` where they are not kept."""
        return self._bytes_of("original", number)

    def _bytes_of(self, column: str, number: int) -> bytes | None:
        row = self._one(f"select {column} from mails where number = ?", number)
        return None if row is None or row[0] is None else zlib.decompress(row[0])

    def mails_in_trouble(self) -> int:
        """How many mails could not be gone on with at the last attempt."""
        return int(
            self._rows("select count(*) from mails where state <> 'settled' and trouble is not null")[0][0]
        )

    def mail_counts(self) -> dict[str, int]:
        """How many mails are in each state."""
        return {row[0]: row[1] for row in self._rows("select state, count(*) from mails group by state")}


def _packed(data: bytes | None) -> bytes | None:
    return None if data is None else zlib.compress(data, 6)


def _kept(row: Row, places: Sequence[Place] = ()) -> KeptMail:
    (number, message_id, sender, mailbox, subject, arrived_at, taken_at, state, decision, reason, text, original, draft,
     draft_id, draft_to, folder, validity, uid, settled_at, attempts, next_try_at, trouble, erased_at) = row  # fmt: skip
    return KeptMail(
        number=number, message_id=message_id, sender=sender, mailbox=mailbox, subject=subject, arrived_at=arrived_at,
        taken_at=taken_at, state=state, decision=decision, reason=reason or "", text=text or "",
        has_original=bool(original), has_draft=bool(draft), draft_id=draft_id or "", draft_to=draft_to or "",
        draft_at=None if uid is None else Place("", folder, validity, uid), settled_at=settled_at, attempts=attempts,
        next_try_at=next_try_at, trouble=trouble or "", erased_at=erased_at, places=tuple(places),
    )  # fmt: skip
