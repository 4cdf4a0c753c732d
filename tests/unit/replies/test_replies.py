import re
from dataclasses import replace
from decimal import Decimal

import pytest

from bot.reading.shape import Doubt
from bot.replies import CHANNELS, gsm, question_text, render
from bot.replies.words import LANGUAGES
from engine.figure import defined
from engine.proposal import Assumption, Caution, Question, Reason, Spread
from tests.unit.replies import samples
from tests.unit.replies.rewrite_goldens import FOLDER, golden_names, golden_path, reply

EVERY = [(s, c, lang) for s in samples.SAMPLES for c in CHANNELS for lang in LANGUAGES]
PRICED = (
    "wall_packs",
    "two_lines",
    "never_pays",
    "indoor",
    "sixty_lines",
    "rebate_covers_all",
    "led_asked_for",
)
STOPS = ("hazardous_location", "danger", "person_wanted", "over_600_volts", "live_work")
LICENSED = {"en": "icensed electrician", "es": "lectricista con licencia"}


def said(sample, channel="terminal", language="en", texts=(samples.TEXT,)):
    quote, reading = samples.SAMPLES[sample]()
    return render(quote, reading, channel, language, texts)


def flat(text):
    return " ".join(text.split())


@pytest.mark.parametrize("name", golden_names(), ids=".".join)
def test_a_reply_reads_as_its_golden(name):
    assert reply(*name) == golden_path(*name).read_text(encoding="utf-8")


def test_no_golden_is_left_over_from_a_sample_that_is_gone():
    assert {p.name for p in FOLDER.iterdir()} == {golden_path(*name).name for name in golden_names()}


@pytest.mark.parametrize(("sample", "channel", "language"), EVERY)
def test_every_reply_is_whole_words_in_every_channel_and_language(sample, channel, language):
    text = said(sample, channel, language)

    assert len(text) > 20
    if channel in ("chat", "email_html"):
        text = re.sub(r"<[^>]*>", "", text)
    leak = re.search(
        r"\bNone\b|undefined|\{\{|\{%|\}\}|\(\)|Decimal|\bnan\b|\binf\b| ,| \.(?!\.)|\.\.(?!\.)(?<!\.\.\.)",
        text,
    )
    assert leak is None


@pytest.mark.parametrize(("sample", "channel", "language"), EVERY)
def test_the_same_input_gives_the_same_bytes(sample, channel, language):
    assert said(sample, channel, language) == said(sample, channel, language)


@pytest.mark.parametrize("channel", CHANNELS)
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("sample", PRICED)
def test_every_price_carries_the_licensed_electrician(sample, channel, language):
    assert LICENSED[language] in flat(said(sample, channel, language))


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("channel", CHANNELS)
@pytest.mark.parametrize("sample", STOPS)
def test_a_stop_names_no_price(sample, channel, language):
    text = said(sample, channel, language)

    assert "SAMPLE/50" not in text
    assert not re.search(r"\$\d{2}", text)


@pytest.mark.parametrize("channel", CHANNELS)
def test_danger_is_answered_with_keeping_clear_and_calling_for_help(channel):
    assert "keep clear" in said("danger", channel)
    assert "911" in said("danger", channel)
    assert "911" in said("danger", channel, "es")


def test_the_money_comes_first():
    for channel in ("terminal", "sms", "email_text"):
        assert said("wall_packs", channel).startswith("Saves about $")


def test_both_cases_of_payback_are_told_apart():
    text = said("wall_packs")

    assert "Replacing lights that still work: pays back in about 1.6 years" in text
    assert "Buying new ones anyway:" in text


def test_a_range_is_told_in_plain_words():
    assert "about 1.6 years; most likely between 1.3 and 2.1 years" in flat(said("wall_packs", "email_text"))


def test_an_assumption_is_not_told_as_a_fact():
    text = said("wall_packs")
    read, assumed = text.index("WHAT I READ"), text.index("WHAT I ASSUMED")

    assert "metal halide" not in text[read:assumed]
    assert "Lamp: metal halide; could be high pressure sodium" in text[assumed:]


def test_a_doubt_says_what_was_taken_and_what_else_it_could_be():
    assert "I took 12; could be 10" in said("two_lines")
    assert "tomé 12; podría ser 10" in said("two_lines", "terminal", "es")


