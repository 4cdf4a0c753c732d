"""What in a body is new and what is old: replies' quotes, heads of earlier messages, forwarded messages."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Final, Literal

from bot.mail.lines import Line
from bot.mail.words import fold, listed

Kind = Literal["", "reply", "forward", "head"]
_EMAIL: Final = re.compile(r"[\w.+-]{1,64}@[\w-]{1,100}(?:\.[\w-]{1,60}){0,6}")
_WHEN: Final = re.compile(r"\d{1,2}[:.h]\d{2}|(?<!\d)(?:19|20)\d\d(?!\d)|\d{1,2}[./-]\d{1,2}[./-]\d{2,4}")
_RULE: Final = re.compile(r"[\s_\-=*~]{0,80}")
_DASHES: Final = re.compile(r"^[\s\-_=>*]{0,60}|[\s\-_=:*]{0,60}$")
_LABEL: Final = re.compile(r"[ \t]{0,4}\*{0,2}([^:*|]{1,24}?)\*{0,2}[ \t]{0,2}:\*{0,2}(?:[ \t]{1,4}|$)")
_SUBJECT: Final = re.compile(r"\s*\[?([a-z]{1,6})(?:\[\d{1,3}\])?\s?:\s{0,4}")
MOST_HEAD_LINES: Final = 16
MOST_ATTRIBUTION_LINES: Final = 4
MOST_ATTRIBUTION: Final = 320


@dataclass(frozen=True, slots=True)
class Split:
    """A body parted.

    Attributes:
        own: the writer's lines.
        old: what was quoted or forwarded, one quote level taken off.
        kind: what parted them: a quoted reply, a message forwarded and said so, the bare head of another message; "" for nothing.
        head: of that message, by header: "from", "date", "to", "subject", "cc".
    """

    own: tuple[Line, ...]
    old: tuple[Line, ...] = ()
    kind: Kind = ""
    head: dict[str, str] = field(default_factory=dict)


@lru_cache(maxsize=1)
def _header_names() -> dict[str, str]:
    return {
        name: key
        for key in ("cc", "to", "date", "subject", "from")
        for name in listed("threads", "headers", key)
    }


def split(lines: Sequence[Line]) -> Split:
    """Parts the writer's own lines from what is old."""
    at = 0
    while at < len(lines):
        line = lines[at]
        if line.is_blank or line.depth:
            at += 1
            continue
        found = _marker(lines, at) or _attribution(lines, at)
        if found is not None:
            kind, head, after = found
            return _parted(lines, at, after, kind, head)
        at += 1
    if any(line.is_old and not line.is_blank for line in lines):
        own = tuple(line for line in lines if not line.is_old)
        return Split(own, _out_one(line for line in lines if line.is_old), "reply")
    return Split(tuple(lines))


def _parted(lines: Sequence[Line], at: int, after: int, kind: Kind, head: dict[str, str]) -> Split:
    own = [line for line in lines[:at] if not line.is_old]
    rest = lines[after:]
    first = next((line for line in rest if not line.is_blank), None)
    if first is None:
        return Split(tuple(own), (), kind, head)
    if kind != "forward" and first.is_old:
        # Quoted line by line: what is not quoted below is the writer's again.
        level = lines[at].mark == "history"
        own += [
            line for line in rest if not line.is_old or (level and line.mark != "history" and not line.depth)
        ]
        return Split(tuple(own), _out_one(line for line in rest if line.is_old), kind, head)
    if lines[at].mark == "history" or first.is_old:
        # The container ends somewhere; what follows it is the writer's again.
        own += [line for line in rest if not line.is_old]
        return Split(tuple(own), _out_one(line for line in rest if line.is_old), kind, head)
    return Split(tuple(own), tuple(rest), kind, head)


def _out_one(lines: Iterable[Line]) -> tuple[Line, ...]:
    """One level of quotes taken off all of them; the container's mark too."""
    taken = list(lines)
    shallow = min((line.depth for line in taken if not line.is_blank), default=0)
    return tuple(
        replace(line, depth=max(0, line.depth - shallow), mark="" if line.mark == "history" else line.mark)
        for line in taken
    )


def _bare(text: str) -> str:
    """A line without the dashes and the like around it."""
    return _DASHES.sub("", fold(text))


def _marker(lines: Sequence[Line], at: int) -> tuple[Kind, dict[str, str], int] | None:
    """A line that says that another message follows, or the head of one; and where that message's text begins."""
    text = lines[at].text
    if len(text) > 200:
        return None
    if (found := _head(lines, at, 3)) is not None:
        return "head", *found
    bare = _bare(text)
    if not bare:
        # A rule just before a head belongs to it.
        if text.strip() and _RULE.fullmatch(text) and (following := _next_full(lines, at)) is not None:
            found = _head(lines, following, 3)
            if found is not None:
                return "head", *found
        return None
    dashed = bare != fold(text).strip()
    for key, kind in (("forwarded", "forward"), ("original", "head")):
        for phrase in listed("threads", key, "lines"):
            if bare == phrase or (dashed and bare.startswith(phrase) and len(bare) <= len(phrase) + 60):
                following = _next_full(lines, at)
                head = _head(lines, following, 1) if following is not None else None
                if head is None and not dashed:
                    continue
                made: Kind = "forward" if kind == "forward" else "head"
                return (made, {}, at + 1) if head is None else (made, *head)
    return None


