import pytest

from bot.replies import explain, explain_figure, find_figure
from bot.replies.figures_at import figure_at
from bot.replies.trace import MOST_LINES
from engine.figure import MONEY_UNIT, defined, derive
from tests.unit.replies import samples


@pytest.fixture(scope="module")
def quote():
    return samples.wall_packs()[0]


def test_the_working_names_formula_numbers_units_and_sources(quote):
    lines = explain(quote, "totals.simple_payback_years", "en").splitlines()

    assert lines[0] == "Payback, replacing working lights: 1.64 years"
    assert lines[1] == "  Most likely between 1.3 years and 2.1 years."
    assert "  = cost after rebate / saved each year" in lines
    assert "  = $2,700.00 / $1,648.62" in lines
    text = "\n".join(lines)
    assert "295 W; could be 285 to 304 W. Source: state technical manuals and tariffs, five sources." in text
    assert (
        "4,300 hours a year, assumed; could be 3,900 to 4,380 hours a year. Source: dusk to dawn, place not given."
        in text
    )
    assert "Quantity: 12, you said" in text
    assert "$130.00, from the catalog: SAMPLE/50" in text


def test_the_working_speaks_spanish(quote):
    text = explain(quote, "hours_per_year", "es")

    assert text.startswith("Horas de uso: 4,300 horas al año, supuesto; podría ser de 3,900 a 4,380")
    assert text.endswith("Fuente: del anochecer al amanecer, sin saber el lugar.")


def test_an_addend_says_which_line_it_belongs_to():
    text = explain(samples.many_lines(3)[0], "totals.kw_saved", "en")

    assert "Line 2, 3 x 250 W wall pack: load saved:" in text
    assert "Renglón 2, 3 x wall pack de 250 W:" in explain(samples.many_lines(3)[0], "totals.kw_saved", "es")


def test_the_guard_of_a_formula_is_shown_only_where_it_acts():
    cost = defined("net_cost", -5, "USD", "worked by hand")
    saved = defined("saved_per_year", 10, "USD/yr", "worked by hand")
    formula = "greatest(net_cost, 0) / greatest(saved_per_year, 0)"
    text = explain_figure(derive("simple_payback_years", "yr", formula, cost, saved), "en")

    assert "= the greater of (cost after rebate, 0) / saved each year" in text


def test_each_step_is_indented_under_what_it_feeds(quote):
    lines = explain(quote, "lines.0.kw_saved", "en").splitlines()

    assert lines[0].startswith("Load saved")
    assert lines[1].startswith("  = ")
    assert any(line.startswith("    = ") for line in lines)


def test_a_figure_met_again_is_not_opened_again(quote):
    text = explain(quote, "totals.simple_payback_years", "en")

    assert "(shown above)" in text
    assert text.count("dusk to dawn, place not given") == 1


def test_the_working_of_a_long_audit_is_bounded():
    big, _ = samples.many_lines(60)
    lines = explain(big, "totals.simple_payback_years", "en").splitlines()

    assert len(lines) < 2 * MOST_LINES
    assert any("and 52 more" in line for line in lines)


def test_a_path_that_leads_nowhere_is_said(quote):
    for path in (
        "totals.nothing",
        "lines.7.kw_saved",
        "lines.0.options.9.unit_price",
        "x" * 500,
        "",
        "lines.0",
    ):
        assert explain(quote, path, "en") == "I have no figure of that name in this quote."


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("totals.net_cost", 2700),
        ("lines.0.input_watts_before", 295),
        ("lines.0.existing.input_watts", 295),
        ("lines.0.options.1.unit_price", 118),
        ("lines.0.options.0.light_ratio", 1.02),
        ("hours_per_year", 4300),
        ("lines.0.labor_per_luminaire", 95),
    ],
)
def test_a_path_leads_to_its_figure(quote, path, value):
    assert float(figure_at(quote, path).value) == value


@pytest.mark.parametrize(
    ("text", "path"),
    [
        ("how did you get that", "totals.simple_payback_years"),
        ("where's that from?", "totals.simple_payback_years"),
        ("why 4,300 hours", "hours_per_year"),
        ("why 4300", "hours_per_year"),
        ("where's 295 from", "lines.0.input_watts_before"),
        ("WHERE DOES 295W COME FROM", "lines.0.input_watts_before"),
        ("what is the $1,649", "totals.saved_per_year"),
        ("where is the 1.6 from", "totals.simple_payback_years"),
        ("how do you figure 2.9 kW", "totals.kw_saved"),
        ("explain the payback", "totals.simple_payback_years"),
        ("how did you get the savings", "totals.saved_per_year"),
        ("why 11 cents", "lines.0.rate_per_kwh"),
        ("83%? show me", "totals.kwh_saved_per_year"),
        ("de donde salen las horas", "hours_per_year"),
        ("por qué 295", "lines.0.input_watts_before"),
        ("cómo salió el ahorro", "totals.saved_per_year"),
        ("show me the labor", "lines.0.labor_cost"),
    ],
)
def test_a_question_finds_the_figure_it_is_about(quote, text, path):
    assert find_figure(quote, text) == path


@pytest.mark.parametrize("text", ["where is 98765 from", "why 77%", "99 cents?"])
def test_a_number_that_is_nowhere_finds_nothing(quote, text):
    assert find_figure(quote, text) is None


def test_a_line_that_is_named_is_preferred():
    two, _ = samples.many_lines(3)

    assert find_figure(two, "line 2 watts, where from") == "lines.1.input_watts_before"


def test_a_question_about_nothing_quoted_finds_nothing():
    assert find_figure(samples.stopped("danger")[0], "how did you get that") is None


def test_long_text_is_read_in_bounded_time(quote):
    assert find_figure(quote, "9" * 100_000) is None


def test_every_figure_found_can_be_shown(quote):
    for name in quote.totals:
        assert explain(quote, f"totals.{name}", "en")
    assert MONEY_UNIT not in explain(quote, "totals.simple_payback_years", "en")
