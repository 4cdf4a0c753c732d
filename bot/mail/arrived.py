"""A message as it arrived: headers that matter, texts, what is attached, messages within. Made by `bot.mail.parsing`."""

from dataclasses import dataclass, field
from typing import Literal

from bot.mail.headers import Address

PartKind = Literal["sheet", "pdf", "image", "calendar", "message", "other"]


@dataclass(frozen=True, slots=True)
class Attached:
    """A file that came along.

    Attributes:
        name: as the sender calls it, one line, never a path; may be empty.
        kind: by content type and name: a sheet (CSV, XLSX), a PDF, an image, another.
        content_type: as labelled, lower case.
        data: decoded.
        is_inline: shown within the HTML: a logo or a pasted picture.
    """

    name: str
    kind: PartKind
    content_type: str
    data: bytes = field(repr=False)
    is_inline: bool = False


@dataclass(frozen=True, slots=True)
class Arrived:
    """One message.

    Attributes:
        sender: From; ``None`` where it names nobody.
        reply_to: Reply-To, all of them; who gets the answer is decided elsewhere.
        return_path: the envelope's sender; "" for "<>", ``None`` where unknown.
        recipients: To, Cc, Delivered-To and their like.
        subject: decoded, one line.
        message_id, in_reply_to, references: without angle brackets.
        marks: lower-case header name -> value, of the headers that tell machines' mail from people's.
        content_type: of the whole, lower case.
        parameters: of the content type that matter: "report-type", "smime-type", "method", "protocol".
        plain, html: the texts; HTML as sent. ``None`` where there is none.
        flowed: the plain text is format=flowed (RFC 3676); ``delsp`` likewise.
        attached: files, in order.
        within: messages that came as parts (forwarded as attachment).
        part_types: content types of all parts.
        cut: something was too long and was cut.
        digest: of the bytes: names a message that has no Message-ID.
    """

    sender: Address | None
    reply_to: tuple[Address, ...]
    return_path: str | None
    recipients: tuple[Address, ...]
    subject: str
    message_id: str
    in_reply_to: tuple[str, ...]
    references: tuple[str, ...]
    date: str
    marks: dict[str, str]
    content_type: str
    parameters: dict[str, str]
    plain: str | None
    html: str | None
    flowed: bool
    delsp: bool
    attached: tuple[Attached, ...]
    within: tuple["Arrived", ...]
    part_types: frozenset[str]
    cut: bool
    digest: str

    @property
    def identity(self) -> str:
        """By which the message is known again: its Message-ID, else its content."""
        return self.message_id or f"sha256:{self.digest}"
