"""Which lines a message changes: scopes, likeness, counts, additions, removals, copies."""

import pytest

from bot.conversation import reading_of
from bot.reading.message import Message, Said, Scope
from tests.unit.conversation.messages import (
    CANS_AND_TROFFERS,
    PACKS_AND_POLES,
    adds,
    after,
    changes,
    copies,
    doubted,
    only,
    passage,
    removes,
    states,
    the,
    two,
    values,
)

ALL = Scope("all", 90, 93)
OTHERS = Scope("others", 90, 99)
THAT = Scope("that", 90, 99)


def test_a_first_message_states_its_lines_in_order() -> None:
    assert only(after(PACKS_AND_POLES), "family") == ["wall_pack", "area"]


def test_two_lines_of_one_family_in_one_message_stay_two() -> None:
    state = after(
        two(
            states(qty=5, family="flood", watts=400.0),
            states(qty=3, family="flood", watts=400.0, height_ft=30.0),
        )
    )
    assert only(state, "qty") == [5, 3]


def test_a_scope_changes_the_lines_it_names_and_no_other() -> None:
    assert only(
        after(PACKS_AND_POLES, changes(the("area", "street", "post_top"), voltage=480)), "voltage"
    ) == [None, 480]


def test_a_family_called_by_a_neighbour_name_is_found_where_none_has_the_name() -> None:
    assert only(after(PACKS_AND_POLES, changes(the("street"), voltage=480)), "voltage") == [None, 480]


def test_a_neighbour_name_yields_to_the_name_itself() -> None:
    both = two(states(qty=2, family="area"), states(qty=3, family="street"))
    assert only(after(both, changes(the("street"), voltage=480)), "voltage") == [None, 480]


def test_a_scope_that_names_no_line_changes_nothing_and_is_handed_back() -> None:
    before, message = after(PACKS_AND_POLES), changes(the("exit"), emergency_backup=True)
    state = after(message, start=before)
    assert values(state) == values(before)
    assert reading_of(state, message, 0).unread == ((0, 0, 5), (0, 90, 99))


def test_lines_are_told_apart_by_watts() -> None:
    state = after(
        two(states(qty=5, family="flood", watts=1000.0), states(qty=3, family="flood", watts=400.0)),
        changes(the(watts=400.0), controls=["photocell"]),
    )
    assert only(state, "controls") == [None, ("photocell",)]


def test_lines_are_told_apart_by_what_hangs_there() -> None:
    state = after(CANS_AND_TROFFERS, changes(the(source="T8"), voltage=277))
    assert only(state, "voltage") == [None, 277]


@pytest.mark.parametrize(
    ("scope", "high"), [(the(lowest="height_ft"), 0), (the(highest="height_ft"), 1), (the(height_ft=30.0), 1)]
)
def test_lines_are_told_apart_by_height(scope: Scope, high: int) -> None:
    lines = two(
        states(qty=20, family="high_bay", height_ft=18.0), states(qty=12, family="high_bay", height_ft=30.0)
    )
    assert only(after(lines, changes(scope, optic="narrow")), "optic")[high] == "narrow"
    assert only(after(lines, changes(scope, optic="narrow")), "optic")[1 - high] is None


def test_the_lower_of_lines_of_unknown_height_names_none() -> None:
    assert only(after(PACKS_AND_POLES, changes(the(lowest="height_ft"), voltage=277)), "voltage") == [
        None,
        None,
    ]


@pytest.mark.parametrize(("number", "line"), [(0, 0), (1, 1), (-1, 1)])
def test_an_ordinal_names_its_line(number: int, line: int) -> None:
    assert (
        only(after(PACKS_AND_POLES, changes(Scope("ordinal", 0, 9, ordinal=number), cct_k=4000)), "cct_k")[
            line
        ]
        == 4000
    )


def test_an_ordinal_beyond_the_lines_names_none() -> None:
    assert only(after(PACKS_AND_POLES, changes(Scope("ordinal", 0, 9, ordinal=2), cct_k=4000)), "cct_k") == [
        None,
        None,
    ]


