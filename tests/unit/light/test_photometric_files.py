"""Sound photometric files of every dialect read as they must; broken ones are refused at the line that is wrong.

The files are our own, written by hand rules: the expectations stand beside them, in `files/sound.toml` and `files/broken.toml`.
"""

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from engine.light.file_text import MAX_BYTES
from engine.light.note_keys import NOTES
from engine.light.photometric_file import read_photometry, tilt_file_of
from engine.light.photometry import LampTilt, PhotometryFault

FILES = Path(__file__).parent / "files"
SOUND = tomllib.loads((FILES / "sound.toml").read_text(encoding="utf-8"))
BROKEN = tomllib.loads((FILES / "broken.toml").read_text(encoding="utf-8"))
TABLES: dict[str, Any] = SOUND["tables"]
BESIDE = {"lamp.tlt": (FILES / "sound" / "lamp.tlt").read_bytes()}


def sound(name: str) -> bytes:
    return (FILES / "sound" / name).read_bytes()


def test_every_file_has_its_expectation() -> None:
    assert {each.name for each in (FILES / "sound").iterdir()} == {*SOUND["files"], *BESIDE}
    assert {each.name for each in (FILES / "broken").iterdir()} == set(BROKEN)
    assert len(SOUND["files"]) >= 100
    assert len(BROKEN) >= 100


@pytest.mark.parametrize("name", SOUND["files"])
def test_a_sound_file_reads_as_its_table(name: str) -> None:
    expected = SOUND["files"][name]
    table = TABLES[expected["table"]]
    read = read_photometry(sound(name), name, BESIDE)

    assert (read.name, read.form) == (name, expected.get("form", "LM-63-2002"))
    assert (read.type, read.symmetry) == (expected.get("type", "C"), expected["symmetry"])
    np.testing.assert_allclose(read.vertical_deg, table["vertical"], atol=1e-9)
    np.testing.assert_allclose(read.horizontal_deg, table["horizontal"], atol=1e-9)
    np.testing.assert_allclose(
        read.candela, np.array(table["candela"]) * expected.get("factor", 1), rtol=1e-12
    )
    assert read.forward_deg == expected.get("forward_deg", 0.0)
    assert list(read.notes) == expected.get("notes", ["absolute"])
    assert set(read.notes) <= set(NOTES)
    assert read.lamp_lumens == expected.get("lamp_lumens")
    assert read.input_watts == (expected.get("input_watts", 60) or None)
    assert read.opening_ft == pytest.approx(expected.get("opening_ft", (0, 0, 0)))
    tilt = expected.get("tilt")
    assert read.tilt == (tilt and LampTilt(tilt[0], tuple(tilt[1]), tuple(tilt[2])))
    if "label" in expected:
        assert tuple(expected["label"]) in read.labels


@pytest.mark.parametrize("name", BROKEN)
def test_a_broken_file_is_refused_at_the_line_that_is_wrong(name: str) -> None:
    with pytest.raises(PhotometryFault) as caught:
        read_photometry((FILES / "broken" / name).read_bytes(), name)

    fault = caught.value
    assert (fault.name, fault.line) == (name, BROKEN[name]["line"]), str(fault)
    assert BROKEN[name]["says"] in fault.what
    assert str(fault) == f"{name}, line {fault.line}: {fault.what}"
    assert "\n" not in str(fault)
    assert len(fault.what) < 250


@pytest.mark.parametrize("name", SOUND["files"])
def test_what_is_read_is_the_same_twice(name: str) -> None:
    once, again = (read_photometry(sound(name), name, BESIDE) for _ in range(2))

    assert once.candela.tobytes() == again.candela.tobytes()
    assert (once.labels, once.notes) == (again.labels, again.notes)


def test_labels_are_cleaned_of_what_moves_the_cursor() -> None:
    text = sound("edition_2002.ies").replace(b"own synthetic data", "\x1b[2J\u202e\x07 data".encode())

    labels = dict(read_photometry(text, "a.ies").labels)
    assert labels["TEST"] == "worked example, [2J data"


def test_a_name_is_cleaned_too() -> None:
    with pytest.raises(PhotometryFault) as caught:
        read_photometry(b"", "bad\n\x1b[2Jname.ies")

    assert str(caught.value).startswith("bad [2Jname.ies, line 1: ")


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("edition_2002.ies", None),
        ("tilt_included_geometry_1.ies", None),
        ("symmetry_2.ldt", None),
        ("tilt_in_a_file_beside.ies", "lamp.tlt"),
        ("tilt_in_a_file_once_in_a_folder.ies", "LAMP.TLT"),
    ],
)
def test_the_tilt_file_that_is_wanted_is_named(name: str, file: str | None) -> None:
    assert tilt_file_of(sound(name), name) == file


@pytest.mark.parametrize(
    ("table", "line"),
    [
        (b"", 1),
        (b"1\n3\n0 45 90\n1 .9", 4),
        (b"5\n3\n0 45 90\n1 .9 .8", 1),
        (b"1\n3\n0 45 90\n1 .9 .8 .7", 4),
        (b"1\n1000000\n0 1", 2),
        (b"\xff\xfe1\0", 1),
    ],
)
def test_a_broken_tilt_file_names_itself(table: bytes, line: int) -> None:
    with pytest.raises(PhotometryFault) as caught:
        read_photometry(sound("tilt_in_a_file_beside.ies"), "a.ies", {"lamp.tlt": table})

    assert (caught.value.name, caught.value.line) == ("lamp.tlt", line)


def test_a_tilt_file_can_not_name_another_folder() -> None:
    text = sound("tilt_in_a_file_beside.ies").replace(b"lamp.tlt", b"../../etc/passwd")

    assert tilt_file_of(text, "a.ies") == "passwd"


def test_a_file_beyond_the_bound_is_refused_at_the_line_where_it_passes_it() -> None:
    head = sound("edition_2002.ies")
    with pytest.raises(PhotometryFault, match="8,000,000 bytes") as caught:
        read_photometry(head + b"0 0\n" * (MAX_BYTES // 4), "long.ies")

    assert caught.value.line == (MAX_BYTES - len(head)) // 4 + 14


@pytest.mark.parametrize("count", ["999999999", "1e11", "30000"])
def test_a_count_that_the_bytes_can_not_hold_is_refused_before_the_table_is_read(count: str) -> None:
    text = sound("edition_2002.ies").replace(b"7 3 1 1", f"{count} {count} 1 1".encode())
    with pytest.raises(PhotometryFault, match="at most") as caught:
        read_photometry(text + b"5 " * 20_000, "hostile.ies")

    assert caught.value.line == 7
