"""What all tests share: the demo catalogue and the reference tables, loaded once, and steady hypothesis runs."""

from collections.abc import Iterator
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
settings.load_profile("wattclerk")


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
