"""The command line as a process: what it prints, where, and with which exit status."""

import csv
import json
import os
import re
import signal
import socket
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest

from bot.assistant import Conversation
from bot.commands.parser import SCHEMAS
from bot.opening import DEMO_CATALOGUE, open_assistant
from bot.replies import explain
from bot.replies.layout import laid_out
from bot.schemas import NAMES, schema_named
from engine import tables
from engine.catalog.loader import load_catalogue
from tests.corpus.records import Record, records
from tests.system.conftest import Outcome, command_environment

FIRST = "twelve 250W wallpacks at 20 ft, $0.11/kWh, dusk-to-dawn"
Run = Callable[..., Outcome]


def refused(outcome: Outcome, *words: str) -> None:
    """One plain line on stderr, nothing on stdout, exit 1."""
    assert outcome.out == ""
    assert outcome.status == 1
    assert len(outcome.error_lines) == 1, outcome.err
    assert "Traceback" not in outcome.err
    for word in words:
        assert word in outcome.err


def test_ask_answers_the_first_sentence(wattclerk_afresh: Run) -> None:
    outcome = wattclerk_afresh("ask", FIRST)

    assert outcome.status == 0
    assert outcome.err == ""
    for expected in ("metal halide", "295 W", "LED", "back", "licensed electrician"):
        assert expected in outcome.out


def test_ask_reads_standard_input(wattclerk: Run) -> None:
    assert wattclerk("ask", "-", stdin=FIRST.encode()).out == wattclerk("ask", FIRST).out


def test_ask_prints_the_same_bytes_twice(wattclerk: Run, wattclerk_afresh: Run) -> None:
    assert wattclerk_afresh("ask", FIRST).out == wattclerk("ask", FIRST).out


@pytest.mark.parametrize("channel", ["terminal", "sms", "chat", "email", "email-html"])
def test_every_channel_answers(wattclerk: Run, channel: str) -> None:
    outcome = wattclerk("ask", "--channel", channel, FIRST)

    assert outcome.status == 0
    assert "LED" in outcome.out or "$" in outcome.out
    assert ("<" in outcome.out) == (channel in {"chat", "email-html"})


def test_a_short_message_fits_three_segments(wattclerk: Run) -> None:
    assert len(wattclerk("ask", "--channel", "sms", FIRST).out.strip()) <= 3 * 153


def test_a_hazardous_place_gets_a_person_and_no_price(wattclerk: Run) -> None:
    outcome = wattclerk("ask", "we have class 1 div 2 area with 6 150w hps, need led")

    assert outcome.status == 0
    assert "$" not in outcome.out
    assert "qualified" in outcome.out


@pytest.mark.parametrize(
    ("text", "word"),
    [
        ("", "empty"),
        ("   \n\t ", "empty"),
        ("0 wallpacks", "0"),
        ("-5", "-5"),
        ("12 wallpacks at 900 ft", "900"),
        ("12 wallpacks, power is $11/kWh", "11"),
        ("12 \x07wallpacks", "binary"),
        ("12 wallpacks, on 25 hours a day", "25 hours"),
    ],
)
def test_what_cannot_be_gets_one_plain_line(refusal_of: Run, text: str, word: str) -> None:
    refused(refusal_of("ask", text), word)


def test_a_megabyte_of_text_gets_one_plain_line(refusal_of: Run) -> None:
    refused(refusal_of("ask", "-", stdin=b"wallpack " * 120_000), "long")


@pytest.mark.parametrize("data", [b"\x7fELF\x00\x00\x01", b"\xff\xfe\xfd", bytes(range(256))])
def test_binary_input_gets_one_plain_line(refusal_of: Run, data: bytes) -> None:
    refused(refusal_of("ask", "-", stdin=data))


def test_bytes_that_are_no_text_as_an_argument_get_one_plain_line(wattclerk_afresh: Run) -> None:
    refused(wattclerk_afresh("ask", b"12 wallpacks \xff\xfe"), "UTF-8")


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["nonsense"],
        ["ask"],
        ["ask", FIRST, "--channel", "pigeon"],
        ["serve", "--port", "100000"],
        ["serve", "--port", "x"],
        ["schema", "nonsense"],
        ["quote", FIRST, "--job", "x.json"],
        ["read", "--jsonl", FIRST],
        ["read", "--corpus-line", "--json", FIRST],
        ["read", "--why", "because", FIRST],
        ["read", "--json", "--correct", "right.json", FIRST],
        ["read", "--corpus-line", "--correct", "-", "-"],
    ],
)
def test_a_call_with_the_wrong_words_exits_2_and_says_where_the_help_is(
    refusal_of: Run, arguments: list[str]
) -> None:
    outcome = refusal_of(*arguments)

    assert outcome.status == 2
    assert outcome.out == ""
    assert len(outcome.error_lines) == 1
    assert "--help" in outcome.err


