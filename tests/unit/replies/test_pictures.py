from dataclasses import replace
from xml.etree import ElementTree

import pytest

from bot.replies.pictures import (
    AssumptionBar,
    assumption_bars,
    cash_flow_chart,
    cash_flow_picture,
    energy_bars,
    energy_picture,
    spread_picture,
)
from bot.replies.words import LANGUAGES, words_in
from engine.proposal import Spread
from tests.unit.replies import samples

SVG = "{http://www.w3.org/2000/svg}"
POINTS = [Spread(-2700 + 1600 * y, -2900 + 1400 * y, -2500 + 1800 * y) for y in range(11)]
BARS = [AssumptionBar("Labor rate", 1.4, 2.0), AssumptionBar("<b>Hours & more</b>", 1.9, float("inf"))]


def pictures(words):
    return (
        energy_bars(15222.0, 2580.0, words),
        cash_flow_chart(POINTS, "about 1.6 years", words),
        assumption_bars(BARS, 1.65, words),
    )


@pytest.fixture(params=LANGUAGES)
def words(request):
    return words_in(request.param)


def test_every_picture_is_well_formed_has_a_title_and_says_what_it_shows(words):
    for svg in pictures(words):
        root = ElementTree.fromstring(svg)  # noqa: S314  our own picture
        assert root.attrib["role"] == "img"
        assert root.find(f"{SVG}title").text
        assert len(root.find(f"{SVG}desc").text) > 20
        named = {root.find(f"{SVG}title").attrib["id"], root.find(f"{SVG}desc").attrib["id"]}
        assert set(root.attrib["aria-labelledby"].split()) == named


def test_no_picture_runs_anything_or_fetches_anything(words):
    for svg in pictures(words):
        for bad in ("<script", "onload", "href", "http://", "https://", "style="):
            assert bad not in svg.replace('xmlns="http://www.w3.org/2000/svg"', "")


def test_words_in_a_picture_are_escaped(words):
    svg = assumption_bars(BARS, 1.65, words)

    assert "<b>" not in svg
    assert "&lt;b&gt;Hours &amp; more&lt;/b&gt;" in svg


def test_the_same_picture_has_the_same_bytes(words):
    assert pictures(words) == pictures(words)


def test_pictures_are_told_apart_without_colour(words):
    for svg in pictures(words):
        assert "url(#hatch-" in svg
        for tone in {part[:7] for part in svg.split('fill="')[1:] if part.startswith("#")}:
            red, green, blue = (int(tone[i : i + 2], 16) for i in (1, 3, 5))
            assert max(red, green, blue) - min(red, green, blue) <= 20


def test_the_bars_are_as_long_as_the_energy(words):
    root = ElementTree.fromstring(energy_bars(1000.0, 250.0, words))  # noqa: S314  our own picture
    bars = [r for r in root.findall(f"{SVG}rect") if r.attrib.get("height") == "34"]

    assert float(bars[1].attrib["width"]) / float(bars[0].attrib["width"]) == pytest.approx(0.25, abs=0.01)


def test_the_curve_says_when_it_pays_or_that_it_never_does():
    words = words_in("en")

    assert "It pays back after about 1.6 years." in cash_flow_chart(POINTS, "about 1.6 years", words)
    assert "It never pays back." in cash_flow_chart(POINTS, "", words)


def test_a_payback_that_never_comes_is_labelled_so():
    assert ">never</text>" in assumption_bars(BARS, 1.65, words_in("en"))


def test_a_curve_of_one_year_and_bars_of_nothing_are_refused():
    with pytest.raises(ValueError, match="two years"):
        cash_flow_chart(POINTS[:1], "", words_in("en"))
    with pytest.raises(ValueError, match="no assumption"):
        assumption_bars([], 1.0, words_in("en"))


def test_a_quote_draws_its_own_pictures():
    quote, _ = samples.wall_packs()

    assert "15,222 kWh" in energy_picture(quote, "en")
    assert "Labor each: 1.4 to 2 years." in spread_picture(quote, "en")


def test_the_curve_is_drawn_from_the_draws_of_the_quote():
    quote, _ = samples.wall_packs()
    band = tuple(Spread(-2700.0 + 1600 * y, -2900.0 + 1400 * y, -2500.0 + 1800 * y) for y in range(16))
    svg = cash_flow_picture(replace(quote, cash_band=band), "en")

    assert "After 15 years: $21,300, most likely between $18,100 and $24,500." in svg
    assert "It pays back after about 1.6 years." in svg
    assert cash_flow_picture(quote, "en") == ""


def test_a_quote_without_figures_draws_nothing():
    quote, _ = samples.stopped("danger")

    assert energy_picture(quote, "en") == ""
    assert spread_picture(quote, "en") == ""
    assert spread_picture(replace(samples.wall_packs()[0], swings=()), "en") == ""
