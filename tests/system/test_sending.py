"""Staff send what the desk drafted, through a real submission server: once, by a press, and never otherwise."""

import asyncio
import shutil
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from datetime import timedelta
from email import message_from_bytes, policy
from pathlib import Path

import pytest
from aiohttp.test_utils import TestClient, TestServer

from bot.app import STORE, build_app
from bot.clock import stamp, utc_now
from bot.mail.desk import MailDesk
from bot.mail.headers import Address
from bot.mail.outgoing.submission import MOST_SECONDS, Unsure
from bot.settings import Settings
from bot.staff import send_page
from bot.store.mail_records import FoundMail, MailOutcome, Place
from engine.errors import ConfigurationError
from tests.system.security.conftest import Staffed, add_staff
from tests.system.smtp_sink import PASSWORD, USER, Sink, certificate, sink

NOW = "2026-01-31T09:05:00.000Z"
REQUEST = (
    b"From: Dan Hale <dan@example.com>\r\nTo: quotes@example.org\r\nSubject: Wall packs\r\nMessage-ID: <one@example.com>\r\n\r\n"
    b"We have twelve 250W wallpacks at 20 ft on the warehouse.\r\nThey burn dusk-to-dawn and we pay $0.11/kWh.\r\nWhat would LED save us?\r\n"
)
SMOKE = "From: Ana Ríos <ana@example.com>\r\nTo: quotes@example.org\r\nSubject: Humo\r\nMessage-ID: <two@example.com>\r\n\r\nSale humo de una lámpara\r\n".encode()
pytestmark = pytest.mark.skipif(
    shutil.which("openssl") is None, reason="no openssl to make a certificate with"
)


