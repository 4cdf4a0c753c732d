"""What goes out by a press: nobody's text becomes a header, nothing of a draft's marks stays, a mail passed on stays whole."""

from datetime import UTC, datetime
from email import message_from_bytes, policy

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.mail.composing import Envelope, File, compose
from bot.mail.desk import MailDesk
from bot.mail.headers import Address
from bot.mail.outgoing.forward import forward_of, nested
from bot.mail.outgoing.message import NotSendable, file_of, marker, reply_of, without_note, written
from bot.replies.mail import EmailParts
from bot.replies.words import words_in
from tests.corpus.mail import forms as f
from tests.corpus.mail.build import FOLDER
from tests.corpus.mail.jobs import JOBS
from tests.corpus.mail.score import AT

LATER = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
HEADS = {
    "from", "to", "subject", "date", "message-id", "in-reply-to", "references", "x-wattclerk", "mime-version", "content-type",
    "content-transfer-encoding",
}  # fmt: skip
OURS, EVE = Address("Counter", "quotes@example.org"), Address("Eve Marsh", "eve@example.org")
ANY = st.text(max_size=60) | st.sampled_from(
    [
        "x\r\nBcc: victim@example.net", "x\nTo: victim@example.net\n\nbody", "\x0b\x0c\x1c\x85\u2028Bcc: v@example.net",
        "=?utf-8?q?a=0D=0ABcc:_v@example.net?=", "a>\r\nRCPT TO:<v@example.net>", '"', "\\", "<v@example.net>",
    ]
)  # fmt: skip


def head_of(data: bytes) -> set[str]:
    """The names of the header lines as they stand in the bytes."""
    lines = data.split(b"\r\n\r\n", 1)[0].split(b"\r\n")
    return {line.split(b":", 1)[0].decode().lower() for line in lines if line[:1] not in (b" ", b"\t")}


def read(data: bytes):
    return message_from_bytes(data, policy=policy.default)


def drafted(whole_desk: MailDesk, text: str = JOBS["packs"][0]) -> bytes:
    draft = whole_desk.answer(f.message(1, text), AT).draft
    assert draft is not None
    return draft


@settings(max_examples=80, deadline=None)
@given(subject=ANY, name=ANY, mailbox=ANY, message_id=ANY, text=ANY)
def test_nobodys_text_becomes_a_header_or_a_reader_of_what_is_sent(
    subject: str, name: str, mailbox: str, message_id: str, text: str
) -> None:
    head = Envelope(
        OURS, Address(name, f"{mailbox}@example.com"), f"Re: {subject}", message_id, (message_id,), AT, "k"
    )
    draft = compose(head, EmailParts("Hello", "<p>Hello</p>", ()), [File(name, "application/pdf", b"x")])
    try:
        sent = reply_of(draft, text, LATER)
    except NotSendable:
        return

    assert head_of(sent.data) <= HEADS
    assert sent.data.isascii()
    assert b"\n" not in sent.data.replace(b"\r\n", b"")
    assert b"\r" not in sent.data.replace(b"\r\n", b"")
    assert all(char.isprintable() and char not in " <>" for char in sent.recipient)
    assert sent.recipient.count("@") == 1
    assert sent.sender == "quotes@example.org"
    assert len(read(sent.data).get_all("to")) == 1


@settings(max_examples=80, deadline=None)
@given(
    subject=ANY,
    text=ANY,
    original=st.binary(max_size=300) | ANY.map(lambda text: text.encode("utf-8", "replace")),
)
def test_whatever_is_passed_on_stays_within_its_part(subject: str, text: str, original: bytes) -> None:
    sent = forward_of(original, (OURS, EVE), subject, "A person has to.", text, LATER, "key")
    message = read(sent.data)

    assert head_of(sent.data) <= HEADS
    assert sent.data.isascii()
    assert (sent.sender, sent.recipient) == ("quotes@example.org", "eve@example.org")
    assert message.is_multipart()
    kinds = [part.get_content_type() for part in message.get_payload()]
    assert len(kinds) == 2
    assert kinds[1] in ("message/rfc822", "application/octet-stream")


