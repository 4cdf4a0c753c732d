import json
from decimal import Decimal

import jsonschema
import pytest

from bot.replies import quote_json, schema
from bot.replies.quote_json import MOST_LINES_IN_FULL
from engine.formula import evaluate
from tests.unit.replies import samples

QUOTED = [name for name in samples.SAMPLES if name not in samples.WITHOUT_QUOTE]


def as_json(sample, language=None):
    quote, reading = samples.SAMPLES[sample]()
    return quote_json(quote, reading, language)


@pytest.mark.parametrize("sample", QUOTED)
@pytest.mark.parametrize("language", ["en", "es"])
def test_every_quote_fits_its_schema_and_is_plain_json(sample, language):
    value = json.loads(json.dumps(as_json(sample, language), allow_nan=False))

    jsonschema.Draft202012Validator(schema("quote")).validate(value)


@pytest.mark.parametrize("sample", sorted(samples.WITHOUT_QUOTE))
def test_the_other_samples_have_no_quote(sample):
    assert samples.SAMPLES[sample]()[0] is None


@pytest.mark.parametrize("name", ["quote", "reading"])
def test_a_schema_is_itself_valid(name):
    jsonschema.Draft202012Validator.check_schema(schema(name))


def test_a_schema_that_is_not_there_is_refused():
    with pytest.raises(ValueError, match="one of quote, reading"):
        schema("nothing")


def test_a_reading_fits_its_schema():
    _, reading = samples.two_lines()

    jsonschema.Draft202012Validator(schema("reading")).validate(json.loads(json.dumps(reading.as_json())))


def test_the_schema_refuses_money_that_is_a_number():
    value = as_json("wall_packs")
    value["lines"][0]["options"][0]["unit_price"] = 130.0

    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(schema("quote")).validate(value)


def test_the_public_names_hold_what_the_contract_says():
    value = as_json("wall_packs")
    option = value["lines"][0]["options"][0]
    totals = value["totals"]

    assert value["lines"][0]["existing"]["input_watts"] == 295.0
    assert value["lines"][0]["existing"]["source"] == "MH"
    assert (option["part_number"], option["input_watts"], option["lumens"]) == ("SAMPLE/50", 50.0, 7000.0)
    assert option["unit_price"] == "130.00"
    assert value["lines"][0]["chosen"] == 0
    assert totals["qty"] == 12
    assert totals["project_cost"] == "2700.00"
    assert totals["energy_cost_saved_per_year"] == "1390.62"
    assert totals["kwh_before_per_year"] == pytest.approx(15222.0)
    assert totals["kw_saved"] == pytest.approx(2.94)
    assert totals["simple_payback_years"] == pytest.approx(1.637, abs=0.001)
    assert totals["irr"] is None
    assert value["hours_per_year"] == 4300.0
    assert value["questions"][0]["path"] == "lines.0.source"
    assert all(isinstance(text, str) for text in value["cautions"])


def test_a_payback_that_never_comes_is_null():
    assert as_json("never_pays")["totals"]["simple_payback_years"] is None


def test_an_assumption_of_money_is_text_and_one_of_hours_a_number():
    by_path = {a["name"]: a for a in as_json("wall_packs")["assumptions"]}

    assert by_path["job.labor_per_luminaire"]["low"] == "60.00"
    assert by_path["job.schedule"]["high"] == 4380.0
    assert by_path["lines.0.source"]["others"] == ["HPS"]


def test_the_same_quote_gives_the_same_bytes():
    assert json.dumps(as_json("two_lines")) == json.dumps(as_json("two_lines"))


def test_every_formula_in_the_json_gives_its_value():
    figures = as_json("two_lines")["figures"]
    checked = 0
    for figure in figures:
        if figure.get("formula") in (None, "sum"):
            continue
        inputs = [figures[n] for n in figure["inputs"]]
        money = figure["unit"].startswith("USD")
        values = {f["name"]: (Decimal(str(f["value"])) if money else float(f["value"])) for f in inputs}
        assert float(evaluate(figure["formula"], values)) == pytest.approx(float(figure["value"]), abs=0.006)
        checked += 1

    assert checked > 20


def test_a_sum_in_the_json_is_the_sum_of_its_parts():
    value = as_json("sixty_lines")
    figures = value["figures"]
    cost = figures[value["total_figures"]["project_cost"]]

    assert sum(Decimal(figures[n]["value"]) for n in cost["inputs"]) == Decimal(cost["value"])


def test_a_long_audit_leaves_its_traces_out():
    quote, reading = samples.many_lines(MOST_LINES_IN_FULL + 1)
    value = quote_json(quote, reading)

    assert value["figures"] == []
    assert value["lines"][0]["options"][0]["saved_per_year"] is not None
    jsonschema.Draft202012Validator(schema("quote")).validate(json.loads(json.dumps(value)))


def test_what_was_passed_over_comes_with_its_reason():
    passed = as_json("wall_packs")["lines"][0]["passed_over"]

    assert passed == [
        {"part_number": "SAMPLE/30", "key": "too_dim", "text": "Too little light: 55% of the present one."}
    ]


def test_the_language_of_the_texts_is_the_readings_or_the_one_asked_for():
    quote, _ = samples.wall_packs()

    assert quote_json(quote)["language"] == "en"
    assert quote_json(quote, language="es")["questions"][0]["text"].startswith("¿Qué lámpara")
