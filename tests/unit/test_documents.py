"""The documents say what the program does."""

import re
from pathlib import Path

import pytest

from bot.commands.parser import build_parser
from tests.unit.documents import README, blocks, printed

ROOT = Path(__file__).parents[2]
BLOCKS = list(blocks(README.read_text(encoding="utf-8")))


@pytest.mark.parametrize("block", BLOCKS, ids=[b.call[:40] for b in BLOCKS])
def test_readme_shows_what_is_printed_now(block):
    assert block.body == printed(block.call)


def test_readme_has_a_session():
    assert len(BLOCKS) >= 4


def test_every_command_stands_in_the_readme():
    text = README.read_text(encoding="utf-8")
    commands = next(
        a for a in build_parser()._actions if getattr(a, "choices", None) and a.dest == "command"
    ).choices

    for command in commands:
        assert re.search(rf"\b(deploy/run|wattclerk) {command}\b", text) or command == "serve", command


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_links_lead_somewhere(name):
    text = (ROOT / name).read_text(encoding="utf-8")

    for target in re.findall(r"\]\(([^)#:]+)\)", text):
        assert (ROOT / target).exists(), target
