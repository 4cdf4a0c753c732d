"""What a draft says above, around and in its head."""

from dataclasses import replace
from datetime import UTC, datetime
from email import message_from_bytes, policy
from email.message import EmailMessage

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.documents.typesetting import DocumentFailed
from bot.mail import document
from bot.mail.composing import MOST_REFERENCES, Envelope, File, compose, reply_subject, thread
from bot.mail.desk import MailDesk, given_name
from bot.mail.headers import Address
from bot.mail.parsing import parse
from bot.replies.mail import EmailParts
from tests.corpus.mail import forms as f
from tests.corpus.mail.jobs import JOBS
from tests.corpus.mail.score import AT
from tests.examples import tried
from tests.unit.paper.pdf_text import text_of_pdf

PARTS = EmailParts("words", "<p>words</p>", ())
ALLOWED = {
    "from", "to", "subject", "date", "message-id", "in-reply-to", "references", "x-unsent", "x-wattclerk", "mime-version", "content-type",
    "content-transfer-encoding",
}  # fmt: skip


def read(draft: bytes | None) -> EmailMessage:
    assert draft is not None
    return message_from_bytes(draft, policy=policy.default)  # type: ignore[return-value]


def plain(draft: bytes | None) -> str:
    body = read(draft).get_body(("plain",))
    assert body is not None
    return body.get_content().replace("\r\n", "\n")


def test_the_same_message_at_the_same_time_gives_the_same_bytes(desk: MailDesk) -> None:
    data = f.message(1, JOBS["packs"][0])

    assert desk.answer(data, AT).draft == desk.answer(data, AT).draft
    assert desk.answer(data, AT).draft != desk.answer(data, datetime(2026, 12, 1, tzinfo=UTC)).draft


def test_a_draft_says_what_was_read_what_replaces_it_and_when_it_pays(desk: MailDesk) -> None:
    text = plain(desk.answer(f.message(1, JOBS["packs"][0]), AT).draft)

    for words in (
        "Hello Dan,", "12 x 250 W wall pack, 20 ft up", "12 x DUNLIN/05P", "$2,488 a year", "about 1.6 years", "most likely between",
        "Light in all:", "PLEASE TELL ME", "CAUTIONS", "licensed electrician", "Best regards,\nOxbow & Tansy Electrical Supply",
    ):  # fmt: skip
        assert words in text
    assert text.index("PLEASE TELL ME") < text.index("WHAT I READ")
    assert " 4. " not in text[text.index("PLEASE TELL ME") : text.index("WHAT I READ")]


@pytest.mark.parametrize(
    ("asked", "headline", "said"),
    [
        (
            "How much light spills at the fence 30 ft away from twelve 250w MH wall packs at 18 ft?",
            "YOUR QUESTION ABOUT LIGHT",
            "At the line 30 ft out",
        ),
        (
            "¿Cuánta luz llega a la cerca a 30 pies con doce wall packs de 250 W de halogenuro a 18 pies?",
            "SU PREGUNTA SOBRE LA LUZ",
            "En la línea, a 30 pies",
        ),
    ],
)
def test_a_question_about_light_is_answered_beside_the_quote(
    desk: MailDesk, asked: str, headline: str, said: str
) -> None:
    answer = desk.answer(f.message(1, asked), AT)
    text = plain(answer.draft)

    assert headline in text
    assert said in text
    assert [picture.filename for picture in answer.pictures] == ["light_plan.png", "light_section.png"]
    assert all(f"cid:{picture.cid}" in answer.html for picture in answer.pictures)


def test_a_mail_without_such_a_question_shows_no_light_pictures(desk: MailDesk) -> None:
    answer = desk.answer(f.message(1, JOBS["packs"][0]), AT)

    assert "YOUR QUESTION ABOUT LIGHT" not in plain(answer.draft)
    assert [picture.filename for picture in answer.pictures] == ["energy.png"]


def test_a_spanish_message_gets_a_spanish_draft(desk: MailDesk) -> None:
    draft = desk.answer(f.message(1, JOBS["campanas_es"][0], sender=f.ANA), AT).draft

    assert "Hola, Ana:" in plain(draft)
    assert "LO QUE LEÍ" in plain(draft)
    assert "Saludos cordiales," in plain(draft)


