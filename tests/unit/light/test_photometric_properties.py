"""Whatever is written reads back the same; whatever is changed in a file is read soundly or refused with the typed error."""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from engine.light.lm63_writer import lm63_text, number_text
from engine.light.photometric_file import read_photometry
from engine.light.photometry import LampTilt, Photometry
from tests.examples import tried
from tests.fuzz.photometry_target import check_photometry, try_file

FILES = Path(__file__).parent / "files"
SEEDS = [each.read_bytes() for folder in ("sound", "broken") for each in sorted((FILES / folder).iterdir())]
PIECES = (
    b"0", b"1", b"-1", b"1e9", b"1e300", b"nan", b"inf", b"7", b"90", b"180", b"270", b"360", b" ", b"\n", b"\r", b",", b".", b"\x1a", b"\0", b"\xff", b"_",
    b"TILT=NONE", b"TILT=INCLUDE", b"TILT=lamp.tlt", b"IESNA91\n", b"IESNA:LM-63-2002\n", b"[TEST]", b"1\n1\n", b"0 0 0 0 0 0 0 0", b"\xc2\xa0", b"\xef\xbc\x91",
)  # fmt: skip
RANGES = {"axial": (0, 0), "quarter": (0, 90), "half": (0, 180), "half_sideways": (90, 270), "none": (0, 360)}

candela = st.floats(min_value=0, max_value=1e9, allow_subnormal=False)
words = st.text(
    st.characters(min_codepoint=33, max_codepoint=126, exclude_characters="[]"), min_size=1, max_size=30
)


def between(low: float, high: float) -> st.SearchStrategy[list[float]]:
    inner = st.lists(
        st.integers(1, 99).map(lambda part: low + (high - low) * part / 100), max_size=8, unique=True
    )
    return inner.map(lambda found: [low, *sorted(found), high] if high > low else [low])


@st.composite
def photometries(draw: st.DrawFn) -> Photometry:
    kind = draw(st.sampled_from(["C", "C", "C", "B", "A"]))
    if kind == "C":
        symmetry = draw(st.sampled_from(sorted(RANGES)))
        vertical = draw(st.sampled_from([(0, 90), (0, 180), (90, 180)]).flatmap(lambda ends: between(*ends)))
        horizontal = draw(between(*RANGES[symmetry]))
    else:
        symmetry = draw(st.sampled_from(["half", "none"]))
        vertical = draw(between(-90, 90))
        horizontal = draw(between(0 if symmetry == "half" else -90, 90))
    table = [[draw(candela) for _ in vertical] for _ in horizontal]
    table[0][0] += 1
    tilts = draw(st.none() | between(0, 90))
    made: Any = {
        "name": "made.ies",
        "form": "generic",
        "type": kind,
        "symmetry": symmetry,
        "vertical_deg": np.array(vertical, dtype=float),
        "horizontal_deg": np.array(horizontal, dtype=float),
        "candela": np.array(table, dtype=float),
        "forward_deg": 90.0 if symmetry == "half_sideways" else 0.0,
        "lamp_lumens": draw(st.none() | st.floats(min_value=1, max_value=1e6)),
        "input_watts": draw(st.none() | st.floats(min_value=0.5, max_value=2000)),
        "opening_ft": tuple(draw(st.floats(min_value=0, max_value=10)) for _ in range(3)),
        "tilt": tilts
        and LampTilt(
            draw(st.sampled_from([1, 2, 3])), tuple(tilts), tuple(draw(st.floats(0, 2)) for _ in tilts)
        ),
        "labels": tuple(
            (key, " ".join(draw(st.lists(words, min_size=1, max_size=20))))
            for key in ("TEST", "TESTLAB", "ISSUEDATE", "MANUFAC", "LUMCAT", "_OWN")
        ),
    }
    return Photometry(**made)


@given(photometries())
def test_what_is_written_reads_back_the_same(made: Photometry) -> None:
    text = lm63_text(made)
    read = read_photometry(text.encode(), made.name)

    assert max(map(len, text.splitlines())) <= 132
    assert read.form == "LM-63-2002"
    for slot in (
        "type",
        "symmetry",
        "forward_deg",
        "lamp_lumens",
        "input_watts",
        "opening_ft",
        "tilt",
        "labels",
    ):
        assert getattr(read, slot) == getattr(made, slot), slot
    for slot in ("vertical_deg", "horizontal_deg", "candela"):
        np.testing.assert_array_equal(getattr(read, slot), getattr(made, slot), slot)
    assert lm63_text(read) == text
    check_photometry(read)


def test_keywords_that_the_standard_demands_are_always_written() -> None:
    made = read_photometry((FILES / "sound" / "symmetry_3.ldt").read_bytes(), "a.ldt")

    assert lm63_text(made).splitlines()[:6] == [
        "IESNA:LM-63-2002", "[TEST] R-1", "[TESTLAB] none", "[ISSUEDATE] 2026-11-25", "[MANUFAC] Plover Hollow Lighting",
        "[LUMINAIRE] wall pack",
    ]  # fmt: skip


def test_a_forward_that_the_form_can_not_say_is_not_written() -> None:
    made = read_photometry((FILES / "sound" / "edition_2002.ies").read_bytes(), "a.ies")
    turned = Photometry(**{s: getattr(made, s) for s in made.__slots__} | {"forward_deg": 90.0})

    with pytest.raises(ValueError, match="forward"):
        lm63_text(turned)


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_a_number_is_written_so_that_it_reads_back(value: float) -> None:
    assert float(number_text(value)) == value


@settings(max_examples=tried(120, 400))
@given(
    st.sampled_from(SEEDS),
    st.lists(
        st.tuples(
            st.integers(0, 1000), st.integers(0, 6), st.one_of(st.sampled_from(PIECES), st.binary(max_size=3))
        ),
        max_size=6,
    ),
    st.sampled_from(["a.ies", "a.ldt", "a"]),
)
def test_a_changed_file_is_read_soundly_or_refused(
    seed: bytes, changes: list[tuple[int, int, bytes]], name: str
) -> None:
    data = seed
    for place, cut, piece in changes:
        at = place * len(data) // 1000
        data = data[:at] + piece + data[at + cut :]
    try_file(data, name)


@given(st.binary(max_size=400))
def test_any_bytes_are_read_soundly_or_refused(data: bytes) -> None:
    try_file(data, "any")


@pytest.mark.parametrize("size", [0.25, 0.5, 0.75, 0.9, 0.99])
def test_a_file_cut_short_is_refused(size: float) -> None:
    for name in ("edition_2002.ies", "symmetry_0.ldt", "zero_to_355.ies"):
        data = (FILES / "sound" / name).read_bytes().rstrip()
        assert try_file(data[: int(size * len(data) - 3)], name) is None, name
