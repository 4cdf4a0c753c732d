"""Composed messages are read back as they were composed; see `compose` for the grammar."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.reading import read_first
from tests.corpus.scoring import score_turn
from tests.examples import tried
from tests.fuzz.target import check_reading
from tests.unit.grammar.compose import (
    LANGUAGES,
    Composed,
    corrected,
    messages,
    one_sentence,
    tube_luminaires,
    with_noise,
)


def wrong(composed: Composed) -> list[str]:
    """What is not read as it was composed; one line a slot."""
    reading = read_first(composed.text)
    check_reading(composed.text, reading)
    shown = reading.as_json()
    gold = {"job": composed.job, "lines": composed.lines}
    faults = [
        f"{s.path}: read {s.read!r}, composed {s.gold!r}"
        for s in score_turn(gold, shown)
        if s.outcome != "right"
    ]
    if len(shown["lines"]) != len(composed.lines):
        faults.append(f"{len(shown['lines'])} lines read, {len(composed.lines)} composed")
    if shown["intent"] != "quote":
        faults.append(f"intent {shown['intent']}")
    return faults


def read_back(composed: st.SearchStrategy[Composed]) -> None:
    """Every example of ``composed`` is read back whole."""

    @settings(max_examples=tried(80, 250), deadline=None, derandomize=True)
    @given(composed)
    def holds(message: Composed) -> None:
        assert wrong(message) == [], message.text

    holds()


@pytest.mark.parametrize("language", sorted(LANGUAGES))
@pytest.mark.parametrize(
    ("lines", "attributes", "job"),
    [(1, 0, 0), (1, 4, 0), (1, 1, 3), (2, 2, 1), (4, 2, 1)],
    ids=["count lamp noun", "attributes", "what holds for the job", "two lines", "four lines"],
)  # fmt: skip
def test_a_composed_message_is_read_back(language: str, lines: int, attributes: int, job: int) -> None:
    read_back(messages(LANGUAGES[language], lines=lines, most=attributes, job_most=job))


def test_tube_luminaires_are_read_back() -> None:
    read_back(tube_luminaires())


def test_a_corrected_count_is_read_as_corrected() -> None:
    read_back(corrected())


def test_two_types_in_one_sentence_are_read_back() -> None:
    read_back(one_sentence())


def test_numbers_that_are_none_of_our_business_stay_out() -> None:
    read_back(with_noise())
