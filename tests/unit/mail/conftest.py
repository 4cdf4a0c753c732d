from dataclasses import replace

import pytest

from bot.mail.desk import MailDesk
from tests.corpus.mail.score import desk as corpus_desk


@pytest.fixture(scope="session")
def desk() -> MailDesk:
    return corpus_desk()


@pytest.fixture(scope="session")
def whole_desk(desk: MailDesk) -> MailDesk:
    """The desk as it comes: with the quote as PDF."""
    return replace(desk, with_pdf=True)
