"""The mail corpus stays what its script writes, and the desk does not read it worse than the bar."""

import json
import re
from email import message_from_bytes, policy

import pytest

from bot.mail.desk import Answer, MailDesk
from tests.corpus.mail.build import FOLDER, made
from tests.corpus.mail.score import AT, MailScore, add, gold


@pytest.fixture(scope="module")
def answers(desk: MailDesk) -> dict[str, Answer]:
    return {row["file"]: desk.answer((FOLDER / row["file"]).read_bytes(), AT) for row in gold()}


def test_the_files_are_those_that_the_script_writes() -> None:
    rows = made()

    assert {f"{name}.eml": data for name, data, _ in rows} == {
        path.name: path.read_bytes() for path in FOLDER.glob("*.eml")
    }
    assert [json.loads(json.dumps(row)) for _, _, row in rows] == gold()
    assert len(rows) >= 120


def test_newest_text_decisions_slots_and_addresses_hold_the_bar(answers: dict[str, Answer]) -> None:
    found = MailScore()
    for row in gold():
        add(found, row, answers[row["file"]])

    assert found.text_share >= 0.97, found.differences
    assert found.decision_share >= 0.98, found.differences
    assert found.slots.f1 >= 0.96, found.differences
    assert found.addressed_right == found.addressed, found.differences


def test_a_reading_points_into_the_text_that_was_read(answers: dict[str, Answer]) -> None:
    answer = answers["reply_inline.eml"]
    _, start, end = answer.reading.spans["lines.0.height_ft"]

    assert answer.text[start:end] == "20 ft"


def test_every_draft_is_a_message_of_one_thread_to_one_person(answers: dict[str, Answer]) -> None:
    for name, answer in answers.items():
        assert (answer.draft is not None) == (answer.decision.reply == "draft"), name
        if answer.draft is None:
            continue
        message = message_from_bytes(answer.draft, policy=policy.default)
        assert message["X-Unsent"] == "1"
        assert len(message["To"].addresses) == 1, name
        assert message["Cc"] is None
        assert message["Bcc"] is None
        assert message["Subject"].lower().count("re:") == 1, name
        assert not message.defects, name
        assert answer.message is not None
        if answer.message.message_id:
            assert message["In-Reply-To"] == f"<{answer.message.message_id}>", name
            assert message["References"].split()[-1] == f"<{answer.message.message_id}>", name
        assert all(len(line) <= 998 for line in answer.draft.split(b"\r\n"))
        assert b"\n" not in answer.draft.replace(b"\r\n", b"")


def test_a_drafts_html_asks_for_nothing_and_carries_its_styles_with_it(answers: dict[str, Answer]) -> None:
    for name, answer in answers.items():
        if answer.html:
            assert not re.search(r"https?:|<script|<link|<style|url\(|<form|<iframe", answer.html), name
            for source in re.findall(r'src="([^"]*)"', answer.html):
                assert source.startswith("cid:"), name
