"""What a sound catalogue gives: order, look-ups, and a version that depends on its contents alone."""

import shutil
from decimal import Decimal
from pathlib import Path

import pytest

from catalog_demo import FOLDER
from engine.catalog.catalogue import Catalogue
from engine.catalog.loader import catalogue_of_rows, load_catalogue, parse_catalogue
from engine.catalog.sheet import sheet_text

DEMO = load_catalogue(FOLDER)


def _texts() -> dict[str, str]:
    return {path.name: path.read_text(encoding="utf-8") for path in FOLDER.glob("*.csv")}


def test_products_stand_in_the_order_of_their_part_numbers() -> None:
    numbers = [product.part_number for product in DEMO.products]

    assert numbers == sorted(numbers)
    assert list(DEMO.by_part_number) == numbers


def test_a_kit_is_found_under_its_own_family_and_those_it_also_fits() -> None:
    kit = DEMO.by_part_number["NUTHATCH/01A"]

    assert kit in DEMO.of_kind("retrofit_kit", "strip")
    assert kit in DEMO.of_kind("retrofit_kit", "wrap")
    assert kit not in DEMO.of_kind("luminaire", "strip")
    assert kit not in DEMO.of_kind("retrofit_kit", "troffer")


def test_a_shelf_that_nothing_stands_on_is_empty() -> None:
    assert DEMO.of_kind("lamp", "exit") == ()


def test_a_like_for_like_price_is_found_by_lamp_count_and_length_too() -> None:
    two = DEMO.like_for_like_of("troffer", "T8", 32, lamps=2, lamp_feet=4)
    four = DEMO.like_for_like_of("troffer", "T8", 32, lamps=4, lamp_feet=4)

    assert two is not None
    assert four is not None
    assert two.net_price < four.net_price
    assert DEMO.like_for_like_of("troffer", "T8", 32) is None


def test_the_version_does_not_depend_on_how_the_sheets_are_cut_or_ordered() -> None:
    rows = list(DEMO.to_rows())

    assert catalogue_of_rows(reversed(rows), DEMO.like_for_like_rows(), DEMO.light).version == DEMO.version
    again = Catalogue.of(reversed(DEMO.products), reversed(DEMO.like_for_like), DEMO.light)
    assert again.version == DEMO.version


def test_the_version_changes_with_a_price_and_with_a_like_for_like_price() -> None:
    first = DEMO.products[0]
    dearer = first.model_copy(update={"net_price": first.net_price + Decimal("0.01")})

    assert Catalogue.of((dearer, *DEMO.products[1:]), DEMO.like_for_like, DEMO.light).version != DEMO.version
    assert Catalogue.of(DEMO.products, DEMO.like_for_like[1:], DEMO.light).version != DEMO.version


def test_a_price_is_the_same_with_and_without_its_cents() -> None:
    header, first = _texts()["wall_packs.csv"].splitlines()[:2]
    short = first.replace("84.00", "84")

    assert short != first
    assert parse_catalogue({"a.csv": f"{header}\n{first}\n"}) == parse_catalogue(
        {"a.csv": f"{header}\n{short}\n"}
    )


def test_a_part_number_twice_is_no_catalogue() -> None:
    with pytest.raises(ValueError, match="stands twice"):
        Catalogue.of((DEMO.products[0], DEMO.products[0]))


def test_a_legacy_luminaire_twice_is_no_catalogue() -> None:
    with pytest.raises(ValueError, match="stands twice"):
        Catalogue.of(DEMO.products, (DEMO.like_for_like[0], DEMO.like_for_like[0]))


def test_columns_may_stand_in_any_order() -> None:
    turned = [dict(reversed(row.items())) for row in DEMO.to_rows()]

    assert parse_catalogue({"turned.csv": sheet_text(turned)}).products == DEMO.products


def test_a_byte_order_mark_and_windows_line_ends_make_no_difference() -> None:
    text = "\ufeff" + sheet_text(DEMO.to_rows()).replace("\n", "\r\n")

    assert parse_catalogue({"saved.csv": text}).products == DEMO.products


def test_one_file_alone_is_a_catalogue() -> None:
    catalogue = load_catalogue(FOLDER / "troffers.csv")

    assert {product.family for product in catalogue.products} == {"troffer"}
    assert catalogue.like_for_like == ()


def test_files_that_are_no_sheets_and_hidden_ones_are_left_alone(tmp_path: Path) -> None:
    (tmp_path / "troffers.csv").write_text(_texts()["troffers.csv"], encoding="utf-8")
    (tmp_path / "notes.txt").write_text("not a sheet", encoding="utf-8")
    (tmp_path / "._troffers.csv").write_bytes(b"\x00\x05\x16\x07")

    shutil.copytree(FOLDER / "photometry", tmp_path / "photometry")

    assert load_catalogue(tmp_path) == load_catalogue(FOLDER / "troffers.csv")


def test_stock_is_kept_by_branch() -> None:
    product = DEMO.by_part_number["DUNLIN/06P"]
    row = next(row for row in DEMO.to_rows() if row["part_number"] == "DUNLIN/06P")

    assert dict(product.stock) == {branch: int(row[f"stock_{branch}"]) for branch in DEMO.branches}
    assert product.in_stock == sum(dict(product.stock).values())


def test_a_sheet_without_stock_columns_is_a_catalogue_without_stock() -> None:
    rows = [
        {name: cell for name, cell in row.items() if not name.startswith("stock_")} for row in DEMO.to_rows()
    ]
    catalogue = catalogue_of_rows(rows)

    assert catalogue.branches == ()
    assert all(product.in_stock == 0 for product in catalogue.products)
