"""What holds of every conversation, on messages made by chance."""

import json
import math
from functools import cache
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.conversation import EMPTY, State, fold, reading_of
from bot.conversation.fold import STILL
from bot.conversation.state import MOST_JOBS, MOST_UNDO, Held, JobState, Line, Snapshot
from bot.conversation.stored import StoredStateUnusable, state_as_json, state_from_json
from bot.reading.message import Message, Passage, Reply, Said, Scope
from tests.unit.conversation.messages import PACKS_AND_POLES, UNDO, after, changes, job, new_job, states

VALUES: dict[str, list[Any]] = {
    "qty": [1, 8, 8, 40, 0],
    "family": ["wall_pack", "area", "street", "troffer", "exit"],
    "source": ["MH", "PSMH", "HPS", "T8"],
    "watts": [150.0, 400, 9000.0],
    "height_ft": [12.0, 25],
    "voltage": [277, 480, "120-277"],
    "controls": [["photocell"], ["motion", "dimming"], ["none"]],
    "finish": ["bronze", "no such finish"],
    "dark_sky": [True],
    "size": ["2x4"],
}
JOB_VALUES: dict[str, list[Any]] = {
    "rate_per_kwh": [0.11, 0.132, 11],
    "schedule": ["dusk_to_dawn", {"hours_per_day": 12}, {"days_per_week": 6}, {"hours_per_year": 4000.0}],
    "place": [{"city": "Toledo"}, {"state": "OH"}, {"zip": "44114"}],
    "po": ["4471"],
}
FEW = settings(max_examples=60, deadline=None)
# Strategies are made once: making them anew at each draw takes longer than what is tried.
LABELS = st.sampled_from([(), (), ("north lot",), ("back building",), ("level 2",)])
PLACES = st.integers(0, 90).map(lambda start: (start, start + 4))
TRUTHS = st.booleans()
WEIGHTS = st.floats(0, 9)
WITHOUT = st.sampled_from([(), ("photocell",)])


def some_slots(values: dict[str, list[Any]]) -> st.SearchStrategy[dict[str, Said]]:
    """Up to four slots of ``values``, each with something said of it."""
    names = st.lists(st.sampled_from(sorted(values)), max_size=4, unique=True)
    said = {slot: st.sampled_from([*known, None]) for slot, known in values.items()}
    others = {slot: st.sampled_from([(), (), (known[0],)]) for slot, known in values.items()}
    instead = {slot: st.sampled_from([None, None, *known]) for slot, known in values.items()}

    @st.composite
    def drawn(draw: st.DrawFn) -> dict[str, Said]:
        found = {}
        for slot in draw(names):
            start, end = draw(PLACES)
            value = draw(said[slot])
            other = draw(others[slot])
            without = draw(WITHOUT) if slot == "controls" else ()
            instead_of = draw(instead[slot])
            found[slot] = Said(value, start, end, other, "why", draw(WEIGHTS), "rule", instead_of, without)
        return found

    return drawn()


