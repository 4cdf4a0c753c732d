"""The mail desk itself: the bytes of a message in; what becomes of it, how it was read, and the draft out."""

import re
from collections.abc import Collection
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from typing import Final

from bot.assistant import Assistant, Conversation, Turn, read_next
from bot.layout_question import light_asked
from bot.mail.arrived import Arrived, Attached
from bot.mail.attachments import Files, open_files
from bot.mail.attachments.kinds import Kinds, by_kinds
from bot.mail.attachments.proposed import proposed
from bot.mail.attachments.said import left_points, read_points
from bot.mail.attachments.spoken import spoken
from bot.mail.bounds import MailUnusable
from bot.mail.composing import Envelope, File, compose, reply_subject, thread
from bot.mail.deciding import Decision, addressee, by_form, by_words, is_follow_up
from bot.mail.headers import Address
from bot.mail.history import subject_itself
from bot.mail.machines import Ours
from bot.mail.newest import Newest, newest_of
from bot.mail.parsing import parse
from bot.reading.shape import Reading
from bot.replies.draft import Cover, Point, render_draft
from bot.replies.mail import MailPicture
from bot.replies.render import shows_a_quote
from bot.replies.words import words_in
from bot.usable import UnusableInput

NOTHING_READ: Final = Reading("other")
_ORGANISATION: Final = frozenset(
    [
        "inc",
        "llc",
        "ltd",
        "co",
        "corp",
        "company",
        "electric",
        "electrical",
        "lighting",
        "supply",
        "services",
        "service",
        "facilities",
        "facility",
        "office",
        "maintenance",
        "team",
        "group",
        "school",
        "schools",
        "district",
        "city",
        "county",
        "dept",
        "department",
        "church",
        "center",
        "centre",
        "hospital",
        "university",
        "college",
        "store",
        "warehouse",
        "farms",
        "properties",
        "management",
        "accounts",
        "purchasing",
        "orders",
        "sales",
        "info",
        "admin",
        "support",
        "help",
        "desk",
        "contractors",
        "construction",
        "hotel",
        "inn",
        "the",
        "sa",
        "cv",
        "srl",
        "mantenimiento",
        "compras",
        "ventas",
        "oficina",
    ]
)
_SMALL: Final = frozenset({"one", "can", "a", "un", "una", "uno", "light", "lights", "it"})
MOST_NAMED_FILES: Final = 4
MOST_SCHEDULE_BYTES: Final = 2_000_000
"""Of a body with its schedules as text."""
MOST_GLANCED: Final = 4000
"""Characters that are enough to tell whether a text is about a job."""


def _replaces(reading: Reading) -> bool:
    """Whether the lights that hang there now are described, so that a quote has something to compare with."""
    return any(line.qty and (line.watts or line.source or line.input_watts) for line in reading.lines)


class _ByReading:
    """Judges texts by reading them."""

    def says(self, text: str) -> bool:
        """Whether a text says something of a job."""
        reading = _glanced(text)
        return reading is not None and bool(
            reading.lines or reading.job.stated().keys() - {"customer", "site", "needed_by", "po", "place"}
        )

    def adds(self, note: str, text: str) -> bool:
        """Whether a note above a text says more of its job."""
        alone, both = _glanced(text), _glanced(f"{note}\n\n{text}")
        if alone is None or both is None or both.intent in ("handoff", "accept", "status"):
            return False
        gained = both.job.stated().keys() - alone.job.stated().keys() - {"customer"}
        more = sum(len(line.stated()) for line in both.lines) - sum(
            len(line.stated()) for line in alone.lines
        )
        return bool(gained) or more > 0


def _glanced(text: str) -> Reading | None:
    if not any(character.isalpha() for character in text):
        return None
    try:
        return read_next(Conversation(), text[:MOST_GLANCED])[1]
    except UnusableInput:
        return None