def test_what_was_not_used_is_said():
    assert 'I did not use: "twel"' in said("two_lines")


def test_a_line_without_a_price_is_named():
    assert "Not in these figures: line 2." in said("two_lines")
    assert "1 not priced" in said("two_lines", "sms")


def test_never_paying_back_is_said():
    for channel in CHANNELS:
        assert "never pays back" in said("never_pays", channel).lower()
        assert "nunca se paga" in said("never_pays", channel, "es")


def test_led_asked_for_is_priced_without_a_saving():
    for channel in CHANNELS:
        text = said("led_asked_for", channel)
        assert "$2,700" in text
        assert "a year now" not in text


@pytest.mark.parametrize(
    ("channel", "most"), [("terminal", 1), ("sms", 1), ("chat", 1), ("email_text", 3), ("email_html", 3)]
)
def test_no_channel_asks_more_than_it_may(channel, most):
    text = said("wall_packs", channel)

    assert 1 <= text.count("?") <= most


def test_greeting_offers_two_messages_to_try():
    text = said("greet")

    assert text.count("  - ") == 2
    assert "twelve 250W wall packs" in text


def test_accepting_orders_nothing():
    assert "Nothing is ordered yet" in said("accept")
    assert "12 x SAMPLE/50 at $130.00 each" in said("accept")


def test_comparing_sets_the_options_side_by_side():
    text = said("compare")

    assert "A: SAMPLE/50" in text
    assert "B: SAMPLE/45E" in text


def test_a_loss_over_the_years_is_not_said_to_be_ahead():
    quote, reading = samples.SAMPLES["two_lines"]()
    for npv, words in (
        (Decimal("-250.00"), ("$250 short", "$250 en contra")),
        (Decimal("250"), ("$250 ahead", "$250 a favor")),
    ):
        with_npv = {**quote.totals, "npv": defined("npv", npv, "USD", "worked by hand")}
        for language, expected in zip(LANGUAGES, words, strict=True):
            for channel in ("terminal", "chat", "email_text", "email_html"):
                text = flat(
                    render(replace(quote, totals=with_npv), reading, channel, language, (samples.TEXT,))
                )
                assert expected in text


def test_an_option_says_that_its_own_payback_leaves_out_what_is_paid_once():
    quote, reading = samples.SAMPLES["compare"]()
    lift = {"lift_cost": defined("lift_cost", Decimal("550.00"), "USD", "worked by hand")}
    with_lift = replace(quote, totals={**quote.totals, **lift})

    def shown_in(language, what):
        return flat(render(what, reading, "terminal", language, (samples.TEXT,)))

    assert "years, not counting lift." in shown_in("en", with_lift)
    assert "años, sin contar plataforma." in shown_in("es", with_lift)
    assert "not counting" not in shown_in("en", quote)


def test_what_was_read_beside_a_fault_is_not_said_to_be_missing():
    for language, missing in (("en", "did not find"), ("es", "No encontré")):
        text = said("fault_in_a_line", language=language)
        assert missing not in text
        assert "12 x wall pack" in text
        assert missing in said("fault", language=language)


def test_asking_where_a_number_is_from_shows_its_source():
    text = said("explain", texts=("where's 295 from",))

    assert text.startswith("Watts each now, with ballast: 295 W; could be 285 to 304 W.")
    assert "Source: state technical manuals and tariffs, five sources." in flat(text)


def test_asking_for_a_figure_that_is_not_there_asks_back():
    assert "Which figure do you mean?" in said("explain", texts=("where is 98765 from",))


def test_heights_are_shown_in_metres_to_who_writes_in_metres():
    quote, reading = samples.wall_packs(metric=True)

    assert "6.1 m up" in render(quote, reading, "terminal", "en")


def test_lines_are_wrapped_for_reading():
    for channel, width in (("terminal", 96), ("email_text", 74)):
        assert max(len(line) for line in said("two_lines", channel).splitlines()) <= width


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("sample", samples.SAMPLES)
def test_a_text_message_stays_within_three_segments_of_the_plain_alphabet(sample, language):
    text = said(sample, "sms", language)

    assert gsm.segments(text) <= 3
    assert len(text.split()) <= 85
    assert "\n" not in text