@pytest.mark.parametrize("command", [None, "ask", "read", "quote", "explain", "serve", "schema", "light"])
def test_every_command_has_help(wattclerk: Run, command: str | None) -> None:
    outcome = wattclerk(*([command] if command else []), "--help")

    assert outcome.status == 0
    assert outcome.out.startswith("usage: wattclerk")


def test_read_prints_what_the_schema_says(wattclerk_afresh: Run) -> None:
    outcome = wattclerk_afresh("read", "--json", FIRST)
    reading = json.loads(outcome.out)

    jsonschema.validate(reading, schema_named("reading"))
    assert reading["lines"] == [{"qty": 12, "family": "wall_pack", "watts": 250.0, "height_ft": 20.0}]
    assert reading["job"] == {"rate_per_kwh": 0.11, "schedule": "dusk_to_dawn"}


def test_read_shows_people_the_words_that_a_slot_came_from(wattclerk: Run) -> None:
    outcome = wattclerk("read", FIRST)

    assert 'lines.0.qty: 12   from "twelve"' in outcome.out.splitlines()


def test_read_jsonl_answers_line_by_line_and_goes_on_after_a_bad_one(wattclerk: Run) -> None:
    lines = [
        json.dumps({"id": "one", "turns": [{"text": "12 wallpacks 250w"}, {"text": "make it 14"}]}),
        "not json",
        json.dumps({"id": "two"}),
        json.dumps({"id": "three", "turns": [{"text": "hi", "asked": "lines.*.voltage"}], "more": 1}),
        json.dumps({"id": "four", "turns": [{"text": "bad \ud800 text"}]}),
        json.dumps({"id": "five", "turns": [{"text": "8 area lights"}, {"text": ""}]}),
    ]
    outcome = wattclerk("read", "--jsonl", stdin="\n".join(lines).encode())
    out = [json.loads(line) for line in outcome.out.splitlines()]

    assert outcome.status == 1
    assert [each["id"] for each in out] == ["one", None, "two", "three", "four", "five"]
    assert ["error" in each for each in out] == [False, True, True, True, True, False]
    assert [turn["lines"][0]["qty"] for turn in out[0]["turns"]] == [12, 14]
    assert out[5]["turns"][1]["lines"] == out[5]["turns"][0]["lines"]
    for each in out:
        jsonschema.validate(each, schema_named("readings"))


RIGHT = {
    "intent": "quote",
    "job": {"rate_per_kwh": 0.12},
    "lines": [{"qty": 9, "watts": 250.0, "source": "MH"}],
}


def test_a_message_and_its_reading_become_one_line_of_the_corpus(wattclerk: Run) -> None:
    outcome = wattclerk("read", "--corpus-line", "--why", "the first sentence", FIRST)
    record = json.loads(outcome.out)

    assert outcome.out.count("\n") == 1
    Record.model_validate(record)
    assert re.fullmatch("u-[0-9a-f]{16}", record["id"])
    assert (record["kind"], record["why"], record["turns"]) == (
        "user",
        "the first sentence",
        [{"text": FIRST}],
    )
    assert record["gold"] == [
        {
            "intent": "quote",
            "job": {"rate_per_kwh": 0.11, "schedule": "dusk_to_dawn"},
            "lines": [{"qty": 12, "family": "wall_pack", "watts": 250, "height_ft": 20}],
        }
    ]


def test_a_reading_put_right_by_hand_is_the_gold_of_its_line(refusal_of: Run, tmp_path: Path) -> None:
    file = tmp_path / "right.json"
    file.write_text(json.dumps(RIGHT), "utf-8")
    outcome = refusal_of("read", "--corpus-line", "--correct", str(file), FIRST)
    record = json.loads(outcome.out)

    Record.model_validate(record)
    assert record["gold"] == [RIGHT]
    assert record["id"] == json.loads(refusal_of("read", "--corpus-line", FIRST).out)["id"]
    assert record["id"] != json.loads(refusal_of("read", "--corpus-line", FIRST + "!").out)["id"]
    given = refusal_of("read", "--corpus-line", "--correct", "-", FIRST, stdin=json.dumps(RIGHT).encode())
    assert given.out == outcome.out


