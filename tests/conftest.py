"""What all tests share: the demo catalogue and the reference tables, loaded once, and steady hypothesis runs."""

from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from bot.assistant import Assistant
    from engine.catalog.catalogue import Catalogue
    from engine.tables import Tables

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
