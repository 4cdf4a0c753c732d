"""What is said of whole jobs: undo, start over, a new job, back to an earlier one."""

from pathlib import Path

import pytest

from bot.reading import read_message

ROWS = [
    tuple(line.split(" | ", 1))
    for line in Path(__file__).with_name("commands.txt").read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("#")
]


@pytest.mark.parametrize(("command", "text"), ROWS)
def test_a_command_is_heard_and_nothing_else_is_one(command: str, text: str) -> None:
    assert (read_message(text, in_conversation=True).command or "none") == command