JUDGE: Final = _ByReading()


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of one message.

    Attributes:
        decision: draft, none or human, and why.
        reading: of ``text``; of nothing where no word was read.
        text: what was read; the reading's offsets are into this.
        draft: the draft's bytes; ``None`` unless the decision is a draft.
        html, pictures: its HTML as sent, and the pictures that it shows by content id; empty likewise.
        files: what the draft carries.
        to: who it is addressed to.
        message: as taken apart; ``None`` where that failed.
        turn: the reading with its quote, for whoever makes more of it.
    """

    decision: Decision
    reading: Reading = NOTHING_READ
    text: str = ""
    draft: bytes | None = None
    html: str = ""
    pictures: tuple[MailPicture, ...] = ()
    files: tuple[File, ...] = ()
    to: Address | None = None
    message: Arrived | None = None
    turn: Turn | None = field(default=None, repr=False)


@dataclass(frozen=True, slots=True)
class MailDesk:
    """Answers mail.

    Attributes:
        assistant: reads and quotes.
        own: our own addresses with the name that each signs with; the first is the desk's.
        with_pdf: whether a draft that quotes something carries the quote as PDF.
        valid_days: how long prices hold, from the draft's date on [days].
    """

    assistant: Assistant
    own: tuple[Address, ...] = ()
    with_pdf: bool = True
    valid_days: int = 30

    @property
    def ours(self) -> Ours:
        """Our own addresses."""
        return Ours.of([address.mailbox for address in self.own])

    def answer(
        self,
        data: bytes,
        at: datetime,
        seen: Collection[str] = (),
        *,
        composing: bool = True,
    ) -> Answer:
        """What becomes of a message. The same bytes at the same time give the same answer.

        Args:
            data: the message.
            at: the draft's date.
            seen: identities of messages that were handled before.
            composing: False where the draft itself is not wanted.
        """
        try:
            message = parse(data)
        except MailUnusable as error:
            return Answer(Decision("human", f"unreadable: {error}"))
        ours = self.ours
        decided = by_form(message, ours, seen)
        if decided is not None and decided.reply == "none":
            return Answer(decided, message=message)
        newest = newest_of(message, JUDGE)
        try:
            newest, after, reading = self._read(message, newest)
        except UnusableInput as error:
            return Answer(Decision("human", f"unreadable: {error}"), text="", message=message)
        body = newest
        files = open_files(_with_inner(message)) if decided is None else Files()
        newest, after, reading = self._with_files(newest, after, reading, files)
        decision = decided or by_words(message, body, reading, ours, scheduled=bool(files.lines))
        if decision.reply == "draft" and files.only_scans and not reading.lines:
            decision = Decision("human", "picture: the job is in a scan, which is not read")
        kinds = by_kinds(reading)
        files.leave(kinds.left)
        turn = self._turn(kinds.reading, after) if decision.reply == "draft" else Turn(reading, None, after)
        if (
            reading.intent == "layout"
            and not files.lines
            and not _replaces(reading)
            and decision.kind in ("request", "layout")
        ):
            # What light there would be is asked, and nothing is said of lights to replace: none must be made up.
            turn = self.assistant.take_turn(Conversation(), newest.text)
            if turn.quote is not None and turn.quote.layouts:
                decision = Decision("draft", "request: it asks what light there would be")
            else:
                decision = Decision("human", "layout: it asks for a lighting design")
        if turn.quote is not None and turn.quote.stop is not None:
            decision = Decision(
                "human",
                f"stop: {turn.quote.stop.key.replace('_', ' ')}; a person must look before anything is priced",
            )
        to, past = addressee(message, newest, ours)
        if decision.reply == "draft" and to is None:
            decision = Decision("human", "unreadable: it does not say where an answer can go")
        answer = Answer(decision, reading, newest.text, to=to, message=message, turn=turn)
        if decision.reply != "draft" or to is None or not composing:
            return answer
        return self._drafted(answer, message, newest, turn, to, past, at, files, kinds)

    # Reading

    def _read(self, message: Arrived, newest: Newest) -> tuple[Newest, Conversation, Reading]:
        text = newest.text
        after, reading = read_next(Conversation(), text or " ")
        subject = (
            newest.subject
            if newest.is_forwarded
            else ""
            if message.in_reply_to or newest.has_history
            else message.subject
        )
        subject = subject_itself(subject)
        if subject and re.search(r"\d", subject) and not any(line.qty for line in reading.lines):
            # "Subject: 12 wall packs 250 W, price?" with "see subject" below it.
            whole = f"{subject}\n\n{text}".strip()
            try:
                with_subject = read_next(Conversation(), whole)
            except UnusableInput:
                return newest, after, reading
            if any(line.qty and (line.family or line.source or line.size) for line in with_subject[1].lines):
                return replace(newest, text=whole), *with_subject
        return newest, after, reading

    def _with_files(
        self, newest: Newest, after: Conversation, reading: Reading, files: Files
    ) -> tuple[Newest, Conversation, Reading]:
        """The body read again with the schedules under it, until every row left states something."""
        body, again = newest.text, any(schedule.rows for schedule in files.schedules)
        for _ in range(3):
            if not again:
                break
            text = files.text(body)
            try:
                after, reading = read_next(Conversation(), text, max_bytes=MOST_SCHEDULE_BYTES)
            except UnusableInput:
                # The body alone was read before; what the file's own characters spoil is the file.
                files.spoiled()
                break
            newest = replace(newest, text=text)
            again = files.match(reading)
            reading = replace(reading, language=spoken(body, files, reading.language))
        return newest, after, reading

    def _turn(self, reading: Reading, after: Conversation) -> Turn:
        light = light_asked(after.texts, reading) if reading.intent == "layout" else None
        if reading.intent not in ("quote", "revise"):
            # In mail a question about light or another option comes with the job; the draft answers the job, and the
            # question about light beside it.
            reading = replace(reading, intent="quote")
        # Small words of an ask ("this one", "Can you") are nothing that a customer has to be told was not used.
        shown = [span for span in reading.unread if after.texts[-1][span[1] : span[2]].lower() not in _SMALL]
        reading = replace(reading, unread=tuple(shown))
        if reading.faults or not reading.lines:
            return Turn(reading, None, after)
        return Turn(reading, self.assistant.quoted(reading, light), after)

    # Writing

    def _drafted(
        self,
        answer: Answer,
        message: Arrived,
        newest: Newest,
        turn: Turn,
        to: Address,
        past: bool,
        at: datetime,
        files: Files,
        kinds: Kinds,
    ) -> Answer:
        language = turn.reading.language
        sender = self._from(message)
        cover = Cover(
            name=given_name(to.name or (newest.by.name if past and newest.by else "")),
            closing=sender.name if sender is not None else "",
            staff=self._points(_unopened(message, files), newest, to, past, sender),
            read=read_points(files, language),
            left_out=(*left_points(files, language), *_left_out(_unopened(message, files, refused=True))),
        )
        documents: list[File] = []
        if self.with_pdf and turn.quote is not None and shows_a_quote(turn.quote, turn.reading):
            # Imported where one is wanted: a draft without it must not wait for the typesetter to be loaded.
            from bot.documents.typesetting import DocumentFailed
            from bot.mail.document import quote_file

            until = (at + timedelta(days=self.valid_days)).date()
            try:
                documents.append(quote_file(turn, (newest.text,), cover, sender, to, until))
            except DocumentFailed:
                # The draft counts; staff are told that it goes without.
                cover = replace(cover, staff=(Point.of("no_document"), *cover.staff))
        carried = [*documents, *proposed(files, kinds, turn.quote, language)]
        cover = replace(cover, attached=tuple(file.name for file in carried))
        parts = render_draft(turn.quote, turn.reading, language, (newest.text,), cover, self.assistant.tables)
        subject = newest.subject if past and newest.subject else message.subject
        head = Envelope(
            sender=sender or Address("", "unsent@wattclerk.invalid"),
            to=to,
            subject=reply_subject(
                subject, str(words_in(language).of("mail", "no_subject")), past_forward=past
            ),
            in_reply_to=message.message_id,
            references=thread(message.references, message.in_reply_to, message.message_id),
            at=at,
            key=message.identity,
        )
        draft = compose(head, parts, carried)
        return replace(answer, draft=draft, html=parts.html, pictures=parts.pictures, files=tuple(carried))

    def _from(self, message: Arrived) -> Address | None:
        """The address of ours that the message was sent to; else the desk's; else whom it was sent to."""
        mailboxes = {address.mailbox for address in message.recipients}
        for address in self.own:
            if address.mailbox in mailboxes:
                return address
        if self.own:
            return self.own[0]
        return message.recipients[0] if len(message.recipients) >= 1 else None

    def _points(
        self, message: Arrived, newest: Newest, to: Address, past: bool, sender: Address | None
    ) -> tuple[Point, ...]:
        out = []
        forwarder = str(message.sender or to)
        if newest.points_back:
            out.append(Point.of("points_back"))
        elif newest.is_forwarded and past:
            out.append(Point.of("forwarded_to_asker", forwarder=forwarder, asker=str(to)))
        elif newest.is_forwarded and newest.by is not None:
            out.append(Point.of("forwarded_to_forwarder", forwarder=forwarder, asker=str(newest.by)))
        elif newest.is_forwarded:
            out.append(Point.of("forwarded_unknown", forwarder=forwarder))
        if not past and message.sender is not None and to.mailbox != message.sender.mailbox:
            out.append(Point.of("other_reply_to", sender=message.sender.mailbox, asker=to.mailbox))
        if is_follow_up(message, newest) and not newest.is_forwarded:
            out.append(Point.of("follow_up"))
        if newest.cut:
            out.append(Point.of("cut"))
        if sender is None:
            out.append(Point.of("no_from"))
        if files := _files(message):
            out.append(Point.of("images", files=files))
        return tuple(out)


