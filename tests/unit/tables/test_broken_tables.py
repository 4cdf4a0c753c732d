"""Each folder of ``broken/`` holds a table with one fault, and in ``words.txt`` what the error must say."""

from pathlib import Path

import pytest

from engine.errors import ConfigurationError, TableError
from engine.tables import load_tables

BROKEN = Path(__file__).parent / "broken"
CASES = sorted(folder.name for folder in BROKEN.iterdir())


def test_there_are_broken_tables_to_refuse():
    assert len(CASES) >= 40


@pytest.mark.parametrize("case", CASES)
def test_a_broken_table_is_refused_in_one_line_that_says_where_what_and_what_is_allowed(case):
    words = (BROKEN / case / "words.txt").read_text(encoding="utf-8").splitlines()

    with pytest.raises(TableError) as caught:
        load_tables(BROKEN / case)
    message = str(caught.value)

    assert [word for word in words if word not in message] == [], message
    assert "\n" not in message
    assert "allowed: " in message
    assert str(BROKEN) not in message


def test_a_folder_that_is_not_there_is_a_configuration_error(tmp_path):
    with pytest.raises(ConfigurationError, match="found no folder"):
        load_tables(tmp_path / "gone")


def test_too_large_a_file_is_refused_before_it_is_read(tmp_path):
    (tmp_path / "optics_factor.csv").write_bytes(b"x" * 4_000_001)

    with pytest.raises(TableError, match="at most 4000000 bytes"):
        load_tables(tmp_path)


def test_too_many_rows_are_refused(tmp_path):
    heading = "lamp_source,rank,ballast,seen,provenance\n"
    rows = "".join(f"MH,1,b{number},memory,x\n" for number in range(20_001))
    sidecar = (Path(load_tables.__code__.co_filename).parent / "usual_ballasts.toml").read_text()
    (tmp_path / "usual_ballasts.csv").write_text(heading + rows)
    (tmp_path / "usual_ballasts.toml").write_text(sidecar.replace('"rank"]', '"ballast"]'))

    with pytest.raises(TableError, match="at most 20000 rows"):
        load_tables(tmp_path)