def test_a_line_of_the_corpus_is_scored_as_any_other(wattclerk: Run, tmp_path: Path) -> None:
    (tmp_path / "mine.jsonl").write_text(wattclerk("read", "--corpus-line", FIRST).out, "utf-8")

    assert [record["kind"] for record in records(tmp_path)] == ["user"]


@pytest.mark.parametrize(
    ("right", "word"),
    [
        ("", "JSON"),
        ("[]", "right.json"),
        ("{}", "intent"),
        (json.dumps({**RIGHT, "intent": "buy"}), "intent"),
        (json.dumps({**RIGHT, "lines": [{"qty": 0}]}), "lines.0.qty"),
        (json.dumps({**RIGHT, "lines": [{"colour": "red"}]}), "lines.0.colour"),
        (json.dumps({**RIGHT, "job": {"rate_per_kwh": 11}}), "job.rate_per_kwh"),
        (json.dumps({**RIGHT, "job": {"schedule": {"hours_per_day": 25}}}), "schedule"),
        (json.dumps({**RIGHT, "sure": True}), "sure"),
    ],
)
def test_a_correction_that_cannot_be_gets_one_plain_line(
    refusal_of: Run, tmp_path: Path, right: str, word: str
) -> None:
    file = tmp_path / "right.json"
    file.write_text(right, "utf-8")

    refused(refusal_of("read", "--corpus-line", "--correct", str(file), FIRST), word)


@pytest.mark.parametrize("why", ["", "no", "x" * 301, "two\nlines"])
def test_a_reason_that_is_no_sentence_is_refused(refusal_of: Run, why: str) -> None:
    refused(refusal_of("read", "--corpus-line", "--why", why, FIRST), "--why")


def test_quote_json_has_the_contract_s_names_and_bytes_that_repeat(
    wattclerk: Run, wattclerk_afresh: Run
) -> None:
    outcome = wattclerk_afresh("quote", "--json", FIRST)
    quote = json.loads(outcome.out)

    jsonschema.validate(quote, schema_named("quote"))
    assert quote["totals"]["qty"] == 12
    assert 285 <= quote["lines"][0]["existing"]["input_watts"] <= 305
    assert 45 <= quote["lines"][0]["options"][quote["lines"][0]["chosen"]]["input_watts"] <= 65
    assert wattclerk("quote", "--json", FIRST).out == outcome.out


def test_a_reading_s_job_quotes_the_same_as_its_text(wattclerk: Run, tmp_path: Path) -> None:
    reading = wattclerk("read", "--json", FIRST).out
    file = tmp_path / "job.json"
    file.write_text(reading, "utf-8")
    quoted = wattclerk("quote", "--json", FIRST).out

    assert wattclerk("quote", "--json", "--job", str(file)).out == quoted
    assert wattclerk("quote", "--json", "--job", "-", stdin=reading.encode()).out == quoted


@pytest.mark.parametrize(
    ("job", "word"),
    [
        ("", "JSON"),
        ("[]", "job"),
        ("{}", "job"),
        ('{"lines": [{"qty": 0}]}', "qty"),
        ('{"lines": [{"qty": 2, "colour": "red"}]}', "colour"),
        ('{"job": {"rate_per_kwh": 11}}', "rate_per_kwh"),
        ('{"job": {"rate_per_kwh": NaN}}', ""),
        ('{"job": {"rate_per_kwh": -0.11}}', "rate_per_kwh: Input should be greater than 0"),
        (
            '{"job": {"schedule": {"hours_per_day": 25}}}',
            "hours_per_day: Input should be less than or equal to 24",
        ),
        ('{"job": {"schedule": "sometimes"}}', "job.schedule: Input should be 'dusk_to_dawn' or 'always_on'"),
        ('{"lines": [{"voltage": 5}]}', "lines.0.voltage: Input should be greater than or equal to 12"),
        ("[" * 100_000, "JSON"),
    ],
)
def test_a_job_that_cannot_be_gets_one_plain_line(refusal_of: Run, job: str, word: str) -> None:
    refused(refusal_of("quote", "--json", "--job", "-", stdin=job.encode()), word)


