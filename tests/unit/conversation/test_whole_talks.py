"""Whole talks, turn by turn: what the writer wants each time, and the job at the end."""

import json
from pathlib import Path
from typing import Any, NamedTuple, get_args

import pytest

from bot.conversation import read_turns
from engine.vocabulary import Family, Finish, LampSource

FILES = [
    Path(__file__).with_name(name)
    for name in (
        "whole_talks.txt",
        "second_thoughts.txt",
        "in_few_words.txt",
        "types_by_name.txt",
        "parts_and_additions.txt",
    )
]
_WORDS: dict[str, frozenset[str]] = {
    "family": frozenset(get_args(Family)),
    "source": frozenset(get_args(LampSource)),
    "finish": frozenset(get_args(Finish)),
}
_ENDINGS = {"ft": "lamp_feet", "w": "watts", "v": "voltage", "k": "cct_k", "L": "lamps"}


class Talk(NamedTuple):
    """A title, (asked, text, intent) of each turn, and the job and lines after the last."""

    title: str
    turns: list[tuple[str | None, str, str]]
    job: dict[str, Any]
    lines: list[dict[str, Any]]


def line_of(words: str) -> dict[str, Any]:
    """A line from its shorthand: ``14 area MH 400w 480v @30 4L ctl:motion bb optic=type_V``."""
    line: dict[str, Any] = {}
    for word in words.split():
        slot = next((slot for slot, known in _WORDS.items() if word in known), None)
        ending = next((ending for ending in _ENDINGS if word.endswith(ending)), "")
        if slot is not None:
            line[slot] = word
        elif "=" in word:
            name, value = word.split("=", 1)
            line[name] = float(value) if value.isdigit() else value
        elif word == "bb":
            line["emergency_backup"] = True
        elif word.startswith("ctl:"):
            line["controls"] = word.removeprefix("ctl:").split("+")
        elif word.startswith("@"):
            line["height_ft"] = float(word[1:])
        elif ending:
            line[_ENDINGS[ending]] = float(word.removesuffix(ending))
        else:
            line["qty"] = float(word)
    return line


def talks() -> list[Talk]:
    """All talks of the files."""
    out = []
    for block in "\n\n".join(file.read_text(encoding="utf-8").strip() for file in FILES).split("\n\n"):
        title, *rest = block.splitlines()
        talk = Talk(title.removeprefix("# "), [], {}, [])
        for row in rest:
            if row.startswith("= job "):
                for pair in row.removeprefix("= job ").split(" "):
                    name, value = pair.split("=", 1)
                    talk.job[name] = json.loads(value)
            elif row.startswith("= "):
                talk.lines.append(line_of(row[2:]))
            else:
                asked, said = row.split("> ", 1) if not row.startswith("> ") else ("", row[2:])
                text, intent = said.rsplit(" | ", 1)
                talk.turns.append((asked or None, text, intent))
        out.append(talk)
    return out


def _even(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: sorted(part) if key == "controls" else _even(part) for key, part in value.items()}
    if isinstance(value, list):
        return [_even(part) for part in value]
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


@pytest.mark.parametrize("talk", [pytest.param(talk, id=talk.title) for talk in talks()])
def test_a_talk_ends_in_the_job_that_was_meant(talk: Talk) -> None:
    readings = [reading.as_json() for reading in read_turns([(text, asked) for asked, text, _ in talk.turns])]
    assert [reading["intent"] for reading in readings] == [intent for _, _, intent in talk.turns]
    assert _even(readings[-1]["lines"]) == _even(talk.lines)
    assert _even(readings[-1]["job"]) == _even(talk.job)
