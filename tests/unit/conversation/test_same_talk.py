"""The same change in other words, with other types, with small talk between, taken back, and two of them in one message."""

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from bot.conversation import read_turns

SAID = tomllib.loads(Path(__file__).with_name("same_talk.toml").read_text("utf-8"))
Lines = list[dict[str, Any]]
JOBS = (
    ("12 wallpacks 250w MH and 4 floods 400w HPS", (("wallpacks", "wallpack"), ("floods", "flood"))),
    (
        "30 2x4 troffers 3 lamp T8 32w, 8 exit signs, 14 high bays 400w MH at 22 ft",
        (("troffers", "troffer"), ("exit signs", "exit sign"), ("high bays", "high bay")),
    ),
    (
        "9 shoeboxes 1000w MH on 30 ft poles, and 16 bollards 70w HPS",
        (("shoeboxes", "shoebox"), ("bollards", "bollard")),
    ),
)


def lines_after(*texts: str) -> Lines:
    return [
        line.model_dump(exclude_none=True) for line in read_turns([(text, None) for text in texts])[-1].lines
    ]


def _set(**slots: Any) -> Callable[[Lines, int], Lines]:
    return lambda lines, at: [{**line, **slots} if n == at else line for n, line in enumerate(lines)]


def _counted(by: int) -> Callable[[Lines, int], Lines]:
    return lambda lines, at: _set(qty=lines[at]["qty"] + by)(lines, at)


BECOMES: dict[str, Callable[[Lines, int], Lines]] = {
    "count": _counted(3),
    "gone": lambda lines, at: lines[:at] + lines[at + 1 :],
    "volts": _set(voltage=480),
    "black": _set(finish="black"),
    "fewer": _counted(-2),
    "more": _counted(3),
    "wraps": _set(family="wrap"),
}
CHANGES = [(kind, text) for kind in BECOMES for text in SAID[kind]]


def in_words(text: str, job: int, at: int, lines: Lines) -> str:
    plural, singular = JOBS[job][1][at]
    return text.format(X=plural, x=singular, M=lines[at]["qty"], N=lines[at]["qty"] + 3)


@pytest.mark.parametrize("job", range(len(JOBS)))
def test_each_way_to_say_a_change_changes_that_type_alone(job: int) -> None:
    opening = lines_after(JOBS[job][0])
    for kind, text in CHANGES:
        for at in range(len(opening)):
            said = in_words(text, job, at, opening)
            assert lines_after(JOBS[job][0], said) == BECOMES[kind](opening, at), said


def test_small_talk_between_changes_nothing() -> None:
    opening = lines_after(JOBS[0][0])
    for number, (kind, text) in enumerate(CHANGES):
        said = in_words(text, 0, number % 2, opening)
        before, after = (SAID["between"][(number + n) % len(SAID["between"])] for n in (0, 3))
        assert lines_after(JOBS[0][0], before, said, after) == BECOMES[kind](opening, number % 2), (
            before,
            said,
        )


def test_what_is_taken_back_leaves_the_job_as_it_was() -> None:
    opening = lines_after(JOBS[1][0])
    for number, (_kind, text) in enumerate(CHANGES):
        said = in_words(text, 1, number % 3, opening)
        undone = SAID["undone"][number % len(SAID["undone"])]
        assert lines_after(JOBS[1][0], said, undone) == opening, (said, undone)


@pytest.mark.parametrize("mark", [". ", "; ", " and "])
def test_two_changes_in_one_message_are_those_of_two(mark: str) -> None:
    plain = [text for kind in ("volts", "black", "fewer", "more") for text in SAID[kind] if "?" not in text]
    opening = lines_after(JOBS[2][0])
    for number, text in enumerate(plain):
        one, two = in_words(text, 2, 0, opening), in_words(plain[-1 - number], 2, 1, opening)
        assert lines_after(JOBS[2][0], one + mark + two) == lines_after(JOBS[2][0], one, two), (
            one + mark + two
        )


@pytest.mark.parametrize("apart", SAID["apart"], ids=lambda apart: apart["job"][:20])
def test_types_of_one_family_are_told_apart_by_any_of_their_names(apart: dict[str, Any]) -> None:
    opening = lines_after(apart["job"])
    assert len(opening) == 2
    for at, names in enumerate((apart["first"], apart["second"])):
        for name in names:
            for said, becomes in (
                (f"{name} are 480", BECOMES["volts"]),
                (f"photocells on {name}", _set(controls=("photocell",))),
                (f"add 3 more to {name}", BECOMES["more"]),
                (f"drop 2 from {name}", BECOMES["fewer"]),
                (f"drop {name}", BECOMES["gone"]),
            ):
                assert lines_after(apart["job"], said) == becomes(opening, at), said