def test_the_others_are_those_that_the_passage_before_left() -> None:
    message = two(changes(the("downlight"), cct_k=3000), changes(OTHERS, cct_k=4000))
    assert only(after(CANS_AND_TROFFERS, message), "cct_k") == [3000, 4000]


def test_the_others_are_those_that_the_message_before_left() -> None:
    state = after(CANS_AND_TROFFERS, changes(the("downlight"), cct_k=3000), changes(OTHERS, cct_k=4000))
    assert only(state, "cct_k") == [3000, 4000]


def test_the_rest_is_what_no_passage_of_the_message_was_about() -> None:
    three = two(CANS_AND_TROFFERS, states(qty=6, family="wrap"))
    message = two(
        two(changes(the("downlight"), cct_k=3000), changes(the("wrap"), cct_k=3500)),
        changes(OTHERS, cct_k=4000),
    )
    assert only(after(three, message), "cct_k") == [3000, 4000, 3500]


def test_those_are_the_lines_last_spoken_of() -> None:
    state = after(PACKS_AND_POLES, changes(the("wall_pack"), cct_k=4000), changes(THAT, voltage=277))
    assert only(state, "voltage") == [277, None]


def test_that_one_is_the_line_mentioned_last() -> None:
    assert only(
        after(PACKS_AND_POLES, changes(Scope("that", 0, 4, singular=True), voltage=277)), "voltage"
    ) == [None, 277]


def test_places_that_the_writer_gave_name_lines_later() -> None:
    lots = two(
        states(qty=12, family="area", labels=("north lot",)),
        states(qty=8, family="area", labels=("south lot",)),
    )
    message = two(
        changes(the(labels=("north",)), optic="type_V"), changes(the(labels=("south",)), optic="type_III")
    )
    assert only(after(lots, message), "optic") == ["type_V", "type_III"]


def test_the_front_is_what_stands_beside_the_back() -> None:
    state = after(
        states(qty=14, family="wall_pack"),
        copies(qty=8, labels=("back building",)),
        removes(the(labels=("front building",))),
    )
    assert only(state, "qty") == [8]


def test_unscoped_slots_change_every_line() -> None:
    assert only(after(PACKS_AND_POLES, changes(finish="bronze")), "finish") == ["bronze", "bronze"]


@pytest.mark.parametrize(
    ("slots", "which"),
    [({"source": "T8"}, [False, True]), ({"size": "2x4"}, [False, True]), ({"controls": ["photocell"]}, [True, False]),
     ({"mount": "pendant"}, [False, True]), ({"voltage": 277}, [True, True])],
)  # fmt: skip
@pytest.mark.parametrize("scope", [None, ALL])
def test_what_is_said_of_all_changes_the_lines_where_it_makes_sense(
    slots: dict, which: list[bool], scope: Scope | None
) -> None:
    lines = two(states(qty=2, family="wall_pack", source="HPS"), states(qty=3, family="troffer"))
    (slot,) = slots
    now, before = only(after(lines, changes(scope, **slots)), slot), only(after(lines), slot)
    assert [a != b for a, b in zip(now, before, strict=True)] == which


def test_what_makes_sense_nowhere_is_taken_as_said() -> None:
    assert only(after(states(qty=2, family="area"), changes(size="2x4")), "size") == ["2x4"]


def test_a_count_changes_the_only_line_without_doubt() -> None:
    state = after(states(qty=20, family="high_bay"), changes(qty=24))
    assert only(state, "qty") == [24]
    assert doubted(state) == {}


def test_a_count_without_scope_changes_the_last_line_in_doubt() -> None:
    state = after(CANS_AND_TROFFERS, changes(qty=36))
    assert only(state, "qty") == [22, 36]
    assert doubted(state) == {"lines.1.qty": (40,)}


def test_a_count_of_no_line_in_particular_is_in_doubt_where_the_line_had_none() -> None:
    state = after(two(states(qty=2, family="flood"), states(family="area")), changes(qty=6))
    assert doubted(state) == {"lines.1.qty": (None,)}


