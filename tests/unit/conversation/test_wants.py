"""What a message behind a described job wants, and that mere talk leaves the job as it is."""

from pathlib import Path

import pytest

from bot.conversation import EMPTY, read_turn
from bot.conversation.fold import STILL

FILE = Path(__file__).with_name("wants.txt")
JOBS = (
    "12 wallpacks 150 hps at 15 ft, 11 cents",
    "10 area lights 1000 MH, 35 ft poles and 6 floods 400 mh",
)


def wants() -> list[tuple[str, str]]:
    """(intent, message) of each line."""
    lines = FILE.read_text(encoding="utf-8").splitlines()
    return [(intent, text) for intent, _, text in (line.partition(" | ") for line in lines) if text]


@pytest.mark.parametrize("job", JOBS)
@pytest.mark.parametrize(("intent", "text"), wants())
def test_a_message_wants_what_it_says(job: str, intent: str, text: str) -> None:
    before, _ = read_turn(EMPTY, job, 0)
    after, reading = read_turn(before, text, 1)
    assert reading.intent == intent
    if intent in STILL:
        assert after.now.same_as(before.now)
    if intent == "revise":
        assert not after.now.same_as(before.now)
