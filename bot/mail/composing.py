"""A draft as bytes: RFC 5322, marked as unsent, threaded. No header takes a line break from anybody."""

import email.header
import email.policy
import email.utils
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from email.message import EmailMessage
from hashlib import sha256
from typing import Final

from bot.mail.headers import Address
from bot.mail.history import subject_itself, subject_prefixes
from bot.replies.mail import EmailParts

MOST_REFERENCES: Final = 20
MOST_SUBJECT: Final = 200
_POLICY: Final = email.policy.SMTP.clone(max_line_length=78, cte_type="7bit")


@dataclass(frozen=True, slots=True)
class File:
    """A file that goes out with the draft; ``content_type`` like "application/pdf"."""

    name: str
    content_type: str
    data: bytes


@dataclass(frozen=True, slots=True)
class Envelope:
    """The draft's head.

    Attributes:
        sender, to: From and To.
        subject: ready to show.
        in_reply_to: the answered message's id; "" for none.
        references: ids of the thread, oldest first.
        at: Date.
        key: what the Message-ID is made from: the answered message's identity. A draft that is made again has the same.
    """

    sender: Address
    to: Address
    subject: str
    in_reply_to: str
    references: tuple[str, ...]
    at: datetime
    key: str


def reply_subject(subject: str, otherwise: str, *, past_forward: bool) -> str:
    """Put "Re: " once before the subject as it was; ``past_forward`` drops what a forward put before it too."""
    subject = _cleared(subject)
    if past_forward:
        subject = subject_itself(subject)
    else:
        while subject_prefixes(subject)[:1] == ("reply",):
            subject = subject.partition(":")[2]
            subject = subject.strip()
    lowered = subject.lower()
    for tag in ("[external]", "[ext]", "[externo]"):
        if lowered.startswith(tag):
            subject = subject[len(tag) :].strip()
            return reply_subject(subject, otherwise, past_forward=past_forward)
    return f"Re: {subject[:MOST_SUBJECT].rstrip() or otherwise}"


def thread(references: Sequence[str], in_reply_to: Sequence[str], message_id: str) -> tuple[str, ...]:
    """References of an answer (RFC 5322, 3.6.4): the thread's, else the parent's parent, then the parent; bounded in the middle."""
    ids = list(dict.fromkeys(references if references else in_reply_to[:1]))
    if message_id:
        ids = [each for each in ids if each != message_id] + [message_id]
    if len(ids) > MOST_REFERENCES:
        ids = [ids[0], *ids[-(MOST_REFERENCES - 1) :]]
    return tuple(ids)


def compose(head: Envelope, parts: EmailParts, files: Sequence[File] = ()) -> bytes:
    """The draft. Same input, same bytes."""
    digest = sha256(
        b"\0".join(
            (
                head.key.encode("utf-8", "replace"),
                parts.text.encode("utf-8"),
                parts.html.encode("utf-8"),
                *(f.data for f in files),
            )
        )
    ).hexdigest()
    body = _body(parts, files, digest)
    name = sha256(b"draft\0" + head.key.encode("utf-8", "replace")).hexdigest()
    domain = head.sender.domain if _is_domain(head.sender.domain) else "wattclerk.invalid"
    lines = [
        f"From: {_mailbox(head.sender)}",
        f"To: {_mailbox(head.to)}",
        f"Subject: {_folded_text(head.subject, len('Subject: '))}",
        f"Date: {email.utils.format_datetime(head.at.astimezone(UTC).replace(microsecond=0))}",
        f"Message-ID: <{name[:40]}@{domain}>",
    ]
    if head.in_reply_to:
        lines.append(
            f"In-Reply-To:\r\n <{_id(head.in_reply_to)}>"
            if len(head.in_reply_to) > 60
            else f"In-Reply-To: <{_id(head.in_reply_to)}>"
        )
    if head.references:
        lines.append("References: " + "\r\n ".join(f"<{_id(each)}>" for each in head.references))
    lines += ["X-Unsent: 1", "X-Wattclerk: draft"]
    return "\r\n".join(lines).encode("ascii") + b"\r\n" + body


def _body(parts: EmailParts, files: Sequence[File], digest: str) -> bytes:
    message = EmailMessage(policy=_POLICY)
    message.set_content(parts.text + "\n", cte="quoted-printable")
    message.add_alternative(parts.html + "\n", subtype="html", cte="quoted-printable")
    if parts.pictures:
        html = message.get_payload(1)
        for picture in parts.pictures:
            html.add_related(  # type: ignore[union-attr]
                picture.png,
                "image",
                "png",
                cid=f"<{picture.cid}>",
                filename=picture.filename,
                disposition="inline",
            )
    for file in files:
        main, _, sub = file.content_type.partition("/")
        message.add_attachment(file.data, maintype=main, subtype=sub, filename=_cleared(file.name)[:100])
    for number, part in enumerate(each for each in message.walk() if each.is_multipart()):
        part.set_boundary(f"={digest[40:60]}.{number}")
    return message.as_bytes(policy=_POLICY)


def _cleared(text: str) -> str:
    """One line, printable."""
    return " ".join("".join(char if char.isprintable() else " " for char in text).split())


def _id(written: str) -> str:
    return "".join(char for char in written if char.isascii() and char.isprintable() and char not in " <>")[
        :250
    ]


def _is_domain(domain: str) -> bool:
    return bool(domain) and domain.isascii() and all(char.isalnum() or char in ".-" for char in domain)


def _mailbox(address: Address) -> str:
    name = _cleared(address.name)[:80]
    mailbox = "".join(
        char
        for char in address.mailbox
        if char.isascii() and char.isprintable() and char not in ' <>,;:"()[]\\'
    )
    if not name:
        return f"<{mailbox}>" if not mailbox[:1].isalnum() else mailbox
    if name.isascii():
        quoted = name.replace("\\", "").replace('"', "'")
        shown = f'"{quoted}"'
    else:
        shown = email.header.Header(name, "utf-8", maxlinelen=60).encode(linesep="\r\n")
    return f"{shown}\r\n <{mailbox}>" if len(shown) + len(mailbox) > 60 else f"{shown} <{mailbox}>"


def _folded_text(text: str, first: int) -> str:
    text = _cleared(text)
    if not text.isascii():
        return email.header.Header(text, "utf-8", maxlinelen=74, header_name="Subject").encode(linesep="\r\n")
    if "=?" in text:
        # What looks like an encoded word and is none would be decoded by the reader.
        return email.header.Header(text, "utf-8", maxlinelen=74, header_name="Subject").encode(linesep="\r\n")
    out, room = "", 76 - first
    for word in text.split(" "):
        for piece in (word[n : n + 900] for n in range(0, len(word), 900)):
            if out and len(piece) + 1 > room:
                out += f"\r\n {piece}"
                room = 76 - len(piece)
            else:
                out += f" {piece}" if out else piece
                room -= len(piece) + 1
    return out