LINE_SLOTS, JOB_SLOTS = some_slots(VALUES), some_slots(JOB_VALUES)
SCOPES = st.builds(
    lambda kind, place, families, source, watts, ordinal, labels, height_ft, lowest, singular: Scope(
        kind,
        *place,
        families=families,
        source=source,
        watts=watts,
        ordinal=ordinal,
        labels=labels,
        height_ft=height_ft,
        lowest=lowest,
        singular=singular,
    ),
    st.sampled_from(["family", "family", "ordinal", "all", "others", "that"]),
    PLACES,
    st.sampled_from([(), ("wall_pack",), ("area", "street"), ("strip",)]),
    st.sampled_from([None, None, "MH"]),
    st.sampled_from([None, None, 400.0]),
    st.sampled_from([None, 0, 1, -1, 9]),
    LABELS,
    st.sampled_from([None, None, 25.0]),
    st.sampled_from(["", "", "height_ft", "family"]),
    TRUTHS,
)
PASSAGES = st.lists(
    st.builds(
        Passage,
        st.sampled_from(["state", "state", "change", "change", "add", "remove", "copy"]),
        LINE_SLOTS,
        st.none() | SCOPES,
        LABELS,
        TRUTHS,
        st.sampled_from([(), ("voltage",)]),
    ),
    max_size=3,
).map(tuple)
COMMANDS = st.sampled_from([None, None, None, None, "undo", "start_over", "new_job", "previous_job"])
BUILDINGS = st.sampled_from([None, None, "school"])
ASKED = st.sampled_from(
    [
        None,
        "lines.0.voltage",
        "lines.*.dark_sky",
        "lines.5.qty",
        "job.place",
        "source",
        "",
        "lines..",
        "job.nothing",
    ]
)
REPLIES = st.none() | st.builds(
    Reply, st.sampled_from(["yes", "no", "unknown", "nth"]), st.just(0), st.just(3), st.integers(0, 2)
)
LANGUAGES = st.sampled_from(["en", "es"])
WHICH_JOBS = st.sampled_from([None, 0, 1, -1, 7])


@cache
def messages(
    intents: tuple[str, ...] = ("quote", "revise", "revise", "layout", "accept", "handoff"),
) -> st.SearchStrategy[Message]:
    return st.builds(
        Message,
        st.sampled_from(intents),
        PASSAGES,
        JOB_SLOTS,
        COMMANDS,
        building=BUILDINGS,
        asked=ASKED,
        reply=REPLIES,
        language=LANGUAGES,
        language_shown=TRUTHS,
        which_job=WHICH_JOBS,
    )


CONVERSATIONS = st.lists(messages(), max_size=6)


@FEW
@given(CONVERSATIONS, messages())
def test_undo_after_any_message_restores_exactly(earlier: list[Message], message: Message) -> None:
    before = after(*earlier)
    if message.command == "undo":
        return
    state = fold(before, message, len(earlier))
    if state.now.same_as(before.now):
        assert state.history == before.history
    else:
        undone = fold(state, UNDO, len(earlier) + 1)
        assert (undone.now, undone.history) == (before.now, before.history)


@FEW
@given(CONVERSATIONS)
def test_undoing_again_and_again_ends_at_the_beginning(conversation: list[Message]) -> None:
    state = after(*conversation)
    for _ in range(len(conversation) + 1):
        state = fold(state, UNDO, 9)
    assert state.history == ()
    assert state.now.same_as(EMPTY.now)


@FEW
@given(CONVERSATIONS)
def test_a_state_survives_being_stored(conversation: list[Message]) -> None:
    state = after(*conversation)
    stored = state_as_json(state)
    assert state_from_json(stored) == state
    assert state_as_json(state_from_json(stored)) == stored


@FEW
@given(CONVERSATIONS, messages(tuple(sorted(STILL))))
def test_what_asks_never_changes_the_state(earlier: list[Message], message: Message) -> None:
    before = after(*earlier)
    assert fold(before, message, len(earlier)) == before


@FEW
@given(CONVERSATIONS)
def test_folding_is_deterministic_and_leaves_what_it_was_given(conversation: list[Message]) -> None:
    once = after(*conversation)
    kept = state_as_json(once)
    assert after(*conversation) == once
    fold(once, PACKS_AND_POLES, 7)
    assert state_as_json(once) == kept


@FEW
@given(CONVERSATIONS, messages())
def test_every_state_is_a_reading_whose_paths_exist(earlier: list[Message], message: Message) -> None:
    reading = reading_of(after(*earlier, message), message, len(earlier))
    stated = {f"job.{slot}" for slot in reading.job.stated()}
    stated |= {f"lines.{i}.{slot}" for i, line in enumerate(reading.lines) for slot in line.stated()}
    assert reading.spans.keys() == stated
    assert {doubt.path for doubt in reading.doubts} <= stated
    assert 0.0 < reading.confidence <= 1.0
    json.dumps(reading.as_json(), allow_nan=False)


