"""The durable path without the answering: every message gets the same made-up answer, of an answer's usual size.

python -m tests.bench.path_alone PORT FOLDER
"""

import sys
from dataclasses import replace
from pathlib import Path

from aiohttp import web

import bot.app
from bot.answering import Answered, Before, Outcome, Question, answered
from bot.settings import Settings
from bot.store.catalogue import Served
from tests.bench.load import talk_of


class MadeUp:
    """Answers at once."""

    def __init__(self, served: Served) -> None:
        outcome = answered(served.assistant, served.versions, Question(Before(), talk_of(0)[0]))
        assert isinstance(outcome, Answered)
        self._outcome = outcome
        self._count = 0

    async def answer(self, question: Question) -> Outcome:
        """The made-up answer, its quote another one every time."""
        self._count += 1
        assert self._outcome.quote is not None
        return replace(self._outcome, quote=replace(self._outcome.quote, digest=str(self._count)))

    def is_behind(self) -> bool:
        """Never: nobody waits."""
        return False

    def close(self) -> None:
        """Nothing to end."""


def main() -> None:
    port, folder = int(sys.argv[1]), Path(sys.argv[2])
    bot.app._answerers = lambda settings, served: MadeUp(served)
    app = bot.app.build_app(Settings(data_folder=folder, messages_per_minute=0))
    web.run_app(app, host="127.0.0.1", port=port, access_log=None, print=None)


if __name__ == "__main__":
    main()