def _next_full(lines: Sequence[Line], at: int) -> int | None:
    for number in range(at + 1, min(at + 5, len(lines))):
        if not lines[number].is_blank:
            return number
    return None


def _head(lines: Sequence[Line], at: int, least: int) -> tuple[dict[str, str], int] | None:
    """The head of a message that begins at a line, and where it ends; at least so many headers, From among them."""
    names = _header_names()
    head: dict[str, str] = {}
    last = ""
    number, end, blanks, depth = at, at, 0, lines[at].depth
    while number < len(lines) and number < at + MOST_HEAD_LINES:
        line = lines[number]
        if line.is_blank:
            # Some programs leave a blank line between headers; two, or one behind a whole head, end it.
            blanks += 1
            if blanks > 1 or not head or (len(head) >= 3 and "from" in head):
                break
            number += 1
            continue
        found = _LABEL.match(line.text)
        name = names.get(fold(found.group(1)).strip()) if found else None
        if line.depth != depth:
            break
        if name is not None and (number == at or name not in head or name == "cc"):
            head.setdefault(name, line.text[found.end() :].strip() if found else "")
            last, blanks = name, 0
        elif number == at:
            return None
        elif last and not blanks and (not head[last] or last in ("to", "cc", "subject")) and not found:
            # A long list of recipients runs on.
            head[last] = f"{head[last]} {line.text.strip()}".strip()[:400]
            if head[last].count(" ") > 60:
                break
        else:
            break
        number += 1
        end = number
    complete = len(head) >= least and "from" in head
    if least >= 3:
        complete = complete and len({"date", "to", "subject"} & head.keys()) >= 2
    return (head, end) if complete else None


def _attribution(lines: Sequence[Line], at: int) -> tuple[Kind, dict[str, str], int] | None:
    """A line like "On Monday Dan wrote:", over up to four lines; and where what he wrote begins."""
    text = ""
    for number in range(at, min(at + MOST_ATTRIBUTION_LINES, len(lines))):
        line = lines[number]
        if line.is_blank or line.depth:
            return None
        if number > at and (line.mark != lines[at].mark or not _opens(text)):
            return None
        text = f"{text} {line.text.strip()}".strip()
        if len(text) > MOST_ATTRIBUTION:
            return None
        if text.endswith((":", ": ", "：")) and _says_who_wrote(text, lines, number):
            mail = _EMAIL.search(text)
            return "reply", {"from": mail.group()} if mail else {}, number + 1
    return None


def _opens(text: str) -> bool:
    """Whether a line can begin such a sentence that goes on below it."""
    first = fold(text).replace(",", " ").split()[:1]
    return bool(first) and (first[0] in listed("threads", "attribution", "first") or first[0][:1].isdigit())


def _says_who_wrote(text: str, lines: Sequence[Line], number: int) -> bool:
    folded = fold(text).rstrip(" :")
    words = folded.replace(",", " ").split()
    if not words:
        return False
    following = _next_full(lines, number)
    quoted = following is not None and lines[following].is_old
    dated = _WHEN.search(folded) is not None
    addressed = _EMAIL.search(folded) is not None
    wrote = any(
        folded.endswith(f" {verb}") or f" {verb} " in folded
        for verb in listed("threads", "attribution", "wrote")
    )
    if wrote:
        opens = words[0] in listed("threads", "attribution", "first") or words[0][:1].isdigit()
        return quoted or addressed or (dated and opens)
    # Some programs write a date and an address only.
    return addressed and dated and (quoted or words[0][:1].isdigit())


def subject_prefixes(subject: str) -> tuple[str, ...]:
    """What stands before the subject itself, outermost first: "reply" or "forward"."""
    folded = fold(subject)
    out: list[str] = []
    while len(out) < 10 and (found := _SUBJECT.match(folded)):
        word = found.group(1)
        if word in listed("threads", "subject", "forward"):
            out.append("forward")
        elif word in listed("threads", "subject", "reply"):
            out.append("reply")
        else:
            break
        folded = folded[found.end() :]
    return tuple(out)


def subject_itself(subject: str) -> str:
    """The subject without what replies and forwards put before it."""
    for _ in range(10):
        found = _SUBJECT.match(fold(subject))
        if found is None or not subject_prefixes(subject):
            break
        subject = subject[found.end() :]
    return subject.strip(" ]")
