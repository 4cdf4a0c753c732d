"""Signing in and out: who gets a session, what it is worth, when it ends; and who can start a server that others reach."""

import asyncio
from collections.abc import Callable
from contextlib import AbstractAsyncContextManager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from aiohttp import WSMsgType
from aiohttp.test_utils import TestClient, TestServer

from bot.app import build_app
from bot.channels.access import GATE
from bot.settings import Settings
from bot.staff.gate import TRIES_BY_ACCOUNT, TRIES_BY_ADDRESS, form_mark
from bot.staff.passwords import hashed, matches
from bot.staff.roll import Roll
from bot.staff.secrets import kept_form
from bot.store.opened import open_store
from engine.errors import ConfigurationError
from tests.system.conftest import Client, Outcome
from tests.system.security.conftest import PASSWORD, Staffed, add_staff, carrying

OpenServer = Callable[..., AbstractAsyncContextManager[Staffed]]


async def sign_in(
    client: Client, name: str, password: str, **headers: str
) -> tuple[int, str, dict[str, str]]:
    """Through the form, as a browser does; status, page and the cookies that came."""
    async with client.get("/staff/sign-in", headers=headers) as answer:
        key = answer.cookies["wattclerk-form"].value
    sent = {"name": name, "password": password, "mark": form_mark(key)}
    cookies = "; ".join(filter(None, [headers.pop("Cookie", ""), f"wattclerk-form={key}"]))
    client.session.cookie_jar.clear()
    async with client.post(
        "/staff/sign-in", data=sent, headers=headers | {"Cookie": cookies}, allow_redirects=False
    ) as answer:
        found = {name: morsel.value for name, morsel in answer.cookies.items()}
        text = await answer.text()
    client.session.cookie_jar.clear()
    return answer.status, text, found


async def test_the_right_password_begins_a_session_and_a_wrong_one_does_not(staffed: Staffed) -> None:
    status, _, cookies = await sign_in(staffed.client, "owner", PASSWORD)
    wrong, page, none = await sign_in(staffed.client, "owner", PASSWORD + "x")
    nobody, same_page, _ = await sign_in(staffed.client, "nobody", PASSWORD)

    assert status == 303
    async with staffed.client.get("/staff", headers=carrying(cookies["wattclerk-session"])) as answer:
        assert answer.status == 200
    assert (wrong, nobody) == (403, 403)
    assert "wattclerk-session" not in none
    # Nothing tells which names there are.
    assert (
        page.replace('value="owner"', "").split("mark")[0]
        == same_page.replace('value="nobody"', "").split("mark")[0]
    )


async def test_a_session_from_before_the_sign_in_is_worth_nothing_after_it(staffed: Staffed) -> None:
    planted = "planted-by-somebody-else-0123456789abcdef"
    _, _, cookies = await sign_in(staffed.client, "clerk", PASSWORD, Cookie=f"wattclerk-session={planted}")
    _, _, again = await sign_in(staffed.client, "clerk", PASSWORD, **carrying("x"))

    assert planted not in cookies.values()
    assert cookies["wattclerk-session"] != again["wattclerk-session"]
    async with staffed.client.get("/staff", headers=carrying(planted), allow_redirects=False) as answer:
        assert answer.status == 303


async def test_signing_in_again_ends_the_session_that_the_browser_had(staffed: Staffed) -> None:
    before = await staffed.session("clerk")
    async with staffed.client.get(
        "/staff/sign-in", headers=carrying(before), allow_redirects=False
    ) as answer:
        assert answer.headers["Location"] == "/staff"
    key = "k" * 43
    form = {"name": "clerk", "password": PASSWORD, "mark": form_mark(key)}
    cookie = {"Cookie": f"wattclerk-session={before}; wattclerk-form={key}"}
    async with staffed.client.post(
        "/staff/sign-in", data=form, headers=cookie, allow_redirects=False
    ) as answer:
        assert answer.status == 303

    assert await staffed.write(lambda roll: roll.session(kept_form(before))) is None


