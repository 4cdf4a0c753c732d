"""Doubts on what is likely wrong: raised where the signs say so, and only there; explained in the language of the message."""

import json
from pathlib import Path
from typing import Any

import pytest

from bot.conversation import read_turns
from bot.reading import read_first
from bot.reading.message import Said
from bot.reading.reader import read_message
from bot.reading.unsure import stored

PLAIN = [
    "12 wall packs 250W MH at 20 ft, 277V",
    "need 40 2x4 troffers, 3 lamp F32T8, 277v",
    "8 shoeboxes 400w metal halide on 25' poles, 480V, bronze",
    "necesito 30 reflectores de 400W haluro metálico a 20 pies",
]


@pytest.mark.parametrize("text", PLAIN)
def test_a_plain_message_is_not_doubted(text: str) -> None:
    assert read_first(text).doubts == ()


def test_what_stands_in_a_sentence_about_other_things_is_doubted() -> None:
    doubts = read_first("12 wall packs 250W MH. we did floods 91w last year said the old guy").doubts
    watts = next(doubt for doubt in doubts if doubt.path == "lines.1.watts")
    assert watts.others == (None,)
    assert watts.why in stored()["why"]["en"].values()


def test_the_doubts_make_the_message_riskier() -> None:
    sure = read_message("12 wall packs 250W MH at 20 ft")
    unsure = read_message("12 wall packs 250W MH. we did floods 91w last year said the old guy")
    assert 0.0 < sure.risk < unsure.risk


def test_a_doubt_of_a_rule_stays_as_it_is() -> None:
    (passage,) = read_message("10-12 wall packs 250W MH").passages
    said = passage.slots["qty"]
    assert isinstance(said, Said)
    assert (said.value, said.others, said.why) == (10, (12,), "it was said both ways")


def test_every_reason_has_words_in_both_languages() -> None:
    held = stored()
    assert held["why"]["en"].keys() == held["why"]["es"].keys()
    assert set(held["reasons"].values()) <= held["why"]["en"].keys()


def test_every_sign_with_a_reason_is_known_to_a_fit_or_was_too_seldom_seen() -> None:
    held = stored()
    assert len(held["reasons"].keys() & (held["first"].keys() | held["talk"].keys())) > 30


def test_nothing_said_nothing_doubted() -> None:
    message = read_message("thanks!")
    assert (message.passages, message.risk) == ((), 0.0)


@pytest.mark.parametrize(
    "case",
    [
        json.loads(line)
        for line in Path(__file__).with_name("open_and_plain.jsonl").read_text(encoding="utf-8").splitlines()
    ],
    ids=lambda case: " / ".join(case["turns"]),
)
def test_what_is_open_is_doubted_and_what_is_plain_is_not(case: dict[str, Any]) -> None:
    reading = read_turns([(text, None) for text in case["turns"]])[-1].as_json()
    raised = {doubt["path"]: doubt["others"] for doubt in reading["doubts"]}
    if case["doubts"]:
        assert raised == raised | case["doubts"]
    else:
        assert raised == {}
