"""Terms and tariffs that a person writes: taken into the quote, or refused in one line that names file, key and what is allowed."""

from decimal import Decimal
from pathlib import Path

import pytest

from bot.assistant import Assistant, Conversation
from bot.commands.parser import build_parser
from bot.opening import DEMO_CATALOGUE, open_assistant, open_tariff, open_terms
from bot.replies import explain, render
from bot.settings import load_settings
from bot.tariff_words import months_in_words, tariff_lines, week_in_words
from engine.errors import ConfigurationError
from engine.money.tariff import sample_tariffs
from engine.terms import Terms, TermsError, read_terms
from engine.written_file import MAX_BYTES

EXAMPLE = DEMO_CATALOGUE / "terms_example.toml"
TROFFERS = "36 2x4 troffers 4 lamp t8, office, m-f 7am to 6pm"


def fault(text: str) -> TermsError:
    with pytest.raises(TermsError) as caught:
        read_terms("mine.toml", text.encode())
    assert "\n" not in str(caught.value)
    assert str(caught.value).startswith("mine.toml, ")
    return caught.value


@pytest.mark.parametrize(
    ("text", "key", "found", "allowed"),
    [
        ("sales_tax_share = 7", "sales_tax_share", "7", "at most 1 (a share: 0.07 is 7 %)"),
        ("sales_tax_share = -0.07", "sales_tax_share", "-0.07", "at least 0"),
        ('freight_share = "3%"', "freight_share", "3%", "a number (a share: 0.07 is 7 %)"),
        ("analysis_years = 15.5", "analysis_years", "15.5", "a whole number"),
        ("analysis_years = 60", "analysis_years", "60", "at most 40"),
        ('relamping = "yearly"', "relamping", "yearly", "'spot' or 'group'"),
        ('lift = "sometimes"', "lift", "sometimes", "true or false"),
        ("sales_tax = 0.07", "sales_tax", "0.07", "one of sales_tax_share, freight_share"),
        ('[rebate]\nbasis = "per_watt"\namount = 1', "rebate, basis", "per_watt", "'per_watt_reduced'"),
        ('[rebate]\nbasis = "per_kwh"', "rebate, amount", "nothing", "this key, it must be there"),
        ('[rebate]\nbasis = "per_kwh"\namount = 1\ncap = 5', "rebate, cap", "5", "no key of this name"),
        ('[rebate]\nbasis = "per_kwh"\namount = -1', "rebate, amount", "-1", "at least 0"),
        ("discount_rate = nan", "discount_rate", "NaN", "finite"),
        ("sales_tax_share", "the file", "", "a TOML file in UTF-8"),
    ],
)
def test_a_fault_names_the_key_what_stands_there_and_what_may(text, key, found, allowed):
    error = fault(text)

    assert error.key == key
    assert found in error.found
    assert allowed in error.allowed


def test_binary_and_endless_files_are_refused():
    assert "UTF-8" in str(fault("\x00"))
    with pytest.raises(TermsError, match="UTF-8"):
        read_terms("mine.toml", b"\xff\xfe\x00")
    with pytest.raises(TermsError, match="at most 100000 bytes"):
        read_terms("mine.toml", b"#" * (MAX_BYTES + 1))


def test_a_file_that_is_not_there_is_one_line(tmp_path):
    for read in (open_terms, open_tariff):
        with pytest.raises(ConfigurationError, match="can't be read: No such file"):
            read(tmp_path / "gone.toml")
        with pytest.raises(ConfigurationError, match="can't be read: Is a directory"):
            read(tmp_path)


def test_the_example_of_the_demo_is_read_and_says_every_term():
    terms = open_terms(EXAMPLE)

    assert terms.sales_tax_share == Decimal("0.07")
    assert terms.rebate is not None
    assert terms.rebate.amount == Decimal("0.35")
    assert set(terms.model_fields_set) == set(Terms.model_fields)
    assert set(terms.rebate.model_fields_set) == set(type(terms.rebate).model_fields)


