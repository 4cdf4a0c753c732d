"""The part of a session about what staff send. A mail goes to a reader once, however often somebody presses.

Whoever sends writes the row first (``sending``) and how it ended afterwards. Where the process dies in between, nobody can
tell whether the mail went: the row stays ``sending``, is shown as unsure after a while, and is sent again only by a press
of its own, the same bytes under the same Message-ID, so that a receiver who has it already can tell.
"""

import zlib
from dataclasses import dataclass
from typing import Final, Literal

from bot.store.statements import Row, Statements

SendKind = Literal["reply", "forward"]
SendState = Literal["sending", "sent", "failed", "unsure"]
CLEAR_OF_ERASED: Final = (
    "update mail_sends set message = null, said = null, recipient = 'erased ' || number, message_id = ''"
    " where message is not null and mail in (select number from mails where erased_at is not null)"
)
_COLUMNS = "number, kind, recipient, state, made_by, started_at, ended_at, attempts, reason, said, message_id"


@dataclass(frozen=True, slots=True)
class Sent:
    """One mail to one reader, as staff see it.

    Attributes:
        state: "unsure" too where whoever was sending has not been heard of for long.
        reason: a key of the pages' words; "" for none. ``said``: the mail server's own line; "" for none.
    """

    number: int
    kind: SendKind
    recipient: str
    state: SendState
    made_by: str
    started_at: str
    ended_at: str | None
    attempts: int
    reason: str
    said: str
    message_id: str


class Sends(Statements):
    """The part of a session about what staff send."""

    def begin_send(
        self,
        mail: int,
        kind: SendKind,
        recipient: str,
        sender: str,
        message_id: str,
        message: bytes,
        by: str,
        now: str,
    ) -> int | None:
        """Notes that a message is being sent; ``None`` where it was sent, is being sent, or may have gone."""
        packed = zlib.compress(message, 6)
        rows = self._rows(
            "insert into mail_sends (mail, kind, recipient, sender, message_id, message, state, made_by, started_at, attempts)"
            " values (?, ?, ?, ?, ?, ?, 'sending', ?, ?, 1) on conflict (mail, kind, recipient) do update set"
            " state = 'sending', message = excluded.message, made_by = excluded.made_by, started_at = excluded.started_at,"
            " ended_at = null, reason = null, said = null, attempts = mail_sends.attempts + 1"
            " where mail_sends.state = 'failed' returning number",
            mail, kind, recipient, sender, message_id, packed, by, now,
        )  # fmt: skip
        return int(rows[0][0]) if rows else None

    def send_again(
        self, number: int, mail: int, by: str, now: str, lost_before: str
    ) -> tuple[str, str, str, bytes] | None:
        """Takes up a message of which nobody can tell whether it went: sender, recipient, Message-ID and the same bytes."""
        rows = self._rows(
            "update mail_sends set state = 'sending', made_by = ?, started_at = ?, ended_at = null, reason = null, said = null,"
            " attempts = attempts + 1 where number = ? and mail = ? and message is not null"
            " and (state = 'unsure' or (state = 'sending' and started_at < ?))"
            " returning sender, recipient, message_id, message",
            by, now, number, mail, lost_before,
        )  # fmt: skip
        return (rows[0][0], rows[0][1], rows[0][2], zlib.decompress(rows[0][3])) if rows else None

    def end_send(self, number: int, state: SendState, reason: str, said: str, now: str) -> None:
        """Keeps how it ended. That it went is never taken back by somebody who could not tell."""
        self._run(
            "update mail_sends set state = ?, reason = ?, said = ?, ended_at = ? where number = ? and state <> 'sent'",
            state, reason or None, said or None, now, number,
        )  # fmt: skip

    def sends_of(self, mail: int, lost_before: str) -> list[Sent]:
        """What was sent about a mail, the first first."""
        rows = self._rows(f"select {_COLUMNS} from mail_sends where mail = ? order by number", mail)
        return [_sent(row, lost_before) for row in rows]

    def sent_message(self, number: int) -> bytes | None:
        """The bytes that were sent; ``None`` where they are not kept."""
        row = self._one("select message from mail_sends where number = ?", number)
        return None if row is None or row[0] is None else zlib.decompress(row[0])

    def is_answered(self, mail: int) -> bool:
        """Whether a reply to a mail was sent from here."""
        return bool(
            self._rows("select 1 from mail_sends where mail = ? and kind = 'reply' and state = 'sent'", mail)
        )

    def to_put_away(
        self, account: str, folder: str, validity: int
    ) -> list[tuple[int, int, bytes | None, str]]:
        """Replies that were sent from here while their drafts lie in Drafts: number, the mail's UID, the draft, its id."""
        rows = self._rows(
            "select s.number, p.uid, m.draft, m.draft_id from mail_sends s join mails m on m.number = s.mail"
            " join mail_places p on p.mail = m.number where s.kind = 'reply' and s.state = 'sent' and s.put_away_at is null"
            " and m.state = 'settled' and p.account = ? and p.folder = ? and p.validity = ? order by s.number, p.uid limit 50",
            account, folder, validity,
        )  # fmt: skip
        return [
            (row[0], row[1], None if row[2] is None else zlib.decompress(row[2]), row[3] or "")
            for row in rows
        ]

    def keep_put_away(self, number: int, now: str) -> None:
        """Keeps that nothing is left to do about a sent reply's draft."""
        self._run("update mail_sends set put_away_at = ? where number = ?", now, number)

    def clear_sends_of_erased(self) -> int:
        """Takes the messages and readers of erased mails away; how many there were."""
        return self._run(CLEAR_OF_ERASED)


def _sent(row: Row, lost_before: str) -> Sent:
    number, kind, recipient, state, made_by, started_at, ended_at, attempts, reason, said, message_id = row
    if state == "sending" and started_at < lost_before:
        state = "unsure"
    return Sent(
        number,
        kind,
        recipient,
        state,
        made_by,
        started_at,
        ended_at,
        attempts,
        reason or "",
        said or "",
        message_id,
    )
