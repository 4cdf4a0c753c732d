"""A draft made ready to go: what staff wrote in, the line for staff and the marks of a draft taken out."""

import re
from dataclasses import dataclass
from datetime import datetime
from email import message_from_bytes, policy
from email.message import EmailMessage, Message
from functools import lru_cache
from typing import Final

from markupsafe import escape

from bot.mail.composing import Envelope, File, compose
from bot.mail.parsing import parse
from bot.replies.mail import EmailParts, MailPicture
from bot.replies.words import LANGUAGES, words_in

MOST_TEXT: Final = 100_000
"""Characters of a text that staff send."""
_UNSENDABLE: Final = "wattclerk.invalid"


class NotSendable(Exception):
    """The draft can't go out as it is; ``key`` says why in the pages' words."""

    def __init__(self, key: str) -> None:
        super().__init__(key)
        self.key = key


@dataclass(frozen=True, slots=True)
class Outgoing:
    """A message with its envelope.

    Attributes:
        data: the message, CRLF at its line ends, 7-bit.
        message_id: without angle brackets; the draft's own, so that a mail that went out twice is known as one.
        sender, recipient: the envelope's mailboxes.
        note_taken_out: whether the line for staff was still in the text.
    """

    data: bytes
    message_id: str
    sender: str
    recipient: str
    note_taken_out: bool = False


@dataclass(frozen=True, slots=True)
class Written:
    """A draft as staff read it.

    Attributes:
        text: the plain text without the line for staff. ``note``: that line; "" for none.
        files: names of what it carries.
    """

    text: str
    note: str
    files: tuple[str, ...]


@lru_cache(maxsize=1)
def marker() -> re.Pattern[str]:
    """What the line for staff begins with, in every language."""
    words = (str(words_in(language).of("mail", "staff")).partition("{")[0].strip() for language in LANGUAGES)
    return re.compile("|".join(re.escape(each) for each in words))


def written(draft: bytes) -> Written:
    """The draft's plain text, its line for staff beside it."""
    message = _read(draft)
    lines = _plain(message).split("\n")
    notes = [line for line in lines if marker().search(line)]
    return Written(
        without_note(_plain(message))[0], " ".join(notes), tuple(file.name for file in _files(message))
    )


def file_of(draft: bytes, number: int) -> File | None:
    """The file of that number that the draft carries, 1 the first."""
    files = _files(_read(draft))
    return files[number - 1] if 0 < number <= len(files) else None


def without_note(text: str) -> tuple[str, bool]:
    """``text`` without any line that holds what the line for staff begins with; and whether there was one."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    kept = [line for line in lines if not marker().search(line)]
    return "\n".join(kept).strip("\n"), len(kept) != len(lines)


def reply_of(draft: bytes, text: str | None, at: datetime) -> Outgoing:
    """The reply as it goes out.

    Args:
        draft: that `bot.mail.composing.compose` made.
        text: what staff want to say; ``None`` sends the draft's own words. Where it says something else than the draft, the
            HTML is made from it anew, and pictures that only the HTML showed are left out.
        at: the moment of sending.

    Raises:
        NotSendable: no text, too much of it, or no usable address to send from or to.
    """
    message, arrived = _read(draft), parse(draft)
    own = _plain(message)
    before, _ = without_note(own)
    after, taken_out = without_note(own if text is None else text)
    if not after.strip():
        raise NotSendable("empty")
    if len(after) > MOST_TEXT:
        raise NotSendable("too_long")
    if arrived.sender is None or arrived.sender.domain == _UNSENDABLE:
        raise NotSendable("no_from")
    if not arrived.recipients:
        raise NotSendable("no_to")
    html = _html(message)
    shown = _without_note_html(html) if _same(before, after) and html is not None else None
    parts = (
        EmailParts(before, shown, _pictures(message))
        if shown is not None
        else EmailParts(
            after, as_html(after, "es" if html is not None and 'lang="es"' in html[:300] else "en"), ()
        )
    )
    to = arrived.recipients[0]
    head = Envelope(
        sender=arrived.sender,
        to=to,
        subject=arrived.subject,
        in_reply_to=next(iter(arrived.in_reply_to), ""),
        references=arrived.references,
        at=at,
        key=arrived.message_id,
    )
    data = as_sent(compose(head, parts, _files(message)), arrived.message_id)
    return Outgoing(data, arrived.message_id, arrived.sender.mailbox, to.mailbox, note_taken_out=taken_out)


def as_sent(composed: bytes, message_id: str) -> bytes:
    """A composed draft under another Message-ID and without the marks of a draft."""
    head, gap, body = composed.partition(b"\r\n\r\n")
    lines = []
    for line in head.split(b"\r\n"):
        name = line.partition(b":")[0].lower()
        if name == b"x-unsent":
            continue
        if name == b"message-id":
            line = f"Message-ID: <{_plain_id(message_id)}>".encode("ascii")
        elif name == b"x-wattclerk":
            line = b"X-Wattclerk: sent"
        lines.append(line)
    return b"\r\n".join(lines) + gap + body


def _plain_id(text: str) -> str:
    return "".join(char for char in text if char.isascii() and char.isprintable() and char not in " <>")[:250]


def _read(draft: bytes) -> EmailMessage:
    message = message_from_bytes(draft, policy=policy.default)
    assert isinstance(message, EmailMessage)  # noqa: S101  the policy makes these
    return message


def _plain(message: EmailMessage) -> str:
    body = message.get_body(("plain",))
    return str(body.get_content()).replace("\r\n", "\n").strip("\n") if body is not None else ""


def _html(message: EmailMessage) -> str | None:
    body = message.get_body(("html",))
    return str(body.get_content()) if body is not None else None


def _files(message: EmailMessage) -> list[File]:
    return [
        File(str(part.get_filename() or "file"), part.get_content_type(), _data(part))
        for part in message.iter_attachments()
        if part.get_content_disposition() == "attachment"
    ]


def _data(part: Message) -> bytes:
    data = part.get_payload(decode=True)
    return data if isinstance(data, bytes) else b""


def _pictures(message: EmailMessage) -> tuple[MailPicture, ...]:
    return tuple(
        MailPicture(
            str(part["Content-ID"]).strip("<> "),
            str(part.get_filename() or "picture.png"),
            _data(part),
            "",
            0,
        )
        for part in message.walk()
        if part.get_content_type() == "image/png" and part["Content-ID"]
    )


def _same(first: str, second: str) -> bool:
    """Whether two texts say the same, blanks at line ends and empty lines aside."""
    return first.split() == second.split()


def _without_note_html(html: str) -> str | None:
    """The HTML without its paragraph for staff; ``None`` where it could not be taken out whole."""
    paragraph = re.compile(rf"<p\b[^>]{{0,400}}>\s{{0,9}}(?:{marker().pattern})[^<]{{0,20000}}</p>\s?")
    out = paragraph.sub("", html)
    return None if marker().search(out) else out.rstrip("\n")


def as_html(text: str, language: str) -> str:
    """A plain text as an HTML mail that looks the same."""
    return (
        f'<!DOCTYPE html>\n<html lang="{language}">\n<head><meta charset="utf-8"></head>\n'
        '<body style="margin:0;padding:12px;font-family:Arial,Helvetica,sans-serif;font-size:15px;line-height:1.45;color:#1b1f24">\n'
        f'<div style="max-width:640px;white-space:pre-wrap">{escape(text)}</div>\n</body>\n</html>'
    )