def _with_inner(message: Arrived) -> tuple[Attached, ...]:
    """The files of a message and of those that it forwards."""
    return (*message.attached, *(each for inner in message.within for each in inner.attached))


def _unopened(message: Arrived, files: Files, *, refused: bool = False) -> Arrived:
    """The message without the files that were read; ``refused`` also leaves out those that are said with a reason."""
    gone = {id(each) for each in files.opened}
    if refused:
        gone |= {id(each) for each, _ in files.refused}
    return replace(message, attached=tuple(each for each in message.attached if id(each) not in gone))


def _files(message: Arrived, kinds: Collection[str] = ("image", "sheet", "pdf", "other", "message")) -> str:
    """The files that were not read, by name; pictures of a signature are not named."""
    names = [
        each.name or each.content_type
        for each in message.attached
        if each.kind in kinds
        and not (each.is_inline and each.kind == "image")
        and each.content_type != "application/pgp-signature"
        and not each.content_type.endswith("pkcs7-signature")
    ]
    more = len(names) - MOST_NAMED_FILES
    return ", ".join(names[:MOST_NAMED_FILES]) + (f" (+{more})" if more > 0 else "")


def _left_out(message: Arrived) -> tuple[Point, ...]:
    out = []
    if pictures := _files(message, ("image",)):
        one = sum(each.kind == "image" and not each.is_inline for each in message.attached) == 1
        out.append(Point.of("picture_customer" if one else "pictures_customer", files=pictures))
    if others := _files(message, ("sheet", "pdf", "other", "message")):
        out.append(Point.of("files_customer", files=others))
    return tuple(out)


def given_name(name: str) -> str:
    """What to greet somebody with: "Hale, Dan" -> "Dan"; "Riverbend Farms" and "DHALE" -> ""."""
    last, comma, first = name.partition(",")
    words = (f"{first} {last}" if comma else name).split()
    words = [word.strip("\"'()") for word in words]
    if not 0 < len(words) <= 4 or any(word.lower().strip(".,&") in _ORGANISATION for word in words):
        return ""
    candidate = next(
        (
            word
            for word in words
            if word.rstrip(".").lower()
            not in ("mr", "mrs", "ms", "dr", "ing", "sr", "sra", "lic", "arq", "don")
        ),
        "",
    )
    if not 2 <= len(candidate) <= 20 or not all(char.isalpha() or char in "-'’" for char in candidate):
        return ""
    if len(words) == 1 and (candidate.isupper() or candidate.islower()):
        return ""
    return candidate if not (candidate.isupper() or candidate.islower()) else candidate.capitalize()
