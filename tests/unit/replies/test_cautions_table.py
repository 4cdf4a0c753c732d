"""The table of cautions holds a public rule for each key, and the words keep what the table asks for."""

from dataclasses import dataclass
from importlib.resources import files

import pytest

from bot.replies import caution_text
from engine.keys import CAUTION_KEYS
from engine.tables.sheet import read_rows, read_sidecar


@dataclass(frozen=True, slots=True)
class Row:
    key: str
    hazard: str
    when: str
    say: str
    rule: str
    seen: str
    provenance: str


@pytest.fixture(scope="module")
def rows():
    folder = files("engine.tables")
    sidecar = read_sidecar("cautions.toml", folder.joinpath("cautions.toml").read_bytes())
    return read_rows(sidecar, "cautions.csv", folder.joinpath("cautions.csv").read_bytes(), Row)


def test_every_caution_has_a_row(rows):
    assert {row.key for row in rows} == set(CAUTION_KEYS)


def test_a_rule_that_was_not_read_says_so(rows):
    for row in rows:
        if row.seen in ("memory", "mixed"):
            assert "memory" in row.provenance or "read" in row.provenance, row.key


@pytest.mark.parametrize(
    ("key", "needed"),
    [
        ("licensed_work", ("licensed electrician", "permit", "Local code")),
        ("lockout", ("locked", "tested dead", "photocell")),
        ("voltage_check", ("measured", "neutral")),
        ("ballast_disconnect", ("neutral",)),
        ("hazardous_location", ("classify", "qualified", "listed")),
        ("pcb", ("1979", "No PCBs", "open")),
        ("mercury", ("universal waste", "State rules")),
        ("egress", ("battery", "fail on")),
        ("savings_are_estimates", ("estimates", "approval")),
        ("light_level_not_designed", ("not a lighting design", "photometric")),
        ("open_rated_mh", ("UV",)),
    ],
)
def test_the_words_keep_what_matters(key, needed):
    for word in needed:
        assert word in caution_text(key, "en")
