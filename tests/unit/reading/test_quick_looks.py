"""What is looked at first to save work never changes what is found."""

import re
from string import ascii_lowercase

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.reading import labels, padding, strangers, tokens
from bot.reading.late import Late
from bot.reading.needed import needed
from bot.reading.places import cities
from bot.reading.text import fold, letters_in
from bot.reading.tokens import tokenise
from bot.reading.words import FOLDER
from tests.corpus.records import part_of, records
from tests.examples import tried

TEXTS = [
    fold(turn["text"])
    for record in records()
    if part_of(record["id"]) == "tuning"
    for turn in record["turns"]
]
ODD = [
    "po box 12, apt# 4-6", "(419) 555-0123 ext 4", "see a@b.co", "x2 2x4 2xf32t8 qty:x14", "'19 '07 it's o'clock l'eau",
    "\n1) a\n2) b", "a) 12 floods b) 3 more", "1,200 1.5 .11 0,15 12,34", "über-grün straße ½ 10½", "a_b w_12 _x",
    "mh400/u f32t8/841 400w/mh", "twin@180 heads @ 90", "rev. b-2 #12-345 1-800-555-0123", "x" * 70 + " " + "9" * 70,
]  # fmt: skip


def test_the_first_look_at_a_character_hides_no_stranger() -> None:
    plain = {
        name: re.compile(pattern) for name, pattern in strangers._PATTERNS if name not in strangers._BY_MARK
    }
    for text in (*TEXTS, *ODD):
        found = [(match.span(), name) for name, match in strangers._found(text)]
        expected = []
        at = 0
        while at < len(text):
            inside = at and "a" <= text[at - 1] <= "z" and text[at] in ascii_lowercase + "'"
            hits = () if inside else ((name, pattern.match(text, at)) for name, pattern in plain.items())
            name, match = next(((name, match) for name, match in hits if match is not None), ("", None))
            if match is not None:
                expected.append((match.span(), name))
            at = max(at + 1, match.end() if match is not None else 0)
        assert found == expected, text


def test_the_quick_word_cuts_as_the_whole_pattern_does() -> None:
    slow = re.compile(
        tokens._TOKEN.pattern.replace(r"(?P<q>[a-z]{2,64}+(?![^\W_]|'))|", "").replace("(?! )", "")
    )
    assert "<q>" not in slow.pattern
    for text in (*TEXTS, *ODD):
        cut = [(token.start, token.end) for token in tokenise(text)]
        assert cut == [match.span() for match in slow.finditer(text)], text


def test_the_cities_by_letter_are_all_that_are_listed() -> None:
    listed = (FOLDER / "places.txt").read_text(encoding="utf-8").splitlines()
    found = [f"{name}|{rest}" for letter in ascii_lowercase for name, rest in cities(letter).items()]
    assert found == listed
    assert cities("7") == cities("") == cities("ñ") == {}


def test_every_text_that_a_late_pattern_fits_holds_what_it_needs() -> None:
    fits = 0
    for source in sorted(Late.sources):
        words = Late.told.get(source) or needed(source)
        pattern = re.compile(source)
        for text in (*TEXTS, *ODD) if words else ():
            if pattern.search(text):
                fits += 1
                assert any(word in text for word in words), (source, text)
                assert Late(source, Late.told.get(source, ())).may_fit(text)
    assert fits > 300


@settings(
    max_examples=tried(50, 150), suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow]
)
@given(st.sampled_from(sorted(Late.told)).flatmap(st.from_regex))
def test_what_a_late_pattern_is_told_to_need_is_in_all_that_it_fits(text: str) -> None:
    for source, words in Late.told.items():
        if re.search(source, text):
            assert any(word in text for word in words)


@settings(
    max_examples=tried(50, 150), suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow]
)
@given(st.from_regex(padding._TAIL.source) | st.sampled_from(TEXTS))
def test_padding_at_the_end_is_known_by_its_last_word(text: str) -> None:
    if re.search(padding._TAIL.source, text):
        assert text.rstrip(" .!?\n").endswith(padding._ENDINGS)


@settings(
    max_examples=tried(100, 300), suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow]
)
@given(st.from_regex(labels._LABEL.source) | st.sampled_from(TEXTS))
def test_every_name_of_a_place_holds_a_word_that_is_looked_for(text: str) -> None:
    if re.search(labels._LABEL.source, text):
        assert not labels._LETTERED.isdisjoint(letters_in(text))


@pytest.mark.parametrize(
    ("source", "words"),
    [
        ("abc|def", ("abc", "def")),
        ("abc|d", ()),
        ("(?:xyz)?abcd", ("abcd",)),
        ("(?:ab)+cde[fg]hijk", ("cdefhijk", "cdeghijk")),
        ("(?:abc|abd)x{2}", ("abc", "abd")),
        ("(?:a|the)[bc]?(?:(?<=b)d|e)x{2}", ()),
        (r"\d{1,2}/\d{1,2}", ("/",)),
        (r"\d{3,5} watts?(?= for)|leds", (" watt", "leds")),
        ("a{0}bcd", ("bcd",)),
    ],
)
def test_what_a_pattern_needs(source: str, words: tuple[str, ...]) -> None:
    assert needed(source) == words
