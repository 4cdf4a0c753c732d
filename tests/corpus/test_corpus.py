"""The corpus is well formed, and the reader does not read it worse than it once did."""

import tomllib
from collections import Counter

import pytest

from tests.corpus.records import FOLDER, part_of, records
from tests.corpus.score import scores
from tests.corpus.scoring import score_turn, tally

FLOORS = tomllib.loads((FOLDER / "floors.toml").read_text(encoding="utf-8"))


@pytest.fixture(scope="module", params=["tuning", "final"])
def scored(request):
    return request.param, scores(part=request.param)


def test_there_is_enough_of_it_in_both_parts():
    counts = Counter((part_of(r["id"]), len(r["turns"]) > 1) for r in records())

    assert counts["tuning", False] + counts["final", False] >= 600
    assert counts["tuning", True] + counts["final", True] >= 120
    assert counts["final", False] >= 200
    assert counts["final", True] >= 40


def test_no_text_stands_twice_among_single_messages():
    texts = Counter(
        " ".join(r["turns"][0]["text"].casefold().split()) for r in records() if len(r["turns"]) == 1
    )

    assert [text for text, count in texts.items() if count > 1] == []


@pytest.mark.parametrize("talk", [False, True], ids=["singles", "dialogs"])
def test_reading_stays_above_its_floor(scored, talk):
    part, cases = scored
    floor = FLOORS[part]["dialogs" if talk else "singles"]
    found = tally(c for c in cases if c.is_dialog == talk)

    assert found.f1 >= floor["f1"]
    assert found.exact_share >= floor["exact"]
    assert found.silent_share <= floor["silent"]
    assert found.intent_accuracy >= floor["intent"]


def test_no_danger_is_missed(scored):
    part, cases = scored

    assert [c.id if part == "tuning" else "a final record" for c in cases if c.handoff_missed] == []


def test_the_scorer_tells_wrong_missing_extra_and_silent_apart():
    gold = {"intent": "quote", "job": {}, "lines": [{"qty": 12, "watts": 250, "family": "wall_pack"}]}
    read = {
        "intent": "quote",
        "job": {"rate_per_kwh": 0.1},
        "lines": [{"qty": 10, "watts": 250}],
        "doubts": [{"path": "lines.0.qty"}],
    }

    outcomes = {s.path: (s.outcome, s.silent) for s in score_turn(gold, read)}

    assert outcomes == {
        "job.rate_per_kwh": ("extra", True),
        "lines.0.family": ("missing", False),
        "lines.0.qty": ("wrong", False),
        "lines.0.watts": ("right", False),
    }