def test_a_count_that_names_the_old_one_is_of_that_line() -> None:
    state = after(CANS_AND_TROFFERS, changes(qty=Said(36, 0, 2, instead_of=22)))
    assert only(state, "qty") == [36, 40]
    assert doubted(state) == {}


def test_a_value_that_names_the_old_one_changes_only_lines_that_had_it() -> None:
    state = after(
        PACKS_AND_POLES, changes(the("area"), voltage=480), changes(voltage=Said(277, 0, 3, instead_of=480))
    )
    assert only(state, "voltage") == [None, 277]


@pytest.mark.parametrize("confirming", [changes(the("troffer")), changes(the("troffer"), qty=36)])
def test_naming_the_line_confirms_a_guessed_count(confirming: Message) -> None:
    state = after(CANS_AND_TROFFERS, changes(qty=36), confirming)
    assert only(state, "qty") == [22, 36]
    assert doubted(state) == {}


@pytest.mark.parametrize("moving", [changes(the("downlight")), changes(the("downlight"), qty=36)])
def test_naming_another_line_moves_a_guessed_count_there(moving: Message) -> None:
    state = after(CANS_AND_TROFFERS, changes(qty=36), moving)
    assert only(state, "qty") == [36, 40]
    assert doubted(state) == {}


def test_another_count_on_another_line_leaves_the_guess_in_doubt() -> None:
    state = after(CANS_AND_TROFFERS, changes(qty=36), changes(the("downlight"), qty=20))
    assert only(state, "qty") == [20, 36]
    assert doubted(state) == {"lines.1.qty": (40,)}


def test_a_doubt_stays_until_the_slot_is_said_again() -> None:
    doubtful = states(qty=40, family=Said("strip", 0, 5, others=("troffer",), why="tube lights"))
    state = after(doubtful, changes(voltage=277))
    assert doubted(state) == {"lines.0.family": ("troffer",)}
    assert doubted(after(changes(family="troffer"), start=state)) == {}
    assert doubted(after(states(family="strip"), start=state)) == {}


def test_a_type_that_is_on_the_job_is_changed_by_what_is_new() -> None:
    state = after(PACKS_AND_POLES, states(qty=20, family="wall_pack", voltage=277))
    assert only(state, "qty") == [20, 10]
    assert only(state, "voltage") == [277, None]


def test_a_type_with_another_lamp_and_count_is_a_new_line() -> None:
    assert only(
        after(PACKS_AND_POLES, states(qty=4, family="wall_pack", source="HPS", watts=70.0)), "qty"
    ) == [18, 10, 4]


def test_another_lamp_without_a_count_corrects_the_only_line_of_that_family() -> None:
    assert only(after(PACKS_AND_POLES, states(family="wall_pack", watts=175.0)), "watts") == [175.0, 400.0]


def test_a_family_that_is_not_there_is_a_new_line() -> None:
    assert only(after(PACKS_AND_POLES, states(qty=4, family="flood")), "family") == [
        "wall_pack",
        "area",
        "flood",
    ]


def test_an_added_type_is_a_new_line_and_takes_nothing_over() -> None:
    state = after(
        states(qty=20, family="high_bay", voltage=277), adds(qty=4, family="wall_pack", watts=150.0)
    )
    assert values(state)[1] == {"qty": 4, "family": "wall_pack", "watts": 150.0}


def test_an_added_type_takes_over_what_is_said_to_be_the_same() -> None:
    state = after(
        states(qty=24, family="canopy", voltage=277), adds(qty=3, family="flood", same=("voltage",))
    )
    assert only(state, "voltage") == [277, 277]


def test_more_of_a_type_counts_up() -> None:
    state = after(
        two(states(qty=30, family="troffer"), states(qty=6, family="exit")),
        adds(qty=3, family="troffer", more=True),
    )
    assert only(state, "qty") == [33, 6]
    assert doubted(state) == {}


def test_a_bare_addition_of_a_type_that_is_there_counts_up_in_doubt() -> None:
    state = after(PACKS_AND_POLES, adds(qty=3, family="area"))
    assert only(state, "qty") == [18, 13]
    assert doubted(state) == {"lines.1.qty": (3,)}


