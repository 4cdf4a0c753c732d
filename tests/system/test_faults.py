"""The short form of the fault runs; `python -m tests.system.faults` is the full one. Each prints what it counted (-s)."""

from pathlib import Path

import pytest

from bot.settings import Settings
from tests.postgres import Cluster
from tests.system import faults
from tests.system.faults import Counts


@pytest.fixture
def sqlite(tmp_path: Path) -> Settings:
    return Settings(data_folder=tmp_path / "data", messages_per_minute=0)


@pytest.fixture
def shared(tmp_path: Path, postgres: Cluster) -> Settings:
    return Settings(data_folder=tmp_path / "data", database=postgres.new_database(), messages_per_minute=0)


def clean(counts: Counts) -> None:
    print(counts)
    assert (counts.lost, counts.doubled, counts.misplaced) == (0, 0, 0), str(counts)
    assert counts.unsound == []
    assert counts.acknowledged > 0


async def test_a_server_killed_again_and_again_loses_and_doubles_nothing(sqlite: Settings) -> None:
    clean(await faults.kills(sqlite, 10))


async def test_servers_killed_in_turn_on_one_database_lose_and_double_nothing(shared: Settings) -> None:
    clean(await faults.kills(shared, 10, servers=2))


async def test_a_server_that_is_stopped_under_load_lets_go_of_nothing_unkept(sqlite: Settings) -> None:
    clean(await faults.kills(sqlite, 3, gently=True))


async def test_a_full_disk_loses_nothing(sqlite: Settings) -> None:
    clean(await faults.with_fault("full disk", sqlite, faults.full_disk))


async def test_a_locked_file_loses_nothing(sqlite: Settings) -> None:
    clean(await faults.with_fault("locked", sqlite, faults.locked_sqlite))


async def test_a_database_that_goes_down_in_mid_transaction_loses_nothing(
    shared: Settings, postgres: Cluster
) -> None:
    clean(await faults.with_fault("restart of the database", shared, faults.restarts(postgres, 1)))


async def test_connections_that_break_in_mid_transaction_lose_nothing(shared: Settings) -> None:
    clean(await faults.with_fault("connections ended", shared, faults.broken_connections(10)))


@pytest.mark.parametrize("store", ["sqlite", "shared"])
async def test_a_clock_that_jumps_back_changes_no_order(request: pytest.FixtureRequest, store: str) -> None:
    clean(await faults.clock_jumps(request.getfixturevalue(store), 3))


async def test_a_backup_under_load_restores_to_a_sound_store(sqlite: Settings, tmp_path: Path) -> None:
    clean(await faults.backup_under_load(sqlite, tmp_path, None))


async def test_an_archive_under_load_restores_to_a_sound_database(
    shared: Settings, tmp_path: Path, postgres: Cluster
) -> None:
    clean(await faults.backup_under_load(shared, tmp_path, postgres))
