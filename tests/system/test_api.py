"""The JSON API on a real server: one message, one answer, kept before it is sent; and its own description of itself."""

import json
import sqlite3
import zlib
from collections.abc import Callable
from contextlib import closing
from typing import Any

import jsonschema
import pytest
from aiohttp.test_utils import TestClient, TestServer

from bot.app import SETTINGS, STORE, build_app
from bot.channels.page import FILES
from bot.schemas import schema_named
from bot.settings import Settings
from tests.system.conftest import Client

FIRST = "twelve 250W wallpacks at 20 ft, $0.11/kWh, dusk-to-dawn"
IDS = [f"message-{n:016d}" for n in range(100)]


async def post(client: Client, **message: Any) -> tuple[int, dict[str, Any]]:
    async with client.post("/api/messages", json=message) as answer:
        return answer.status, await answer.json()


async def get(client: Client, path: str) -> tuple[int, dict[str, Any]]:
    async with client.get(path) as answer:
        return answer.status, await answer.json()


async def test_a_message_is_answered_with_a_turn_as_described(client: Client) -> None:
    status, turn = await post(client, message_id=IDS[0], text=FIRST)

    assert status == 200
    jsonschema.validate(turn, schema_named("turn"))
    assert turn["reading"]["lines"][0]["qty"] == 12
    assert turn["answer"]["card"]["kind"] == "quote"
    assert "LED" in turn["answer"]["text"]


async def test_a_quote_is_kept_with_its_turn(client: Client) -> None:
    _, turn = await post(client, message_id=IDS[0], text=FIRST)
    status, kept = await get(client, f"/api/quotes/{turn['quote_id']}")

    assert status == 200
    jsonschema.validate(kept["quote"], schema_named("quote"))
    assert kept["request"]["lines"][0]["qty"] == 12


async def test_every_figure_of_a_quote_can_be_opened_down_to_its_origins(client: Client) -> None:
    _, turn = await post(client, message_id=IDS[0], text=FIRST)
    base = f"/api/quotes/{turn['quote_id']}/figures"
    _, listed = await get(client, base)

    assert "totals.simple_payback_years" in listed["figures"]
    for path in listed["figures"]:
        status, opened = await get(client, f"{base}/{path}")
        steps = opened["figure"]["steps"]
        assert status == 200
        assert all(("origin" in step) != ("formula" in step) for step in steps)
        for number, step in enumerate(steps):
            assert all(each < number for each in step.get("inputs", []))


async def test_the_card_points_only_to_figures_that_can_be_opened(client: Client) -> None:
    _, turn = await post(client, message_id=IDS[0], text=FIRST)
    card = turn["answer"]["card"]
    paths = [total["figure"] for total in card["totals"]]
    for line in card["lines"]:
        paths.append(line["existing_figure"])
        paths += [path for option in line["options"] for path in option["figures"].values()]

    assert len(paths) > 15
    for path in paths:
        assert (await get(client, f"/api/quotes/{turn['quote_id']}/figures/{path}"))[0] == 200, path


async def test_the_same_message_id_is_answered_once(client: Client) -> None:
    first = await post(client, message_id=IDS[0], text=FIRST)
    again = await post(client, message_id=IDS[0], text=FIRST)
    inside = await post(client, message_id=IDS[0], text=FIRST, conversation=first[1]["conversation"])

    assert again == first
    assert inside == first
    assert len((await get(client, f"/api/conversations/{first[1]['conversation']}"))[1]["turns"]) == 1


async def test_a_message_id_used_for_another_text_is_refused(client: Client) -> None:
    await post(client, message_id=IDS[0], text=FIRST)
    status, error = await post(client, message_id=IDS[0], text="8 floods")

    assert status == 409
    assert "message id" in error["error"]


async def test_a_conversation_goes_on_and_can_be_fetched_whole(client: Client) -> None:
    _, first = await post(client, message_id=IDS[0], text="12 wallpacks 250w")
    talk = first["conversation"]
    _, second = await post(client, message_id=IDS[1], text="make it 14", conversation=talk)
    _, whole = await get(client, f"/api/conversations/{talk}")

    assert second["turn"] == 1
    assert second["reading"]["lines"][0]["qty"] == 14
    assert whole["turns"] == [first, second]