def test_every_message_of_the_corpus_is_passed_on_and_is_read_as_it_was() -> None:
    from bot.mail.bounds import MailUnusable
    from bot.mail.parsing import parse

    whole = 0
    for path in sorted(FOLDER.glob("*.eml")):
        original = path.read_bytes()
        sent = forward_of(original, (OURS, EVE), "x", "why", "", LATER, path.stem)
        part = read(sent.data).get_payload()[1]
        if part.get_content_type() != "message/rfc822":
            continue
        whole += 1
        inner = nested(original)
        assert inner is not None
        assert inner in sent.data
        try:
            before, after = parse(original), parse(inner)
        except MailUnusable:
            continue
        assert (after.message_id, after.subject, len(after.attached)) == (
            before.message_id,
            before.subject,
            len(before.attached),
        ), path.stem
        assert [each.data for each in after.attached if each.kind != "other"] == [
            each.data for each in before.attached if each.kind != "other"
        ], path.stem
    assert whole >= 0.95 * len(list(FOLDER.glob("*.eml")))


def test_a_draft_goes_with_its_words_files_and_pictures_and_without_its_marks(whole_desk: MailDesk) -> None:
    draft = drafted(whole_desk)
    before, sent = read(draft), reply_of(draft, None, LATER)
    after = read(sent.data)

    assert "x-unsent" not in head_of(sent.data)
    assert str(after["X-Wattclerk"]) == "sent"
    for name in ("From", "To", "Subject", "Message-ID", "In-Reply-To", "References"):
        assert str(after[name]) == str(before[name]), name
    assert str(after["Date"]) == "Wed, 25 Nov 2026 09:30:00 +0000"
    assert [part.get_content_type() for part in after.walk()] == [
        part.get_content_type() for part in before.walk()
    ]
    assert [part.get_payload(decode=True) for part in after.iter_attachments()] == [
        part.get_payload(decode=True) for part in before.iter_attachments()
    ]
    assert reply_of(draft, None, LATER) == sent


@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize(
    "where", ["[ {note} ]\n\nHello", "Hello\n> [ {note} ]\nthere", "Hello\r\n{note}\r\nthere", "x {note}"]
)
def test_the_line_for_staff_never_goes_out(language: str, where: str) -> None:
    note = str(words_in(language).of("mail", "staff")).format(points="check the watts (250 W).")
    kept, was_there = without_note(where.format(note=note))

    assert was_there
    assert not marker().search(kept)
    assert "250 W" not in kept


def test_the_line_for_staff_is_shown_apart_and_taken_out_of_both_forms(whole_desk: MailDesk) -> None:
    for text in (JOBS["packs"][0] + "\nmaybe 14 of them", JOBS["campanas_es"][0] + "\ntal vez 30"):
        draft = drafted(whole_desk, text)
        if (
            "FOR STAFF" not in (shown := read(draft).get_body(("plain",)).get_content())
            and "PARA EL PERSONAL" not in shown.upper()
        ):
            continue
        said, sent = written(draft), read(reply_of(draft, None, LATER).data)

        assert said.note
        assert said.note not in said.text
        for form in ("plain", "html"):
            assert not marker().search(sent.get_body((form,)).get_content())


def test_text_that_looks_like_a_message_is_text(whole_desk: MailDesk) -> None:
    text = "Hello\n.\nRSET\n\n--=x\nContent-Type: text/html\n\nFrom: a@example.com\nFrom the start <script>alert(1)</script> é 💡"
    sent = read(reply_of(drafted(whole_desk), text, LATER).data)
    plain, html = (sent.get_body((form,)).get_content() for form in ("plain", "html"))

    assert plain.replace("\r\n", "\n").strip() == text
    assert "<script>" not in html
    assert "&lt;script&gt;alert(1)&lt;/script&gt; é 💡" in html
    assert not [part for part in sent.walk() if part.get_content_maintype() == "image"]


def test_what_can_not_go_is_refused(whole_desk: MailDesk) -> None:
    draft = drafted(whole_desk)
    nowhere = draft.replace(b"quotes@example.org", b"unsent@wattclerk.invalid")

    for given_draft, text, key in (
        (draft, " \n ", "empty"), (draft, "x" * 100_001, "too_long"), (nowhere, None, "no_from"), (draft.replace(b"To: ", b"X-To: "), None, "no_to"),
    ):  # fmt: skip
        with pytest.raises(NotSendable) as fault:
            reply_of(given_draft, text, LATER)
        assert fault.value.key == key


def test_a_file_of_a_draft_is_found_by_its_number(whole_desk: MailDesk) -> None:
    draft = drafted(whole_desk)

    first = file_of(draft, 1)
    assert first is not None
    assert (first.name, first.data[:5]) == ("lighting quote.pdf", b"%PDF-")
    assert file_of(draft, 0) is None
    assert file_of(draft, 2) is None
