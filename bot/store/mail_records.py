"""A mail of the mail desk as it is kept: what it was, what became of it, its draft, where both lie."""

from dataclasses import dataclass, field
from hashlib import sha256
from typing import Literal

MailState = Literal["taken", "decided", "settled"]
"""Known and being read; decided, with its draft kept; settled: the draft lies in Drafts, or there is none to lay."""
Verdict = Literal["draft", "none", "human"]
Tagged = Literal["here", "there", "gone"]
"""Where it is remembered that a mail was seen to: here alone (the server takes no keywords of ours), there too; gone: the
mail is not there any more."""


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """Where a message lies: an IMAP account, a folder, the folder's UIDVALIDITY and the message's UID in it."""

    account: str
    folder: str
    validity: int
    uid: int


@dataclass(frozen=True, slots=True)
class FoundMail:
    """A mail as it was found, before it is read.

    Attributes:
        identity: its Message-ID; without one, a digest of its content.
        message_id: its Message-ID without angle brackets, "" for none.
        sender: From as shown, one line. ``mailbox``: the address alone, lower case, "" for none.
        subject: decoded, one line.
        arrived_at: when the mail server got it (ISO 8601, UTC).
    """

    identity: str
    message_id: str
    sender: str
    mailbox: str
    subject: str
    arrived_at: str

    @property
    def key(self) -> str:
        """What it is known again by; tells nothing of anybody, and outlives the erasing of the rest."""
        return sha256(self.identity.encode("utf-8", "surrogatepass")).hexdigest()

    @property
    def key_of_its_own(self) -> str:
        """For a mail under a Message-ID that another mail has, of somebody else or about something else."""
        whole = f"{self.identity}\n{self.mailbox}\n{self.subject}"
        return sha256(whole.encode("utf-8", "surrogatepass")).hexdigest()


@dataclass(frozen=True, slots=True)
class MailWork:
    """A mail to go on with, held by who got it.

    Attributes:
        state: "taken": to be read; "decided": its draft is to be laid in Drafts, where it may lie already.
        attempts: readings that were begun, or steps that failed, since it last came a step further.
        clashes: it came under the Message-ID of another mail, from somebody else or about something else.
        draft, draft_id: what is to be laid, once decided.
    """

    number: int
    state: MailState
    attempts: int
    clashes: bool = False
    decision: Verdict | None = None
    draft: bytes | None = field(default=None, repr=False)
    draft_id: str = ""


@dataclass(frozen=True, slots=True)
class MailOutcome:
    """What became of a mail.

    Attributes:
        reason: in one line, that begins with the kind of reason.
        text: what was read of it; "" for nothing.
        original: its bytes, where they are kept: for what a person has to see to.
        draft: the draft's bytes, an RFC 5322 message, exactly as it is laid in Drafts; ``None`` where there is none.
        draft_id: the draft's Message-ID without angle brackets. ``draft_to``: who it goes to, as shown.
    """

    decision: Verdict
    reason: str
    text: str = ""
    original: bytes | None = field(default=None, repr=False)
    draft: bytes | None = field(default=None, repr=False)
    draft_id: str = ""
    draft_to: str = ""


@dataclass(frozen=True, slots=True)
class KeptMail:
    """A mail as staff see it; bytes are asked for apart (`Mails.mail_draft`, `Mails.mail_original`).

    Attributes:
        draft_at: where its draft was laid; ``None`` where there is none, or it is not laid yet.
        trouble: why it could not be gone on with at the last attempt, in a line that begins with the kind of trouble; "" where
            nothing is wrong.
        places: where it lies or lay.
    """

    number: int
    message_id: str
    sender: str
    mailbox: str
    subject: str
    arrived_at: str
    taken_at: str
    state: MailState
    decision: Verdict | None
    reason: str
    text: str
    has_original: bool
    has_draft: bool
    draft_id: str
    draft_to: str
    draft_at: Place | None
    settled_at: str | None
    attempts: int
    next_try_at: str | None
    trouble: str
    erased_at: str | None
    places: tuple[Place, ...] = ()

    @property
    def kind(self) -> str:
        """The kind of reason: "request", "bounce", "legal"; "" while nothing is decided."""
        return self.reason.partition(":")[0]

    @property
    def trouble_kind(self) -> str:
        """The kind of trouble: "quota", "refused", "failed"; "" for none."""
        return self.trouble.partition(":")[0]
