"""What a stranger wrote, in every place where it is shown: pages, tables, pictures, mails, JSON. It is text everywhere."""

import csv
import io
import re
from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest

from bot.assistant import Assistant, Conversation
from bot.opening import open_catalogue, open_tables, open_tariff, open_terms
from bot.pressing import Change
from bot.replies.mail import render_email
from bot.staff.quotes_csv import text_cell
from bot.staff.rendering import safe_picture
from tests.system.security.conftest import Staffed

OpenServer = Callable[..., AbstractAsyncContextManager[Staffed]]
PAYLOADS = (Path(__file__).parent / "injections.txt").read_text("utf-8").splitlines()
TAGS = {"html", "head", "meta", "title", "link", "script", "body", "a", "header", "div", "p", "form", "input", "span", "button", "nav", "ul", "li", "main", "section", "article", "table", "thead", "tr", "th", "tbody", "td", "h1", "h2", "h3", "ol", "dl", "dt", "dd", "pre", "details", "summary", "time", "code", "strong", "figure", "label", "select", "option", "noscript", "em", "q", "svg", "desc", "defs", "pattern", "g", "rect", "line", "path", "circle", "text", "tspan"}  # fmt: skip


class Seen(HTMLParser):
    """What a browser would make of a page: elements, attributes, text."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str]] = []
        self.scripts = 0
        self.words: list[str] = []
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.scripts += tag == "script"
        self.attributes += [(name, value or "") for name, value in attrs]

    def handle_data(self, data: str) -> None:
        self.words.append(data)


def assert_harmless(page: str) -> Seen:
    seen = Seen(page)
    assert seen.tags <= TAGS, seen.tags - TAGS
    assert seen.scripts == 1
    for name, value in seen.attributes:
        assert not name.startswith("on"), name
        assert name != "style"
        if name in {"href", "src", "action"}:
            assert re.fullmatch(r"/[^/\\]?[\w./?=&#-]{0,200}|#\w[\w-]{0,60}", value), value
    return seen


async def test_what_a_stranger_wrote_is_text_on_every_page(staffed: Staffed) -> None:
    for payload in PAYLOADS:
        await assert_is_text(staffed, payload)


async def assert_is_text(staffed: Staffed, payload: str) -> None:
    turn = await staffed.say(f"12 wallpacks 250w, 20 ft. {payload}")
    talk = turn["conversation"]
    slots = [
        {"path": f"job.{slot}", "value": payload[:60]} for slot in ("customer", "site", "po", "needed_by")
    ]
    pressed = await staffed.say("customer", conversation=talk, changes=slots)  # type: ignore[arg-type]
    quote = pressed["quote_id"] or turn["quote_id"]
    link = await staffed.link(quote)

    pages = {
        path: await staffed.page(path)
        for path in ("/staff", f"/staff/conversations/{talk}", f"/staff/quotes/{quote}")
    }
    pages["found"] = await staffed.send("/staff/person", kind="customer", value=payload)
    pages["sign-in"] = await staffed.page(f"/staff/sign-in?to={payload.replace('#', '')}")
    async with staffed.client.get(f"/q/{link}") as answer:
        pages["link"] = (answer.status, await answer.text())
    for where, (status, page) in pages.items():
        assert status in {200, 303}, (where, payload)
        if status == 200:
            assert_harmless(page)
    # Not cut away either: staff see what was written.
    words = "".join(Seen(pages[f"/staff/conversations/{talk}"][1]).words)
    assert payload in words
    async with staffed.client.get("/healthz", headers={"X-Request-ID": payload}) as answer:
        assert "Set-Cookie" not in answer.headers


@pytest.mark.parametrize("payload", PAYLOADS)
def test_what_a_stranger_wrote_is_text_in_a_table(payload: str) -> None:
    out = io.StringIO()
    csv.writer(out).writerow([text_cell(payload), "next"])
    first, second = next(csv.reader(io.StringIO(out.getvalue())))

    assert second == "next"
    assert first[:1] not in {"=", "+", "-", "@", "\t", "\r", "|", "%"}
    assert "\n" not in first


async def test_the_table_of_quotes_holds_a_customer_who_is_a_formula_as_text(staffed: Staffed) -> None:
    await staffed.say("12 wallpacks 250w customer: @SUM(1)", message_id="message-of-a-formula-1")
    status, text = await staffed.page("/staff/quotes.csv", "manager")
    rows = list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"))))

    assert status == 200
    assert [row["customer"] for row in rows] == ["Lopez Bakery", "'@SUM"]
    assert rows[0]["quote"] == staffed.quote
    assert re.fullmatch(r"[0-9]+\.[0-9]{2}", rows[0]["net_cost"])


@pytest.mark.parametrize(
    "svg",
    [
        '<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
        '<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"/>',
        '<svg xmlns="http://www.w3.org/2000/svg"><a href="javascript:alert(1)"/></svg>',
        '<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"><g xlink:href="x"/></svg>',
        '<svg xmlns="http://www.w3.org/2000/svg"><rect fill="url(http://example.com/x)"/></svg>',
        '<svg xmlns="http://www.w3.org/2000/svg"><rect style="background:url(x)"/></svg>',
        '<!DOCTYPE svg [<!ENTITY x "y">]><svg xmlns="http://www.w3.org/2000/svg"><text>&x;</text></svg>',
        '<svg xmlns="http://www.w3.org/2000/svg"><foreignObject/></svg>',
        '<html xmlns="http://www.w3.org/1999/xhtml"/>',
        "<svg",
        "",
    ],
)
def test_a_picture_that_is_more_than_shapes_is_left_out(svg: str) -> None:
    assert safe_picture(svg) == ""


@pytest.fixture(scope="module")
def assistant() -> Assistant:
    return Assistant(open_catalogue(None), open_tables(None), open_terms(None), open_tariff(None))


@pytest.mark.parametrize("payload", [p[:60] for p in PAYLOADS])
def test_what_a_stranger_wrote_reaches_no_picture_and_no_head_of_a_mail(
    assistant: Assistant, payload: str
) -> None:
    first = assistant.take_turn(Conversation(), f"12 wallpacks 250w, 20 ft. {payload}", None)
    slots = tuple(Change(f"job.{slot}", payload) for slot in ("customer", "site", "po"))
    turn = assistant.take_changes(first.conversation, "x", slots)
    parts = render_email(turn.quote, turn.reading, "en", turn.conversation.texts)

    for picture in parts.pictures:
        assert re.fullmatch(r"[a-z_]+\.[0-9a-f]{16}@wattclerk\.invalid", picture.cid)
        assert re.fullmatch(r"[a-z_]+\.png", picture.filename)
    seen = Seen(parts.html)
    assert "script" not in seen.tags
    assert not {"img", "iframe", "svg"} & seen.tags - {"img"}
    for name, value in seen.attributes:
        assert not name.startswith("on")
        if name in {"href", "src"}:
            assert value.startswith("cid:"), value


async def test_a_replayed_message_gets_the_first_answer_and_no_second_quote(staffed: Staffed) -> None:
    message = {"message_id": "message-that-is-replayed", "text": "8 troffers 4 lamp t8"}
    answers: list[Any] = []
    for _ in range(3):
        secret = await staffed.session("clerk")
        headers = {"Cookie": f"wattclerk-session={secret}"}
        async with staffed.client.post("/api/messages", json=message, headers=headers) as answer:
            answers.append((answer.status, await answer.json()))
        changed = message | {"text": "800 troffers 4 lamp t8"}
        async with staffed.client.post("/api/messages", json=changed, headers=headers) as answer:
            assert answer.status == 409

    assert answers[0][0] == 200
    assert answers[1:] == answers[:1] * 2


async def test_a_replayed_form_makes_no_harm_once_its_session_is_over(staffed: Staffed) -> None:
    from bot.staff.gate import form_mark
    from bot.staff.secrets import kept_form

    secret = await staffed.session("owner")
    form = {"mark": form_mark(secret), "kind": "conversation", "value": staffed.conversation, "sure": "yes"}
    await staffed.write(lambda roll: roll.end_session(kept_form(secret)))
    headers = {"Cookie": f"wattclerk-session={secret}"}
    async with staffed.client.post(
        "/staff/person/erase", data=form, headers=headers, allow_redirects=False
    ) as answer:
        assert answer.status == 303
    status, _ = await staffed.page(f"/staff/conversations/{staffed.conversation}")

    assert status == 200
