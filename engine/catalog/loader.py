"""Catalogue files in, a checked `Catalogue` out: strict, all or nothing.

A catalogue is one CSV file of products, or a folder of them. In a folder, the file ``like_for_like.csv`` is not
products but the prices of new legacy luminaires; files that are not CSV, and hidden ones, are left alone.
"""

import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any, Final, TypeVar

from engine.catalog.catalogue import Catalogue
from engine.catalog.cells import LIKE_FOR_LIKE_COLUMNS, PRODUCT_COLUMNS, STOCK_PREFIX
from engine.catalog.fault import CatalogueFault, quoted
from engine.catalog.legacy import LegacyKey, LegacyLuminaire
from engine.catalog.light_files import LIGHT_FILE_WORDS, LightFolder
from engine.catalog.product import Product
from engine.catalog.sheet import Findings, SheetRow, SheetShape, read_sheet, sheet_text, understand

LIKE_FOR_LIKE_FILE: Final = "like_for_like.csv"
MAX_FILES: Final = 64
MAX_BYTES: Final = 32 * 1024 * 1024
"""Of all files together: about 60,000 products, and far less than a machine minds."""
MAX_STOCK: Final = 1_000_000

_BRANCH: Final = re.compile(r"[a-z][a-z0-9_]{0,30}")
_BYTE_ORDER_MARK: Final = "\ufeff"

Key = TypeVar("Key")


def _is_stock_column(column: str) -> bool:
    return column.startswith(STOCK_PREFIX) and bool(_BRANCH.fullmatch(column.removeprefix(STOCK_PREFIX)))


PRODUCT_SHEET: Final = SheetShape(
    columns=PRODUCT_COLUMNS,
    numbers=frozenset(
        {
            "lamp_feet",
            "input_watts",
            "lumens",
            "efficacy_lm_per_w",
            "surge_kv",
            "weight_lb",
            "list_price",
            "net_price",
        }
    ),
    whole=frozenset(
        {"cct_k", "cri", "l70_hours", "ambient_low_c", "ambient_high_c", "warranty_years", "lead_time_days"}
    ),
    patterns={
        "part_number": "3 to 40 capital letters, digits, points, slashes and hyphens, beginning with a letter or digit",
        "bug": "a rating like B1-U0-G2, each from 0 to 5",
        "photometry": "an .ies or .ldt file in the catalogue's folder or at most two folders below, no part of its name beginning with a point",
    },
    further=_is_stock_column,
    optional=frozenset({"photometry"}),
)
LIKE_FOR_LIKE_SHEET: Final = SheetShape(
    columns=LIKE_FOR_LIKE_COLUMNS,
    numbers=frozenset({"watts", "lamp_feet", "net_price_low", "net_price", "net_price_high"}),
    whole=frozenset({"lamps"}),
    patterns={},
)


def load_catalogue(path: Path) -> Catalogue:
    """The catalogue of one CSV file, or of a folder of CSV files.

    Raises:
        CatalogueFault: nothing is there, it is too big, or anything in it is not as it must be.
    """
    findings = Findings()
    texts: dict[str, str] = {}
    left = MAX_BYTES
    try:
        files = _files_of(path, findings)
    except OSError as error:
        findings.add(path.name, None, "", f"a place that cannot be read ({error.strerror})", "a readable one")
        files = []
    for file in files:
        content = _bytes_of(file, left, findings)
        if content is None:
            continue
        left -= len(content)
        text = _decoded(file.name, content, findings)
        if text is not None:
            texts[file.name] = text
    return _catalogue_of(texts, findings, LightFolder(path if path.is_dir() else path.parent))


def parse_catalogue(
    text_by_filename: Mapping[str, str], light: Mapping[str, bytes] | None = None
) -> Catalogue:
    """The catalogue of CSV texts by file name, read in the order of the names.

    Args:
        text_by_filename: the sheets.
        light: photometric files by the names that products give; a product whose file is not among them goes without its light.

    Raises:
        CatalogueFault: anything in them is not as it must be.
    """
    return _catalogue_of(text_by_filename, Findings(), light)


def catalogue_of_rows(
    products: Iterable[Mapping[str, str]],
    like_for_like: Iterable[Mapping[str, str]] = (),
    light: Mapping[str, bytes] | None = None,
) -> Catalogue:
    """The catalogue of stored rows, as `Catalogue.to_rows` gave them, checked as strictly as a file.

    Raises:
        CatalogueFault: anything in them is not as it must be.
    """
    texts = {"stored_products.csv": sheet_text(products)}
    legacy = sheet_text(like_for_like)
    if legacy:
        texts[LIKE_FOR_LIKE_FILE] = legacy
    return parse_catalogue(texts, light)


def _files_of(path: Path, findings: Findings) -> list[Path]:
    if path.is_file():
        return [path]
    if not path.is_dir():
        findings.add(path.name, None, "", "no such file or folder", "a CSV file or a folder of CSV files")
        return []
    files = sorted(
        (entry for entry in path.iterdir() if _is_sheet_name(entry.name)), key=lambda entry: entry.name
    )
    if not files:
        findings.add(path.name, None, "", "a folder without CSV files", "at least one CSV file")
    if len(files) > MAX_FILES:
        findings.add(path.name, None, "", f"{len(files)} CSV files", f"at most {MAX_FILES}")
        return []
    return files


