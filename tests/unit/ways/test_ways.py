"""The same job told in many ways gives the same reading; see `tell` for the ways, `survey` for what is wrong by way.

known_failures.toml lists what is still read wrong, so that this fails when one of them begins to pass or another one fails.
"""

import tomllib
from pathlib import Path

import pytest

from tests.examples import tried
from tests.unit.ways.survey import LISTED, compared
from tests.unit.ways.tell import WAYS, tell

KNOWN = tomllib.loads((Path(__file__).parent / "known_failures.toml").read_text("utf-8"))


def known(way: str) -> dict[int, str]:
    """The numbers of a way that are read wrong, with the reason of each."""
    return {number: reason["why"] for reason in KNOWN["reason"] for number in reason["texts"].get(way, [])}


@pytest.mark.parametrize("way", WAYS)
def test_a_job_is_read_alike_however_it_is_told(way: str) -> None:
    number = tried(25, LISTED)
    wrong = {n: one for n in range(number) if (one := compared(tell(way, n))).faults}
    listed = {n for n in known(way) if n < number}
    new = [f"{n}: {wrong[n].told.texts} {wrong[n].faults}" for n in sorted(wrong.keys() - listed)]
    assert new == [], "read wrong, and not in known_failures.toml"
    assert sorted(listed - wrong.keys()) == [], "read right now: take them out of known_failures.toml"


def test_what_is_known_to_fail_is_told_at_all() -> None:
    for reason in KNOWN["reason"]:
        assert reason["why"]
        assert reason["texts"].keys() <= WAYS.keys()
        assert all(n < LISTED for numbers in reason["texts"].values() for n in numbers)


def test_a_telling_is_the_same_each_time() -> None:
    assert [tell(way, 3) for way in WAYS] == [tell(way, 3) for way in WAYS]
