"""Whatever the bytes: one typed error, or an answer; in bounded time, and with nothing of a stranger's as a header."""

import sysconfig
import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.mail.bounds import MOST_BYTES, MailUnusable
from bot.mail.charsets import text_of
from bot.mail.desk import MailDesk
from bot.mail.html_text import html_lines
from bot.mail.newest import newest_of
from bot.mail.parsing import parse
from tests.corpus.mail.build import FOLDER
from tests.corpus.mail.score import AT
from tests.examples import tried

CORPUS = sorted(FOLDER.glob("*.eml"))
PYTHONS_OWN = Path(sysconfig.get_paths()["stdlib"]) / "test" / "test_email" / "data"


class _SaysNothing:
    def says(self, text: str) -> bool:
        return False

    def adds(self, note: str, text: str) -> bool:
        return False


def look(data: bytes) -> None:
    """Takes a message apart and finds its newest words; only the one error may leave."""
    try:
        message = parse(data)
    except MailUnusable:
        return
    newest_of(message, _SaysNothing())


@pytest.mark.skipif(not PYTHONS_OWN.is_dir(), reason="this Python comes without its own tests' data")
def test_pythons_own_nasty_messages_are_answered(desk: MailDesk) -> None:
    files = sorted(PYTHONS_OWN.glob("msg_*.txt"))

    assert len(files) > 30
    for file in files:
        assert desk.answer(file.read_bytes(), AT).decision.reply in ("draft", "none", "human")


SPLICES = st.sampled_from(
    [
        b"\n\n", b"\x00", b"\xff\xfe", b"=?utf-8?b?////?=", b"--part-001--", b"Content-Type: multipart/mixed; boundary=\"\"\n", b"<table><tr><td>", b">",
        b"\r", b"(((((", b"Content-Transfer-Encoding: x-uuencode\n", b"charset=utf-7", b'";\n filename*9999999999=x', b"\xc3\x28", b"<style>.a{", b"[", b"@", b":;,",
        b"From: ", b"On Mon, Nov 23, 2026 at 9:14 AM x wrote:\n", b"-----Original Message-----\n", b"-- \n",
    ]
)  # fmt: skip


@settings(max_examples=tried(80, 250), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_changed_messages_are_taken_apart_or_refused(data: st.DataObject) -> None:
    raw = data.draw(st.sampled_from(CORPUS)).read_bytes()
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(raw)))
        to = min(len(raw), at + data.draw(st.integers(0, 60)))
        raw = raw[:at] + data.draw(SPLICES) + raw[to:]
    look(raw)


@settings(max_examples=tried(50, 150), deadline=None)
@given(st.binary(max_size=400))
def test_any_bytes_behind_a_head_are_taken_apart_or_refused(body: bytes) -> None:
    look(b"From: a@example.com\nContent-Type: text/html; charset=utf-16\n\n" + body)
    look(b"From: a@example.com\nContent-Type: " + body)


@settings(max_examples=tried(50, 150), deadline=None)
@given(st.text(alphabet="<>/ab \"'=&;#-!td trdivspan\n", max_size=300))
def test_any_markup_becomes_lines(markup: str) -> None:
    html_lines(markup)


@settings(max_examples=tried(60, 200), deadline=None)
@given(
    st.binary(max_size=200),
    st.sampled_from(
        [
            "utf-8",
            "idna",
            "unicode_escape",
            "punycode",
            "rot13",
            "utf-16",
            "iso-2022-jp",
            "hz",
            "big5",
            "",
            "undefined",
            "\x00",
        ]
    ),
)
def test_any_bytes_under_any_label_become_text(data: bytes, label: str) -> None:
    assert isinstance(text_of(data, label), str)


HEAD = b"From: a@example.com\nSubject: x\n"
BIG = {
    "empty lines": HEAD + b"\n" * 2_000_000,
    "one long line": HEAD + b"\n" + b"a" * 5_000_000,
    "quote marks": HEAD + b"\n" + b"> " * 1_000_000,
    "nested divs": HEAD + b"Content-Type: text/html\n\n" + b"<div>" * 200_000,
    "table cells": HEAD + b"Content-Type: text/html\n\n<table>" + b"<tr><td>1<td>2" * 100_000,
    "spans in a table": HEAD + b"Content-Type: text/html\n\n<table><tr><td rowspan=999999 colspan=999999>1<td>2</tr>" + b"<tr><td>1" * 40_000,
    "a style sheet": HEAD + b"Content-Type: text/html\n\n<style>" + b".a{b:c}" * 200_000 + b"</style>x",
    "open rules": HEAD + b"Content-Type: text/html\n\n<style>" + b"@media{" * 100_000 + b"</style>x",
    "parts": HEAD + b"Content-Type: multipart/mixed; boundary=b\n\n" + b"--b\nContent-Type: text/plain\n\nx\n" * 40_000,
    "a header": HEAD + b"To: " + b"a@example.com, " * 15_000 + b"\n\nx",
    "encoded words": HEAD + b"Cc: " + b"=?utf-8?b?YQ==?= " * 12_000 + b"\n\nx",
    "comments": HEAD + b"To: " + b"(" * 100_000 + b"\n\nx",
    "colons": HEAD + b"\n" + b"from: x\n" * 100_000,
    "wrote": HEAD + b"\n" + b"on wrote: wrote: \n" * 100_000,
    "dashes": HEAD + b"\n" + (b"-" * 200 + b"\n") * 20_000,
    "entities": HEAD + b"Content-Type: text/html\n\n" + b"&lt;" * 500_000,
}  # fmt: skip


@pytest.mark.parametrize("name", BIG)
def test_a_message_made_to_be_slow_is_not(name: str) -> None:
    began = time.process_time()
    look(BIG[name])

    # Far above what any of them takes: what is tried is that no price grows with the square of the size.
    assert time.process_time() - began < 20


@pytest.mark.parametrize(
    ("data", "why"),
    [
        (b"", "empty"), (b"hello\nthere", "no mail message"), (b"X: " + b"a" * 300_000 + b"\n\nx", "headers"),
        (HEAD + b"\n" + b"Content-Type: multipart/mixed; boundary=x\n" * 100, "parts within parts"), (BIG["parts"], "1,000 parts"), (b"A: b\n\n" + b"x" * MOST_BYTES, "too long"),
    ],
    ids=["empty", "no head", "long head", "deep", "parts", "long"],
)  # fmt: skip
def test_what_is_refused_says_why(data: bytes, why: str) -> None:
    with pytest.raises(MailUnusable, match=why):
        parse(data)


def test_a_message_that_can_not_be_taken_apart_goes_to_a_person(desk: MailDesk) -> None:
    answer = desk.answer((FOLDER / "hostile_depth.eml").read_bytes(), AT)

    assert answer.decision.reply == "human"
    assert answer.decision.kind == "unreadable"
