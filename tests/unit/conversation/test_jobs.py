"""Job slots, short answers, undo, starting over, and more than one job."""

import pytest

from bot.conversation import EMPTY, fold, reading_of
from bot.conversation.fold import STILL
from bot.reading.message import Message, Reply, Said
from bot.reading.shape import Fault
from tests.unit.conversation.messages import (
    BACK,
    CANS_AND_TROFFERS,
    PACKS_AND_POLES,
    START_OVER,
    UNDO,
    after,
    answers,
    changes,
    doubted,
    job,
    job_values,
    new_job,
    only,
    passage,
    said,
    states,
    the,
    two,
    values,
)


def test_job_slots_are_replaced_and_taken_back() -> None:
    state = after(PACKS_AND_POLES, job(rate_per_kwh=0.11, rebate_per_luminaire=20.0), job(rate_per_kwh=0.132))
    assert job_values(state) == {"rate_per_kwh": 0.132, "rebate_per_luminaire": 20.0}
    assert job_values(after(job(rebate_per_luminaire=Said(None, 0, 3)), start=state)) == {
        "rate_per_kwh": 0.132
    }


@pytest.mark.parametrize(
    ("slot", "first", "then", "now"),
    [
        ("place", {"city": "Toledo"}, {"state": "OH"}, {"city": "Toledo", "state": "OH"}),
        ("place", {"city": "Erie", "state": "PA"}, {"city": "Toledo"}, {"city": "Toledo"}),
        ("place", {"city": "Peoria", "state": "IL"}, {"city": "Pekin"}, {"city": "Pekin", "state": "IL"}),
        ("schedule", {"hours_per_day": 10}, {"days_per_week": 6}, {"hours_per_day": 10, "days_per_week": 6}),
        (
            "schedule",
            {"hours_per_day": 10, "days_per_week": 5},
            {"hours_per_day": 12},
            {"hours_per_day": 12, "days_per_week": 5},
        ),
        (
            "schedule",
            {"hours_per_day": 10, "days_per_week": 5},
            {"hours_per_year": 4000},
            {"hours_per_year": 4000},
        ),
        ("schedule", {"hours_per_day": 10, "days_per_week": 5}, "always_on", "always_on"),
    ],
)
def test_a_place_and_a_schedule_may_be_said_in_parts(
    slot: str, first: object, then: object, now: object
) -> None:
    assert job_values(after(job(**{slot: first}), job(**{slot: then}))) == {slot: now}


@pytest.mark.parametrize("intent", sorted(STILL))
def test_what_asks_leaves_the_state(intent: str) -> None:
    before = after(PACKS_AND_POLES, changes(voltage=277))
    message = Message(intent, (passage(qty=3, family="exit"),), said(rate_per_kwh=0.2), command="undo")  # type: ignore[arg-type]
    assert fold(before, message, 2) is before


@pytest.mark.parametrize("intent", ["accept", "layout", "handoff", "quote", "revise"])
def test_what_orders_asks_for_light_or_for_a_person_still_fills(intent: str) -> None:
    message = Message(intent, job=said(po="7705-B"))  # type: ignore[arg-type]
    assert job_values(after(PACKS_AND_POLES, message)) == {"po": "7705-B"}


@pytest.mark.parametrize(
    ("asked", "expected"),
    [("lines.0.voltage", [277, None]), ("lines.1.voltage", [None, 277]), ("lines.*.voltage", [277, 277]), ("voltage", [277, 277]),
     ("lines.7.voltage", [277, 277]), ("lines.0.height_ft", [277, 277])],
)  # fmt: skip
def test_a_short_answer_fills_what_was_asked(asked: str, expected: list[int | None]) -> None:
    assert only(after(PACKS_AND_POLES, answers(asked, voltage=277)), "voltage") == expected


def test_an_answer_may_give_more_than_was_asked_of_the_same_line() -> None:
    state = after(PACKS_AND_POLES, answers("lines.0.cct_k", cct_k=4000, finish="bronze"))
    assert only(state, "finish") == ["bronze", None]


def test_an_answer_with_scopes_of_its_own_goes_where_it_says() -> None:
    message = Message(
        "revise",
        (passage("change", the("wall_pack"), height_ft=12.0), passage("change", the("area"), height_ft=20.0)),
        asked="lines.*.height_ft",
    )
    assert only(after(PACKS_AND_POLES, message), "height_ft") == [12.0, 20.0]