def test_more_of_a_type_that_differs_is_a_new_line() -> None:
    state = after(
        states(qty=20, family="high_bay", height_ft=18.0),
        adds(qty=12, family="high_bay", height_ft=30.0, more=True),
    )
    assert only(state, "qty") == [20, 12]


def test_something_added_to_what_is_there_is_a_change() -> None:
    assert only(
        after(states(qty=64, family="downlight"), adds(controls=["motion", "dimming"])), "controls"
    ) == [("motion", "dimming")]


def test_removing_by_name_takes_the_line_and_renumbers_doubts() -> None:
    lines = two(states(qty=3, family="flood"), states(qty=Said(10, 0, 5, others=(12,)), family="area"))
    state = after(lines, removes(the("flood")))
    assert only(state, "family") == ["area"]
    assert doubted(state) == {"lines.0.qty": (12,)}


@pytest.mark.parametrize("removing", [removes(family="flood"), removes(watts=400.0), removes(the("flood"))])
def test_a_removed_type_may_be_named_by_scope_or_by_slots(removing: Message) -> None:
    lines = two(states(qty=3, family="flood", watts=400.0), states(qty=8, family="area", watts=250.0))
    assert only(after(lines, removing), "qty") == [8]


def test_removing_some_of_a_line_counts_down() -> None:
    assert only(after(PACKS_AND_POLES, removes(the("wall_pack"), qty=4)), "qty") == [14, 10]


def test_removing_as_many_as_there_are_removes_the_line() -> None:
    assert only(after(PACKS_AND_POLES, removes(the("wall_pack"), qty=18)), "qty") == [10]


def test_removing_what_is_not_there_removes_nothing() -> None:
    assert only(after(PACKS_AND_POLES, removes(the("exit"))), "qty") == [18, 10]


def test_removing_everything_leaves_no_line_and_keeps_the_job() -> None:
    state = after(
        Message("quote", PACKS_AND_POLES.passages, {"rate_per_kwh": Said(0.11, 0, 4)}), removes(ALL)
    )
    assert values(state) == []
    assert "rate_per_kwh" in state.job.slots


def test_removing_it_without_saying_what_needs_a_single_line() -> None:
    assert only(after(PACKS_AND_POLES, removes()), "qty") == [18, 10]
    assert values(after(states(qty=4, family="flood"), removes())) == []


def test_removed_and_put_in_its_stead_in_one_message() -> None:
    message = Message(
        "revise", (passage("remove", the("wall_pack")), passage("add", None, qty=10, family="sconce"))
    )
    assert only(after(PACKS_AND_POLES, message), "family") == ["area", "sconce"]


def test_a_copy_is_a_line_of_its_own_with_what_differs() -> None:
    state = after(
        states(qty=14, family="wall_pack", voltage=120),
        copies(qty=8, labels=("back building",)),
        changes(the(labels=("back",)), height_ft=16.0),
    )
    assert values(state) == [
        {"qty": 14, "family": "wall_pack", "voltage": 120},
        {"qty": 8, "family": "wall_pack", "voltage": 120, "height_ft": 16.0},
    ]


def test_a_copy_may_say_of_what() -> None:
    state = after(PACKS_AND_POLES, copies(the("wall_pack"), qty=20))
    assert only(state, "family") == ["wall_pack", "area", "wall_pack"]
    assert only(state, "qty") == [18, 10, 20]


def test_a_copy_with_a_count_is_of_the_last_line_and_without_one_of_all() -> None:
    assert only(after(PACKS_AND_POLES, copies(qty=4)), "family") == ["wall_pack", "area", "area"]
    assert only(after(PACKS_AND_POLES, copies(labels=("building b",))), "qty") == [18, 10, 18, 10]


def test_controls_join_and_are_denied_one_by_one() -> None:
    state = after(states(qty=64, family="downlight"), changes(controls=["motion", "dimming"]))
    assert only(after(changes(controls=Said(None, 0, 4, without=("motion",))), start=state), "controls") == [
        ("dimming",)
    ]
    assert only(after(changes(controls=["timer"]), start=state), "controls") == [
        ("motion", "dimming", "timer")
    ]
    assert only(
        after(changes(controls=Said(["none"], 0, 4, without=("motion", "dimming"))), start=state), "controls"
    ) == [("none",)]
    assert only(after(changes(controls=["none"]), start=state), "controls") == [("none",)]
    assert only(after(changes(controls=Said(None, 0, 4)), start=state), "controls") == [None]


