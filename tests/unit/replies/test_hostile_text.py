import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bot.reading.shape import Doubt, Fault
from bot.replies import CHANNELS, gsm, render
from bot.replies.clean import one_line
from bot.replies.words import LANGUAGES
from tests.unit.replies import samples

HTML = ("chat", "email_html")
BIDI = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c"


def tags_of(html):
    return set(re.findall(r"<([a-z0-9]+)", html, re.IGNORECASE))


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("channel", HTML)
def test_a_strangers_tags_are_shown_and_not_obeyed(channel, language):
    quote, reading = samples.hostile()
    clean_quote, clean_reading = samples.wall_packs(customer="A", site="B", po="C", needed_by="D")
    html = render(quote, reading, channel, language, (samples.TEXT + " <b>99</b>{{ config }}",))

    assert "&lt;script&gt;" in html
    assert tags_of(html) - tags_of(render(clean_quote, clean_reading, channel, language)) <= {
        "strong",
        "q",
        "p",
    }
    assert "onerror=alert" not in re.sub(r">[^<]*<", "><", html)


@pytest.mark.parametrize("channel", CHANNELS)
def test_template_signs_in_a_message_are_not_evaluated(channel):
    quote, reading = samples.hostile()
    text = render(quote, reading, channel, "en", (samples.TEXT,))

    assert "1337" not in text
    assert "7*191" in text


@pytest.mark.parametrize("channel", CHANNELS)
def test_no_control_or_direction_character_reaches_a_channel(channel):
    quote, reading = samples.hostile()
    text = render(quote, reading, channel, "en", (samples.TEXT,))

    assert not set(text) & set(BIDI + "\x00\x1b")


def test_stacked_marks_are_cut_to_two():
    assert one_line("A" + "\u0301" * 40) == "A\u0301\u0301"


def test_a_very_long_name_is_cut():
    quote, reading = samples.wall_packs(customer="W" * 120)

    assert "W" * 60 not in render(quote, reading, "terminal", "en")


@settings(max_examples=80, deadline=None)
@given(st.text(max_size=400))
def test_any_text_becomes_one_bounded_line_without_controls(text):
    line = one_line(text)

    assert len(line) <= 60
    assert "\n" not in line
    assert not set(line) & set(BIDI + "\x00\x1b\u2028\u2029")


@settings(max_examples=40, deadline=None)
@given(st.text(max_size=120))
def test_any_text_in_any_free_place_leaves_the_page_well_formed_and_the_message_short(text):
    quote, reading = samples.wall_packs()
    reading = replace(
        reading,
        doubts=(Doubt("lines.0.finish", text, (text,), ""),),
        faults=(Fault("lines.0.qty", (0, 0, 0), text),),
        unread=((0, 0, len(text)),),
    )
    html = render(quote, reading, "chat", "en", (text,))

    ElementTree.fromstring(html.replace("<br>", "<br/>"))  # noqa: S314  our own page
    assert gsm.segments(render(quote, reading, "sms", "en", (text,))) <= 3