@pytest.mark.parametrize("sample", [s for s in PRICED if s != "led_asked_for"])
def test_a_text_message_still_says_what_was_assumed(sample):
    assert "Assumed: " in said(sample, "sms")
    assert "Supuse: " in said(sample, "sms", "es")


def test_html_declares_its_language_and_plain_text_has_no_tags():
    assert '<html lang="es">' in said("wall_packs", "email_html", "es")
    assert "<" not in said("wall_packs", "email_text")


def test_what_was_passed_over_can_be_asked_for_by_its_part_number():
    text = said("compare", texts=("why not the sample/30?",))

    assert "Not offered: SAMPLE/30. Too little light: 55% of the present one." in text


def test_a_question_about_wiring_is_declined():
    quote, reading = samples.asked("other")
    text = render(quote, replace(reading, reason="wiring"), "terminal", "en")

    assert "I don't give wiring instructions" in text
    assert "licensed electrician" in text


MUST_NAME = {
    "hazardous_location": ("fuel", "combustible"),
    "egress": ("emergency light", "luz de emergencia"),
    "pcb": ("1979", "1979"),
    "mercury": ("mercury", "mercurio"),
    "height": ("height", "altura"),
    "wet_location": ("wet", "mojado"),
}


def with_cautions(sample, keys):
    quote, reading = samples.SAMPLES[sample]()
    return replace(quote, cautions=(*quote.cautions[:4], *(Caution(key, (0,)) for key in keys))), reading


@pytest.mark.parametrize("channel", CHANNELS)
@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("sample", ["wall_packs", "two_lines", "sixty_lines", "never_pays"])
def test_every_quote_names_the_dangers_that_the_job_calls_for(sample, channel, language):
    quote, reading = with_cautions(sample, MUST_NAME)
    text = flat(render(quote, reading, channel, language, (samples.TEXT,))).lower()

    for named in MUST_NAME.values():
        assert named[LANGUAGES.index(language)] in text or named == MUST_NAME["height"]
    assert any(word in text for word in ("height", "fall protection", "altura", "arnés", "arnes"))
    assert LICENSED[language].lower() in text


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_danger_that_the_job_does_not_have_is_not_named(language):
    quote, reading = with_cautions("wall_packs", ())

    assert "1979" not in render(quote, reading, "sms", language)


def test_cautions_of_every_job_come_first_in_full_and_the_jobs_own_in_a_few_words():
    text = flat(said("wall_packs"))
    cautions = text[text.index("CAUTIONS") :]

    assert cautions.index("Have a licensed electrician") < cautions.index("Circuits off, locked")
    assert cautions.index("Savings are estimates") < cautions.index("Measure the voltage first.")
    assert "Have the supply voltage measured" not in cautions
    assert "Have the supply voltage measured" in flat(said("wall_packs", "email_text"))
    chat = said("wall_packs", "chat")
    assert chat.index("Measure the voltage first.") < chat.index("<summary>Cautions in full</summary>")
    assert chat.index("<summary>Cautions in full</summary>") < chat.index("Have the supply voltage measured")


def test_the_payback_on_energy_alone_is_said_where_upkeep_weighs():
    quote, reading = samples.wall_packs()
    upkeep = defined("maintenance_saved_per_year", Decimal("600.00"), "USD/yr", "worked by hand")
    alone = defined("energy_payback_years", 2.9, "yr", "worked by hand")
    heavy = replace(
        quote,
        totals=dict(quote.totals) | {"maintenance_saved_per_year": upkeep, "energy_payback_years": alone},
        spreads=dict(quote.spreads) | {"energy_payback_years": Spread(2.9, 2.5, 3.4)},
    )

    for channel in CHANNELS:
        assert "n energy alone" in render(heavy, reading, channel, "en")
        assert "olo con la energ" in render(heavy, reading, channel, "es")
        assert "energy alone" not in said("wall_packs", channel)
    assert "on energy alone about 2.9 years (between 2.5 and 3.4 years)" in flat(
        render(heavy, reading, "terminal", "en")
    )