def test_a_job_that_nothing_can_save_on_is_told_that_it_never_pays_back(wattclerk: Run) -> None:
    line = {"qty": 3, "family": "downlight", "source": "CFL", "watts": 5, "input_watts": 6}
    outcome = wattclerk("quote", "--job", "-", stdin=json.dumps({"lines": [line]}).encode())

    assert outcome.status == 0
    assert "never pays back" in " ".join(outcome.out.split())


def test_a_rebate_above_the_cost_is_cut_and_said_to_be(wattclerk: Run) -> None:
    outcome = wattclerk("ask", f"{FIRST}, utility pays $600 each")

    assert "is more than the $3,024 it would pay for, so it was cut to that" in " ".join(outcome.out.split())


def test_an_led_that_hangs_there_already_is_not_priced(wattclerk: Run) -> None:
    line = {"qty": 3, "family": "wall_pack", "source": "LED", "watts": 50}
    outcome = wattclerk("quote", "--job", "-", stdin=json.dumps({"lines": [line]}).encode())

    assert outcome.status == 0
    assert "LED already" in outcome.out
    assert "$" not in outcome.out


def test_a_job_file_that_is_not_there_gets_one_plain_line(refusal_of: Run) -> None:
    refused(refusal_of("quote", "--json", "--job", "nowhere.json"), "nowhere.json")


def test_a_kept_quote_explains_its_figures(wattclerk: Run, wattclerk_afresh: Run) -> None:
    kept = wattclerk_afresh("quote", "--save", FIRST)
    name = kept.err.split()[2].rstrip(";")
    explained = wattclerk_afresh("explain", name, "simple_payback_years")
    listed = wattclerk("explain", name)

    assert explained.status == 0
    assert explained.out.count("\n") > 10
    for source in ("you said", "assumed", "catalog"):
        assert source in explained.out
    assert "totals.simple_payback_years" in listed.out.splitlines()
    refused(wattclerk("explain", name, "nonsense"), "nonsense")


@pytest.mark.parametrize(
    "figure", ["totals.simple_payback_years", "totals.saved_per_year", "lines.0.kw_saved"]
)
def test_a_kept_figure_is_explained_in_the_words_of_the_chat(wattclerk: Run, figure: str) -> None:
    name = wattclerk("quote", "--save", FIRST).err.split()[2].rstrip(";")
    assistant = open_assistant(None, None)
    quote = assistant.take_turn(Conversation(), FIRST).quote
    assert quote is not None
    in_chat = explain(quote, figure, "en", tables=assistant.tables)

    assert wattclerk("explain", name, figure).out == laid_out(in_chat, "terminal") + "\n"


def test_a_quote_that_was_never_kept_gets_one_plain_line(wattclerk: Run, tmp_path: Path) -> None:
    refused(wattclerk("explain", "nonsense", "net_cost"), "nothing is kept", "quote --save")
    assert not (tmp_path / "data").exists(), "asking must not write"


def test_schema_prints_every_schema(wattclerk: Run) -> None:
    assert SCHEMAS == NAMES
    for name in NAMES:
        jsonschema.Draft202012Validator.check_schema(json.loads(wattclerk("schema", name).out))


def spoiled(source: Path, target: Path, row: int, column: str, cell: str) -> Path:
    """A copy of a sheet with one cell changed; the heading is row 1."""
    with source.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    rows[row - 1][rows[0].index(column)] = cell
    target.parent.mkdir(exist_ok=True)
    with target.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows(rows)
    return target


@pytest.mark.parametrize("command", [["ask", FIRST], ["quote", "--json", FIRST], ["serve", "--port", "0"]])
def test_a_catalogue_with_a_bad_row_names_file_and_row(
    refusal_of: Run, tmp_path: Path, command: list[str]
) -> None:
    path = spoiled(DEMO_CATALOGUE / "wall_packs.csv", tmp_path / "mine.csv", 4, "input_watts", "plenty")

    refused(refusal_of(*command, "--catalogue", str(path)), "mine.csv", "row 4", "input_watts", "plenty")


@pytest.mark.parametrize("command", [["ask", FIRST], ["quote", "--json", FIRST], ["serve", "--port", "0"]])
def test_a_table_with_a_bad_number_names_file_row_and_column(
    refusal_of: Run, tmp_path: Path, command: list[str]
) -> None:
    folder = tmp_path / "tables"
    spoiled(
        Path(tables.__file__).parent / "system_watts.csv",
        folder / "system_watts.csv",
        2,
        "watts",
        "about 295",
    )

    refused(refusal_of(*command, "--tables", str(folder)), "system_watts.csv", "row 2", "watts", "about 295")