def test_a_forwarders_and_the_askers_address_are_shown_in_one_line_that_staff_delete(desk: MailDesk) -> None:
    body = "fyi\n\n" + f.forward_block("dashes", JOBS["bays"][0])
    data = f.message(1, body, subject="Fwd: Lights for our lot", sender="Tom Brandt <tom.brandt@example.org>")
    draft = read(desk.answer(data, AT).draft)
    first = plain(desk.answer(data, AT).draft).split("\n")[0]

    assert str(draft["To"]) == "Dan Hale <dan.hale@example.com>"
    assert str(draft["Subject"]) == "Re: Lights for our lot"
    assert first.startswith("[ FOR STAFF, DELETE THIS LINE BEFORE SENDING: ")
    assert "tom.brandt@example.org" in first
    assert "dan.hale@example.com" in first


def test_who_asks_for_light_alone_gets_light_and_no_lights_made_up_to_replace(desk: MailDesk) -> None:
    text = "How many LED high bays do we need for a 60x120 shop with an 18 ft ceiling, 30 footcandles?"
    draft = plain(desk.answer(f.message(1, text), AT).draft)

    assert "Hello Dan," in draft
    assert "hold 30 fc on average" in draft
    assert "Best regards,\nOxbow & Tansy Electrical Supply" in draft
    assert "metal halide" not in draft


def test_a_sure_reading_has_no_line_for_staff(desk: MailDesk) -> None:
    assert "FOR STAFF" not in plain(desk.answer(f.message(1, JOBS["bays"][0]), AT).draft)


def test_a_picture_is_asked_for_in_words_and_never_guessed(desk: MailDesk) -> None:
    data = f.parts(
        1,
        [
            ("text/plain", JOBS["lot"][0], []),
            ('image/jpeg; name="lot.jpg"', b"\xff\xd8" * 9, ["Content-Disposition: attachment"]),
        ],
    )
    text = " ".join(plain(desk.answer(data, AT).draft).split())

    assert "I can't read pictures (lot.jpg). Please write out what it shows" in text


def test_a_message_that_was_handled_before_gets_none(desk: MailDesk) -> None:
    data = f.message(7, JOBS["lot"][0])
    answer = desk.answer(data, AT, seen={parse(data).identity})

    assert answer.decision.reply == "none"
    assert answer.decision.kind == "duplicate"
    assert answer.draft is None


def test_a_draft_that_quotes_carries_the_quote_as_pdf_and_says_so(whole_desk: MailDesk) -> None:
    draft = whole_desk.answer(f.message(1, JOBS["packs"][0]), AT).draft
    (file,) = read(draft).iter_attachments()
    pages = text_of_pdf(file.get_content())

    assert file.get_content_type() == "application/pdf"
    assert file.get_filename() == "lighting quote.pdf"
    assert "Attached: lighting quote.pdf." in " ".join(plain(draft).split())
    for words in (
        "Oxbow & Tansy Electrical Supply",
        "Dan Hale",
        "December 24, 2026",
        "DUNLIN/05P",
        "$2,488",
        "licensed electrician",
    ):
        assert words in pages
    assert "FOR STAFF" not in pages


def test_a_draft_goes_without_the_pdf_where_that_is_not_wanted_or_nothing_is_quoted(
    whole_desk: MailDesk,
) -> None:
    bare = whole_desk.answer(f.message(1, "Hi, what would LED cost us for our warehouse?"), AT)
    without = replace(whole_desk, with_pdf=False).answer(f.message(1, JOBS["packs"][0]), AT)

    assert bare.decision.reply == "draft"
    assert bare.files == without.files == ()
    assert "Attached:" not in plain(without.draft)


