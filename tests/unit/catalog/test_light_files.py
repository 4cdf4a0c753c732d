"""A catalogue's photometric files: taken in once, understood when asked for, refused by name and line, never from elsewhere."""

import shutil
from pathlib import Path

import pytest

from catalog_demo import FOLDER
from engine.catalog import light_files
from engine.catalog.catalogue import Catalogue
from engine.catalog.fault import CatalogueFault
from engine.catalog.loader import catalogue_of_rows, load_catalogue, parse_catalogue
from engine.light.toward import total_lumens

PART = "DUNLIN/05P"
FILE = "photometry/DUNLIN-05P.ies"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Wall packs and their files, to be spoiled."""
    shutil.copy(FOLDER / "wall_packs.csv", tmp_path)
    (tmp_path / "photometry").mkdir()
    for file in (FOLDER / "photometry").iterdir():
        shutil.copy(file, tmp_path / "photometry")
    return tmp_path


def renamed(folder: Path, name: str) -> Path:
    """The folder with another name in the place of one product's file."""
    sheet = folder / "wall_packs.csv"
    sheet.write_text(sheet.read_text(encoding="utf-8").replace(FILE, name), encoding="utf-8")
    return folder


def faults(folder: Path) -> list[str]:
    with pytest.raises(CatalogueFault) as caught:
        load_catalogue(folder).check_light()
    return str(caught.value).splitlines()


def test_a_product_s_light_is_read_from_its_file(folder: Path) -> None:
    catalogue = load_catalogue(folder)
    photometry = catalogue.photometry_of(catalogue.by_part_number[PART])

    assert photometry is not None
    assert photometry.name == "DUNLIN-05P.ies"
    assert total_lumens(photometry) == pytest.approx(6900, rel=0.005)


@pytest.mark.parametrize(
    "name",
    [
        "../secret.ies",
        "photometry/../../secret.ies",
        "/etc/secret.ies",
        "a/b/c/d.ies",
        ".hidden.ies",
        "photometry/.hidden.ies",
        "photometry/DUNLIN-05P.txt",
        "photometry\\DUNLIN-05P.ies",
        "photometry//DUNLIN-05P.ies",
    ],
)
def test_a_name_that_leads_elsewhere_or_is_no_photometric_file_is_refused(folder: Path, name: str) -> None:
    (line, *_) = faults(renamed(folder, name))

    assert line.startswith("wall_packs.csv, row ")
    assert "column photometry" in line


def test_a_link_out_of_the_folder_is_refused(folder: Path, tmp_path_factory: pytest.TempPathFactory) -> None:
    outside = tmp_path_factory.mktemp("outside") / "secret.ies"
    shutil.copy(folder / FILE, outside)
    (folder / FILE).unlink()
    (folder / FILE).symlink_to(outside)

    assert any("leads out of the folder" in line for line in faults(folder))


def test_a_linked_folder_that_leads_out_is_refused(
    folder: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    outside = tmp_path_factory.mktemp("outside")
    shutil.copy(folder / FILE, outside / "one.ies")
    (folder / "linked").symlink_to(outside)

    assert any("leads out of the folder" in line for line in faults(renamed(folder, "linked/one.ies")))


def test_a_missing_file_is_refused_with_its_row(folder: Path) -> None:
    (folder / FILE).unlink()

    (line, *_) = faults(folder)

    assert "wall_packs.csv, row " in line
    assert "No such file" in line


def test_sheets_copied_without_the_whole_folder_are_a_catalogue_without_light(folder: Path) -> None:
    shutil.rmtree(folder / "photometry")
    catalogue = load_catalogue(folder)

    assert catalogue.photometry_of(catalogue.by_part_number[PART]) is None


def test_a_faulty_file_is_named_with_the_line_that_is_wrong(folder: Path) -> None:
    lines = (folder / FILE).read_text(encoding="ascii").splitlines()
    number = lines.index("0 15 30 45 60 75 90 105 120 135 150 165 180") + 2
    lines[number - 1] = f"-{lines[number - 1]}"
    (folder / FILE).write_text("\n".join(lines) + "\n", encoding="ascii")

    (line, *_) = faults(folder)

    assert line.startswith(f"{FILE}, line {number}: ")


def test_a_file_of_another_luminaire_is_refused_by_its_lumens(folder: Path) -> None:
    shutil.copy(folder / "photometry" / "DUNLIN-08P.ies", folder / FILE)

    (line, *_) = faults(folder)

    assert line.startswith(FILE)
    assert "10,500 lm" in line
    assert "6,900 lm" in line


def test_a_file_that_is_too_big_is_refused_before_it_is_read_whole(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(light_files, "MAX_FILE_BYTES", 100)

    assert "too big" in faults(folder)[0]


def test_files_that_are_too_big_together_are_refused(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(light_files, "MAX_ALL_BYTES", 5_000)

    assert "too big" in faults(folder)[0]


def test_a_sheet_without_the_column_is_a_catalogue_without_light() -> None:
    rows = [{k: v for k, v in row.items() if k != "photometry"} for row in load_catalogue(FOLDER).to_rows()]
    catalogue = catalogue_of_rows(rows)

    assert {product.photometry for product in catalogue.products} == {None}


def test_a_changed_file_makes_another_version(folder: Path) -> None:
    before = load_catalogue(folder).version
    (folder / FILE).write_bytes((folder / FILE).read_bytes().replace(b"[TEST] HB79", b"[TEST] HB80"))

    assert load_catalogue(folder).version != before


def test_stored_rows_and_files_give_the_same_catalogue_and_light() -> None:
    whole = load_catalogue(FOLDER)
    again: Catalogue = catalogue_of_rows(whole.to_rows(), whole.like_for_like_rows(), whole.light)

    assert again == whole
    assert again.version == whole.version
    assert again.photometry_of(again.by_part_number[PART]) is whole.photometry_of(whole.by_part_number[PART])


def test_texts_alone_have_no_light() -> None:
    texts = {"wall_packs.csv": (FOLDER / "wall_packs.csv").read_text(encoding="utf-8")}

    assert parse_catalogue(texts).light == {}
