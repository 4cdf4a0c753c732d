"""`wattclerk draft` as it is called: exit status, what stands on which stream, one line a file."""

import json
from collections.abc import Callable
from email import message_from_string
from pathlib import Path

import jsonschema

from bot.schemas import schema_named
from tests.corpus.mail.build import FOLDER


def test_one_message_in_one_draft_out(wattclerk_afresh: Callable) -> None:
    done = wattclerk_afresh(
        "draft", "--own", "quotes@example.org", stdin=(FOLDER / "new_signed_regards.eml").read_bytes()
    )
    draft = message_from_string(done.out)

    assert done.status == 0
    assert draft["X-Unsent"] == "1"
    assert draft["In-Reply-To"] == "<m002.corpus@example.com>"


def test_where_none_is_owed_nothing_is_printed_and_the_reason_is_on_standard_error(
    wattclerk: Callable,
) -> None:
    for name, reply in (("bounce_report", "none"), ("human_legal_attorney", "human")):
        done = wattclerk("draft", stdin=(FOLDER / f"{name}.eml").read_bytes())

        assert done.status == 0
        assert not done.out
        assert done.err.startswith(f"{reply}: ")
        assert len(done.err.splitlines()) == 1


def test_many_files_get_a_line_each_by_the_schema(wattclerk: Callable, tmp_path: Path) -> None:
    missing = str(tmp_path / "missing.eml")
    names = [str(FOLDER / f"{name}.eml") for name in ("html_table", "auto_submitted", "human_order_po")]
    done = wattclerk("draft", "--json", "--own", "quotes@example.org", *names, missing)
    rows = [json.loads(line) for line in done.out.splitlines()]

    assert done.status == 1
    assert [row["file"] for row in rows] == [*names, missing]
    assert [row.get("reply") for row in rows] == ["draft", "none", "human", None]
    for row in rows[:3]:
        jsonschema.validate(row, schema_named("draft"))
    assert len(rows[0]["reading"]["lines"]) == 3
    assert rows[1]["reading"]["lines"] == []


def test_what_is_called_wrongly_and_what_is_no_message_are_told_apart(wattclerk: Callable) -> None:
    assert wattclerk("draft", "x.eml").status == 2
    assert wattclerk("draft", stdin=b"").status == 1
    assert wattclerk("draft", "--own", "nobody", stdin=b"From: a@example.com\n\nx").status == 1


def test_the_quote_goes_along_as_pdf_unless_it_is_not_wanted(wattclerk: Callable) -> None:
    request = (FOLDER / "new_signed_regards.eml").read_bytes()
    files = {}
    for option in ((), ("--without-pdf",)):
        draft = message_from_string(
            wattclerk("draft", "--own", "quotes@example.org", *option, stdin=request).out
        )
        files[option] = [
            part.get_filename()
            for part in draft.walk()
            if part.get_filename() and part.get_content_maintype() == "application"
        ]

    assert files == {(): ["lighting quote.pdf"], ("--without-pdf",): []}


def test_a_quote_is_written_as_pdf_where_a_file_is_named(wattclerk: Callable, tmp_path: Path) -> None:
    text, file = "twelve 250W wallpacks at 20 ft, $0.11/kWh, dusk-to-dawn", tmp_path / "quote.pdf"
    done = wattclerk("quote", "--pdf", str(file), "--seller", "Counter <quotes@example.com>", text)

    assert done.status == 0
    assert "DUNLIN/05P" in done.out
    assert file.read_bytes().startswith(b"%PDF-")
    missing = wattclerk("quote", "--pdf", str(tmp_path / "no" / "quote.pdf"), text)
    assert missing.status == 1
    assert "can't be written" in missing.err
    assert wattclerk("quote", "--pdf", str(file), "hello there").status == 1
    assert wattclerk("quote", "--seller", "Counter <quotes@example.com>", text).status == 2
    assert wattclerk("quote", "--pdf", str(file), "--valid-days", "0", text).status == 2