def _is_sheet_name(name: str) -> bool:
    return name.lower().endswith(".csv") and not name.startswith(".")


def _bytes_of(file: Path, left: int, findings: Findings) -> bytes | None:
    """The file's bytes, never more than ``left`` of them."""
    if not file.is_file():
        findings.add(file.name, None, "", "something that is not a file", "a CSV file")
        return None
    try:
        with file.open("rb") as stream:
            content = stream.read(left + 1)
    except OSError as error:
        findings.add(file.name, None, "", f"a file that cannot be read ({error.strerror})", "a readable file")
        return None
    if len(content) > left:
        findings.add(file.name, None, "", "too many bytes", f"at most {MAX_BYTES} bytes over all files")
        return None
    return content


def _decoded(name: str, content: bytes, findings: Findings) -> str | None:
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        row = content.count(b"\n", 0, error.start) + 1
        findings.add(
            name, row, "", f"byte {content[error.start]:#04x}, which is not UTF-8", "text saved as CSV UTF-8"
        )
        return None


def _catalogue_of(
    texts: Mapping[str, str], findings: Findings, light: Mapping[str, bytes] | LightFolder | None
) -> Catalogue:
    products: list[Product] = []
    legacy: list[LegacyLuminaire] = []
    seen: dict[str, SheetRow] = {}
    seen_legacy: dict[LegacyKey, SheetRow] = {}
    files: dict[str, bytes] = {}
    stock_columns: dict[str, frozenset[str]] = {}
    for name in sorted(texts):
        # Spreadsheets that save UTF-8 put a byte order mark first; it is no part of the first column's name.
        text = texts[name].removeprefix(_BYTE_ORDER_MARK)
        if name == LIKE_FOR_LIKE_FILE:
            for row in read_sheet(name, text, LIKE_FOR_LIKE_SHEET, findings):
                luminaire = understand(row, row.cells, LegacyLuminaire, LIKE_FOR_LIKE_SHEET, findings)
                if luminaire is not None and _is_new(
                    luminaire.key, row, "family", "the luminaire", seen_legacy, findings
                ):
                    legacy.append(luminaire)
            continue
        for row in read_sheet(name, text, PRODUCT_SHEET, findings):
            if name not in stock_columns:
                stock_columns[name] = frozenset(filter(_is_stock_column, row.cells))
            product = _product_of(row, findings)
            if product is not None and _is_new(
                product.part_number, row, "part_number", quoted(product.part_number), seen, findings
            ):
                products.append(product)
                if light is not None:
                    _take_light(row, product, light, files, findings)
    _compare_branches(stock_columns, findings)
    if not products and not findings.faults:
        findings.add(", ".join(sorted(texts)) or "catalogue", None, "", "no product", "at least one product")
    if findings.faults:
        raise CatalogueFault(findings.faults)
    return Catalogue.of(products, legacy, files)


def _take_light(
    row: SheetRow,
    product: Product,
    light: Mapping[str, bytes] | LightFolder,
    files: dict[str, bytes],
    findings: Findings,
) -> None:
    """The photometric file that ``product`` names, taken in once however many products name it."""
    name = product.photometry
    if name is None or name in files:
        return
    found = light.read(name) if isinstance(light, LightFolder) else light.get(name)
    if isinstance(found, bytes):
        files[name] = found
    elif found is not None:
        findings.add(row.file, row.row, "photometry", f"{quoted(name)}, {found}", LIGHT_FILE_WORDS)


def _product_of(row: SheetRow, findings: Findings) -> Product | None:
    values: dict[str, Any] = {}
    stock: list[tuple[str, int]] = []
    for column, cell in row.cells.items():
        if not column.startswith(STOCK_PREFIX):
            values[column] = cell
        elif cell.isascii() and cell.isdigit() and int(cell[:12]) <= MAX_STOCK:
            stock.append((column.removeprefix(STOCK_PREFIX), int(cell)))
        else:
            found = quoted(cell) if cell else "a blank cell"
            findings.add(
                row.file, row.row, column, found, f"a whole number of pieces, 0 for none, at most {MAX_STOCK}"
            )
    values["stock"] = tuple(sorted(stock))
    return understand(row, values, Product, PRODUCT_SHEET, findings)


def _is_new(
    key: Key, row: SheetRow, column: str, words: str, seen: dict[Key, SheetRow], findings: Findings
) -> bool:
    earlier = seen.setdefault(key, row)
    if earlier is row:
        return True
    findings.add(
        row.file,
        row.row,
        column,
        f"{words} again",
        f"each once; it stands in {earlier.file}, row {earlier.row}",
    )
    return False


def _compare_branches(stock_columns: Mapping[str, frozenset[str]], findings: Findings) -> None:
    """A branch named in one file and not in another is a slip of the pen, and would hide stock."""
    every = frozenset().union(*stock_columns.values())
    for name, columns in stock_columns.items():
        if columns != every:
            missing = ", ".join(sorted(every - columns))
            findings.add(name, 1, "", f"no column {missing}", "the same stock columns in every file")