@pytest.fixture(scope="module")
def plain():
    return open_assistant()


@pytest.fixture(scope="module")
def termed(plain):
    tariff = sample_tariffs()["time_of_use"]
    return Assistant(plain.catalogue, plain.tables, open_terms(EXAMPLE), tariff)


def test_terms_and_tariff_reach_the_quote(plain, termed):
    before, after = (a.take_turn(Conversation(), TROFFERS).quote for a in (plain, termed))

    assert "sales_tax" not in before.totals
    assert after.totals["sales_tax"].value > 0
    assert after.totals["demand_cost_saved_per_year"].value > 0
    assert after.totals["rebate"].value > 0
    assert (
        after.totals["energy_cost_saved_per_year"].value != before.totals["energy_cost_saved_per_year"].value
    )


@pytest.mark.parametrize("language", ["en", "es"])
def test_what_terms_and_tariff_bring_is_said_in_words(termed, language):
    turn = termed.take_turn(Conversation(), TROFFERS)
    said = "the terms" if language == "en" else "las condiciones"

    assert said in explain(turn.quote, "totals.sales_tax", language)
    for name in turn.quote.totals:
        for line in explain(turn.quote, f"totals.{name}", language).splitlines():
            assert "_" not in line, line
    for channel in ("terminal", "email_text", "sms"):
        assert "_" not in render(turn.quote, turn.reading, channel, language, turn.conversation.texts)


def test_settings_name_the_files(tmp_path):
    settings = load_settings(
        {"HOME": str(tmp_path), "WATTCLERK_TERMS": "a.toml", "WATTCLERK_TARIFF": "b.toml"}
    )

    assert (settings.terms, settings.tariff) == (Path("a.toml"), Path("b.toml"))
    assert load_settings({"HOME": str(tmp_path)}, terms=Path("c.toml")).terms == Path("c.toml")


@pytest.mark.parametrize("command", [["ask", "x"], ["quote", "x"], ["serve"]])
def test_the_commands_take_the_files(command):
    arguments = build_parser().parse_args([*command, "--terms", "a.toml", "--tariff", "b.toml"])

    assert (arguments.terms, arguments.tariff) == ("a.toml", "b.toml")


def test_a_tariff_is_told_in_plain_words():
    text = "\n".join(tariff_lines(sample_tariffs()["time_of_use"]))

    assert "Tax on everything: 4 %" in text
    assert "summer: June to September" in text
    assert "winter: October to May" in text
    assert "shoulder: $0.128 a kWh, weekdays 9 am to 1 pm and 7 pm to 10 pm" in text
    assert "off peak: $0.081 a kWh, weekdays 10 pm to 9 am, weekends all day" in text
    assert "peak demand: $14.20 a kW each month, weekdays 1 pm to 7 pm" in text
    assert "any time demand: $4.10 a kW each month, at any time" in text


def test_blocks_are_told_from_the_first_to_the_last():
    text = "\n".join(tariff_lines(sample_tariffs()["blocks"]))

    assert "up to 1,000 kWh a month: $0.148 a kWh" in text
    assert "from 1,000 to 10,000 kWh a month: $0.117 a kWh" in text
    assert "above 10,000 kWh a month: $0.094 a kWh" in text
    assert "no demand charge" in text


def test_months_and_hours_run_over_the_new_year_and_midnight():
    assert months_in_words((1, 2, 11, 12)) == "November to February"
    assert months_in_words((3, 7)) == "March, July"
    assert months_in_words(tuple(range(1, 13))) == "all year"
    night = frozenset({22, 23, 0, 1})
    assert week_in_words({"weekday": night, "weekend": night}) == "every day 10 pm to 2 am"
    assert week_in_words({"weekday": frozenset({12}), "weekend": frozenset()}) == "weekdays noon to 1 pm"
    everything = frozenset(range(24))
    assert week_in_words({"weekday": everything, "weekend": everything}) == "all the time"
