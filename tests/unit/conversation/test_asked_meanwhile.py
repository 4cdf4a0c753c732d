"""Nearly every reply asks something, and most messages pass over it: they are read as if nothing had been asked.

What answers and says more besides is one message that does both, and one step for whoever undoes it.
"""

import json
from pathlib import Path
from typing import Any

import pytest

from bot.conversation import EMPTY, State, read_turn

JOB = "12 400w MH shoeboxes on 25 ft poles, and 6 100w hps wall packs at 12 ft"
CASES: list[dict[str, Any]] = [
    json.loads(line)
    for line in (Path(__file__).parent / "asked_meanwhile.jsonl").read_text("utf-8").splitlines()
]


def said(state: State) -> dict[str, Any]:
    """Slot path -> value of the job that is talked about."""
    parts = [("job", state.job.slots), *((f"lines.{n}", line.slots) for n, line in enumerate(state.lines))]
    return {f"{part}.{slot}": held.value for part, slots in parts for slot, held in slots.items()}


def talked(*turns: tuple[str, str | None]) -> State:
    state = read_turn(EMPTY, JOB, 0)[0]
    for number, (text, asked) in enumerate(turns, 1):
        state = read_turn(state, text, number, asked)[0]
    return state


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['asked']}: {case['text']}")
def test_a_message_answers_or_passes_over_what_was_asked(case: dict[str, Any]) -> None:
    got = said(talked((case["text"], case["asked"])))
    wanted = said(talked(*((text, asked) for text, asked in case.get("like", [])))) | case.get("sets", {})
    assert got == wanted or (not case.get("like") and {k: got.get(k) for k in wanted} == wanted)


@pytest.mark.parametrize(
    "case", [case for case in CASES if "sets" in case and "like" in case], ids=lambda case: case["text"]
)
def test_an_answer_with_more_behind_it_is_one_step_back(case: dict[str, Any]) -> None:
    assert said(talked((case["text"], case["asked"]), ("undo", None))) == said(talked())


@pytest.mark.parametrize(
    "case", [case for case in CASES if "sets" in case and "like" in case], ids=lambda case: case["text"]
)
def test_marks_stand_where_the_words_were_sent(case: dict[str, Any]) -> None:
    text = case["text"]
    _, reading = read_turn(talked(), text, 1, case["asked"])
    for span in reading.spans.values():
        turn, start, end = span
        if turn == 1:
            assert text[start:end].strip() != ""
