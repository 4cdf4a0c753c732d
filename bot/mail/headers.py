"""Headers out of a message: decoded, bounded, and never able to raise, whatever is in them."""

import email.header
import email.utils
import re
from collections.abc import Callable
from dataclasses import dataclass
from email.message import Message
from typing import Any, Final, TypeVar

from bot.mail.bounds import MOST_ADDRESSES, MOST_HEADER_CHARS
from bot.mail.charsets import text_of

Result = TypeVar("Result")

PARSER_FAULTS: Final = (
    ArithmeticError,
    AssertionError,
    AttributeError,
    LookupError,
    RecursionError,
    TypeError,
    ValueError,
    email.errors.MessageError,
)
"""What the standard library's mail package has been seen to raise on hostile headers."""
_ENCODED: Final = re.compile(r"=\?([^?\s]{1,40})\?([bBqQ])\?([^?\s]{0,2000})\?=")
_GAP: Final = re.compile(r"(\?=)[ \t]+(?==\?)")
_ID: Final = re.compile(r"<([^<>\s]{1,250})>")
_ADDRESS: Final = re.compile(
    r"[A-Za-z0-9._%+'=&~!#$*/^`{|}-]{1,64}@[A-Za-z0-9.-]{1,190}\.[A-Za-z0-9-]{1,63}|[A-Za-z0-9._+-]{1,64}@localhost"
)
_CONTROL: Final = re.compile(
    r"[\x00-\x1f\x7f-\x9f\u2028\u2029\u200b-\u200f\u202a-\u202e\u2066-\u2069\ufeff\ud800-\udfff]"
)


def guarded(look: Callable[[], Result], otherwise: Result) -> Result:
    """What ``look`` gives; ``otherwise`` where the mail package fails over it."""
    try:
        return look()
    except PARSER_FAULTS:
        return otherwise


@dataclass(frozen=True, slots=True)
class Address:
    """A mailbox: ``name`` as shown (may be empty), ``mailbox`` in lower case."""

    name: str
    mailbox: str

    @property
    def domain(self) -> str:
        """Behind the @."""
        return self.mailbox.rpartition("@")[2]

    @property
    def local(self) -> str:
        """Before the @."""
        return self.mailbox.rpartition("@")[0]

    def __str__(self) -> str:
        return f"{self.name} <{self.mailbox}>" if self.name else self.mailbox


def raw(message: Message, name: str) -> str:
    """The first header of that name as it stands, unfolded, at most some thousand characters; "" where there is none."""
    return next(iter(raw_all(message, name)), "")


def raw_all(message: Message, name: str) -> list[str]:
    """All headers of that name as they stand, unfolded and bounded."""
    wanted = name.lower()
    out = []
    for key, value in message.raw_items():
        if str(key).lower() == wanted:
            out.append(_unfolded(str(value)[:MOST_HEADER_CHARS]))
            if len(out) >= MOST_ADDRESSES:
                break
    return out


def _unfolded(value: str) -> str:
    value = value.replace("\r\n", "\n").replace("\r", "\n")
    value = re.sub(r"\n[ \t]{1,100}", " ", value).replace("\n", " ")
    try:
        data = value.encode("ascii", "surrogateescape")
    except UnicodeEncodeError:
        return value.encode("utf-8", "replace").decode("utf-8").strip()
    return (value if value.isascii() else text_of(data)).strip()


def decoded(value: str) -> str:
    """Encoded words (RFC 2047) as text; control and direction characters become blanks, blanks are evened out."""
    if "=?" in value:
        value = _ENCODED.sub(_word, _GAP.sub(r"\1", _joined(value)))
    return " ".join(_CONTROL.sub(" ", value).split())


def _joined(value: str) -> str:
    """Neighbouring base64 words of one charset put together: senders cut in the middle of a character."""
    return re.sub(
        r"=\?([^?\s]{1,40})\?[bB]\?([A-Za-z0-9+/]{0,2000})\?=[ \t]{0,10}(?==\?\1\?[bB]\?)(?:=\?\1\?[bB]\?)",
        lambda found: (
            f"=?{found.group(1)}?B?{found.group(2)}" if len(found.group(2)) % 4 == 0 else found.group()
        ),
        value,
    )


def _word(found: re.Match[str]) -> str:
    charset, form, body = found.groups()
    whole = f"=?{charset}?{form}?{body}?="
    nothing: list[tuple[Any, Any]] = []
    parts = guarded(lambda: email.header.decode_header(whole), nothing)
    out = ""
    for data, _ in parts:
        out += text_of(data, charset) if isinstance(data, bytes) else data
    return out if parts else whole


def text(message: Message, name: str) -> str:
    """A header as text."""
    return decoded(raw(message, name))


def addresses(message: Message, name: str) -> tuple[Address, ...]:
    """The mailboxes of a header, in order. What is no address is left out."""
    out: list[Address] = []
    for value in raw_all(message, name):
        for address in addresses_in(value):
            if address not in out:
                out.append(address)
            if len(out) >= MOST_ADDRESSES:
                return tuple(out)
    return tuple(out)


def addresses_in(value: str) -> list[Address]:
    """The mailboxes in a header's value: "Dan Hale <dan@example.com>, ann@example.org"."""
    nothing: list[tuple[str, str]] = []
    pairs = guarded(lambda: email.utils.getaddresses([value]), nothing)
    out = []
    for name, mailbox in pairs:
        found = _ADDRESS.fullmatch(mailbox.strip())
        if found:
            out.append(Address(_name(name), found.group().lower()))
    if not out:
        # The list does not hold together: take the addresses that stand in angle brackets, else the first one.
        found_all = re.findall(r"<(" + _ADDRESS.pattern + r")>", value) or _ADDRESS.findall(value)[:1]
        out = [Address("", mailbox.lower()) for mailbox in found_all]
    return out


def _name(name: str) -> str:
    name = decoded(name).strip("\"' ")[:80]
    # A name that is an address itself says nothing, or hides the true one.
    return "" if "@" in name else name


def ids(message: Message, name: str) -> tuple[str, ...]:
    """The message ids in a header, without the angle brackets, printable ASCII only."""
    out = []
    for value in raw_all(message, name):
        for found in _ID.findall(value):
            if found.isascii() and found.isprintable() and found not in out:
                out.append(found)
    return tuple(out)