def test_a_count_that_was_asked_for_is_of_that_line_without_doubt() -> None:
    state = after(two(states(family="flood"), states(qty=2, family="area")), answers("lines.0.qty", qty=6))
    assert only(state, "qty") == [6, 2]
    assert doubted(state) == {}


def test_yes_sets_what_was_asked_and_no_leaves_it_absent() -> None:
    state = after(PACKS_AND_POLES, answers("lines.1.dark_sky", "yes"))
    assert only(state, "dark_sky") == [None, True]
    assert only(after(answers("lines.1.dark_sky", "no"), start=state), "dark_sky") == [None, None]
    assert only(after(PACKS_AND_POLES, answers("lines.*.keep_housing", "yes")), "keep_housing") == [
        True,
        True,
    ]
    assert job_values(after(PACKS_AND_POLES, answers("job.metric", "yes"))) == {"metric": True}


def test_no_to_controls_is_none() -> None:
    assert only(after(PACKS_AND_POLES, answers("lines.0.controls", "no")), "controls") == [("none",), None]


@pytest.mark.parametrize(("kind", "nth", "source"), [("nth", 0, "MH"), ("nth", 1, "HPS"), ("yes", 0, "MH")])
def test_a_bare_answer_settles_the_doubt_that_was_asked_about(kind: str, nth: int, source: str) -> None:
    doubtful = states(qty=6, family="wall_pack", source=Said("MH", 0, 3, others=("HPS",), why="yellow"))
    state = after(doubtful, answers("lines.0.source", kind, nth))
    assert only(state, "source") == [source]
    assert doubted(state) == {}


@pytest.mark.parametrize(("kind", "nth"), [("unknown", 0), ("no", 0), ("nth", 2)])
def test_a_bare_answer_that_settles_nothing_keeps_the_doubt(kind: str, nth: int) -> None:
    doubtful = states(qty=6, family="wall_pack", source=Said("MH", 0, 3, others=("HPS",), why="yellow"))
    assert doubted(after(doubtful, answers("lines.0.source", kind, nth))) == {"lines.0.source": ("HPS",)}


def test_yes_without_a_question_confirms_a_guessed_count() -> None:
    state = after(CANS_AND_TROFFERS, changes(qty=36), Message("revise", reply=Reply("yes", 0, 3)))
    assert doubted(state) == {}


def test_undo_walks_back_one_change_at_a_time() -> None:
    first, second, third = after(PACKS_AND_POLES), changes(voltage=277), changes(finish="bronze")
    state = after(second, third, UNDO, start=first)
    assert state.now == after(second, start=first).now
    assert after(UNDO, start=state).now == first.now


def test_undo_passes_over_what_changed_nothing() -> None:
    first = after(PACKS_AND_POLES)
    still = [
        Message("other"),
        Message("explain"),
        Message("greet"),
        Message("accept"),
        changes(voltage=277),
        Message("compare"),
        UNDO,
    ]
    assert after(*still, start=first).now == first.now


def test_undo_of_nothing_is_nothing() -> None:
    assert fold(EMPTY, UNDO, 0).now == EMPTY.now


def test_undo_and_a_change_in_one_message() -> None:
    message = Message("revise", (passage("change", qty=14),), command="undo")
    state = after(states(qty=10, family="flood"), changes(finish="black"), message)
    assert values(state) == [{"qty": 14, "family": "flood"}]
    assert only(after(UNDO, start=state), "qty") == [10]


def test_starting_over_empties_and_can_be_undone() -> None:
    full = after(PACKS_AND_POLES, job(rate_per_kwh=0.11))
    state = after(START_OVER, start=full)
    assert state.empty
    assert after(UNDO, start=state).now == full.now


def test_a_new_job_takes_nothing_over_and_the_first_comes_back_as_it_was() -> None:
    first = after(states(qty=11, family="high_bay"), job(rate_per_kwh=0.12), changes(voltage=208))
    second = after(new_job(states(qty=5, family="security")), changes(voltage=120), start=first)
    assert (values(second), job_values(second)) == ([{"qty": 5, "family": "security", "voltage": 120}], {})
    assert after(BACK, start=second).job == first.job