@FEW
@given(CONVERSATIONS, messages())
def test_nothing_that_is_said_is_lost(earlier: list[Message], message: Message) -> None:
    """Each slot of a stating passage is held by some line, or its words are handed back."""
    if message.command or message.reply:
        return
    before = after(*earlier)
    turn = len(earlier)
    state = fold(before, message, turn)
    spans = {held.span for line in state.lines for held in line.slots.values()} | set(state.unplaced)
    values = {(slot, held.value) for line in state.lines for slot, held in line.slots.items()}
    for number, passage in enumerate(message.passages):
        later = any(p.slots for p in message.passages[number + 1 :]) or any(
            p.action == "remove" for p in message.passages
        )
        if passage.action not in ("state", "change", "copy") or later:
            continue
        for slot, said in passage.slots.items():
            if said.value is not None and slot != "controls":
                assert (turn, said.start, said.end) in spans or (slot, said.value) in values


@settings(max_examples=5, deadline=None)
@given(st.integers(MOST_UNDO + 1, 3 * MOST_UNDO))
def test_the_history_is_bounded_and_long_enough(turns: int) -> None:
    state = after(PACKS_AND_POLES, *[changes(cct_k=2700 + n) for n in range(turns)])
    assert len(state.history) == MOST_UNDO >= 20
    for back in range(20):
        state = fold(state, UNDO, 0)
        assert state.lines[0].slots["cct_k"].value == 2700 + turns - 2 - back


def test_earlier_jobs_are_bounded_and_enough() -> None:
    state = after(*[new_job(states(qty=n, family="exit")) for n in range(1, 40)])
    assert len(state.now.jobs) == MOST_JOBS >= 11
    back = fold(state, Message("revise", command="previous_job", which_job=-11), 0)
    assert back.lines[0].slots["qty"].value == 29


def test_what_did_not_change_is_stored_once() -> None:
    state = after(PACKS_AND_POLES, *[job(rate_per_kwh=0.01 * n) for n in range(1, MOST_UNDO)])
    assert len(json.loads(state_as_json(state))["lines"]) == 2


def _broken(change: Any) -> str:
    stored = json.loads(state_as_json(after(PACKS_AND_POLES, changes(voltage=277))))
    change(stored)
    return json.dumps(stored)


@pytest.mark.parametrize(
    "change",
    [
        lambda s: s.clear(),
        lambda s: s.update(version=2),
        lambda s: s.update(extra=1),
        lambda s: s["now"].update(at=1),
        lambda s: s["now"].update(jobs=[99]),
        lambda s: s["now"].update(jobs=[]),
        lambda s: s["jobs"][0].update(lines=[99]),
        lambda s: s["jobs"][0].update(lines=[-1]),
        lambda s: s["lines"][0]["slots"].update(colour={"value": "red"}),
        lambda s: s["lines"][0]["slots"].update(qty={"value": 0}),
        lambda s: s["lines"][0]["slots"].update(qty={"value": None}),
    ],
)
def test_what_is_no_stored_state_is_refused_by_name(change: Any) -> None:
    with pytest.raises(StoredStateUnusable, match="the stored conversation can't be used"):
        state_from_json(_broken(change))


@pytest.mark.parametrize("stored", ["", "{", "[]", "null", "\x00", "NaN"])
def test_what_is_no_json_is_refused_by_name(stored: str) -> None:
    with pytest.raises(StoredStateUnusable, match="the stored conversation can't be used"):
        state_from_json(stored)


def test_a_number_that_is_none_is_not_stored() -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        state_as_json(State(Snapshot((JobState(lines=(Line({"watts": Held(math.nan)}),)),))))


def test_an_empty_state_survives_being_stored() -> None:
    assert state_from_json(state_as_json(State())) == EMPTY
