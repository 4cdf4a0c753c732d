import re
from decimal import Decimal

import pytest

import engine.keys as keys
from bot.replies import caution_text, question_text
from bot.replies.cautioned import caution_short
from bot.replies.layout_view import LayoutTeller
from bot.replies.reasoned import problem_text, reason_text
from bot.replies.words import LANGUAGES, placeholders, value_kinds, words_in
from engine import vocabulary
from engine.formula import FUNCTIONS
from engine.light.layout_guides import guides_for
from engine.light.layout_shape import Say
from engine.proposal import Question, Reason
from engine.request import JOB_SLOTS, LINE_SLOTS, StatedLine
from engine.tables import load_tables
from tests.unit.replies import samples

TABLES = {
    "reasons": keys.REASON_KEYS,
    "concerns": keys.CONCERN_KEYS,
    "passed_over": keys.PASSED_OVER_KEYS,
    "problems": keys.PROBLEM_KEYS,
    "notes": keys.NOTE_KEYS,
}
ONE_LANGUAGE = {"asked_with", "source_phrases", "source_patterns", "stock_phrases", "row_words"}
"""Tables whose keys are words of one language, or English phrases that only the other language has to say otherwise."""
EXAMPLES = {
    "count": 12, "percent": 95, "price": Decimal("12.50"), "money": Decimal("1200"), "watts": 52.0, "lumens": 7000.0,
    "feet": 20.0, "days": 10, "kelvin": (3000, 4000), "cri": 70, "volts": 277, "text": "SAMPLE/50", "families": "wall_pack",
    "finishes": "bronze|black", "controls": ("motion",), "mounts": "wall", "kinds": "retrofit", "dampness": "wet",
    "clock": (12, 16), "years": 2.1, "share": 0.5, "place": "Nowhere", "bases": "per_kwh", "fc": 0.52, "spot": ("ahead", 40.0), "optics": "full_cutoff", "sources": "MH|HPS", "passed_over": "optic",
}  # fmt: skip


@pytest.fixture(params=LANGUAGES)
def words(request):
    return words_in(request.param)


@pytest.mark.parametrize("table", TABLES)
def test_every_key_that_the_engine_can_emit_has_words_and_values(words, table):
    assert set(TABLES[table]) <= set(words.table(table))
    assert set(value_kinds()[table]) == set(TABLES[table])


def test_every_role_stop_and_caution_has_words(words):
    assert set(words.table("roles")) == set(keys.ROLE_KEYS)
    assert set(words.table("stops")) == set(words.table("stop_short")) == set(keys.STOP_KEYS)
    assert set(words.table("cautions")) == set(words.table("cautions_short")) == set(keys.CAUTION_KEYS)
    assert set(words.table("lacks")) == set(keys.PASSED_OVER_KEYS)


@pytest.mark.parametrize("table", TABLES)
def test_the_words_need_no_value_that_the_registry_does_not_know(words, table):
    for key, sentence in words.table(table).items():
        assert placeholders(sentence) <= set(
            value_kinds()[table][key if key in value_kinds()[table] else key.removesuffix("_unknown")]
        ), key


@pytest.mark.parametrize("table", TABLES)
def test_every_sentence_can_be_said_with_the_values_that_come_with_its_key(words, table):
    for key, kinds in value_kinds()[table].items():
        text = reason_text(table, Reason(key, {name: EXAMPLES[kind] for name, kind in kinds.items()}), words)

        assert "{" not in text
        assert not text[0].islower()
        assert text[-1] in ".?"


def test_a_light_that_is_not_known_is_not_told_as_a_percentage(words):
    text = reason_text("reasons", Reason("closest_light", {"percent": None}), words)

    assert "%" not in text


def test_a_near_miss_names_the_product_and_what_it_lacks(words):
    text = problem_text(
        Reason("nothing_fits", {"family": "area", "nearest": "SAMPLE/9", "lacks": "voltage"}), words
    )

    assert "SAMPLE/9" in text
    assert words.of("lacks", "voltage") in text
    assert "SAMPLE" not in problem_text(
        Reason("nothing_fits", {"family": "area", "nearest": "", "lacks": ""}), words
    )


def test_both_languages_have_the_same_tables_and_keys():
    english, spanish = words_in("en").tables, words_in("es").tables

    assert english.keys() == spanish.keys()
    for table in english.keys() - ONE_LANGUAGE:
        assert english[table].keys() == spanish[table].keys(), table


def test_both_languages_fill_the_same_places_in_a_sentence():
    english, spanish = words_in("en").tables, words_in("es").tables
    for table in english.keys() - ONE_LANGUAGE - {"problems"}:
        for key, text in english[table].items():
            if isinstance(text, str):
                assert placeholders(text) == placeholders(spanish[table][key]), (table, key)


def test_the_whole_vocabulary_has_words(words):
    for table, codes in (
        ("families", vocabulary.FAMILIES),
        ("sources", vocabulary.LAMP_SOURCES),
        ("optics", vocabulary.get_args(vocabulary.Optic)),
        ("controls", vocabulary.get_args(vocabulary.Control)),
        ("finishes", vocabulary.get_args(vocabulary.Finish)),
        ("mounts", vocabulary.get_args(vocabulary.Mount)),
        ("dampness", vocabulary.get_args(vocabulary.Dampness)),
    ):
        assert set(codes) <= set(words.table(table)), table