def test_back_and_a_change_in_one_message() -> None:
    message = Message(
        "revise", (passage("change", qty=Said(28, 0, 2, instead_of=25)),), command="previous_job"
    )
    state = after(states(qty=25, family="high_bay"), new_job(states(qty=8, family="wall_pack")), message)
    assert values(state) == [{"qty": 28, "family": "high_bay"}]
    assert values(after(UNDO, start=state)) == [{"qty": 8, "family": "wall_pack"}]


@pytest.mark.parametrize(("which", "qty"), [(None, 2), (0, 1), (1, 2), (-1, 3), (5, 3)])
def test_one_of_several_jobs_is_gone_back_to(which: int | None, qty: int) -> None:
    three = after(
        states(qty=1, family="exit"),
        new_job(states(qty=2, family="exit")),
        new_job(states(qty=3, family="exit")),
    )
    assert only(after(Message("revise", command="previous_job", which_job=which), start=three), "qty") == [
        qty
    ]


def test_back_from_the_first_goes_to_the_second() -> None:
    assert only(
        after(states(qty=1, family="exit"), new_job(states(qty=2, family="exit")), BACK, BACK), "qty"
    ) == [2]


def test_back_without_another_job_changes_nothing() -> None:
    assert only(after(PACKS_AND_POLES, BACK), "qty") == [18, 10]


def test_a_new_job_in_an_empty_conversation_is_the_first() -> None:
    assert len(after(new_job(PACKS_AND_POLES)).now.jobs) == 1


def test_the_context_stays_until_another_is_said() -> None:
    school, office = (Message("quote", building=b) for b in ("school", "office"))
    state = after(school, PACKS_AND_POLES)
    assert state.job.context.building == "school"
    assert after(office, start=state).job.context.building == "office"
    assert after(office, UNDO, start=state).job.context.building == "school"


def test_a_reading_is_the_whole_state_with_turns_in_its_places() -> None:
    last = Message(
        "revise",
        (passage("change", voltage=277),),
        unread=((40, 44),),
        faults=(Fault("job.rate_per_kwh", (0, 5, 9), "no"),),
        language="es",
    )
    state = after(states(qty=6, family="area"), job(rate_per_kwh=0.11), last)
    reading = reading_of(state, last, 2)
    assert reading.as_json() | {"confidence": 1} == {
        "intent": "revise",
        "job": {"rate_per_kwh": 0.11},
        "lines": [{"qty": 6, "family": "area", "voltage": 277}],
        "spans": {"job.rate_per_kwh": [1, 0, 5], "lines.0.qty": [0, 0, 5], "lines.0.family": [0, 10, 15], "lines.0.voltage": [2, 0, 5]},
        "doubts": [],
        "unread": [[2, 40, 44]],
        "faults": [{"path": "job.rate_per_kwh", "span": [2, 5, 9], "text": "no"}],
        "context": {},
        "language": "es",
        "confidence": 1,
    }  # fmt: skip


def test_less_margin_and_more_unread_text_lower_the_confidence() -> None:
    def stated(margin: float, unread: tuple = ()) -> float:
        message = Message("quote", (passage(qty=Said(6, 0, 1, margin=margin)),), unread=unread)
        return reading_of(after(message), message, 0).confidence

    assert 1.0 > stated(9.0) > stated(2.0) > stated(0.1) > 0.0
    assert stated(9.0) > stated(9.0, unread=((3, 5),))


def test_what_found_no_place_is_only_told_in_its_own_turn() -> None:
    lost = changes(the("exit"), voltage=277)
    state = after(PACKS_AND_POLES, lost)
    assert reading_of(state, lost, 1).unread
    thanks = Message("greet")
    assert reading_of(fold(state, thanks, 2), thanks, 2).unread == ()


def test_a_message_that_shows_no_language_goes_on_in_the_one_of_the_conversation() -> None:
    spanish = after(Message("quote", PACKS_AND_POLES.passages, language="es"))
    number = Message("quote", (passage("change", voltage=277),), language_shown=False)
    state = after(number, start=spanish)
    assert reading_of(state, number, 1).language == "es"
    thanks = Message("greet", language="en")
    assert reading_of(after(thanks, start=state), thanks, 2).language == "en"
