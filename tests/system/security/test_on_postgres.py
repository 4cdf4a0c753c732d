"""The staff's pages over the store that several servers share: signing in on one server holds on the other."""

from collections.abc import Callable

from aiohttp.test_utils import TestClient, TestServer

from bot.app import build_app
from bot.settings import Settings
from tests.postgres import Cluster
from tests.system.security.conftest import PASSWORD, Staffed, add_staff, carrying
from tests.system.security.test_sign_in import sign_in


async def test_who_signed_in_on_one_server_is_known_to_the_other(
    make_settings: Callable[..., Settings], postgres: Cluster
) -> None:
    settings = make_settings(database=postgres.new_database())
    add_staff(settings)
    async with (
        TestClient(TestServer(build_app(settings))) as one,
        TestClient(TestServer(build_app(settings))) as two,
    ):
        _, _, cookies = await sign_in(one, "owner", PASSWORD)
        headers = carrying(cookies["wattclerk-session"])
        here, there = Staffed(one, settings), Staffed(two, settings)
        turn = await here.say()
        async with two.get("/staff", headers=headers) as answer:
            assert answer.status == 200
            assert "Lopez Bakery" in await answer.text()
        link = await there.link(turn["quote_id"])
        async with one.get(f"/q/{link}") as answer:
            assert answer.status == 200
            assert "DUNLIN" in await answer.text()
        _, table = await there.page("/staff/quotes.csv", "manager")
        assert turn["quote_id"] in table
        status, page = await there.send(
            "/staff/person/erase", kind="customer", value="lopez bakery", sure="yes"
        )
        assert status == 200
        assert "Erased" in page
        async with one.get(f"/q/{link}") as answer:
            assert answer.status == 404
        status, page = await here.page(f"/staff/quotes/{turn['quote_id']}")
        assert status == 200
        assert "$4,061" in page or "4061.00" in page
        assert "Lopez" not in page
        for client in (one, two):
            async with client.get("/readyz") as answer:
                assert answer.status == 200
            async with client.get("/metrics") as answer:
                assert "wattclerk_inbox" in await answer.text()
        async with one.post("/staff/sign-out", headers=headers, data={"mark": "x"}) as answer:
            assert answer.status == 403
