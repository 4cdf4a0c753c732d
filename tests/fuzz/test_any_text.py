"""Any text at all is read or refused with a typed error, and places are places of the text as sent."""

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from bot.reading import CannotRead, NotText, TextTooLong, read_first, read_message
from tests.examples import tried
from tests.fuzz.target import ASKED, check_reading, try_text

MESSAGE = "12 250W halide wall packs at 20 ft, 277V bronze\n8 floods 400W HPS at 30 ft"
SPOKEN = "twelve 250 watt wall packs at twenty feet, eleven cents a kwh, all night"
TABLE = "qty\ttype\twatts\n12\twall pack\t250\n8\tflood\t400\n"
PIECES = (
    *["12", "250", "20", ".11", "11", "277", "480", "0", "999999", "2x4", "25'", "10'6\"", "30'-0\"", "6am", "10pm", "24/7", "x14", "12ea", "(12)", "#7", "43604", "F32T8", "M58", "MH250/U", "PAR38", "175MH", "13c/kwh", "$"],
    *["w", "watts", "ft", "'", '"', "wall", "pack", "floods", "high", "bays", "poles", "all", "except", "no", "not", "wait", "the", "second", "one", "same", "but", "and", "or", "to", "at", "up", "on"],
    *["undo", "yes", "dozen", "couple", "half", "twelve", "hundred", "docena", "cien", "treinta", "y", "un", "de", "reflectores", "vatios", "pies", "noche", "volts", "cents", "kwh"],
    *["-", "–", ",", ".", ";", ":", "(", ")", "|", "/", "@", "?", "!", "¢", "½", "\t", "\n", "\r\n", "\xa0", "\u200b", "é", "é", "💡", "𝟏𝟐", "１２", "İ", "ß", "ﬁ"],
)  # fmt: skip

few = settings(max_examples=tried(100, 300), deadline=None, derandomize=True)


@few
@given(st.text(max_size=300), st.sampled_from(ASKED))
@example("\ud800", None)
@example("\0", None)
@example("İ" * 40, None)
@example("ﬁ½ １２ x" * 10, None)
def test_any_text_is_read_or_refused(text: str, asked: str | None) -> None:
    try_text(text, asked)


@few
@given(
    st.lists(st.sampled_from(PIECES), max_size=40),
    st.sampled_from((" ", "", "\t", "\n", " | ")),
    st.sampled_from(ASKED),
)
def test_any_run_of_trade_words_and_marks_is_read_or_refused(
    pieces: list[str], between: str, asked: str | None
) -> None:
    try_text(between.join(pieces), asked)


@few
@given(
    st.lists(st.lists(st.sampled_from(PIECES), min_size=1, max_size=6), min_size=2, max_size=12),
    st.sampled_from(("\t", "|", ",", "   ", ";")),
)  # fmt: skip
def test_any_pasted_table_is_read_or_refused(rows: list[list[str]], cell: str) -> None:
    try_text("\n".join(cell.join(row) for row in rows))


@pytest.mark.parametrize("text", [MESSAGE, SPOKEN, TABLE])
@pytest.mark.parametrize(
    "before",
    ["💡💡 ", "e\u0301e\u0301\n", "\ufeff", "\r\n\r\n", "\t\t\n", "👷🏽\u200d♂️\n", "\u00a0\u00a0", "ﬁﬁ\n", "İİ\n", "   \n"],
    ids=["astral", "combining", "byte order mark", "line ends", "tabs", "joined emoji", "hard spaces", "ligature", "dotted I", "blanks"],
)  # fmt: skip
def test_what_stands_before_moves_places_by_its_own_length(text: str, before: str) -> None:
    plain, moved = read_first(text), read_first(before + text)

    assert moved.as_json()["lines"] == plain.as_json()["lines"]
    assert moved.as_json()["job"] == plain.as_json()["job"]
    assert moved.spans == {
        path: (turn, start + len(before), end + len(before))
        for path, (turn, start, end) in plain.spans.items()
    }


@pytest.mark.parametrize("text", [MESSAGE, SPOKEN])
@pytest.mark.parametrize(
    ("old", "new"),
    [(" ", "\u00a0"), (" ", "\t"), (" ", "\u202f"), ("a", "á"), ("e", "ë"), ("w", "W")],
    ids=["hard space", "tab", "narrow space", "acute", "diaeresis", "capital"],
)  # fmt: skip
def test_a_character_for_a_character_leaves_places_where_they_are(text: str, old: str, new: str) -> None:
    plain, changed = read_first(text), read_first(text.replace(old, new))

    assert changed.as_json()["lines"] == plain.as_json()["lines"]
    assert changed.spans == plain.spans


def test_carriage_returns_count_as_the_characters_they_are() -> None:
    sent = MESSAGE.replace("\n", "\r\n")
    reading = read_first(sent)

    assert [line.qty for line in reading.lines] == [12, 8]
    assert sent[slice(*reading.spans["lines.1.qty"][1:])] == "8"


def test_places_show_what_was_read() -> None:
    reading = read_first(MESSAGE)
    shown = {path: MESSAGE[start:end] for path, (_, start, end) in reading.spans.items()}

    assert shown["lines.0.qty"] == "12"
    assert shown["lines.1.qty"] == "8"
    assert "250" in shown["lines.0.watts"]
    assert "400" in shown["lines.1.watts"]
    assert "20" in shown["lines.0.height_ft"]
    assert "halide" in shown["lines.0.source"]
    assert "bronze" in shown["lines.0.finish"]
    check_reading(MESSAGE, reading)


@pytest.mark.parametrize("text", ["\0", "12 wall packs\0", "a\ud800b", "\x01\x02\x03"])
def test_what_is_no_text_is_refused(text: str) -> None:
    with pytest.raises(NotText):
        read_first(text)
    with pytest.raises(NotText):
        read_message(text, in_conversation=True)


def test_a_text_beyond_the_bound_is_refused_in_bytes_not_characters() -> None:
    with pytest.raises(TextTooLong, match="bytes"):
        read_first("💡" * 17_000)
    with pytest.raises(CannotRead):
        read_first("a" * 65_537)


@pytest.mark.parametrize("text", ["", " ", "\n\n", "\t", "💡", "...", "\u200b"])
def test_nothing_said_is_nothing_read(text: str) -> None:
    reading = read_first(text)

    assert (reading.lines, reading.job.stated(), reading.spans) == ((), {}, {})