async def test_a_pressed_slot_changes_the_quote_and_can_be_undone(client: Client) -> None:
    _, first = await post(client, message_id=IDS[0], text="12 wallpacks 250w")
    talk = first["conversation"]
    changes = [{"path": "job.rate_per_kwh", "value": 0.31}, {"path": "lines.*.source", "value": "HPS"}]
    _, pressed = await post(client, message_id=IDS[1], text="rate 0.31", changes=changes, conversation=talk)
    _, undone = await post(client, message_id=IDS[2], text="undo", conversation=talk)

    assert pressed["reading"]["job"] == {"rate_per_kwh": 0.31}
    assert pressed["reading"]["lines"][0]["source"] == "HPS"
    assert pressed["reading"]["spans"].keys() == first["reading"]["spans"].keys()
    assert pressed["answer"]["card"]["money"]["saved"] != first["answer"]["card"]["money"]["saved"]
    assert undone["reading"]["job"] == {}
    assert undone["reading"]["lines"] == first["reading"]["lines"]


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("job.rate_per_kwh", 11),
        ("job.rate_per_kwh", "much"),
        ("job.nonsense", 1),
        ("lines.7.qty", 3),
        ("lines.0.qty", 0),
        ("lines.0.source", "XYZ"),
        ("lines.0.place", "here"),
        ("nonsense", 1),
    ],
)
async def test_a_pressed_slot_that_cannot_be_is_refused_and_nothing_is_kept(
    client: Client, path: str, value: object
) -> None:
    _, first = await post(client, message_id=IDS[0], text="12 wallpacks 250w")
    talk = first["conversation"]
    status, error = await post(
        client, message_id=IDS[1], text="x", changes=[{"path": path, "value": value}], conversation=talk
    )

    assert status == 422
    assert "\n" not in error["error"]
    assert len((await get(client, f"/api/conversations/{talk}"))[1]["turns"]) == 1


async def test_what_was_acknowledged_is_there_after_a_restart(make_settings: Callable[..., Settings]) -> None:
    async with TestClient(TestServer(build_app(make_settings()))) as before:
        _, first = await post(before, message_id=IDS[0], text="12 wallpacks 250w")
        _, second = await post(
            before, message_id=IDS[1], text="make it 14", conversation=first["conversation"]
        )
    async with TestClient(TestServer(build_app(make_settings()))) as after:
        _, whole = await get(after, f"/api/conversations/{first['conversation']}")
        again = await post(after, message_id=IDS[1], text="make it 14", conversation=first["conversation"])
        _, undone = await post(after, message_id=IDS[2], text="undo", conversation=first["conversation"])

    assert whole["turns"] == [first, second]
    assert again == (200, second)
    assert undone["reading"]["lines"][0]["qty"] == 12


async def test_a_state_from_an_older_version_is_folded_again_from_the_messages(
    make_settings: Callable[..., Settings],
) -> None:
    async with TestClient(TestServer(build_app(make_settings()))) as before:
        _, first = await post(before, message_id=IDS[0], text="12 wallpacks 250w")
        await post(before, message_id=IDS[1], text="make it 14", conversation=first["conversation"])
    with sqlite3.connect(make_settings().sqlite_file) as database:
        database.execute("update conversations set state = '{}'")
    database.close()
    async with TestClient(TestServer(build_app(make_settings()))) as after:
        _, undone = await post(after, message_id=IDS[2], text="undo", conversation=first["conversation"])

    assert undone["reading"]["lines"][0]["qty"] == 12


async def test_a_message_whose_quote_cannot_be_kept_leaves_nothing_behind(client: Client) -> None:
    _, first = await post(client, message_id=IDS[0], text="12 wallpacks 250w")
    assert client.app is not None
    store = client.app[STORE]
    store.database.execute(
        "create trigger full before insert on outbox begin select raise(abort, 'disk is full'); end"
    )
    status, _ = await post(client, message_id=IDS[1], text="make it 14", conversation=first["conversation"])
    quotes = store.database.execute("select count(*) from quotes").fetchone()[0]
    store.database.execute("drop trigger full")
    retried = await post(client, message_id=IDS[1], text="make it 14", conversation=first["conversation"])

    assert status in {500, 503}
    assert quotes == 1
    assert retried[0] == 200
    assert retried[1]["turn"] == 1


