"""The demo's mailbox: the invented messages of a folder, answered once, for a page that needs no mail server."""

import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Final

from bot.assistant import Assistant
from bot.mail.desk import Answer, MailDesk
from bot.mail.headers import Address
from bot.opening import DEMO_CATALOGUE

DEMO_MAILBOX: Final = DEMO_CATALOGUE / "mailbox"
DEMO_DESK: Final = Address("Oxbow & Tansy Electrical Supply", "quotes@example.org")
MOST_MESSAGES: Final = 200


@dataclass(slots=True)
class Mailbox:
    """A folder of messages with what became of each. They are answered when they are first looked at.

    Attributes:
        folder: of ``.eml`` files; their names, without the ending, name the messages.
        assistant: answers them.
        now: the drafts' date.
    """

    folder: Path
    assistant: Assistant
    now: Callable[[], datetime]
    _answers: dict[str, Answer] = field(default_factory=dict)
    _answering: threading.Lock = field(default_factory=threading.Lock)

    def answers(self) -> Mapping[str, Answer]:
        """Every message's answer by its name, in the order of the names. May be called from any thread."""
        with self._answering:
            if not self._answers:
                desk = MailDesk(self.assistant, (DEMO_DESK,))
                at = self.now()
                for path in sorted(self.folder.glob("*.eml"))[:MOST_MESSAGES]:
                    self._answers[path.stem] = desk.answer(path.read_bytes(), at)
            return self._answers
