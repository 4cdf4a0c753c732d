"""Small talk leaves a job alone wherever it stands in a talk; a count that is told does not pass for small talk."""

from pathlib import Path

import pytest

from bot.conversation import EMPTY, State, read_turn

FOLDER = Path(__file__).parent
TALKS = (
    ("20 high bays 400w mh", "make it 24", "at 30 ft"),
    ("9 strips 8 foot 2 lamp T12, 11 cents", "also 4 exit signs", "the strips are 12"),
    ("north lot 12 shoeboxes 400 mh, south lot 8 wallpacks 250 mh at 20 ft", "north ones 480", "go ahead"),
)


def lines_of(name: str) -> list[str]:
    """The lines of a data file without the comments."""
    lines = (FOLDER / name).read_text(encoding="utf-8").splitlines()
    return [line for line in lines if line and not line.startswith("#")]


def state_after(texts: tuple[str, ...]) -> State:
    """The state after these turns."""
    state = EMPTY
    for turn, text in enumerate(texts):
        state, _ = read_turn(state, text, turn)
    return state


def shown(state: State) -> tuple[object, ...]:
    """What a state holds, without where it was said."""
    lines = [{slot: held.value for slot, held in line.slots.items()} for line in state.job.lines]
    return lines, {slot: held.value for slot, held in state.job.slots.items()}


@pytest.mark.parametrize("chatter", lines_of("small_talk.txt"))
def test_small_talk_changes_nothing_wherever_it_stands(chatter: str) -> None:
    talk = TALKS[len(chatter) % len(TALKS)]
    plain = shown(state_after(talk))
    for at in range(1, len(talk) + 1):
        assert shown(state_after((*talk[:at], chatter, *talk[at:]))) == plain


@pytest.mark.parametrize("chatter", lines_of("small_talk.txt")[::4])
def test_what_is_said_beside_small_talk_is_still_read(chatter: str) -> None:
    job = "20 high bays 400w mh"
    assert shown(state_after((job, f"{chatter}. anyway make it 14"))) == shown(
        state_after((job, "make it 14"))
    )


@pytest.mark.parametrize("told", lines_of("told_counts.txt"))
def test_a_count_that_is_told_is_taken(told: str) -> None:
    state = state_after(("20 high bays 400w mh", told))
    assert [line.slots["qty"].value for line in state.job.lines] == [14]