async def test_a_session_cookie_is_out_of_reach_of_scripts_and_other_sites(staffed: Staffed) -> None:
    key = "k" * 43
    form = {"name": "clerk", "password": PASSWORD, "mark": form_mark(key)}
    async with staffed.client.post(
        "/staff/sign-in", data=form, headers={"Cookie": f"wattclerk-form={key}"}, allow_redirects=False
    ) as answer:
        cookie = next(v for v in answer.headers.getall("Set-Cookie") if v.startswith("wattclerk-session"))

    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    assert "Path=/" in cookie
    assert "Domain" not in cookie


async def test_of_a_session_and_a_password_only_hashes_are_kept(staffed: Staffed) -> None:
    _, _, cookies = await sign_in(staffed.client, "owner", PASSWORD)

    for file in staffed.settings.data_folder.iterdir():
        body = file.read_bytes()
        assert cookies["wattclerk-session"].encode() not in body
        assert PASSWORD.encode() not in body
    assert (await staffed.write(lambda roll: roll.account("owner"))).password.startswith("$argon2id$")


async def test_signing_out_ends_the_session_and_not_only_the_cookie(staffed: Staffed) -> None:
    secret = await staffed.session("clerk")
    form = {"mark": form_mark(secret)}
    async with staffed.client.post(
        "/staff/sign-out", data=form, headers=carrying(secret), allow_redirects=False
    ) as answer:
        assert answer.status == 303
    async with staffed.client.get("/staff", headers=carrying(secret), allow_redirects=False) as answer:
        assert answer.headers["Location"] == "/staff/sign-in"


@pytest.mark.parametrize(
    ("idle", "whole", "alive"),
    [(59, 0, True), (61, 0, False), (0, 11.9, True), (0, 12.1, False)],
    ids=["used lately", "idle too long", "not yet old", "too old"],
)
async def test_a_session_ends_when_it_is_idle_or_old(
    make_settings: Callable[..., Settings], idle: float, whole: float, alive: bool
) -> None:
    now = [datetime(2026, 5, 1, 8, tzinfo=UTC)]
    settings = make_settings()
    add_staff(settings)
    async with TestClient(TestServer(build_app(settings, lambda: now[0]))) as client:
        _, _, cookies = await sign_in(client, "clerk", PASSWORD)
        headers, passed = carrying(cookies["wattclerk-session"]), 0.0
        while passed < whole * 60:
            step = min(50.0, whole * 60 - passed)
            now[0] += timedelta(minutes=step)
            passed += step
            async with client.get("/staff", headers=headers, allow_redirects=False) as answer:
                status = answer.status
        now[0] += timedelta(minutes=idle)
        async with client.get("/staff", headers=headers, allow_redirects=False) as answer:
            status = answer.status

    assert (status == 200) is alive


async def test_passwords_are_tried_a_few_times_by_account_and_by_address(staffed: Staffed) -> None:
    by_account = [
        (await sign_in(staffed.client, "owner", "wrong and wrong again"))[0]
        for _ in range(TRIES_BY_ACCOUNT + 1)
    ]
    right = (await sign_in(staffed.client, "owner", PASSWORD))[0]
    by_address = [
        (await sign_in(staffed.client, f"name{n}", "wrong and wrong again"))[0]
        for n in range(TRIES_BY_ADDRESS)
    ]

    assert by_account == [403] * TRIES_BY_ACCOUNT + [429]
    assert right == 429
    assert by_address[-1] == 429
    assert by_address[0] == 403


