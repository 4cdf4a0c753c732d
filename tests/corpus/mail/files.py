"""Files that come along, written byte by byte: the same on every machine, whatever its compression library."""

import io
import zipfile
from collections.abc import Collection, Sequence
from html import escape

Cell = str | int | float | None
_SHEET = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_RELATED = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"


def workbook(
    sheets: Sequence[tuple[str, Sequence[Sequence[Cell]]]],
    *,
    hidden_sheets: Collection[str] = (),
    hidden_rows: Collection[int] = (),
    merged: Sequence[str] = (),
    formulas: dict[str, tuple[str, str]] | None = None,
) -> bytes:
    """An XLSX with inline strings, nothing compressed. Of the first sheet: hidden rows, merged ranges, formulas by place with their stored value."""
    parts = {
        "[Content_Types].xml": '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>'
        + "".join(
            f'<Override PartName="/xl/worksheets/sheet{n}.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
            for n in range(1, len(sheets) + 1)
        )
        + "</Types>",
        "_rels/.rels": '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        f'<Relationship Id="rId1" Type="{_RELATED}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{_SHEET}" xmlns:r="{_RELATED}"><sheets>'
        + "".join(
            f'<sheet name="{escape(name)}" sheetId="{n}" r:id="rId{n}"{" state=" + chr(34) + "hidden" + chr(34) if name in hidden_sheets else ""}/>'
            for n, (name, _) in enumerate(sheets, 1)
        )
        + "</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
        + "".join(
            f'<Relationship Id="rId{n}" Type="{_RELATED}/worksheet" Target="worksheets/sheet{n}.xml"/>'
            for n in range(1, len(sheets) + 1)
        )
        + "</Relationships>",
    }
    for n, (_, rows) in enumerate(sheets, 1):
        parts[f"xl/worksheets/sheet{n}.xml"] = _sheet(
            rows, hidden_rows if n == 1 else (), merged if n == 1 else (), (formulas or {}) if n == 1 else {}
        )
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_STORED) as out:
        for name, text in parts.items():
            out.writestr(
                zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)),
                '<?xml version="1.0" encoding="UTF-8"?>\n' + text,
            )
    return held.getvalue()


def _sheet(
    rows: Sequence[Sequence[Cell]],
    hidden: Collection[int],
    merged: Sequence[str],
    formulas: dict[str, tuple[str, str]],
) -> str:
    out = f'<worksheet xmlns="{_SHEET}"><sheetData>'
    for number, row in enumerate(rows, 1):
        out += f'<row r="{number}"{" hidden=" + chr(34) + "1" + chr(34) if number in hidden else ""}>'
        for index, value in enumerate(row):
            place = f"{chr(65 + index)}{number}"
            if place in formulas:
                text, stored = formulas[place]
                out += f'<c r="{place}"><f>{escape(text)}</f>{f"<v>{stored}</v>" if stored else ""}</c>'
            elif isinstance(value, str):
                out += (
                    f'<c r="{place}" t="inlineStr"><is><t xml:space="preserve">{escape(value)}</t></is></c>'
                )
            elif value is not None:
                out += f'<c r="{place}"><v>{value}</v></c>'
        out += "</row>"
    out += "</sheetData>"
    if merged:
        out += f'<mergeCells count="{len(merged)}">{"".join(f"<mergeCell ref={chr(34)}{each}{chr(34)}/>" for each in merged)}</mergeCells>'
    return out + "</worksheet>"


def page(rows: Sequence[Sequence[str]], columns: Sequence[int]) -> bytes:
    """A PDF of one page with a table in Helvetica: each cell at its column's place [pt from the left]."""
    lines = ["BT /F1 10 Tf"]
    for number, row in enumerate(rows):
        for left, cell in zip(columns, row, strict=True):
            shown = cell.replace("\\", "\\\\").replace("(", "\\(").replace(")", "\\)")
            lines.append(f"1 0 0 1 {left} {740 - 18 * number} Tm ({shown}) Tj")
    return _pdf("\n".join([*lines, "ET"]).encode("latin-1"))


def scan() -> bytes:
    """A PDF of one page with nothing but a picture of it."""
    return _pdf(b"q 500 0 0 700 50 50 cm BI /W 2 /H 2 /CS /G /BPC 8 /F /AHx ID 00FFFF00> EI Q")


def _pdf(content: bytes) -> bytes:
    objects = [
        b"<< /Type /Catalog /Pages 2 0 R >>", b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
        b"<< /Type /Page /Parent 2 0 R /MediaBox [0 0 612 792] /Contents 4 0 R /Resources << /Font << /F1 5 0 R >> >> >>",
        b"<< /Length %d >>\nstream\n%s\nendstream" % (len(content), content),
        b"<< /Type /Font /Subtype /Type1 /BaseFont /Helvetica >>",
    ]  # fmt: skip
    out, places = b"%PDF-1.4\n", []
    for number, each in enumerate(objects, 1):
        places.append(len(out))
        out += b"%d 0 obj\n%s\nendobj\n" % (number, each)
    table = b"xref\n0 6\n0000000000 65535 f \n" + b"".join(b"%010d 00000 n \n" % place for place in places)
    return out + table + b"trailer << /Size 6 /Root 1 0 R >>\nstartxref\n%d\n%%%%EOF\n" % len(out)