@pytest.fixture(scope="module")
def tls_files(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    return certificate(tmp_path_factory.mktemp("tls"))


Opened = Callable[..., "asynccontextmanager"]


@pytest.fixture
def desk_server(make_settings: Callable[..., Settings]) -> Opened:
    @asynccontextmanager
    async def open_it(**settings: object) -> AsyncIterator[Staffed]:
        made = make_settings(**settings)
        add_staff(made)
        app = build_app(made)
        async with TestClient(TestServer(app)) as client:
            keep(app)
            yield Staffed(client, made)

    return open_it


def keep(app) -> None:
    """Mail 1 with its draft, mail 2 for a person."""
    from bot.app import INBOX

    desk = MailDesk(app[INBOX].assistant, (Address("Counter", "quotes@example.org"),))
    answer = desk.answer(REQUEST, utc_now())
    assert answer.draft is not None
    draft_id = str(message_from_bytes(answer.draft)["Message-ID"]).strip("<>")
    outcomes = (
        ("one@example.com", "Wall packs", MailOutcome("draft", answer.decision.reason, answer.text, None, answer.draft, draft_id, str(answer.to))),
        ("two@example.com", "Humo", MailOutcome("human", "emergency: somebody may be in danger", "Sale humo", SMOKE)),
    )  # fmt: skip
    with app[STORE].transaction() as session:
        session._holder = 1
        for number, (name, subject, outcome) in enumerate(outcomes, 1):
            found = FoundMail(name, name, "Somebody <s@example.com>", "s@example.com", subject, NOW)
            session.take_mail(found, Place("a", "INBOX", 1, number), NOW)
            session.keep_outcome(number, outcome, NOW)


def plain_to(opened: Sink, **more: object) -> dict[str, object]:
    return {"smtp_url": f"smtp://127.0.0.1:{opened.port}", "smtp_plain": True, **more}


def read(opened: Sink, number: int = 0):
    return message_from_bytes(opened.messages[number].content, policy=policy.default)


async def test_a_press_sends_the_draft_without_its_marks_and_the_line_for_staff(desk_server: Opened) -> None:
    with sink() as opened:
        async with desk_server(**plain_to(opened)) as staffed:
            _, before = await staffed.page("/staff/mail/1", "clerk")
            draft = message_from_bytes(await kept_draft(staffed), policy=policy.default)
            status, _ = await staffed.send("/staff/mail/1/send", "clerk")
            _, after = await staffed.page("/staff/mail/1", "clerk")
    sent = read(opened)

    assert status == 303
    assert 'action="/staff/mail/1/send"' in before
    assert 'action="/staff/mail/1/send"' not in after
    assert "Sent" in after
    assert "clerk to dan@example.com" in after
    (envelope,) = opened.messages
    assert (envelope.mail_from, envelope.rcpt_tos) == ("quotes@example.org", ["dan@example.com"])
    assert sent["X-Unsent"] is None
    assert str(sent["Message-ID"]) == str(draft["Message-ID"])
    assert str(sent["In-Reply-To"]) == "<one@example.com>"
    assert "FOR STAFF" in draft.get_body(("plain",)).get_content()
    for form in ("plain", "html"):
        text = sent.get_body((form,)).get_content()
        assert "FOR STAFF" not in text
        assert "DUNLIN/05P" in text
    assert [part.get_filename() for part in sent.iter_attachments()] == ["lighting quote.pdf"]


async def kept_draft(staffed: Staffed) -> bytes:
    with staffed.client.app[STORE].snapshot() as session:
        draft = session.mail_draft(1)
    assert draft is not None
    return draft


async def test_what_staff_wrote_goes_out_in_both_forms(desk_server: Opened) -> None:
    text = "[ FOR STAFF, DELETE THIS LINE BEFORE SENDING: x ]\r\nHello Dan,\r\n\r\n<b>12</b> packs & more: call me.\r\n.\r\nBest, Eve"
    with sink() as opened:
        async with desk_server(**plain_to(opened)) as staffed:
            status, _ = await staffed.send("/staff/mail/1/send", "clerk", text=text)
            _, page = await staffed.page("/staff/mail/1?note=taken_out", "clerk")
    sent = read(opened)
    plain, html = (sent.get_body((form,)).get_content() for form in ("plain", "html"))

    assert status == 303
    assert "It was taken out before sending" in page
    assert plain.replace("\r\n", "\n").strip() == text.partition("]")[2].replace("\r\n", "\n").strip()
    assert "&lt;b&gt;12&lt;/b&gt; packs &amp; more" in html
    assert "FOR STAFF" not in plain + html


async def test_pressing_again_and_again_gives_one_mail(desk_server: Opened) -> None:
    with sink() as opened:
        async with desk_server(**plain_to(opened)) as staffed:
            done = await asyncio.gather(*(staffed.send("/staff/mail/1/send", "clerk") for _ in range(6)))
            again, _ = await staffed.send("/staff/mail/1/send", "owner", text="something else")

    assert {status for status, _ in done} == {303}
    assert again == 303
    assert len(opened.messages) == 1


@pytest.mark.filterwarnings(
    "ignore:Requiring AUTH while not requiring TLS"
)  # it does not see TLS from the first byte
@pytest.mark.parametrize("security", ["starttls", "tls"])
async def test_tls_and_a_password_are_used_and_nothing_goes_without_them(
    desk_server: Opened, tls_files: tuple[Path, Path], tmp_path: Path, security: str
) -> None:
    secret = tmp_path / "secret"
    secret.write_text(PASSWORD + "\n")
    scheme = "smtps" if security == "tls" else "smtp"
    with sink(security, tls_files) as opened:
        url = f"{scheme}://quotes%40example.org@127.0.0.1:{opened.port}"
        async with desk_server(smtp_url=url, smtp_password_file=secret, smtp_ca=tls_files[1]) as staffed:
            await staffed.send("/staff/mail/1/send", "clerk")
            _, page = await staffed.page("/staff/mail/1", "clerk")

    assert len(opened.messages) == 1
    assert opened.sessions[0].authenticated
    assert opened.sessions[0].ssl is not None or security == "tls"
    assert PASSWORD not in page


async def test_a_server_whose_certificate_is_not_trusted_gets_neither_password_nor_mail(
    desk_server: Opened, tls_files: tuple[Path, Path]
) -> None:
    with sink("starttls", tls_files) as opened:
        url = f"smtp://quotes%40example.org@127.0.0.1:{opened.port}"
        async with desk_server(smtp_url=url, smtp_password=PASSWORD) as staffed:
            await staffed.send("/staff/mail/1/send", "clerk")
            _, page = await staffed.page("/staff/mail/1", "clerk")

    assert not opened.messages
    assert "its certificate is not trusted" in page


async def test_a_wrong_password_is_said_and_the_draft_can_be_sent_when_it_is_right(
    desk_server: Opened, tls_files: tuple[Path, Path], caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level("DEBUG")
    with sink("starttls", tls_files) as opened:
        url = f"smtp://127.0.0.1:{opened.port}"
        settings = {"smtp_url": url, "smtp_user": USER, "smtp_ca": tls_files[1]}
        async with desk_server(**settings, smtp_password="wrong-password-9") as staffed:
            await staffed.send("/staff/mail/1/send", "clerk")
            _, page = await staffed.page("/staff/mail/1", "clerk")

    assert not opened.messages
    assert "did not let us sign in" in page
    assert 'action="/staff/mail/1/send"' in page
    assert "wrong-password-9" not in page + caplog.text


async def test_what_the_server_refuses_is_said_in_its_words_and_can_be_sent_again(
    desk_server: Opened,
) -> None:
    with sink() as opened:
        async with desk_server(**plain_to(opened)) as staffed:
            seen = []
            opened.refused_recipients = {"dan@example.com"}
            for change in (
                {"refused_recipients": set(), "refused_sender": True},
                {"refused_sender": False, "after_data": lambda data: "554 5.7.1 looks <b>bad</b>"},
                {"after_data": None},
            ):
                await staffed.send("/staff/mail/1/send", "clerk")
                seen.append((await staffed.page("/staff/mail/1", "clerk"))[1])
                for name, value in change.items():
                    setattr(opened, name, value)
            assert not opened.messages
            await staffed.send("/staff/mail/1/send", "clerk", text="Hello Dan, second try")
            last = (await staffed.page("/staff/mail/1", "clerk"))[1]

    assert "does not take mail for this address" in seen[0]
    assert "550 5.1.1 no such mailbox" in seen[0]
    assert "does not take mail from our address" in seen[1]
    assert "did not take the message" in seen[2]
    assert "554 5.7.1 looks &lt;b&gt;bad&lt;/b&gt;" in seen[2]
    assert len(opened.messages) == 1
    assert "second try" in read(opened).get_body(("plain",)).get_content()
    assert "Not sent" not in last


async def test_a_message_over_the_servers_size_is_refused_before_it_goes(desk_server: Opened) -> None:
    with sink(limit=5_000) as opened:
        async with desk_server(**plain_to(opened)) as staffed:
            await staffed.send("/staff/mail/1/send", "clerk")
            _, page = await staffed.page("/staff/mail/1", "clerk")

    assert not opened.messages
    assert "says that the message is too large" in page


async def test_a_server_that_is_gone_is_said(desk_server: Opened) -> None:
    with sink() as opened:
        settings = plain_to(opened)
    async with desk_server(**settings) as staffed:
        await staffed.send("/staff/mail/1/send", "clerk")
        _, page = await staffed.page("/staff/mail/1", "clerk")

    assert "could not be reached" in page
    assert 'action="/staff/mail/1/send"' in page


async def test_a_connection_that_breaks_over_the_message_leaves_it_open_and_the_same_bytes_go_again(
    desk_server: Opened,
) -> None:
    with sink() as opened:
        opened.after_data = lambda data: "gone"
        async with desk_server(**plain_to(opened)) as staffed:
            await staffed.send("/staff/mail/1/send", "clerk", text="Hello Dan, about your packs")
            _, unsure = await staffed.page("/staff/mail/1", "clerk")
            # Pressing "send" does nothing now: it may have gone.
            await staffed.send("/staff/mail/1/send", "clerk", text="Hello Dan, something else")
            assert len(opened.messages) == 1
            opened.after_data = None
            await staffed.send("/staff/mail/1/sends/1/again", "clerk")
            await staffed.send("/staff/mail/1/sends/1/again", "clerk")
            _, sent = await staffed.page("/staff/mail/1", "clerk")

    assert "May have gone" in unsure
    assert 'action="/staff/mail/1/sends/1/again"' in unsure
    assert 'action="/staff/mail/1/send"' not in unsure
    assert "/again" not in sent
    first, second = opened.messages
    assert first.content == second.content
    assert read(opened, 0)["Message-ID"] == read(opened, 1)["Message-ID"]


async def test_whoever_dies_between_sending_and_noting_leaves_it_open_not_lost_and_not_doubled(
    desk_server: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    later = timedelta(seconds=3 * MOST_SECONDS + 1)
    with sink() as opened:
        async with desk_server(**plain_to(opened)) as staffed:
            app = staffed.client.app
            with app[STORE].snapshot() as session:
                draft = session.mail_draft(1)
            outgoing = send_page.reply_of(draft, None, utc_now())
            # What a server did that was killed right after the mail server had taken the message.
            started = stamp(utc_now())
            with app[STORE].transaction() as session:
                session.begin_send(
                    1,
                    "reply",
                    outgoing.recipient,
                    outgoing.sender,
                    outgoing.message_id,
                    outgoing.data,
                    "clerk",
                    started,
                )
            account = send_page.SmtpAccount("127.0.0.1", opened.port, "plain", None, "", "")
            await send_page.submit(account, outgoing)

            _, soon = await staffed.page("/staff/mail/1", "clerk")
            await staffed.send("/staff/mail/1/send", "clerk")
            await staffed.send("/staff/mail/1/sends/1/again", "clerk")
            assert len(opened.messages) == 1
            with app[STORE].transaction() as session:
                session.connection.run("update mail_sends set started_at = ?", stamp(utc_now() - later))
            _, lost = await staffed.page("/staff/mail/1", "clerk")
            await staffed.send("/staff/mail/1/send", "clerk")
            assert len(opened.messages) == 1
            await staffed.send("/staff/mail/1/sends/1/again", "clerk")

    assert "Being sent" in soon
    assert "May have gone" in lost
    assert [message.content for message in opened.messages] == [opened.messages[0].content] * 2


async def test_a_mail_for_a_person_is_passed_on_whole_to_one_of_those_who_are_named(
    desk_server: Opened,
) -> None:
    people = "Eve Marsh <eve@example.org>, desk2@example.org"
    with sink() as opened:
        settings = plain_to(opened, mail_people=people)
        async with desk_server(**settings, mail_own="Counter <quotes@example.org>") as staffed:
            _, page = await staffed.page("/staff/mail/2", "clerk")
            wrong, _ = await staffed.send("/staff/mail/2/forward", "clerk", to="thief@example.net")
            for _ in range(2):
                await staffed.send("/staff/mail/2/forward", "clerk", to="eve@example.org")
            _, after = await staffed.page("/staff/mail/2", "clerk")
    (envelope,) = opened.messages
    sent = read(opened)
    (attached,) = [part for part in sent.walk() if part.get_content_type() == "message/rfc822"]
    inner = attached.get_payload(0)

    assert "Eve Marsh &lt;eve@example.org&gt;" in page
    assert 'action="/staff/mail/2/send"' not in page
    assert wrong == 422
    assert envelope.rcpt_tos == ["eve@example.org"]
    assert str(sent["Subject"]) == "Fwd: Humo"
    assert "Somebody may be in danger." in sent.get_body(("plain",)).get_content()
    assert str(inner["Message-ID"]) == "<two@example.com>"
    assert "Sale humo de una lámpara" in inner.get_payload(decode=True).decode()
    assert envelope.content.isascii()
    assert 'value="eve@example.org"' not in after
    assert 'value="desk2@example.org"' in after


async def test_where_no_server_is_set_nothing_can_be_sent(desk_server: Opened) -> None:
    async with desk_server() as staffed:
        _, page = await staffed.page("/staff/mail/1", "clerk")
        sent, _ = await staffed.send("/staff/mail/1/send", "clerk")
        passed_on, _ = await staffed.send("/staff/mail/2/forward", "clerk", to="eve@example.org")

    assert "no submission server is set" in page
    assert (sent, passed_on) == (404, 404)


async def test_a_form_of_another_page_sends_nothing(desk_server: Opened) -> None:
    with sink() as opened:
        async with desk_server(**plain_to(opened)) as staffed:
            marked, _ = await staffed.send("/staff/mail/1/send", "clerk", mark="0" * 64)
            async with staffed.client.post(
                "/staff/mail/1/send", data={"text": "x"}, allow_redirects=False
            ) as answer:
                unsigned = answer.status
            looked, _ = await staffed.page("/staff/mail/1/send", "clerk")

    assert (marked, unsigned) == (403, 303)
    assert looked == 405
    assert not opened.messages


async def test_an_empty_text_is_not_sent_and_what_was_typed_stays(desk_server: Opened) -> None:
    with sink() as opened:
        async with desk_server(**plain_to(opened)) as staffed:
            empty, page = await staffed.send("/staff/mail/1/send", "clerk", text=" \r\n ")
            much, long_page = await staffed.send("/staff/mail/1/send", "clerk", text="<i>" + "word " * 20_500)
            missing, _ = await staffed.send("/staff/mail/99/send", "clerk", text="x")

    assert (empty, much, missing) == (422, 422, 404)
    assert "There is no text to send." in page
    assert "too long" in long_page
    assert "&lt;i&gt;word" in long_page
    assert not opened.messages


async def test_the_files_of_a_draft_can_be_looked_at_before(desk_server: Opened) -> None:
    async with desk_server() as staffed:
        _, page = await staffed.page("/staff/mail/1", "clerk")
        secret = await staffed.session("clerk")
        async with staffed.client.get(
            "/staff/mail/1/files/1", headers={"Cookie": f"wattclerk-session={secret}"}
        ) as answer:
            data, kind = await answer.read(), answer.content_type
        missing, _ = await staffed.page("/staff/mail/1/files/2", "clerk")

    assert '<a href="/staff/mail/1/files/1">lighting quote.pdf</a>' in page
    assert data.startswith(b"%PDF-")
    assert kind == "application/octet-stream"
    assert missing == 404


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        ({"smtp_url": "smtp://mail.example.com", "smtp_plain": True}, "on this machine only"),
        ({"smtp_url": "smtps://127.0.0.1", "smtp_plain": True}, "on this machine only"),
        ({"smtp_url": "smtp://u@mail.example.com"}, "WATTCLERK_SMTP_PASSWORD_FILE"),
        ({"smtp_url": "smtp://u@mail.example.com", "smtp_password": "a\nb"}, "one line"),
        ({"smtp_url": "smtp://mail.example.com", "mail_people": "nobody, eve@example.org@"}, "WATTCLERK_MAIL_PEOPLE"),
        ({"smtp_url": "smtp://mail.example.com", "smtp_ca": "/dev/null"}, "WATTCLERK_SMTP_CA"),
    ],
)  # fmt: skip
def test_a_server_does_not_start_with_settings_that_can_not_be_used(
    make_settings: Callable[..., Settings], changes: dict[str, object], line: str
) -> None:
    with pytest.raises(ConfigurationError, match=line):
        build_app(make_settings(**changes))


async def test_only_the_message_itself_is_in_doubt_when_a_connection_breaks() -> None:
    account = send_page.SmtpAccount("127.0.0.1", 1, "plain", None, "", "")
    outgoing = send_page.Outgoing(b"Subject: x\r\n\r\nx", "i@example.org", "a@example.org", "b@example.com")
    with pytest.raises(send_page.NotSent, match="unreachable"):
        await send_page.submit(account, outgoing)
    with sink() as opened:
        opened.after_data = lambda data: "gone"
        with pytest.raises(Unsure):
            await send_page.submit(
                send_page.SmtpAccount("127.0.0.1", opened.port, "plain", None, "", ""), outgoing
            )