def test_a_lamp_swap_says_pieces_and_price_of_a_whole_luminaire():
    quote, reading = samples.wall_packs()
    line = quote.lines[0]
    lamp = samples.product("SAMPLE/9", 9, 1200, kind="lamp", replaces_source=("T8",))
    option = replace(line.options[0], product=lamp, pieces_each=4)
    swap = replace(quote, lines=(replace(line, options=(option,)),))

    for channel in CHANNELS:
        assert "4 lamps each light, $520.00 a light" in flat(render(swap, reading, channel, "en"))
        assert "por luminaria, $520.00 por luminaria" in flat(render(swap, reading, channel, "es"))
    accepted = render(swap, replace(reading, intent="accept"), "terminal", "en")
    assert "48 x SAMPLE/9 at $130.00 each" in accepted


def test_a_text_message_tells_a_doubt_on_the_job():
    quote, reading = samples.wall_packs()
    reading = replace(reading, doubts=(Doubt("job.rate_per_kwh", 0.11, (0.21,), "a blurred figure"),))

    assert "Power rate: I took $0.11; could be $0.21." in render(quote, reading, "sms", "en")


def test_at_most_six_assumptions_are_listed_and_the_rest_in_one_sentence():
    quote, reading = samples.wall_packs()
    more = tuple(
        Assumption(f"extra_{n}", 5.0 + n, 1.0, 9.0 + n, "min", "memory", swing_years=0.2) for n in range(12)
    )
    text = render(replace(quote, assumptions=quote.assumptions + more), reading, "terminal", "en")
    listed = text[text.index("WHAT I ASSUMED") : text.index("WHAT REPLACES IT")]

    assert listed.count("  - ") == 7
    assert listed.count("Smaller ones from our tables:") == 1
    assert "and 6 more" in flat(listed)


def test_a_question_for_the_place_is_answered_with_a_city_or_a_zip():
    question = Question("job.place", (), 0.3, False)

    assert question_text(question, samples.wall_packs()[1], "en") == "What city or ZIP is it in?"
    assert (
        question_text(question, samples.wall_packs()[1], "es") == "¿En qué ciudad o código postal (ZIP) es?"
    )


def test_a_tail_is_never_cut_from_a_text_message():
    quote, reading = with_cautions("wall_packs", MUST_NAME)
    line = quote.lines[0]
    problem = Reason("nothing_fits", {"family": "area", "nearest": "S" * 40, "lacks": "voltage"})
    bare = tuple(replace(line, index=n, options=(), chosen=None, problem=problem) for n in range(3))
    text = render(replace(quote, lines=bare), reading, "sms", "en")

    assert gsm.segments(text) <= 3
    assert text.endswith("wet location.")


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("sample", ["by_light", "by_light_poles", "by_light_floods", "by_light_bays"])
def test_light_before_and_after_is_told_with_what_it_rests_on(sample, language):
    text = flat(said(sample, "terminal", language))

    assert {"en": "Matched by this light", "es": "Se igualó esta luz"}[language] in text
    assert {"en": "generic shape", "es": "forma genérica"}[language] in text
    assert {"en": "Maintained", "es": "Luz mantenida"}[language] in text
    assert " fc" in text or "footcandle" in text


def test_who_writes_in_metres_is_told_lux_and_metres():
    quote, reading = samples.by_light("wall_pack", "MH")
    job = quote.request.job.model_copy(update={"metric": True})
    metric = replace(quote, request=quote.request.model_copy(update={"job": job}))
    text = flat(render(metric, reading, "terminal", "en", (samples.TEXT,)))

    assert "At 6.1 m the new one keeps 5.4 lux out to 11.3 m" in text
    assert re.search(r"\d (?:ft|fc)\b", text) is None  # nor beside a product


@pytest.mark.parametrize(
    ("gone", "words"),
    [
        (("throw_ahead_before",), "the old one keeps it nowhere straight out"),
        (("throw_ahead_after",), "the new one keeps it nowhere straight out"),
        (("throw_ahead_before", "throw_ahead_after"), "neither keeps half a footcandle"),
        (("throw_side_after",), "out to 37 ft, the old one to 40 ft"),
    ],
)
def test_a_level_that_is_reached_nowhere_is_not_told_as_a_distance(gone, words):
    quote, reading = samples.by_light("wall_pack", "MH")
    light = quote.lines[0].light
    less = {name: figure for name, figure in light.figures.items() if name not in gone}
    object.__setattr__(light, "figures", less)
    text = flat(render(quote, reading, "terminal", "en", (samples.TEXT,)))

    assert words in text
