"""The commands about what is kept, and a server with answering processes, as processes of their own, on both stores."""

import asyncio
import json
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from aiohttp import ClientSession

from bot.settings import Settings
from bot.store.opened import open_store
from bot.store.records import Message
from tests.system.conftest import Outcome, Served, serving

FIRST = "twelve 250W wallpacks at 20 ft, $0.11/kWh, dusk-to-dawn"
Run = Callable[..., Outcome]


@pytest.fixture(params=["sqlite", "postgres"])
def kept_in(request: pytest.FixtureRequest) -> dict[str, str]:
    """The environment that names the store."""
    if request.param == "sqlite":
        return {}
    return {"WATTCLERK_DATABASE": request.getfixturevalue("postgres").new_database()}


@pytest.fixture
def start(tmp_path: Path, kept_in: dict[str, str]) -> Iterator[Callable[..., Served]]:
    yield from serving(tmp_path, kept_in)


def children_of(pid: int) -> list[int]:
    return [int(child) for child in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


def lives(pid: int) -> bool:
    """Whether the process goes on; one that nobody has waited for is dead all the same."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


def settings_of(folder: Path, environ: dict[str, str]) -> Settings:
    return Settings(data_folder=folder / "data", database=environ.get("WATTCLERK_DATABASE"))


async def post(session: ClientSession, served: Served, number: int, text: str, **more: Any) -> dict[str, Any]:
    message = {"message_id": f"message-{number:016d}", "text": text} | more
    async with session.post(f"{served.address}/api/messages", json=message) as answer:
        assert answer.status == 200, await answer.text()
        turn: dict[str, Any] = await answer.json()
        return turn


async def test_a_server_with_answering_processes_answers_stops_well_and_leaves_nothing_behind(
    start: Callable[..., Served],
) -> None:
    served = start("--workers", "2")
    children = children_of(served.process.pid)
    async with ClientSession() as session:
        first = await post(session, served, 0, FIRST)
        second = await post(session, served, 1, "make it 14", conversation=first["conversation"])
    status = served.stop()

    assert second["reading"]["lines"][0]["qty"] == 14
    assert status == 0
    assert children
    async with asyncio.timeout(10):
        while any(lives(pid) for pid in children):  # noqa: ASYNC110  nothing tells of another process's end
            await asyncio.sleep(0.05)


async def test_servers_on_one_database_need_no_sticky_sessions(tmp_path: Path, postgres: Any) -> None:
    environ = {"WATTCLERK_DATABASE": postgres.new_database()}
    starting = serving(tmp_path, environ)
    start = next(starting)
    servers = [start(), start()]
    async with ClientSession() as session:
        talk = (await post(session, servers[0], 0, "12 wallpacks 250w"))["conversation"]
        for number in range(1, 5):
            turn = await post(
                session, servers[number % 2], number, f"make it {number + 20}", conversation=talk
            )
            assert turn["turn"] == number
        async with session.ws_connect(f"{servers[1].address}/ws") as socket:
            await socket.send_json({"type": "join", "conversation": talk})
            joined = await socket.receive_json()
    assert [turn["turn"] for turn in joined["turns"]] == [0, 1, 2, 3, 4]
    next(starting, None)


def test_a_second_server_on_one_file_is_refused_in_one_line(
    serve: Callable[..., Served], wattclerk: Run
) -> None:
    serve()
    outcome = wattclerk("serve", "--port", "0")

    assert outcome.status == 1
    assert len(outcome.error_lines) == 1
    assert "another server" in outcome.err


async def test_a_backup_is_taken_while_the_server_works(
    start: Callable[..., Served],
    wattclerk: Run,
    wattclerk_afresh: Run,
    kept_in: dict[str, str],
    tmp_path: Path,
) -> None:
    served = start()
    async with ClientSession() as session:
        first = await post(session, served, 0, FIRST)
    copy = tmp_path / "copy"
    outcome = wattclerk_afresh("backup", str(copy), **kept_in)

    assert outcome.status == 0, outcome.err
    assert copy.stat().st_mode & 0o077 == 0
    assert "copied" in outcome.out
    if not kept_in:
        with closing(sqlite3.connect(copy)) as database:
            kept = database.execute("select conversation, text from messages").fetchall()
        assert kept == [(first["conversation"], FIRST)]
    assert wattclerk("backup", str(tmp_path / "no" / "copy"), **kept_in).status == 1


def test_a_kept_quote_is_made_again_and_revised(
    refusal_of: Run, kept_in: dict[str, str], tmp_path: Path
) -> None:
    name = refusal_of("quote", "--save", FIRST, **kept_in).err.split()[2].rstrip(";")
    again = refusal_of("recompute", name, **kept_in)
    same = refusal_of("requote", name, **kept_in)
    (tmp_path / "terms.toml").write_text("sales_tax_share = 0.07\n")
    taxed = refusal_of("requote", name, "--terms", "terms.toml", **kept_in)
    revision = taxed.out.split()[8]

    assert (again.status, same.status, taxed.status) == (0, 0, 0)
    assert "byte for byte" in again.out
    assert "nothing to revise" in same.out
    assert taxed.out.startswith(f"revision 2 of quote {name} is kept as ")
    assert "project_cost" in taxed.out
    assert refusal_of("recompute", revision, **kept_in).status == 0
    assert json.loads(refusal_of("recompute", "--json", name, **kept_in).out)["totals"]["qty"] == 12


def test_what_is_set_aside_is_listed_and_run_again(
    refusal_of: Run, kept_in: dict[str, str], tmp_path: Path
) -> None:
    settings = settings_of(tmp_path, kept_in)
    with closing(open_store(settings)) as store:
        store.serve()
        with store.transaction() as session:
            receipt = session.accept(Message("m1", "twelve"), "2026-01-31T09:05:00.000Z", "talk", 200)
            assert receipt.work is not None
            session.put_back(receipt.work, "the program failed (KeyError)", None, "2026-01-31T09:05:00.000Z")
    listed = refusal_of("aside", **kept_in)
    unknown = refusal_of("aside", "--again", "m99", **kept_in)
    again = refusal_of("aside", "--again", "m1", **kept_in)
    nothing = refusal_of("aside", **kept_in)

    assert "m1" in listed.out
    assert "the program failed (KeyError)" in listed.out
    assert unknown.status == 1
    assert "m99" in unknown.err
    assert again.status == 0
    assert nothing.out == "nothing is set aside\n"


@pytest.mark.parametrize("command", [("backup", "copy"), ("aside",), ("recompute", "x"), ("requote", "x")])
def test_where_nothing_is_kept_asking_makes_nothing(
    refusal_of: Run, command: tuple[str, ...], tmp_path: Path
) -> None:
    outcome = refusal_of(*command)

    assert outcome.status == 1
    assert "nothing is kept" in outcome.err
    assert not (tmp_path / "data").exists()
