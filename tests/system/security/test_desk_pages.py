"""The mail desk's pages: staff see what became of each mail, a stranger's words stay words, and drafts run nothing."""

import html

from bot.app import STORE
from bot.assistant import Assistant
from bot.clock import utc_now
from bot.mail.desk import MailDesk
from bot.mail.headers import Address
from bot.store.mail_records import FoundMail, MailOutcome, Place
from bot.store.protocol import Store
from tests.system.security.conftest import Staffed, carrying

NOW = "2026-01-31T09:05:00.000Z"
REQUEST = (
    b"From: Dan Hale <dan@example.com>\r\nTo: quotes@example.org\r\nSubject: <b>Wall</b> packs\r\n"
    b"Message-ID: <one@example.com>\r\n\r\nHi, twelve 250W wallpacks at 20 ft, $0.11/kWh, what would LED cost? <script>alert(1)</script>\r\n"
)


def found(name: str, subject: str) -> FoundMail:
    return FoundMail(name, name, "Dan Hale <dan@example.com>", "dan@example.com", subject, NOW)


def keep(store: Store, assistant: Assistant) -> None:
    """A mail with its draft, one for a person, and one whose draft can't be laid."""
    answer = MailDesk(assistant, (Address("Counter", "quotes@example.org"),)).answer(REQUEST, utc_now())
    assert answer.draft is not None
    drafted = MailOutcome(
        "draft", answer.decision.reason, answer.text, None, answer.draft, "d@example.org", str(answer.to)
    )
    with store.transaction() as session:
        session._holder = 1
        for number, (subject, outcome) in enumerate(
            (
                ("<b>Wall</b> packs", drafted),
                ("Smoke", MailOutcome("human", "emergency: somebody may be in danger", "it smokes")),
                ("Later", drafted),
            ),
            1,
        ):
            session.take_mail(found(f"{number}@example.com", subject), Place("a", "INBOX", 1, number), NOW)
            session.keep_outcome(number, outcome, NOW)
        session.keep_laid(1, Place("a", "Drafts", 1, 1), NOW)
        session.put_mail_back(3, "quota: the server said <i>Quota exceeded</i>", NOW)


async def test_staff_see_what_became_of_every_mail(staffed: Staffed, assistant: Assistant) -> None:
    assert staffed.client.app is not None
    keep(staffed.client.app[STORE], assistant)

    status, listed = await staffed.page("/staff/mail", "clerk")
    _, drafted = await staffed.page("/staff/mail/1", "clerk")
    _, troubled = await staffed.page("/staff/mail/3", "clerk")
    missing, _ = await staffed.page("/staff/mail/99", "clerk")
    undrafted, _ = await staffed.page("/staff/mail/2/draft", "clerk")

    assert status == 200
    assert "&lt;b&gt;Wall&lt;/b&gt; packs" in listed
    assert "<b>" not in listed
    assert "Somebody may be in danger." in listed
    assert "Drafts is full." in listed
    assert 'class="count">1<' in listed
    assert "The draft was laid in Drafts." in html.unescape(drafted)
    assert "<script>" not in drafted.replace('<script type="module" src="/staff.js">', "")
    assert 'sandbox=""' in drafted
    assert "&lt;i&gt;Quota" in troubled
    assert (missing, undrafted) == (404, 404)


async def test_a_draft_is_shown_with_its_pictures_and_runs_nothing(
    staffed: Staffed, assistant: Assistant
) -> None:
    assert staffed.client.app is not None
    keep(staffed.client.app[STORE], assistant)
    secret = await staffed.session("clerk")

    async with staffed.client.get("/staff/mail/1/draft", headers=carrying(secret)) as answer:
        text, policy = await answer.text(), answer.headers["Content-Security-Policy"]

    assert "Hello Dan," in text
    assert "data:image/png;base64," in text
    assert "cid:" not in text
    assert "sandbox" in policy
    assert "script" not in policy