def test_a_pdf_that_fails_costs_the_draft_nothing_but_itself_and_staff_are_told(
    whole_desk: MailDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(*args: object) -> None:
        raise DocumentFailed("it took longer than 10 seconds")

    monkeypatch.setattr(document, "quote_pdf", fail)
    answer = whole_desk.answer(f.message(1, JOBS["packs"][0]), AT)

    assert answer.files == ()
    assert "12 x DUNLIN/05P" in plain(answer.draft)
    assert "the quote could not be made as PDF; it goes without" in plain(answer.draft).split("\n")[0]


@pytest.mark.parametrize(
    ("subject", "past", "shown"),
    [
        ("LED for our lot", False, "Re: LED for our lot"), ("RE: Re: AW: lot", False, "Re: lot"), ("[EXTERNAL] Re: lot", False, "Re: lot"),
        ("Fwd: lot", False, "Re: Fwd: lot"), ("FW: RE: lot", True, "Re: lot"), ("RV: luminarias", True, "Re: luminarias"), ("", False, "Re: nothing"),
        ("Re:", False, "Re: nothing"), ("Regarding: 12 packs", False, "Re: Regarding: 12 packs"), ("Price: 12 packs", False, "Re: Price: 12 packs"),
    ],
)  # fmt: skip
def test_a_subject_is_kept_behind_one_re(subject: str, past: bool, shown: str) -> None:
    assert reply_subject(subject, "nothing", past_forward=past) == shown


def test_a_thread_keeps_its_root_and_its_end() -> None:
    ids = [f"{n}@example.com" for n in range(200)]
    kept = thread(ids, (), "new@example.com")

    assert len(kept) == MOST_REFERENCES
    assert kept[0] == "0@example.com"
    assert kept[-1] == "new@example.com"
    assert thread((), ("parent@example.com",), "new@example.com") == ("parent@example.com", "new@example.com")


@pytest.mark.parametrize(
    ("name", "greeted"),
    [
        ("Dan Hale", "Dan"), ("Hale, Dan", "Dan"), ("DAN HALE", "Dan"), ("dhale", ""), ("Riverbend Farms LLC", ""), ("Accounts Payable", ""),
        ("Ing. Ana Ríos", "Ana"), ("", ""), ("Front Office", ""), ("O'Neil Sean", "O'Neil"), ("12345", ""),
    ],
)  # fmt: skip
def test_people_are_greeted_by_their_first_name_and_firms_not_at_all(name: str, greeted: str) -> None:
    assert given_name(name) == greeted


ANY = st.text(max_size=60) | st.sampled_from(
    [
        "x\r\nBcc: victim@example.net",
        "x\nTo: victim@example.net\n\nbody",
        "\x0b\x0c\x1c\x85\u2028Bcc: v@example.net",
        "=?utf-8?q?a=0D=0ABcc:_v@example.net?=",
    ]
)


@settings(max_examples=tried(60, 200), deadline=None)
@given(subject=ANY, name=ANY, mailbox=ANY, message_id=ANY, references=st.lists(ANY, max_size=4), file=ANY)
def test_nobodys_text_becomes_a_header(
    subject: str, name: str, mailbox: str, message_id: str, references: list[str], file: str
) -> None:
    head = Envelope(
        Address(name, "quotes@example.org"), Address(name, mailbox), reply_subject(subject, "x", past_forward=False), message_id,
        tuple(references), AT, message_id,
    )  # fmt: skip
    draft = compose(head, PARTS, [File(file, "application/pdf", b"x")])
    before = draft.split(b"\r\n\r\n", 1)[0]

    assert {
        line.split(b":", 1)[0].decode().lower() for line in before.split(b"\r\n") if line[:1] not in b" \t"
    } <= ALLOWED
    assert [key.lower() for key in read(draft)] == list(dict.fromkeys(key.lower() for key in read(draft)))


@settings(max_examples=60, deadline=None)
@given(subject=ANY, name=ANY, extra=ANY)
def test_nothing_in_a_message_adds_a_header_or_a_reader_to_its_draft(
    subject: str, name: str, extra: str
) -> None:
    written = f'From: "{name}" <dan.hale@example.com>\nSubject: {subject}\nReply-To: {extra}\nMessage-ID: <{extra}>\nReferences: <{subject}>'
    message = parse(b"X-First: 1\n" + written.encode("utf-8", "replace") + b"\n\n6 wall packs")
    to = message.sender or Address("", "nobody@example.com")
    subject_out = reply_subject(message.subject, "x", past_forward=False)
    draft = compose(
        Envelope(
            Address("", "quotes@example.org"),
            to,
            subject_out,
            message.message_id,
            thread(message.references, message.in_reply_to, message.message_id),
            AT,
            "k",
        ),
        PARTS,
    )

    assert {key.lower() for key in read(draft)} <= ALLOWED
    assert "Bcc" not in read(draft)