async def test_money_is_stored_as_text_and_never_as_a_float(client: Client) -> None:
    await post(client, message_id=IDS[0], text=FIRST)
    assert client.app is not None
    with closing(sqlite3.connect(client.app[SETTINGS].sqlite_file)) as database:
        figures = json.loads(zlib.decompress(database.execute("select body from quotes").fetchone()[0]))[
            "figures"
        ]
        root = database.execute("select root from catalogues").fetchone()[0]
        pieces = {h: zlib.decompress(b) for h, b in database.execute("select hash, body from pieces")}
    products = [row for part in json.loads(pieces[root])["products"] for row in json.loads(pieces[part])]
    units = [formula[1] for formula in figures["formulas"]]
    prices = [
        value
        for name, value, *rest in figures["rows"]
        if (units[name] if isinstance(name, int) else rest[0]) == "USD"
    ]

    assert len(products) > 300
    assert all(isinstance(row["net_price"], str) for row in products)
    assert prices
    assert all(isinstance(value, str | int) for value in prices)


async def test_the_catalogue_is_imported_once_and_served_from_the_store(
    make_settings: Callable[..., Settings], monkeypatch: pytest.MonkeyPatch
) -> None:
    async with TestClient(TestServer(build_app(make_settings()))) as first:
        _, before = await get(first, "/healthz")

    def refuse(path: object) -> None:
        raise AssertionError("the sheets were read again though they had not changed")

    monkeypatch.setattr("bot.store.catalogue.open_catalogue", refuse)
    async with TestClient(TestServer(build_app(make_settings()))) as second:
        _, after = await get(second, "/healthz")

    assert after == before
    assert before["status"] == "ok"


@pytest.mark.parametrize(
    "path",
    [
        "/api/conversations/nope",
        "/api/quotes/nope",
        "/api/quotes/nope/figures",
        "/api/quotes/n/figures/x",
        "/x",
    ],
)
async def test_what_is_not_there_is_a_404_in_one_line(client: Client, path: str) -> None:
    status, error = await get(client, path)

    assert status == 404
    assert "\n" not in error["error"]


async def test_a_figure_that_a_quote_has_not_is_a_404(client: Client) -> None:
    _, turn = await post(client, message_id=IDS[0], text=FIRST)

    assert (await get(client, f"/api/quotes/{turn['quote_id']}/figures/totals.nonsense"))[0] == 404


async def test_the_openapi_document_is_valid_and_names_every_route(client: Client) -> None:
    from openapi_spec_validator import OpenAPIV31SpecValidator

    _, document = await get(client, "/openapi.json")
    OpenAPIV31SpecValidator(document).validate()
    assert client.app is not None
    served = {
        (route.method.lower(), resource.canonical)
        for resource in client.app.router.resources()
        for route in resource
        if route.method != "HEAD" and resource.canonical not in {*FILES, "/ws"}
    }

    assert document["openapi"].startswith("3.1")
    assert served == {(method, path) for path, methods in document["paths"].items() for method in methods}


async def test_a_hazardous_place_is_answered_without_a_quote(client: Client) -> None:
    _, turn = await post(
        client, message_id=IDS[0], text="we have class 1 div 2 area with 6 150w hps, need led"
    )

    assert turn["quote_id"] is None
    assert turn["answer"]["card"]["is_stop"] is True
    assert "$" not in turn["answer"]["text"]


async def test_a_long_conversation_ends_with_one_line(make_settings: Callable[..., Settings]) -> None:
    async with TestClient(TestServer(build_app(make_settings(max_turns=2)))) as client:
        _, first = await post(client, message_id=IDS[0], text="hi")
        talk = first["conversation"]
        await post(client, message_id=IDS[1], text="12 wallpacks", conversation=talk)
        status, error = await post(client, message_id=IDS[2], text="250w", conversation=talk)

    assert status == 409
    assert "2 messages" in error["error"]