async def test_a_flood_of_sign_ins_is_turned_away_and_not_piled_up(
    staffed: Staffed, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert staffed.client.app is not None
    gate = staffed.client.app[GATE]
    for pace in (gate._by_account, gate._by_address):
        monkeypatch.setattr(pace, "_per_minute", 0)
    statuses = await asyncio.gather(*(sign_in_quickly(staffed, f"name{n}") for n in range(30)))

    assert statuses.count(429) >= 10
    assert set(statuses) == {403, 429}


async def sign_in_quickly(staffed: Staffed, name: str) -> int:
    key = "k" * 43
    form = {"name": name, "password": "wrong and wrong again", "mark": form_mark(key)}
    async with staffed.client.post(
        "/staff/sign-in", data=form, headers={"Cookie": f"wattclerk-form={key}"}
    ) as answer:
        return answer.status


@pytest.mark.parametrize(
    "to",
    [
        "https://elsewhere.example.com/",
        "//elsewhere.example.com",
        "/\\elsewhere",
        "javascript:alert(1)",
        "staff/../x",
    ],
)
async def test_a_sign_in_leads_nowhere_but_to_our_own_pages(staffed: Staffed, to: str) -> None:
    key = "k" * 43
    form = {"name": "clerk", "password": PASSWORD, "mark": form_mark(key), "to": to}
    async with staffed.client.post(
        "/staff/sign-in", data=form, headers={"Cookie": f"wattclerk-form={key}"}, allow_redirects=False
    ) as answer:
        assert answer.headers["Location"] == "/staff"
    async with staffed.client.get("/staff/sign-in", params={"to": to}) as answer:
        assert "elsewhere" not in await answer.text()


# Forms of other sites


@pytest.mark.parametrize("mark", ["", "0" * 64, "other"])
async def test_a_form_without_the_mark_of_its_session_changes_nothing(staffed: Staffed, mark: str) -> None:
    secret = await staffed.session("owner")
    form = {"mark": form_mark(await staffed.session("owner")) if mark == "other" else mark}
    async with staffed.client.post(
        f"/staff/quotes/{staffed.quote}/links", data=form, headers=carrying(secret)
    ) as answer:
        assert answer.status == 403
    assert await staffed.write(lambda roll: roll.links(staffed.quote)) == []


@pytest.mark.parametrize("origin", ["https://elsewhere.example.com", "null", "http://127.0.0.1.example.com"])
async def test_a_form_from_another_origin_changes_nothing(staffed: Staffed, origin: str) -> None:
    secret = await staffed.session("owner")
    form = {"mark": form_mark(secret)}
    headers = carrying(secret) | {"Origin": origin}
    async with staffed.client.post(
        f"/staff/quotes/{staffed.quote}/links", data=form, headers=headers
    ) as answer:
        assert answer.status == 403
    assert await staffed.write(lambda roll: roll.links(staffed.quote)) == []


async def test_nothing_changes_by_following_a_link(staffed: Staffed) -> None:
    assert staffed.client.app is not None
    for path in (
        f"/staff/quotes/{staffed.quote}/links",
        "/staff/sign-out",
        "/staff/person/erase",
        "/staff/accounts/clerk/remove",
    ):
        status, _ = await staffed.page(path)
        assert status == 405


# The chat behind the sign-in


async def test_a_socket_ends_with_the_session_that_opened_it(staffed: Staffed) -> None:
    secret = await staffed.session("clerk")
    async with staffed.client.ws_connect("/ws", headers=carrying(secret)) as socket:
        await socket.send_json({"type": "join"})
        assert (await socket.receive_json())["type"] == "joined"
        await staffed.write(lambda roll: roll.end_session(kept_form(secret)))
        await socket.send_json({"type": "join", "conversation": staffed.conversation})
        frame = await socket.receive()

    assert frame.type is WSMsgType.CLOSE
    assert frame.data == 1008


async def test_the_demo_is_open_until_somebody_can_sign_in(make_settings: Callable[..., Settings]) -> None:
    settings = make_settings()
    async with TestClient(TestServer(build_app(settings))) as client:
        async with client.get("/", allow_redirects=False) as answer:
            assert answer.status == 200
        async with client.get("/staff/sign-in") as answer:
            assert "wattclerk staff add" in await answer.text()
        add_staff(settings)
        assert client.app is not None
        client.app[GATE]._looked = float("-inf")
        async with client.get("/", allow_redirects=False) as answer:
            assert answer.headers["Location"] == "/staff/sign-in?to=chat"
        store = open_store(settings)
        with store.transaction() as session:
            for name in ("clerk", "manager", "owner"):
                Roll(session.connection).remove(name)
        store.close()
        client.app[GATE]._looked = float("-inf")
        async with client.get("/", allow_redirects=False) as answer:
            # Taking the last account away opens nothing while the server runs.
            assert answer.status == 303


@pytest.mark.parametrize(
    "wide",
    [
        {"host": "0.0.0.0"},  # noqa: S104  the case at hand
        {"host": "::"},
        {"origins": ("https://quotes.example.com",)},
        {"proxies": ("10.0.0.7",)},
    ],
)
def test_a_server_that_others_reach_does_not_start_without_somebody_who_can_sign_in(
    make_settings: Callable[..., Settings], wide: dict[str, Any]
) -> None:
    with pytest.raises(ConfigurationError, match="wattclerk staff add") as refusal:
        build_app(make_settings(**wide))

    assert "\n" not in str(refusal.value)


def test_the_refusal_is_one_line_at_the_command_too(refusal_of: Callable[..., Outcome]) -> None:
    outcome = refusal_of("serve", "--host", "0.0.0.0", "--port", "0")  # noqa: S104

    assert outcome.status == 1
    assert len(outcome.error_lines) == 1
    assert "staff add" in outcome.err


# Behind a reverse proxy


PROXIED: dict[str, Any] = {
    "proxies": ("127.0.0.1",), "proxy_user_header": "Remote-User", "origins": ("https://quotes.example.com",),
}  # fmt: skip
VIA = {"Host": "quotes.example.com", "X-Forwarded-For": "203.0.113.9", "X-Forwarded-Proto": "https"}


async def test_who_the_named_proxy_signed_in_is_let_in_with_the_role_of_the_account(
    staffed_server: OpenServer,
) -> None:
    async with staffed_server(talk=False, **PROXIED) as staffed:
        outcomes = {}
        for name in ("owner", "clerk", "nobody", "", "owner, clerk", "../owner"):
            async with staffed.client.get(
                "/staff/accounts", headers=VIA | {"Remote-User": name}, allow_redirects=False
            ) as answer:
                outcomes[name] = answer.status

    assert outcomes == {
        "owner": 200,
        "clerk": 403,
        "nobody": 303,
        "": 303,
        "owner, clerk": 303,
        "../owner": 303,
    }


async def test_nobody_else_can_name_who_has_signed_in(staffed_server: OpenServer) -> None:
    elsewhere = PROXIED | {"proxies": ("10.0.0.7",)}
    async with (
        staffed_server(talk=False, **elsewhere) as staffed,
        staffed.client.get("/staff", headers=VIA | {"Remote-User": "owner"}, allow_redirects=False) as answer,
    ):
        assert answer.status == 303


async def test_a_form_of_somebody_whom_the_proxy_signed_in_needs_its_mark(staffed_server: OpenServer) -> None:
    async with staffed_server(talk=False, **PROXIED) as staffed:
        who = VIA | {"Remote-User": "owner"}
        async with staffed.client.get("/staff/person", headers=who) as answer:
            key = answer.cookies["__Host-wattclerk-form"].value
            page = await answer.text()
        assert form_mark(key) in page
        form = {"kind": "customer", "value": "Nobody"}
        async with staffed.client.post("/staff/person", data=form, headers=who) as answer:
            assert answer.status == 403
        marked = form | {"mark": form_mark(key)}
        async with staffed.client.post(
            "/staff/person", data=marked, headers=who | {"Cookie": f"__Host-wattclerk-form={key}"}
        ) as answer:
            assert answer.status == 200


async def test_over_tls_cookies_are_for_tls_only_and_browsers_are_told_to_stay(
    staffed_server: OpenServer,
) -> None:
    async with staffed_server(
        talk=False, proxies=("127.0.0.1",), origins=("https://quotes.example.com",)
    ) as staffed:
        async with staffed.client.get("/staff/sign-in", headers=VIA) as answer:
            cookie = answer.headers["Set-Cookie"]
            assert answer.headers["Strict-Transport-Security"].startswith("max-age=")
        assert cookie.startswith("__Host-")
        assert "Secure" in cookie
        async with staffed.client.get("/staff/sign-in", headers={"Host": "quotes.example.com"}) as answer:
            # Not over TLS: no password field, and nothing to make a browser insist on TLS.
            assert "Strict-Transport-Security" not in answer.headers
            assert 'type="password"' not in await answer.text()


# Passwords and accounts


@pytest.mark.parametrize("easy", ["short", "aaaaaaaaaaaaaaaa", "maria maria maria", "x" * 300])
def test_an_easy_password_is_refused_without_being_repeated(easy: str) -> None:
    with pytest.raises(Exception, match="password") as refusal:
        hashed(easy, "maria")

    assert easy not in str(refusal.value)


def test_a_password_is_checked_whatever_the_keyboard_makes_of_its_letters() -> None:
    kept = hashed("contrase\u00f1a con muchas letras", "maria")

    assert matches(kept, "contrasen\u0303a con muchas letras")
    assert not matches(kept, "contrasena con muchas letras")
    assert not matches(None, "contrasena con muchas letras")
    assert not matches("no hash at all", "contrasena con muchas letras")


def test_accounts_are_made_and_changed_at_the_command_line(
    refusal_of: Callable[..., Outcome], tmp_path: Path
) -> None:
    words = b"four words in a row\n"
    made = refusal_of("staff", "add", "Maria.Lopez", "--role", "owner", stdin=words)
    twice = refusal_of("staff", "add", "maria.lopez", "--role", "clerk", stdin=words)
    last = refusal_of("staff", "role", "maria.lopez", "--role", "clerk")
    listed = refusal_of("staff", "list")
    nothing = refusal_of("staff", "password", "maria.lopez")

    assert made.status == 0
    assert twice.status == 1
    assert last.status == 1
    assert "only owner" in last.err
    assert listed.out.startswith("maria.lopez\towner\tpassword\t")
    assert nothing.status == 1
    for outcome in (made, twice, last, listed, nothing):
        assert "four words" not in outcome.out + outcome.err
        assert len(outcome.error_lines) <= 1
    for file in (tmp_path / "data").iterdir():
        assert b"four words" not in file.read_bytes()


async def test_an_owner_makes_changes_and_removes_accounts(staffed: Staffed) -> None:
    steps = [
        await staffed.send(
            "/staff/accounts", name="new.person", role="clerk", password="six words in a row now"
        ),
        await staffed.send("/staff/accounts/new.person/role", role="manager"),
        await staffed.send("/staff/accounts/new.person/password", password="seven words in a row here"),
        await staffed.send("/staff/accounts/owner/remove", sure="yes"),
        await staffed.send("/staff/accounts/owner/role", role="clerk"),
        await staffed.send("/staff/accounts", name="<b>", role="clerk", password="six words in a row now"),
        await staffed.send("/staff/accounts/new.person/remove", sure="yes"),
    ]

    assert [status for status, _ in steps] == [200, 200, 200, 422, 422, 422, 200]
    assert "only owner" in steps[3][1]
    assert "<b>" not in steps[5][1]
    acts = [act.act for act in await staffed.write(lambda roll: roll.acts())]
    assert acts[:4] == ["account_removed", "account_password", "account_role", "account_added"]


async def test_a_new_password_signs_the_account_out_everywhere(staffed: Staffed) -> None:
    secret = await staffed.session("clerk")
    await staffed.send("/staff/accounts/clerk/password", password="seven words in a row here")

    async with staffed.client.get("/staff", headers=carrying(secret), allow_redirects=False) as answer:
        assert answer.status == 303


@pytest.mark.parametrize(
    ("host", "proto", "may"),
    [
        ("quotes.example.com", "https", True),
        ("quotes.example.com", "http", False),
        ("quotes.example.com:8080", "http", False),
        # The browser's own machine: a trial behind a proxy, a tunnel.
        ("localhost:8080", "http", True),
        ("127.0.0.1", "http", True),
    ],
)
async def test_a_password_is_asked_for_only_where_it_travels_unseen(
    staffed_server: OpenServer, host: str, proto: str, may: bool
) -> None:
    async with staffed_server(
        talk=False, proxies=("127.0.0.1",), origins=("https://quotes.example.com",)
    ) as staffed:
        headers = {"Host": host, "X-Forwarded-Proto": proto, "X-Forwarded-For": "203.0.113.9"}
        async with staffed.client.get("/staff/sign-in", headers=headers) as answer:
            assert ('type="password"' in await answer.text()) is may
        staffed.client.session.cookie_jar.clear()
        key = "k" * 43
        name = "__Host-wattclerk-form" if proto == "https" else "wattclerk-form"
        form = {"name": "clerk", "password": PASSWORD, "mark": form_mark(key)}
        sent = headers | {"Cookie": f"{name}={key}"}
        async with staffed.client.post(
            "/staff/sign-in", data=form, headers=sent, allow_redirects=False
        ) as answer:
            assert answer.status == (303 if may else 403)
