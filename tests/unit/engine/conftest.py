"""The demo catalogue and the packaged tables, loaded once."""

from pathlib import Path

import pytest

from engine.catalog.catalogue import Catalogue
from engine.catalog.loader import load_catalogue
from engine.tables.tables import Tables, load_tables

DEMO = Path(__file__).parents[3] / "catalog_demo"


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    return load_catalogue(DEMO)


@pytest.fixture(scope="session")
def tables() -> Tables:
    return load_tables()