def test_every_function_of_a_formula_has_words(words):
    assert set(FUNCTIONS) <= set(words.table("functions"))


def test_every_slot_can_be_read_back_named_and_asked_for(words):
    title = {"qty", "family", "source", "watts", "lamps", "size"}
    assert set(JOB_SLOTS) | set(LINE_SLOTS) <= set(words.table("heard")) | title | {"metric"}
    assert set(JOB_SLOTS) | set(LINE_SLOTS) <= set(words.table("questions"))
    lines = (StatedLine(qty=1, family="wall_pack"),)
    for slot in LINE_SLOTS:
        text = question_text(Question(f"lines.0.{slot}", (), 0.5, False), _with(lines), words.language)
        assert text.endswith(("?", ")"))
        assert "{" not in text


def test_cautions_are_short_sentences_without_a_declaration_of_compliance(words):
    for key in keys.CAUTION_KEYS:
        full, short = caution_text(key, words.language), caution_short(key, words.language)
        assert 20 < len(full) < 330
        assert len(short) <= 70
        assert full.endswith(".")
        assert short.endswith(".")
        assert not re.search(r"complies|code-compliant|cumple con el código", full)


def test_no_wording_has_a_dash_overload_or_a_programmers_word(words):
    for table in words.tables.values():
        for text in table.values():
            if isinstance(text, str):
                assert "—" not in text
                assert not re.search(r"\b(null|JSON|boolean|string|float|parse)\b", text)


def _with(lines):
    return samples.wall_packs()[1].__class__("quote", lines=lines)


def test_a_question_names_the_luminaires_it_is_about():
    reading = _with((StatedLine(qty=1, family="wall_pack", watts=250), StatedLine(qty=2, family="flood")))

    text = question_text(Question("lines.0.source", ("MH", "HPS"), 0.3, True), reading, "en")
    assert text == "What lamp is in the wall packs now: metal halide or high pressure sodium?"


def test_two_lines_of_one_family_are_told_apart_by_watts_or_by_number():
    by_watts = _with((StatedLine(family="wall_pack", watts=250), StatedLine(family="wall_pack", watts=175)))
    by_number = _with((StatedLine(family="wall_pack"), StatedLine(family="wall_pack")))
    question = Question("lines.1.voltage", (), 0.0, True)

    assert "the wall packs (175 W)" in question_text(question, by_watts, "en")
    assert "los wall packs (renglón 2)" in question_text(question, by_number, "es")


def test_a_question_for_the_whole_job_names_all():
    reading = _with((StatedLine(family="wall_pack"), StatedLine(family="flood")))

    assert question_text(Question("lines.*.voltage", (120, 277), 0.0, True), reading, "en") == (
        "What voltage feeds the lights: 120 V or 277 V?"
    )


def test_a_path_out_of_bounds_still_asks():
    assert question_text(Question("lines.99.voltage", (), 0.0, True), _with(()), "en").startswith(
        "What voltage"
    )


def test_every_sentence_of_a_layout_can_be_said_in_feet_and_in_metres(words):
    examples = EXAMPLES | {
        "fc": 0.52, "fc_range": (10.0, 30.0), "about_feet": 40.6, "area": 7200.0, "heads": 2, "heights": 4.8, "measures": "average",
    }  # fmt: skip
    kinds_of = value_kinds()["layout_says"]
    assert set(kinds_of) == set(words.table("layout_says")) == set(keys.LAYOUT_KEYS)
    for key, kinds in kinds_of.items():
        assert placeholders(words.of("layout_says", key)) <= set(kinds), key
        for metric in (False, True):
            text = LayoutTeller(words, metric).say(Say(key, {n: examples[k] for n, k in kinds.items()}))
            assert "{" not in text
            assert not text[0].islower()
            assert text[-1] == "."
            assert metric is False or " ft" not in text


def test_every_place_guide_allowance_and_rule_has_words(words):
    tables = load_tables()
    guides = [row for space in tables.spaces for row in guides_for(space, tables)]

    assert set(words.table("spaces")) == set(vocabulary.SPACES) == {row.space for row in tables.spaces}
    assert {row.area for row in guides} == set(words.table("guide_areas"))
    assert {row.criterion for row in guides} <= set(words.table("criteria"))
    assert {row.rule for row in guides} == set(words.table("rules"))
    assert {row.seen for row in tables.light_levels} <= set(words.table("seen"))
    allowed = {row.allowance_area for row in tables.spaces if row.allowance_area}
    assert allowed <= set(words.table("allowance_areas"))


def test_every_figure_of_a_layout_has_a_name(words):
    for name in (
        "average_fc", "least_fc", "level_out_fc", "reach_ahead_ft", "reach_side_ft", "line_fc", "line_upright_fc",
    ):  # fmt: skip
        assert {f"{name}_before", f"{name}_after"} <= set(words.table("names"))
