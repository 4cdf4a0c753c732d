"""Slots set by pressing."""

from typing import Any

import pytest

from bot.conversation import reading_of
from bot.conversation.pressed import NotChangeable, press
from bot.reading.message import Message, Said
from tests.unit.conversation.messages import (
    PACKS_AND_POLES,
    UNDO,
    after,
    changes,
    doubted,
    job_values,
    only,
    states,
    the,
)


def test_a_pressed_slot_is_set_without_a_place_in_any_text() -> None:
    state = press(after(PACKS_AND_POLES), [("lines.1.voltage", 480), ("job.rate_per_kwh", 0.11)])
    assert (only(state, "voltage"), job_values(state)) == ([None, 480], {"rate_per_kwh": 0.11})
    assert "lines.1.voltage" not in reading_of(state, Message("revise"), 1).spans


def test_pressing_settles_a_doubt() -> None:
    state = after(states(qty=6, source=Said("MH", 0, 3, others=("HPS",))))
    assert doubted(press(state, [("lines.0.source", "MH")])) == {}


def test_pressing_for_every_line_and_taking_back() -> None:
    state = press(after(PACKS_AND_POLES), [("lines.*.voltage", 277)])
    assert only(state, "voltage") == [277, 277]
    assert only(press(state, [("lines.0.voltage", None)]), "voltage") == [None, 277]


def test_all_that_is_pressed_at_once_is_undone_at_once() -> None:
    before = after(PACKS_AND_POLES)
    state = press(before, [("lines.0.voltage", 277), ("lines.1.voltage", 480), ("job.po", "4471")])
    assert after(UNDO, start=state).now == before.now


def test_pressing_what_is_there_already_is_no_change_to_undo() -> None:
    state = after(PACKS_AND_POLES, changes(the("area"), voltage=480))
    assert press(state, [("lines.1.voltage", 480)]).history == state.history


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("lines.2.voltage", 277), ("lines.0.colour", "red"), ("lines.0.qty", 0), ("voltage", 277), ("job.voltage", 277), ("", 1),
        ("lines.-1.qty", 1), ("job.rate_per_kwh", 11), ("lines.0.controls", ["fire"]), ("lines.²0.qty", 1),
    ],
)  # fmt: skip
def test_what_cant_be_pressed_is_refused(path: str, value: Any) -> None:
    with pytest.raises(NotChangeable):
        press(after(PACKS_AND_POLES), [("lines.0.cct_k", 4000), (path, value)])
