"""Which words of a message are its newest: the writer's own, or those that a forward brings."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final, Protocol

from bot.mail.arrived import Arrived
from bot.mail.endings import without_banners, without_ending
from bot.mail.headers import Address, addresses_in
from bot.mail.history import Split, split, subject_prefixes
from bot.mail.html_text import html_lines
from bot.mail.lines import Line, joined, plain_lines
from bot.mail.words import fold, listed
from bot.usable import MAX_TEXT_CHARS


class Judge(Protocol):
    """Knows what texts say of a job."""

    def says(self, text: str) -> bool:
        """Whether a text says something of a job."""

    def adds(self, note: str, text: str) -> bool:
        """Whether a note above a text says more of its job: a place, a voltage, a date."""


MOST_FORWARDS: Final = 4
MOST_POINTING: Final = 400
"""A note longer than this says more than "see below"."""
_STUB: Final = re.compile(r"(?:html|browser|client|reader|version|programa|navegador)", re.IGNORECASE)
_SIGNED: Final = re.compile(
    r"-----BEGIN PGP SIGNED MESSAGE-----\r?\n(?:[A-Za-z-]{1,40}: [^\n]{0,200}\n){0,6}\r?\n"
)
_SIGNATURE: Final = re.compile(r"-----BEGIN PGP SIGNATURE-----.{0,20000}", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Newest:
    """What is to be read.

    Attributes:
        text: the words; offsets of the reading are into this.
        by: who wrote them, where that is another than the sender: the forwarded message's From.
        reply_to: where the forwarded message wants its answers.
        is_forwarded: they are, or hold, a forwarded message.
        points_back: the writer points to what is quoted below, which was read for that.
        note: what the forwarder wrote above it.
        has_history: older messages are quoted; they were not read.
        cut: there was more than is read.
        subject: of the forwarded message.
    """

    text: str
    by: Address | None = None
    reply_to: Address | None = None
    is_forwarded: bool = False
    points_back: bool = False
    note: str = ""
    has_history: bool = False
    cut: bool = False
    subject: str = ""


def newest_of(message: Arrived, judge: Judge) -> Newest:
    """The newest human words of a message."""
    lines, cut = body_lines(message)
    author = message.sender.name if message.sender is not None else ""
    found = _of_lines(lines, "forward" in subject_prefixes(message.subject)[:1], judge, 0, author)
    if (
        message.within
        and (not judge.says(found.text) or "forward" in subject_prefixes(message.subject)[:1])
        and not found.is_forwarded
    ):
        inner = message.within[0]
        within = newest_of(inner, judge)
        if within.text.strip():
            found = _with_note(
                found.text,
                replace(
                    within,
                    by=inner.sender,
                    reply_to=inner.reply_to[0] if len(inner.reply_to) == 1 else None,
                    subject=inner.subject,
                ),
                judge,
            )
    text, shortened = _bounded(found.text)
    return replace(found, text=text, cut=cut or found.cut or shortened)


def _bounded(text: str) -> tuple[str, bool]:
    if len(text) <= MAX_TEXT_CHARS:
        return text, False
    return text[:MAX_TEXT_CHARS].rpartition("\n")[0] or text[:MAX_TEXT_CHARS], True


def body_lines(message: Arrived) -> tuple[list[Line], bool]:
    """The lines of the body: plain text, or HTML where that says more (tables) or there is nothing else."""
    plain = message.plain
    if plain is not None:
        plain = _SIGNATURE.sub("", _SIGNED.sub("", plain))
    lines = plain_lines(plain, flowed=message.flowed, delsp=message.delsp) if plain is not None else []
    cut = message.cut
    if message.html is not None:
        found = html_lines(message.html)
        apart = "multipart/alternative" not in message.part_types
        words = sum(len(line.text) for line in lines)
        stub = words < 400 and plain is not None and len(_STUB.findall(plain)) >= 2
        shown = sum(len(line.text) for line in found.lines)
        if not words or stub or found.has_table or _is_markup(plain or "") or words * 3 < shown:
            lines = list(found.lines) or lines
        elif apart and shown:
            lines = [*lines, Line(""), *found.lines]
        cut = cut or found.cut
    elif plain is not None and _is_markup(plain):
        lines = list(html_lines(plain).lines) or lines
    return lines, cut


def _is_markup(text: str) -> bool:
    """HTML under the wrong label."""
    head = text[:4000].lower()
    return (
        head.lstrip().startswith(("<!doctype html", "<html", "<div", "<p>", "<table", "<body"))
        and head.count("<") >= 3
    )


def _of_lines(lines: Sequence[Line], fw_subject: bool, judge: Judge, depth: int, author: str = "") -> Newest:
    parted = split(without_banners(lines))
    body, _ = without_ending(parted.own, author)
    own = joined(body)
    if not parted.old or depth >= MOST_FORWARDS:
        return Newest(own, has_history=bool(parted.old))
    forwarded = parted.kind == "forward" or (parted.kind == "head" and fw_subject)
    pointing = not forwarded and _points_back(own) and not judge.says(own)
    if forwarded or pointing or (not own.strip() and (fw_subject or parted.kind == "head")):
        inner = _of_lines(parted.old, False, judge, depth + 1, parted.head.get("from", "").partition("<")[0])
        if inner.text.strip():
            by, reply_to = _author(parted)
            return _with_note(
                own,
                replace(
                    inner,
                    by=by,
                    reply_to=reply_to,
                    subject=parted.head.get("subject", ""),
                    points_back=pointing,
                ),
                judge,
            )
    return Newest(own, has_history=True)


def _with_note(note: str, inner: Newest, judge: Judge) -> Newest:
    """The forwarded words; those of the forwarder stand before them where they say something of the job too."""
    text = (
        f"{note.strip()}\n\n{inner.text}"
        if note.strip() and judge.adds(note.strip(), inner.text)
        else inner.text
    )
    return replace(inner, text=text, note=note.strip()[:MOST_POINTING], is_forwarded=True)


def _author(parted: Split) -> tuple[Address | None, Address | None]:
    named = addresses_in(parted.head.get("from", ""))
    if not named and parted.head.get("from"):
        # "From: Dan Hale [mailto:dan@example.com]", or a name alone.
        inner = re.sub(r"\[(?:mailto:)?([^\]\s]{3,200})\]", r"<\1>", parted.head["from"])
        named = addresses_in(inner)
    return (named[0] if len(named) == 1 else None), None


def _points_back(own: str) -> bool:
    if len(own) > MOST_POINTING:
        return False
    folded = f" {fold(own)} "
    return any(
        re.search(rf"(?<![a-z]){re.escape(phrase)}(?![a-z])", folded)
        for phrase in listed("threads", "pointing", "phrases")
    )
