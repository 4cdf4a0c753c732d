"""Every route for everybody: who gets through, who is sent to sign in, whose role is not enough; and others' quotes."""

import tomllib
from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from pathlib import Path
from typing import Any

import pytest
from aiohttp import web

from bot.app import STORE
from bot.channels.access import ACCESS, check_all_listed, routes_of
from bot.staff.gate import form_mark
from bot.staff.secrets import kept_form
from tests.system.security.conftest import Staffed, carrying
from tests.unit.paper.pdf_text import text_of_pdf

TABLE: dict[str, Any] = tomllib.loads((Path(__file__).parent / "access.toml").read_text("utf-8"))
EXPECTED = {
    route: {k: v for k, v in group.items() if k != "routes"}
    for group in TABLE.values()
    for route in group["routes"]
}
TOKEN = "t" * 40
OpenServer = Callable[..., AbstractAsyncContextManager[Staffed]]


async def asked(staffed: Staffed, who: str, method: str, pattern: str) -> str:
    """What becomes of a request to a route: "yes", "sign-in" or "role"."""
    path = pattern.format(
        id=staffed.quote if "quotes" in pattern else staffed.conversation,
        path="totals.net_cost", secret="nothing", kind="message", number="999", name="clerk", file="1", send="1",
    )  # fmt: skip
    headers: dict[str, str] = {}
    form = {"role": "none", "password": "short", "kind": "customer", "value": "Nobody", "name": "x"}
    if who == "program":
        headers["Authorization"] = f"Bearer {TOKEN}"
    elif who in {"clerk", "manager", "owner"}:
        secret = await staffed.session(who)  # type: ignore[arg-type]
        headers |= carrying(secret)
        form["mark"] = form_mark(secret)
    body: dict[str, Any] = {}
    if method == "POST":
        body = {"json": {"message_id": "x"}} if pattern.startswith("/api/") else {"data": form}
    async with staffed.client.request(method, path, headers=headers, allow_redirects=False, **body) as answer:
        if answer.status == 401 or answer.headers.get("Location", "").startswith("/staff/sign-in"):
            return "yes" if pattern == "/staff/sign-out" else "sign-in"
        if pattern == "/staff/sign-in":
            return "yes"
        if answer.status == 403:
            return "role"
        assert answer.status < 500, await answer.text()
        return "yes"


async def test_every_route_is_in_the_table_of_this_test(staffed: Staffed) -> None:
    assert staffed.client.app is not None
    served = {f"{method} {pattern}" for method, pattern in routes_of(staffed.client.app)}

    assert served == EXPECTED.keys()
    assert {f"{method} {pattern}" for method, pattern in ACCESS} == served


@pytest.mark.parametrize("who", ["anybody", "chatter", "program", "clerk", "manager", "owner"])
async def test_everybody_gets_at_every_route_what_the_table_says(
    staffed_server: OpenServer, who: str
) -> None:
    async with staffed_server(open_chat=who == "chatter", api_token=TOKEN) as staffed:
        outcomes = {
            route: await asked(staffed, who, *route.split(" ", 1)) for route in EXPECTED if route != "GET /ws"
        }
        async with staffed.client.get("/ws", headers={"Authorization": f"Bearer {TOKEN}"} if who == "program" else
                                      carrying(await staffed.session(who)) if who in {"clerk", "manager", "owner"} else {}) as answer:  # type: ignore[arg-type]  # fmt: skip
            # Not a handshake, so what is let through is told so.
            outcomes["GET /ws"] = "sign-in" if answer.status == 401 else "yes"

    assert outcomes == {route: expected[who] for route, expected in EXPECTED.items()}


def test_a_route_that_nobody_listed_stops_the_start() -> None:
    async def forgotten(request: web.Request) -> web.Response:
        return web.Response()

    app = web.Application()
    app.router.add_get("/forgotten", forgotten)

    with pytest.raises(RuntimeError, match="/forgotten"):
        check_all_listed(app)


async def test_a_token_that_is_not_the_token_opens_nothing(staffed_server: OpenServer) -> None:
    async with staffed_server(api_token=TOKEN) as staffed:
        for given in (
            "",
            "Bearer",
            "Bearer ",
            f"Bearer {TOKEN[:-1]}",
            f"Bearer {TOKEN}x",
            f"Basic {TOKEN}",
            TOKEN,
            "Bearer \u00e9",
        ):
            async with staffed.client.get(
                f"/api/quotes/{staffed.quote}", headers={"Authorization": given}
            ) as answer:
                assert answer.status == 401


async def test_without_a_token_set_no_token_opens_anything(staffed: Staffed) -> None:
    for given in ("Bearer None", "Bearer ", "Bearer"):
        async with staffed.client.get(
            f"/api/quotes/{staffed.quote}", headers={"Authorization": given}
        ) as answer:
            assert answer.status == 401


# Others' quotes


