"""Talks as the product leads them: each message behind the question that the reply before it asked."""

import pytest

from bot.assistant import Assistant, Conversation, Turn
from bot.replies import render


def talk(assistant: Assistant, *texts: str) -> list[Turn]:
    turns: list[Turn] = []
    conversation, asked = Conversation(), None
    for text in texts:
        turn = assistant.take_turn(conversation, text, asked)
        conversation, asked = turn.conversation, turn.question
        turns.append(turn)
    return turns


def said(assistant: Assistant, turn: Turn) -> str:
    return render(
        turn.quote, turn.reading, "sms", turn.reading.language, turn.conversation.texts, assistant.tables
    )


def test_who_does_not_know_hears_what_the_quote_goes_on_with_and_the_next_question(
    assistant: Assistant,
) -> None:
    first, second, third = talk(assistant, "12 wallpacks 250w mh", "idk", "not sure")

    assert first.question == "job.rate_per_kwh"
    assert "I go on with: power $" in said(assistant, second)
    assert second.question == "job.labor_per_luminaire"
    assert "labor, in dollars a light?" in said(assistant, second)
    assert "I go on with: labor $" in said(assistant, third)
    assert third.question not in {None, "job.rate_per_kwh", "job.labor_per_luminaire"}


def test_what_is_asked_next_can_be_answered_at_once(assistant: Assistant) -> None:
    turns = talk(assistant, "12 wallpacks 250w mh", "no idea", "$65")

    assert turns[-1].reading.job.labor_per_luminaire == 65
    assert turns[-1].reading.lines[0].qty == 12


def test_nothing_is_offered_where_the_kind_of_light_is_not_known(assistant: Assistant) -> None:
    turns = talk(assistant, "20 lights", "no clue")

    assert turns[-1].reading.not_known == "lines.0.family"
    assert "I can't pick a replacement" in said(assistant, turns[-1])


def test_small_talk_beside_a_job_leaves_it_as_it_was(assistant: Assistant) -> None:
    turns = talk(assistant, "12 wallpacks 250w mh", "who are you")

    assert "Your quote stands as it was" in said(assistant, turns[-1])
    assert turns[-1].conversation.state.job.same_as(turns[0].conversation.state.job)


@pytest.mark.parametrize(
    ("texts", "language"),
    [
        (("12 wall packs 250w", "no"), "en"),
        (("12 wall packs 250w", "no idea"), "en"),
        (("12 wall packs 250w", "277"), "en"),
        (("12 wallpacks de 250w aditivos", "277"), "es"),
        (("12 wallpacks de 250w aditivos", "no"), "es"),
        (("12 wallpacks de 250w aditivos", "480v"), "es"),
        (("12 wallpacks de 250w aditivos", "how much is it for the poles"), "en"),
        (("12 wall packs 250w", "cuanto cuesta la mano de obra"), "es"),
    ],
)
def test_a_message_that_shows_no_language_is_answered_in_that_of_the_talk(
    assistant: Assistant, texts: tuple[str, ...], language: str
) -> None:
    assert talk(assistant, *texts)[-1].reading.language == language


def test_what_the_writer_does_not_know_is_not_asked_again(assistant: Assistant) -> None:
    turns = talk(assistant, "12 wallpacks 250w mh", "idk", "65", "make it 14", "idk", "all night")

    asked = [turn.question for turn in turns]
    assert asked[0] == "job.rate_per_kwh"
    assert "job.rate_per_kwh" not in asked[1:]
    assert asked[3] == "job.schedule"
    assert "job.schedule" not in asked[4:]
    assert "What do you pay for power" not in said(assistant, turns[-1])


def test_what_nothing_can_be_offered_without_is_asked_again(assistant: Assistant) -> None:
    turns = talk(assistant, "20 lights", "no clue", "power is 12 cents")

    assert turns[-1].question == "lines.0.family"


def test_another_job_is_asked_about_anew(assistant: Assistant) -> None:
    turns = talk(assistant, "12 wallpacks 250w mh", "idk", "new job: 9 bollards 70w mh")

    assert turns[-1].question == "job.rate_per_kwh"


def test_an_amount_that_nobody_said_the_use_of_is_told_as_unused(assistant: Assistant) -> None:
    turns = talk(assistant, "12 wallpacks 250w mh", "12c", "60", "$65 a light")

    assert 'I did not use: "$65"' in said(assistant, turns[-1])
    assert turns[-1].reading.job.labor_per_luminaire == 60


def test_where_hours_are_known_days_are_asked_for_and_a_bare_number_is_days(assistant: Assistant) -> None:
    turns = talk(assistant, "16 highbays 400w mh 277v, 9 hours a day", "5")

    assert "How many days a week are the high bays on?" in said(assistant, turns[0])
    schedule = turns[-1].reading.job.schedule
    assert schedule is not None
    assert schedule.stated() == {"hours_per_day": 9, "days_per_week": 5}


@pytest.mark.parametrize(
    "text",
    [
        "how much total",
        "total?",
        "ok how much all together",
        "what does it come to",
        "price?",
        "cuanto es en total",
    ],
)
def test_what_the_quote_comes_to_is_answered_with_the_quote(assistant: Assistant, text: str) -> None:
    turns = talk(assistant, "16 highbays 400w mh", text)

    assert turns[-1].reading.intent == "quote"
    assert turns[-1].conversation.state.job.same_as(turns[0].conversation.state.job)


def test_a_size_tells_what_lights_are(assistant: Assistant) -> None:
    line = talk(assistant, "30 lights", "2x4s with 4 tubes")[-1].reading.lines[0]

    assert (line.qty, line.family, line.size, line.lamps) == (30, "troffer", "2x4", 4)


@pytest.mark.parametrize("text", ["250", "i think 250", "they're about 250"])
def test_a_lone_number_that_nobody_would_count_is_watts(assistant: Assistant, text: str) -> None:
    line = talk(assistant, "3 wallpacks", text)[-1].reading.lines[0]

    assert (line.qty, line.watts) == (3, 250)


def test_some_of_a_type_may_be_of_another_kind(assistant: Assistant) -> None:
    lines = talk(assistant, "16 highbays 400w mh", "4 of em 100w floods")[-1].reading.lines

    assert [(line.qty, line.family, line.watts) for line in lines] == [
        (12, "high_bay", 400),
        (4, "flood", 100),
    ]


def test_an_amount_beside_what_was_understood_is_told_as_unused_too(assistant: Assistant) -> None:
    turn = talk(assistant, "12 wallpacks 250w mh", "12c", "60", "$70. also 4 floods 400 mh")[-1]

    assert [turn.conversation.texts[at][start:end] for at, start, end in turn.reading.unread] == ["$70"]
    assert [line.family for line in turn.reading.lines] == ["wall_pack", "flood"]
