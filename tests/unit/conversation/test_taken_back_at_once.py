"""What a message takes back of itself, and what a talk takes back: every slot and nothing else."""

import json
from pathlib import Path
from typing import Any

import pytest

from bot.conversation import EMPTY, read_turn, read_turns

HERE = Path(__file__).parent
CASES = [
    json.loads(line)
    for line in (HERE / "taken_back_at_once.jsonl").read_text(encoding="utf-8").splitlines()
    if line
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["turns"][-1][-60:])
def test_what_is_taken_back_is_gone_and_what_stands_instead_is_there(case: dict[str, Any]) -> None:
    reading = read_turns([(text, None) for text in case["turns"]])[-1].as_json()
    assert reading["job"] == case["job"]
    assert reading["lines"] == case["lines"]


def test_places_lie_in_the_whole_text() -> None:
    text = "10 high bays 400 mh, 6 exit signs. Scratch the exit signs, make the high bays 12, 60 hours a week, sorry 50"
    state, reading = read_turn(EMPTY, text, 0)
    for slot, (turn, start, end) in reading.spans.items():
        assert turn == 0, slot
        assert 0 <= start < end <= len(text), slot
    assert text[slice(*reading.spans["job.schedule"][1:])] == "50"
    assert len(state.history) == 1


def test_a_second_thought_is_no_change_to_be_undone() -> None:
    readings = read_turns(
        [("10 wallpacks 150 hps, 6 floods 400 mh. scratch the floods", None), ("undo", None)]
    )
    assert readings[0].lines != ()
    assert readings[1].lines == ()


@pytest.mark.parametrize(
    ("text", "path"),
    [
        ("18 floods 400 mh, 3 flag pole lights 150 mh. Ignore the flag pole lights.", "lines.1.qty"),
        ("12 wall packs with photocells, actually without", "lines.0.controls"),
    ],
)
def test_what_is_open_is_in_doubt(text: str, path: str) -> None:
    assert path in [doubt.path for doubt in read_turns([(text, None)])[0].doubts]
