"""Specimen and verdict: whole messages, their slots, and what must hold of every reading."""

import json
from pathlib import Path
from typing import Any

import pytest

from bot.conversation import read_turns
from bot.reading import read_first, read_message

HERE = Path(__file__).parent


def rows(name: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in (HERE / name).read_text(encoding="utf-8").splitlines() if line]


@pytest.mark.parametrize(
    "case",
    [
        *rows("messages.jsonl"),
        *rows("vocabulary.jsonl"),
        *rows("asides_counts_money.jsonl"),
        *rows("several_types.jsonl"),
        *rows("second_looks.jsonl"),
        *rows("told_in_structures.jsonl"),
        *rows("counted_and_coded.jsonl"),
        *rows("lists_and_places.jsonl"),
        *rows("dictated_and_spanish.jsonl"),
        *rows("told_anew_and_not_ours.jsonl"),
        *rows("typed_plainly.jsonl"),
        *rows("replaced_and_denied.jsonl"),
        *rows("ditto_and_shared.jsonl"),
        *rows("in_few_words.jsonl"),
        *rows("told_by_place.jsonl"),
        *rows("said_of_which.jsonl"),
        *rows("headed_and_put_right.jsonl"),
        *rows("parts_and_places.jsonl"),
    ],
    ids=lambda case: case["why"],
)
def test_a_message_gives_exactly_these_slots(case: dict[str, Any]) -> None:
    reading = read_turns([(case["text"], None)])[0].as_json()
    assert reading["lines"] == case["lines"]
    for slot, value in case.get("job", {}).items():
        assert reading["job"][slot] == value


@pytest.mark.parametrize("case", rows("asides_counts_money.jsonl"), ids=lambda case: case["why"])
def test_what_is_said_on_the_side_gives_no_job_slot(case: dict[str, Any]) -> None:
    assert read_first(case["text"]).as_json()["job"] == case.get("job", {})


@pytest.mark.parametrize(
    ("intent", "text"), [(row["intent"], text) for row in rows("intents.jsonl") for text in row["texts"]]
)
def test_the_intent_is_heard(intent: str, text: str) -> None:
    assert (
        read_message(text, in_conversation=intent in ("explain", "compare", "accept", "status")).intent
        == intent
    )


@pytest.mark.parametrize("case", rows("messages.jsonl"), ids=lambda case: case["why"])
def test_every_span_lies_in_the_text_and_every_slot_has_one(case: dict[str, Any]) -> None:
    reading = read_first(case["text"])
    for turn, start, end in reading.spans.values():
        assert turn == 0
        assert 0 <= start < end <= len(case["text"])
    for number, line in enumerate(reading.lines):
        assert all(f"lines.{number}.{slot}" in reading.spans for slot in line.stated())


@pytest.mark.parametrize("case", rows("messages.jsonl")[:12], ids=lambda case: case["why"])
def test_reading_twice_gives_the_same(case: dict[str, Any]) -> None:
    assert read_first(case["text"]).as_json() == read_first(case["text"]).as_json()


@pytest.mark.parametrize(
    ("text", "path"),
    [
        ("12 wallpacks at 900 ft", "lines.0.height_ft"),
        ("12 wallpacks, power is $11/kWh", "job.rate_per_kwh"),
        ("12 wallpacks on 25 hours a day", "job.schedule"),
        ("12 wallpacks 22400W", "lines.0.watts"),
        ("0 wallpacks", "lines.0.qty"),
        ("-5 wallpacks", "lines.0.qty"),
    ],
)
def test_what_cannot_be_is_a_fault_and_leaves_its_slot_empty(text: str, path: str) -> None:
    reading = read_first(text)
    assert [fault.path for fault in reading.faults] == [path]
    assert path not in reading.spans


def test_a_range_of_counts_is_one_value_and_a_doubt() -> None:
    reading = read_first("10-12 floods 500w quartz")
    assert reading.lines[0].qty == 10
    assert [(doubt.path, doubt.others) for doubt in reading.doubts] == [("lines.0.qty", (12,))]


def test_a_number_used_for_nothing_is_unread() -> None:
    text = "12 wallpacks 100w mh, badge 7719"
    assert [text[start:end] for _, start, end in read_first(text).unread] == ["7719"]
    assert read_first(text).as_json()["lines"] == [
        {"qty": 12, "family": "wall_pack", "watts": 100.0, "source": "MH"}
    ]


@pytest.mark.parametrize(
    ("text", "language"),
    [("necesito 20 reflectores de 400 watts en el taller", "es"), ("need 20 floods 400 watts", "en")],
)
def test_the_language_to_answer_in(text: str, language: str) -> None:
    assert read_first(text).language == language


def test_the_building_is_context_and_no_slot() -> None:
    assert read_first("30 high bays in the warehouse").context.building == "warehouse"


@pytest.mark.parametrize(
    ("text", "number"),
    [
        ("8 cans 32w CFL, 2 sconces (skip these)", "2"),
        ("We run a 15 bbl system with 6 tanks. 14 high bays 250w MH, 16 ft.", "15"),
        ("we go through 64 F32T8 lamps in the shop, 16 strip fixtures 4 in each", "64"),
        ("It's cold and 18,000 pallet positions. 60 high bays, MH400", "18,000"),
    ],
)
def test_a_count_that_came_into_no_line_is_said_to_be_unread(text: str, number: str) -> None:
    assert number in [text[start:end] for _, start, end in read_first(text).unread]


def test_a_count_told_twice_is_not_said_to_be_unread() -> None:
    assert read_first("Forty (40) garage luminaires, 150 W HPS, 277 V").unread == ()
