"""What one more message does to a job that is there: hundreds of ways to change, add, drop, point, ask and chat."""

import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from bot.conversation import EMPTY, State, read_turn

FILE = Path(__file__).with_name("one_more_message.txt")
_SLOT = re.compile(r"(?P<where>\d|job)\.(?P<slot>\w+)=")


def rows() -> tuple[dict[str, str], list[tuple[str, str, str]]]:
    """The jobs by their letter, and (letter, message, effect)."""
    jobs, cases = {}, []
    for line in FILE.read_text(encoding="utf-8").splitlines():
        if match := re.match(r"([A-Z]): (.+)", line):
            jobs[match[1]] = match[2]
        elif line and not line.startswith("#"):
            letter, text, effect = line.split(" | ")
            cases.append((letter, text, effect))
    return jobs, cases


JOBS, CASES = rows()


@cache
def opened(letter: str) -> tuple[State, str]:
    """The state after the job's first message, and what it holds as JSON."""
    state, reading = read_turn(EMPTY, JOBS[letter], 0)
    shown = reading.as_json()
    return state, json.dumps({"job": shown["job"], "lines": shown["lines"]})


def _value(text: str, at: int) -> tuple[Any, int]:
    try:
        return json.JSONDecoder().raw_decode(text, at)
    except ValueError:
        end = text.find(" ", at)
        end = len(text) if end < 0 else end
        return text[at:end], end


def expected(held: str, effect: str) -> dict[str, Any]:
    """The job as it should be after the effect."""
    after: dict[str, Any] = json.loads(held)
    gone: list[int] = []
    at = 0
    while at < len(effect) and effect != "same":
        if match := _SLOT.match(effect, at):
            value, at = _value(effect, match.end())
            where = after["job"] if match["where"] == "job" else after["lines"][int(match["where"])]
            where[match["slot"]] = str(value) if match["slot"] == "po" else value
        elif match := re.compile(r"-(\d)").match(effect, at):
            gone.append(int(match[1]))
            at = match.end()
        elif effect.startswith("+ ", at):
            line, at = _value(effect, at + 2)
            after["lines"].append(line)
        else:
            raise ValueError(f"no effect at {effect[at:]!r}")
        at += 1
    after["lines"] = [line for number, line in enumerate(after["lines"]) if number not in gone]
    return after


def _even(value: Any) -> Any:
    """Numbers alike whether written 480 or 480.0; controls in any order."""
    if isinstance(value, dict):
        return {key: sorted(part) if key == "controls" else _even(part) for key, part in value.items()}
    if isinstance(value, list):
        return [_even(part) for part in value]
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def named() -> Iterator[Any]:
    for letter, text, effect in CASES:
        yield pytest.param(letter, text, effect, id=f"{letter}-{text}"[:70])


@pytest.mark.parametrize(("letter", "text", "effect"), list(named()))
def test_one_more_message_changes_the_job_as_meant(letter: str, text: str, effect: str) -> None:
    state, held = opened(letter)
    _, reading = read_turn(state, text, 1)
    shown = reading.as_json()
    assert _even({"job": shown["job"], "lines": shown["lines"]}) == _even(expected(held, effect))
