"""What all tests share: the demo catalogue and the reference tables, loaded once, and steady hypothesis runs."""

import gc
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from bot.assistant import Assistant
    from engine.catalog.catalogue import Catalogue
    from engine.tables import Tables
    from tests.postgres import Cluster

# The same examples every run, and no verdict that hangs on how busy the machine is.
settings.register_profile("wattclerk", derandomize=True, deadline=None, max_examples=60)
# --hypothesis-profile=long: what a night is for; see tests/examples.py.
settings.register_profile("long", derandomize=True, deadline=None, max_examples=400)
settings.load_profile("wattclerk")

# Files that take longest, or wait most: begun first, so that no worker is left with one of them at the end.
FIRST = (
    "system/test_faults.py",
    "system/test_mail_watcher.py",
    "system/test_chat_page.py",
    "system/security/test_described.py",
    "system/security/test_bounds.py",
    "system/security/test_sign_in.py",
    "system/test_sending.py",
    "system/test_store_commands.py",
    "unit/machine_code/test_machine_code.py",
    "system/test_commands.py",
    "unit/store/test_inbox.py",
    "unit/grammar/test_read_back.py",
    "corpus/test_corpus.py",
    "reference/test_number_words.py",
    "unit/mail/test_mail_corpus.py",
)


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Workers take the files of `FIRST` before all others, which keep their order."""
    if hasattr(config, "workerinput"):
        folder = Path(__file__).parent
        place = {folder / name: number for number, name in enumerate(FIRST)}
        items.sort(key=lambda item: place.get(item.path, len(FIRST)))


def pytest_collection_finish() -> None:
    """What was imported for ten thousand tests stays: the collector need not look through it again and again."""
    gc.collect()
    gc.freeze()


@pytest.fixture(scope="session")
def assistant() -> "Assistant":
    """The assistant over the demo catalogue and the program's own tables."""
    from bot.opening import open_assistant

    return open_assistant()


@pytest.fixture(scope="session")
def catalogue(assistant: "Assistant") -> "Catalogue":
    return assistant.catalogue


@pytest.fixture(scope="session")
def tables(assistant: "Assistant") -> "Tables":
    return assistant.tables


@pytest.fixture(scope="session")
def postgres() -> "Iterator[Cluster]":
    """A private PostgreSQL server; without PostgreSQL its tests are left out, and the summary says so."""
    from tests.postgres import Cluster, postgres_programs

    programs = postgres_programs()
    if programs is None:
        pytest.skip("no PostgreSQL on this machine: the shared store was not tried")
    cluster = Cluster(programs)
    yield cluster
    cluster.close()
