"""What a message of a running conversation hands to the fold."""

import pytest

from bot.reading import read_message


@pytest.mark.parametrize(
    ("text", "command"),
    [
        ("undo", "undo"),
        ("no put it back how it was", "undo"),
        ("ugh start over", "start_over"),
        ("new job: 14 high bays 400 MH", "new_job"),
        ("ok back to the first one", "previous_job"),
        ("empezar de nuevo", "start_over"),
    ],
)
def test_commands(text: str, command: str) -> None:
    assert read_message(text, in_conversation=True).command == command


def test_a_named_type_is_a_scope() -> None:
    passage = read_message("the poles are 480", in_conversation=True).passages[0]
    assert passage.scope is not None
    assert "area" in passage.scope.families
    assert passage.slots["voltage"].value == 480


def test_two_named_types_are_two_passages() -> None:
    one, two = read_message("shoeboxes r 480 packs r 120", in_conversation=True).passages
    assert (one.slots["voltage"].value, two.slots["voltage"].value) == (480, 120)


def test_plural_watts_point() -> None:
    passage = read_message("the 400s get photocells", in_conversation=True).passages[0]
    assert passage.scope is not None
    assert passage.scope.watts == 400


def test_a_removal_names_its_type_and_how_many() -> None:
    passage = read_message("4 of the high bays got replaced already", in_conversation=True).passages[0]
    assert passage.action == "remove"
    assert passage.slots["qty"].value == 4
    assert read_message("drop the floods", in_conversation=True).passages[0].action == "remove"


def test_a_copy_holds_the_differences() -> None:
    passage = read_message("same for the back building but 8", in_conversation=True).passages[0]
    assert passage.action == "copy"
    assert passage.slots["qty"].value == 8
    assert passage.labels == ("back building",)


@pytest.mark.parametrize(
    ("text", "asked", "slot", "value"),
    [
        ("480", "lines.0.voltage", "voltage", 480),
        ("25", "lines.0.height_ft", "height_ft", 25),
        ("four dozen", "lines.0.qty", "qty", 48),
        ("sodium, the orange ones", "lines.0.source", "source", "HPS"),
    ],
)
def test_short_answers_fill_the_asked_slot(text: str, asked: str, slot: str, value: object) -> None:
    message = read_message(text, asked=asked, in_conversation=True)
    assert [passage.slots[slot].value for passage in message.passages if slot in passage.slots] == [value]


def test_a_bare_number_answers_a_question_about_the_rate() -> None:
    assert (
        read_message("12.5", asked="job.rate_per_kwh", in_conversation=True).job["rate_per_kwh"].value
        == 0.125
    )


@pytest.mark.parametrize(("text", "kind"), [("yep", "yes"), ("nope", "no"), ("no idea", "unknown")])
def test_bare_replies(text: str, kind: str) -> None:
    reply = read_message(text, asked="lines.0.keep_housing", in_conversation=True).reply
    assert reply is not None
    assert reply.kind == kind
