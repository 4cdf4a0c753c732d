"""A mail that a person has to answer, passed on to that person as it came: attached whole, with why it was not answered."""

from base64 import encodebytes
from datetime import datetime
from email import message_from_bytes, policy
from email.message import Message
from hashlib import sha256
from quopri import encodestring
from typing import Final

from bot.mail.composing import Envelope, File, compose
from bot.mail.headers import PARSER_FAULTS, Address
from bot.mail.outgoing.message import Outgoing, as_html, as_sent
from bot.replies.clean import one_line
from bot.replies.mail import EmailParts

LONGEST_LINE: Final = 998
"""RFC 5322, 2.1.1."""
MOST_READ: Final = 4000


def forward_of(
    original: bytes,
    ends: tuple[Address, Address],
    subject: str,
    words: str,
    read: str,
    at: datetime,
    key: str,
) -> Outgoing:
    """The message that passes a mail on.

    Args:
        original: the mail, whole.
        ends: our address, and the person's.
        subject: the mail's.
        words: why it needs a person, in a sentence or two.
        read: what was read of it; "" for nothing.
        at: the moment of sending.
        key: what its Message-ID is made from: the same mail to the same person is the same message.
    """
    sender, to = ends
    text = f"{words}\n\n{read[:MOST_READ]}".rstrip()
    parts = EmailParts(text, as_html(text, "en"), ())
    data = nested(original)
    attached = File("original.eml", "application/octet-stream", original) if data is None else None
    head = Envelope(sender, to, f"Fwd: {one_line(subject, 150)}".rstrip(": "), "", (), at, key)
    message_id = f"{sha256(f'forward:{key}:{to.mailbox}'.encode('utf-8', 'replace')).hexdigest()[:40]}@{_domain(sender)}"
    made = as_sent(compose(head, parts, [attached] if attached is not None else []), message_id)
    if data is not None:
        made = _joined(made, text, data)
    return Outgoing(made, message_id, sender.mailbox, to.mailbox)


def nested(original: bytes) -> bytes | None:
    """The mail as a part message/rfc822 may hold it: 7-bit, lines of at most 998; ``None`` where it can't be made so."""
    lines = original.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    if not _is_plain(lines):
        try:
            # Parts of 8-bit text are encoded anew; a transfer encoding is forbidden around a message (RFC 2046, 5.2.1).
            lines = _seven_bit(message_from_bytes(lines, policy=policy.compat32.clone(cte_type="7bit")))
        except (*PARSER_FAULTS, UnicodeError):
            return None
        lines = lines.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
        if not _is_plain(lines):
            return None
    return lines.replace(b"\n", b"\r\n")


def _seven_bit(message: Message) -> bytes:
    for part in message.walk():
        written = part.get_payload()
        if isinstance(written, str) and not written.isascii():
            data = part.get_payload(decode=True)
            part.set_payload(encodebytes(data if isinstance(data, bytes) else b"").decode("ascii"))
            del part["Content-Transfer-Encoding"]
            part["Content-Transfer-Encoding"] = "base64"
    return message.as_bytes()


def _is_plain(lines: bytes) -> bool:
    return (
        lines.isascii()
        and b"\0" not in lines
        and all(len(line) <= LONGEST_LINE for line in lines.split(b"\n"))
    )


def _joined(made: bytes, text: str, original: bytes) -> bytes:
    """The message with the text and the mail as its two parts, in place of the body that it has."""
    head = made.partition(b"\r\n\r\n")[0]
    kept: list[bytes] = []
    keeps = True
    for line in head.split(b"\r\n"):
        if line[:1] not in b" \t":
            keeps = not line.lower().startswith((b"content-", b"mime-version:"))
        if keeps:
            kept.append(line)
    body = text.replace("\r\n", "\n").encode("utf-8")
    # The boundary is of what is within, so that it can't stand there.
    mark = sha256(body + b"\0" + original).hexdigest()[:48].encode("ascii")
    coded = b"\r\n".join(encodestring(line) for line in body.split(b"\n"))
    return b"\r\n".join(
        [
            *kept, b"MIME-Version: 1.0", b'Content-Type: multipart/mixed; boundary="=' + mark + b'"', b"",
            b"--=" + mark, b'Content-Type: text/plain; charset="utf-8"', b"Content-Transfer-Encoding: quoted-printable", b"", coded,
            b"--=" + mark, b"Content-Type: message/rfc822", b'Content-Disposition: attachment; filename="original.eml"', b"",
            original, b"--=" + mark + b"--", b"",
        ]
    )  # fmt: skip


def _domain(sender: Address) -> str:
    plain = "".join(char for char in sender.domain if char.isascii() and (char.isalnum() or char in ".-"))
    return plain or "wattclerk.invalid"