async def test_a_link_shows_its_quote_and_tells_no_id_that_would_open_more(staffed: Staffed) -> None:
    secret = await staffed.link()
    async with staffed.client.get(f"/q/{secret}") as answer:
        body = await answer.text()

        assert answer.status == 200
        assert answer.headers["Cache-Control"] == "no-store"
    assert "DUNLIN/05P" in body
    assert "licensed electrician" in body
    for hidden in (staffed.quote, staffed.conversation, staffed.message_ids[0], "wallpacks at 20 ft for"):
        assert hidden not in body


async def test_a_link_opens_its_own_quote_and_nothing_else(staffed: Staffed) -> None:
    other = await staffed.say("8 troffers 4 lamp t8")
    secret = await staffed.link(other["quote_id"])

    for path in (
        f"/q/{staffed.quote}", f"/q/{staffed.conversation}", f"/q/{kept_form(secret)}", f"/q/{secret[:-1]}", f"/q/{secret}x",
        f"/q/{secret.swapcase()}", "/q/%00", "/q/..%2fstaff", "/q/" + "x" * 900,
    ):  # fmt: skip
        async with staffed.client.get(path, allow_redirects=False) as answer:
            assert answer.status == 404, path
    for path in (f"/api/quotes/{secret}", f"/api/conversations/{secret}", f"/api/quotes/{other['quote_id']}"):
        async with staffed.client.get(path, headers={"Authorization": f"Bearer {secret}"}) as answer:
            assert answer.status == 401, path


async def test_a_link_that_ran_out_or_was_closed_shows_nothing(staffed: Staffed) -> None:
    ran_out, closed = await staffed.link(days=-0.001), await staffed.link()
    # Both were made within one tick of the clock, so only their ends tell them apart.
    name = await staffed.write(
        lambda roll: max(roll.links(staffed.quote), key=lambda each: each.expires_at).id
    )
    await staffed.send(f"/staff/links/{name}/close", "clerk")

    pages = []
    for secret in (ran_out, closed, "never-made"):
        async with staffed.client.get(f"/q/{secret}") as answer:
            assert answer.status == 404
            pages.append(await answer.text())
    # One page for all three: nobody learns which links there were.
    assert len(set(pages)) == 1
    assert "DUNLIN" not in pages[0]


async def test_a_links_quote_can_be_saved_as_pdf_as_long_as_it_comes_out_as_it_was(staffed: Staffed) -> None:
    secret, ran_out = await staffed.link(), await staffed.link(days=-0.001)
    async with staffed.client.get(f"/q/{secret}") as answer:
        assert f'href="/q/{secret}/pdf"' in await answer.text()
    async with staffed.client.get(f"/q/{secret}/pdf") as answer:
        data = await answer.read()
        assert answer.content_type == "application/pdf"
        assert answer.headers["Content-Disposition"] == 'attachment; filename="lighting quote.pdf"'
    text = text_of_pdf(data)

    assert "DUNLIN/05P" in text
    assert "$2,490" in text
    for hidden in (staffed.quote, staffed.conversation, staffed.message_ids[0]):
        assert hidden not in text
    assert staffed.client.app is not None
    with staffed.client.app[STORE].transaction() as session:
        session.connection.run("update quotes set catalogue = 'another'")
    for path in (f"/q/{secret}/pdf", f"/q/{ran_out}/pdf", "/q/never-made/pdf"):
        async with staffed.client.get(path) as answer:
            assert answer.status == 404, path
    async with staffed.client.get(f"/q/{secret}") as answer:
        assert "/pdf" not in await answer.text()


async def test_of_a_link_only_its_hash_is_kept(staffed: Staffed) -> None:
    _, body = await staffed.send(f"/staff/quotes/{staffed.quote}/links", "clerk")
    secret = body.partition("/q/")[2].partition('"')[0]
    async with staffed.client.get(f"/q/{secret}") as answer:
        assert answer.status == 200
    _, again = await staffed.page(f"/staff/quotes/{staffed.quote}", "clerk")

    assert len(secret) >= 43  # 256 bits
    assert secret not in again
    for file in staffed.settings.data_folder.iterdir():
        assert secret.encode() not in file.read_bytes()


async def test_with_the_chat_open_a_customer_reads_by_id_and_guesses_nothing(
    staffed_server: OpenServer,
) -> None:
    async with staffed_server(open_chat=True) as staffed:
        async with staffed.client.get(f"/api/quotes/{staffed.quote}") as answer:
            assert answer.status == 200
        for wrong in (
            staffed.conversation,
            staffed.quote[:-1],
            staffed.quote.upper(),
            "1",
            "%",
            "_" * 26,
            "' or 1=1 --",
        ):
            async with staffed.client.get(f"/api/quotes/{wrong}") as answer:
                assert answer.status == 404
            async with staffed.client.get(
                "/api/conversations/" + wrong.replace(staffed.conversation, staffed.quote)
            ) as answer:
                assert answer.status == 404
