from decimal import Decimal

import pytest

from bot.replies import gsm, shown
from bot.replies.words import words_in

EN, ES = words_in("en"), words_in("es")


@pytest.mark.parametrize(
    ("write", "value", "text"),
    [
        (shown.money, Decimal("1980.4"), "$1,980"),
        (shown.money, Decimal("64.50"), "$64.50"),
        (shown.money, Decimal("95.00"), "$95"),
        (shown.money, Decimal("-240.00"), "-$240"),
        (shown.price, Decimal("130"), "$130.00"),
        (shown.price, Decimal("1234.5"), "$1,234.50"),
        (shown.dollars, Decimal("81.10"), "$81"),
        (shown.rate, 0.11, "$0.11"),
        (shown.rate, Decimal("0.085"), "$0.085"),
        (shown.rate, Decimal("0.1"), "$0.10"),
        (shown.watts, 295.0, "295 W"),
        (shown.watts, 8.55, "8.6 W"),
        (shown.kilowatts, 2.94, "2.9 kW"),
        (shown.kilowatts, 0.444, "0.44 kW"),
        (shown.percent, 82.4, "82%"),
        (shown.whole, 14868.5, "14,869"),
        (shown.exact, 12538.8, "12,538.8"),
        (shown.exact, 0.624, "0.624"),
        (shown.exact, 12, "12"),
    ],
)
def test_numbers_are_written_as_the_trade_writes_them(write, value, text):
    assert write(value) == text


@pytest.mark.parametrize(
    ("value", "english", "spanish"),
    [
        (2.08, "2.1 years", "2.1 años"),
        (1.0, "1 year", "1 año"),
        (0.97, "1 year", "1 año"),
        (0.66, "8 months", "8 meses"),
        (0.08, "1 month", "1 mes"),
        (0.01, "less than a month", "menos de un mes"),
        (70, "over 40 years", "más de 40 años"),
        (float("inf"), "never", "nunca"),
    ],
)
def test_a_payback_is_told_in_years_or_months(value, english, spanish):
    assert shown.years(value, EN) == english
    assert shown.years(value, ES) == spanish


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [
        (1.6, 2.9, "between 1.6 and 2.9 years"),
        (1.0, 1.4, "between 1 and 1.4 years"),
        (0.5, 0.9, "between 6 and 11 months"),
        (0.66, 1.4, "between 8 months and 1.4 years"),
        (2.01, 2.02, ""),
        (3.0, float("inf"), "between 3 years and never"),
    ],
)
def test_a_range_of_paybacks_names_its_unit_once(low, high, text):
    assert shown.years_between(low, high, EN) == text


@pytest.mark.parametrize(
    ("value", "english", "spanish"),
    [
        (1.64, "about 1.6 years", "unos 1.6 años"),
        (1.0, "about 1 year", "alrededor de 1 año"),
        (0.08, "about 1 month", "alrededor de 1 mes"),
        (0.01, "less than a month", "menos de un mes"),
        (44.0, "over 40 years", "más de 40 años"),
        (float("inf"), "never", "nunca"),
    ],
)
def test_an_estimated_payback_is_said_to_be_one(value, english, spanish):
    assert shown.about_years(value, EN) == english
    assert shown.about_years(value, ES) == spanish


def test_a_range_of_amounts_names_its_unit_once():
    assert shown.amount_range(3900, 4380, "h/yr", EN) == "3,900 to 4,380 hours a year"
    assert shown.amount_range(3900, 4380, "h/yr", EN, with_unit=False) == "3,900 to 4,380"
    assert shown.amount_range(Decimal("60"), Decimal("140"), "USD", EN) == "$60 to $140"
    assert shown.amount_range(60, 60, "W", EN) == ""


def test_an_unknown_unit_stands_behind_its_number():
    assert shown.amount(12.0, "furlong", EN) == "12 furlong"


def test_the_hour_is_told_on_a_twelve_hour_clock():
    assert [shown.clock(h) for h in (0, 9, 12, 16, 24)] == ["12 am", "9 am", "12 pm", "4 pm", "12 am"]


def test_accents_that_the_alphabet_lacks_are_dropped_and_those_it_has_are_kept():
    assert gsm.folded("¿Qué lámpara? año ½ “12×250 W” — ok") == '¿Qué lampara? año 1/2 "12x250 W" - ok'
    assert gsm.folded("灯\u0001") == "??"


def test_segments_are_counted_as_networks_count_them():
    """3GPP TS 23.038: 160 places in one message, 153 in each part of a longer one; [ takes two places."""
    assert gsm.segments("a" * 160) == 1
    assert gsm.segments("a" * 161) == 2
    assert gsm.segments("a" * 306) == 2
    assert gsm.segments("a" * 307) == 3
    assert gsm.segments("[" * 81) == 2


def test_a_character_outside_the_alphabet_is_not_counted_in_silence():
    with pytest.raises(ValueError, match="alphabet"):
        gsm.places("á")