def test_a_catalogue_that_is_not_there_gets_one_plain_line(refusal_of: Run) -> None:
    refused(refusal_of("ask", FIRST, "--catalogue", "nowhere.csv"), "nowhere.csv")


def test_a_port_in_use_gets_one_plain_line(refusal_of: Run) -> None:
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]

        refused(refusal_of("serve", "--port", str(port)), str(port), "in use")


def test_a_setting_that_cannot_be_names_itself(refusal_of: Run) -> None:
    refused(refusal_of("ask", FIRST, WATTCLERK_PORT="many"), "WATTCLERK_PORT")
    refused(refusal_of("ask", FIRST, WATTCLERK_SETTINGS="nowhere.toml"), "nowhere.toml")


def test_a_data_folder_that_cannot_be_made_gets_one_plain_line(refusal_of: Run, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder", "utf-8")

    refused(refusal_of("serve", "--port", "0", WATTCLERK_DATA_FOLDER=str(tmp_path / "file" / "data")), "file")


def test_a_database_that_is_none_gets_one_plain_line(refusal_of: Run, tmp_path: Path) -> None:
    folder = tmp_path / "data"
    folder.mkdir()
    (folder / "wattclerk.db").write_bytes(
        b"this is no database, but long enough to be looked at as one. " * 40
    )

    refused(refusal_of("serve", "--port", "0"), "wattclerk.db")


def test_a_settings_file_is_read_and_the_environment_goes_before_it(refusal_of: Run, tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text('catalogue = "nowhere.csv"\n', "utf-8")

    refused(refusal_of("ask", FIRST, WATTCLERK_SETTINGS=str(file)), "nowhere.csv")
    assert (
        refusal_of("ask", FIRST, WATTCLERK_SETTINGS=str(file), WATTCLERK_CATALOGUE=str(DEMO_CATALOGUE)).status
        == 0
    )
    file.write_text("colour = 3\n", "utf-8")
    refused(refusal_of("ask", FIRST, WATTCLERK_SETTINGS=str(file)), "colour")


@pytest.mark.parametrize(
    "arguments", [["ask", "   "], ["ask", FIRST, "--catalogue", "nowhere.csv"], ["explain", "x", "y"]]
)
def test_a_refusal_is_the_same_in_a_process_of_its_own(
    wattclerk_afresh: Run, refusal_of: Run, arguments: list[str]
) -> None:
    outcome = wattclerk_afresh(*arguments)

    refused(outcome)
    assert outcome.err.replace("/", "") == refusal_of(*arguments).err.replace("/", "")


def test_a_reader_that_closes_the_pipe_is_no_error(tmp_path: Path) -> None:
    line = json.dumps({"id": "a", "turns": [{"text": FIRST}]}) + "\n"
    command = f"{sys.executable} -P -m bot read --jsonl | head -n 1"
    done = subprocess.run(
        ["/bin/sh", "-c", command],
        input=(line * 400).encode(),
        capture_output=True,
        env=command_environment(tmp_path),
        cwd=tmp_path,
        timeout=60,
        check=False,
    )

    assert done.stdout.count(b"\n") == 1
    assert done.stderr == b""


def test_an_interrupt_is_quiet(tmp_path: Path) -> None:
    process = subprocess.Popen(
        [sys.executable, "-P", "-m", "bot", "read", "--jsonl"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env=command_environment(tmp_path),
        cwd=tmp_path,
    )
    assert process.stdin is not None
    assert process.stdout is not None
    line = json.dumps({"id": "a", "turns": [{"text": FIRST}]}) + "\n"
    process.stdin.write((line * 100).encode())  # more answers than its buffer holds: the first come out
    process.stdin.flush()
    assert process.stdout.readline()
    os.kill(process.pid, signal.SIGINT)
    _, err = process.communicate(timeout=30)

    assert process.returncode == 130
    assert err == b""


def test_a_short_answer_does_not_load_the_server(tmp_path: Path) -> None:
    code = (
        "import sys; from bot.__main__ import main; main(['ask', 'hi']); "
        "sys.exit(bool({'aiohttp', 'sqlite_utils', 'asyncio'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-P", "-c", code],
        capture_output=True,
        env=command_environment(tmp_path),
        cwd=tmp_path,
        timeout=60,
        check=False,
    )

    assert done.returncode == 0


def test_the_demo_catalogue_has_what_the_shop_needs() -> None:
    assert len(load_catalogue(DEMO_CATALOGUE).products) >= 240