def test_no_photocell_where_nothing_else_is_said_is_none_and_yields_to_a_control() -> None:
    state = after(
        states(qty=6, family="area"), changes(controls=Said(["none"], 0, 4, without=("photocell",)))
    )
    assert only(state, "controls") == [("none",)]
    assert only(after(changes(controls=["timer"]), start=state), "controls") == [("timer",)]


def test_a_slot_taken_back_is_gone() -> None:
    assert values(after(states(qty=6, family="area", finish="bronze"), changes(finish=Said(None, 0, 9)))) == [
        {"qty": 6, "family": "area"}
    ]


def test_a_value_that_the_slot_cant_hold_is_handed_back() -> None:
    message = changes(voltage=9000)
    state = after(message, start=after(PACKS_AND_POLES))
    assert only(state, "voltage") == [None, None]
    assert (0, 0, 5) in reading_of(state, message, 0).unread


def test_a_value_said_again_keeps_the_place_where_it_was_said_first() -> None:
    state = after(states(qty=6, family="area", voltage=480), changes(voltage=480))
    assert state.lines[0].slots["voltage"].span == (0, 20, 25)


def test_a_described_family_that_is_not_there_is_new_and_one_that_only_gets_an_attribute_is_not() -> None:
    new = Message("revise", (passage("state", the("flood"), family="flood", watts=250.0),))
    assert only(after(PACKS_AND_POLES, new), "family") == ["wall_pack", "area", "flood"]
    lost = Message("revise", (passage("state", the("flood"), family="flood", voltage=480),))
    assert only(after(PACKS_AND_POLES, lost), "voltage") == [None, None]


@pytest.mark.parametrize(
    "known", [{"watts": 400.0}, {"height_ft": 30.0}, {"watts": 400.0, "height_ft": 30.0}]
)
@pytest.mark.parametrize("scope", [None, the("flood")])
def test_what_some_lines_have_already_tells_which_lines_are_meant(known: dict, scope: Scope | None) -> None:
    lines = two(
        states(qty=5, family="flood", watts=1000.0, height_ft=40.0),
        states(qty=3, family="flood", watts=400.0, height_ft=30.0),
    )
    state = after(lines, changes(scope, **known, controls=["photocell"]))
    assert only(state, "controls") == [None, ("photocell",)]
    assert only(state, "watts") == [1000.0, 400.0]


def test_what_no_line_has_changes_them_all() -> None:
    lines = two(states(qty=5, family="flood", watts=1000.0), states(qty=3, family="flood", watts=400.0))
    assert only(after(lines, changes(watts=250.0, source="HPS")), "watts") == [250.0, 250.0]


def test_a_control_that_is_dropped_leaves_its_lines_and_touches_no_other() -> None:
    strips = two(states(qty=30, family="strip", controls=["motion"]), states(qty=12, family="vapor_tight"))
    dropped = changes(controls=Said(None, 0, 9, without=("motion",)))
    assert only(after(strips, dropped), "controls") == [None, None]
    denied = changes(controls=Said(["none"], 0, 9, without=("motion",)))
    assert only(after(strips, denied), "controls") == [("none",), None]
    assert only(
        after(PACKS_AND_POLES, changes(controls=Said(["none"], 0, 9, without=("motion",)))), "controls"
    ) == [("none",), ("none",)]


def test_the_others_of_lines_that_were_all_spoken_of_are_those_that_lack_what_is_said() -> None:
    lines = two(states(qty=20, family="area", voltage=277), states(qty=8, family="flood"))
    assert only(after(lines, changes(OTHERS, voltage=208)), "voltage") == [277, 208]
    lost = after(PACKS_AND_POLES, changes(OTHERS, voltage=208))
    assert only(lost, "voltage") == [None, None]
    assert lost.unplaced
