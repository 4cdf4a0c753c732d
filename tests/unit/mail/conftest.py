import pytest

from bot.mail.desk import MailDesk
from tests.corpus.mail.score import desk as corpus_desk


@pytest.fixture(scope="session")
def desk() -> MailDesk:
    return corpus_desk()
