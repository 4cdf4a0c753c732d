"""Every kind of broken sheet is refused with a line that says where and what. The cases are files in ``broken/``."""

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from catalog_demo import FOLDER
from engine.catalog import loader, sheet
from engine.catalog.fault import MAX_FAULTS, CatalogueFault
from engine.catalog.loader import load_catalogue, parse_catalogue
from engine.errors import ConfigurationError

BROKEN = Path(__file__).parent / "broken"
CASES = tomllib.loads((BROKEN / "expected.toml").read_text(encoding="utf-8"))


def _wall_packs() -> str:
    return (FOLDER / "wall_packs.csv").read_text(encoding="utf-8")


def _with_every_row_spoiled(count: int) -> str:
    header, row = _wall_packs().splitlines()[:2]
    return "\n".join([header, *[row.replace(",Plover Hollow Lighting,", ",=Plover,") for _ in range(count)]])


@pytest.mark.parametrize("name", CASES)
def test_a_broken_sheet_is_refused_with_words_that_help(name: str) -> None:
    case = CASES[name]

    with pytest.raises(CatalogueFault) as caught:
        load_catalogue(BROKEN / case["path"])

    lines = str(caught.value).splitlines()
    for words in case["words"]:
        assert any(words in line for line in lines), f"{words!r} is not in {lines}"


@pytest.mark.parametrize("name", CASES)
def test_a_fault_is_one_printable_line(name: str) -> None:
    with pytest.raises(CatalogueFault) as caught:
        load_catalogue(BROKEN / CASES[name]["path"])

    for fault in caught.value.faults:
        assert fault.line.isprintable()
        assert fault.found
        assert fault.allowed


def test_every_broken_sheet_has_its_case() -> None:
    def kept() -> Iterator[str]:
        for entry in BROKEN.iterdir():
            if entry.name != "expected.toml":
                yield entry.name

    assert set(kept()) == {case["path"] for case in CASES.values()}


def test_a_refusal_is_an_operators_error() -> None:
    assert issubclass(CatalogueFault, ConfigurationError)


def test_no_more_faults_are_listed_than_help() -> None:
    with pytest.raises(CatalogueFault) as caught:
        parse_catalogue({"wall_packs.csv": _with_every_row_spoiled(MAX_FAULTS + 30)})

    assert len(caught.value.faults) == MAX_FAULTS
    assert [fault.row for fault in caught.value.faults] == list(range(2, MAX_FAULTS + 2))


def test_faults_of_several_cells_rows_and_files_come_together() -> None:
    text = _wall_packs()
    header, first, second = text.splitlines()[:3]

    with pytest.raises(CatalogueFault) as caught:
        parse_catalogue(
            {
                "one.csv": "\n".join(
                    [header, first.replace(",wall_pack,", ",barn_door,").replace(",120-277,", ",220,")]
                ),
                "two.csv": "\n".join([header, second.replace(",wall_pack,", ",barn_door,")]),
            }
        )

    assert [(f.file, f.row, f.column) for f in caught.value.faults] == [
        ("one.csv", 2, "family"),
        ("one.csv", 2, "voltage"),
        ("two.csv", 2, "family"),
    ]


def test_one_bad_row_refuses_all_the_good_ones() -> None:
    text = _wall_packs()

    with pytest.raises(CatalogueFault):
        parse_catalogue({"wall_packs.csv": text + text.splitlines()[1] + "\n"})


def test_a_path_that_is_not_there_is_named_without_its_folder(tmp_path: Path) -> None:
    with pytest.raises(CatalogueFault, match=r"^nowhere\.csv: found no such file or folder"):
        load_catalogue(tmp_path / "nowhere.csv")


def test_a_folder_without_sheets_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CatalogueFault, match="a folder without CSV files"):
        load_catalogue(tmp_path)


def test_a_folder_that_poses_as_a_sheet_is_refused(tmp_path: Path) -> None:
    (tmp_path / "wall_packs.csv").mkdir()

    with pytest.raises(CatalogueFault, match=r"wall_packs\.csv: found something that is not a file"):
        load_catalogue(tmp_path)


def test_a_folder_that_may_not_be_read_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def locked(_: Path) -> Iterator[Path]:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "iterdir", locked)

    with pytest.raises(CatalogueFault, match=r"cannot be read \(Permission denied\)"):
        load_catalogue(tmp_path)


def test_a_file_that_may_not_be_read_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    def locked(*_: object) -> object:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", locked)

    with pytest.raises(CatalogueFault, match=r"troffers\.csv: found a file that cannot be read"):
        load_catalogue(FOLDER / "troffers.csv")


def test_no_text_at_all_is_no_catalogue() -> None:
    with pytest.raises(CatalogueFault, match="no product"):
        parse_catalogue({})


def test_too_many_bytes_are_refused_over_all_files_together(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    header, first, second = _wall_packs().splitlines()[:3]
    (tmp_path / "one.csv").write_text(f"{header}\n{first}\n", encoding="utf-8")
    (tmp_path / "two.csv").write_text(f"{header}\n{second}\n", encoding="utf-8")
    monkeypatch.setattr(loader, "MAX_BYTES", len(header) + len(first) + 40)

    with pytest.raises(CatalogueFault, match=r"two\.csv: found too many bytes"):
        load_catalogue(tmp_path)


def test_too_many_files_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(loader, "MAX_FILES", 2)
    for name in ("a.csv", "b.csv", "c.csv"):
        (tmp_path / name).write_text("", encoding="utf-8")

    with pytest.raises(CatalogueFault, match="found 3 CSV files; allowed is at most 2"):
        load_catalogue(tmp_path)


def test_too_many_rows_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sheet, "MAX_ROWS", 3)

    with pytest.raises(CatalogueFault, match=r"row 4: found more rows; allowed is at most 3 rows"):
        parse_catalogue({"wall_packs.csv": _wall_packs()})


def test_too_many_columns_are_refused() -> None:
    with pytest.raises(CatalogueFault, match="found 300 columns; allowed is at most 200"):
        parse_catalogue({"wide.csv": ",".join(f"c{n}" for n in range(300))})


def test_a_cell_beyond_what_csv_takes_is_a_fault_and_no_crash() -> None:
    header, first = _wall_packs().splitlines()[:2]
    text = f"{header}\n{first.replace('Dotterel economy', 'x' * 200_000)}\n"

    with pytest.raises(CatalogueFault, match="row 2: found text that is not CSV"):
        parse_catalogue({"wall_packs.csv": text})
