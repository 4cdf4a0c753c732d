"""Both stores, empty, for tests that hold for either."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from bot.contents import Versions
from bot.settings import Settings
from bot.store.opened import open_store
from bot.store.protocol import Store
from bot.store.records import DraftQuote, packed

VERSIONS = Versions("program", "catalogue", "tables", "terms")


@pytest.fixture(params=["sqlite", "postgres"])
def store_settings(request: pytest.FixtureRequest, tmp_path: Path) -> Settings:
    database = None
    if request.param == "postgres":
        database = request.getfixturevalue("postgres").emptied_database()
    return Settings(data_folder=tmp_path / "data", database=database, messages_per_minute=0)


@pytest.fixture
def opened(store_settings: Settings) -> Iterator[Callable[[], Store]]:
    """Opens the same store, any number of times."""
    stores: list[Store] = []

    def one() -> Store:
        stores.append(open_store(store_settings))
        return stores[-1]

    yield one
    for each in stores:
        each.close()


@pytest.fixture
def store(opened: Callable[[], Store]) -> Store:
    """A store that is served."""
    one = opened()
    one.serve()
    return one


def draft(digest: str = "a", goes_on: bool = True, versions: Versions = VERSIONS) -> DraftQuote:
    body = {"request": {}, "reading": {"intent": "quote"}, "quote": {"digest": digest}, "figures": {}}
    return DraftQuote("en", versions, digest, packed(body), goes_on)
