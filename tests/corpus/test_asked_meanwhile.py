"""The corpus' talks with a question asked before every turn, as the product asks one: who passes over it is read as in the talk without.

The talks were written without questions but where somebody answers one, so that on their own they say nothing of all the
messages that come while a question is open.
"""

from zlib import crc32

import pytest

from bot.conversation import EMPTY, State, read_turn
from tests.corpus.records import Part, part_of, records
from tests.examples import tried

QUESTIONS = (
    "job.labor_per_luminaire",
    "job.rate_per_kwh",
    "job.place",
    "job.schedule",
    "lines.0.voltage",
    "lines.0.height_ft",
    "lines.0.source",
    "lines.0.lamps",
    "lines.0.watts",
)
MOST_READ_OTHERWISE = 0.01
"""A bare number is an answer where it can be one: "ok measured, 22" was a height without a question, and is a rate behind one."""


def read_otherwise(part: Part, questions: int, one_in: int = 1) -> tuple[int, int]:
    """How many turns were read with a question before them, and how many of them left another job than without."""
    turns = otherwise = 0
    for record in records():
        if (
            part_of(record["id"]) != part
            or len(record["turns"]) == 1
            or crc32(record["id"].encode()) % one_in
        ):
            continue
        state = EMPTY
        for number, turn in enumerate(record["turns"]):
            text, asked = turn["text"], turn.get("asked")
            after, _ = read_turn(state, text, number, asked)
            if number and asked is None and after.lines:
                first = crc32(f"{record['id']} {number}".encode())
                for question in range(questions):
                    meanwhile, _ = read_turn(
                        state, text, number, QUESTIONS[(first + question) % len(QUESTIONS)]
                    )
                    turns += 1
                    otherwise += not _same(after, meanwhile)
            state = after
    return turns, otherwise


def _same(one: State, other: State) -> bool:
    return len(one.now.jobs) == len(other.now.jobs) and one.job.same_as(other.job)


@pytest.mark.parametrize("part", ["tuning", "final"])
def test_a_question_that_nobody_answers_changes_no_reading(part: Part) -> None:
    one_in = tried(4, 1) if part == "tuning" else 1
    turns, otherwise = read_otherwise(part, tried(1, len(QUESTIONS)), one_in)
    assert turns >= 300
    assert otherwise / turns <= MOST_READ_OTHERWISE
