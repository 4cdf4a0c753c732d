"""Fixture schedules in files: what is read of them, what is said of them, and what is refused."""

import io
import zipfile
import zlib
from datetime import UTC, datetime
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path
from typing import Any

import openpyxl
import pytest
import typst
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.mail.arrived import Attached
from bot.mail.attachments import kinds, open_files
from bot.mail.attachments.columns import heads_of
from bot.mail.attachments.container import MOST_PART_BYTES, guard
from bot.mail.attachments.delimited import open_delimited
from bot.mail.attachments.grid import FileRefused, Grid
from bot.mail.attachments.proposed import value_of
from bot.mail.desk import Answer, MailDesk

AT = datetime(2026, 11, 24, 15, 0, tzinfo=UTC)
HERE = Path(__file__).parent
HEADS = ["Location", "Volts", "Mtg Ht (m)", "Fixture", "Lamp", "Lamp W", "# Fixt", "Circuit"]
KINDS = (
    (277, 4.5, "Wall pack", "HPS", 150),
    (480, 7.6, "Shoebox area light", "MH", 400),
    (277, 2.7, "2x4 troffer 3 lamp T8", None, 32),
    (277, 8.5, "High bay", "MH", 400),
)


def workbook(count: int, change: Any = None) -> bytes:
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Audit"
    sheet["A1"] = "Lighting audit"
    sheet.append([])
    sheet.append(HEADS)
    for number in range(count):
        sheet.append([f"Room {number}", *KINDS[number % 4], number % 13 + 1, f"A{number}"])
    sheet.append(["Total", None, None, None, None, None, sum(n % 13 + 1 for n in range(count))])
    if change is not None:
        change(book, sheet)
    held = io.BytesIO()
    book.save(held)
    return held.getvalue()


def mail(name: str, data: bytes, body: str = "Please quote the attached, $0.12/kWh, 24/7.\n") -> bytes:
    message = EmailMessage()
    message["From"], message["To"] = "Dana Ortiz <dana@example.com>", "quotes@example.org"
    message["Subject"], message["Message-ID"] = "Fixture list", "<list@example.com>"
    message.set_content(body)
    message.add_attachment(data, maintype="application", subtype="octet-stream", filename=name)
    return message.as_bytes()


def words(answer: Answer) -> str:
    assert answer.draft is not None
    draft: Any = message_from_bytes(answer.draft, policy=policy.default)
    return " ".join(draft.get_body(("plain",)).get_content().split())


def given_back(answer: Answer) -> Any:
    assert answer.draft is not None
    draft: Any = message_from_bytes(answer.draft, policy=policy.default)
    (part,) = [each for each in draft.iter_attachments() if str(each.get_filename()).endswith(".xlsx")]
    return openpyxl.load_workbook(io.BytesIO(part.get_content())).worksheets[0]


def refused(data: bytes, name: str = "list.xlsx", kind: Any = "sheet") -> str:
    files = open_files([Attached(name, kind, "application/octet-stream", data)])
    assert not files.schedules
    return files.refused[0][1]


def test_a_workbook_becomes_the_lines_of_the_job(desk: MailDesk) -> None:
    answer = desk.answer(mail("audit.xlsx", workbook(60)), AT)
    assert answer.decision.reply == "draft"
    assert len(answer.reading.lines) == 60
    first, third = answer.reading.lines[0].stated(), answer.reading.lines[2].stated()
    assert first == {
        "family": "wall_pack", "source": "HPS", "watts": 150, "qty": 1, "voltage": 277, "height_ft": 14.76,
    }  # fmt: skip
    assert (third["lamps"], third["size"], third["source"], third["watts"]) == (3, "2x4", "T8", 32)
    said = words(answer)
    assert '"Mtg Ht (m)" = mounting height in metres' in said
    assert '"# Fixt" = quantity' in said
    assert "not used: Circuit" in said
    assert "total rows left out: 64" in said
    start, end = answer.reading.spans["lines.0.watts"][1:]
    assert answer.text[start:end] == "150"


def test_the_schedule_comes_back_with_what_is_proposed(desk: MailDesk) -> None:
    answer = desk.answer(mail("audit.xlsx", workbook(12)), AT)
    sheet = given_back(answer)
    rows = list(sheet.iter_rows(values_only=True))
    assert rows[2][8:] == ("Proposed part", "LED watts", "Price each (USD)", "Saved a year (USD)", "Note")
    assert answer.turn is not None
    assert answer.turn.quote is not None
    for row, line in zip(rows[3:15], answer.turn.quote.lines, strict=True):
        assert line.chosen is not None
        assert row[8] == line.options[line.chosen].product.part_number
        assert row[10] == float(line.figures["unit_price"].value)
        assert row[11] == round(float(line.figures["saved_per_year"].value), 2)
    assert rows[15][12] == "total, left out"


def test_many_rows_are_quoted_by_kind_and_given_back_row_by_row(desk: MailDesk) -> None:
    answer = desk.answer(mail("audit.xlsx", workbook(400)), AT)
    assert len(answer.reading.lines) == 400
    assert answer.turn is not None
    assert answer.turn.quote is not None
    quote = answer.turn.quote
    assert len(quote.lines) == 4
    assert sum(line.stated.qty or 0 for line in quote.lines) == sum(n % 13 + 1 for n in range(400))
    rows = list(given_back(answer).iter_rows(values_only=True))[3:403]
    whole = sum(float(line.figures["saved_per_year"].value) for line in quote.lines)
    assert sum(row[11] for row in rows) == pytest.approx(whole, abs=400 * 0.005)


def test_hidden_merged_and_formulas_are_told(desk: MailDesk) -> None:
    def change(book: Any, sheet: Any) -> None:
        sheet.row_dimensions[5].hidden = True
        sheet.column_dimensions["B"].hidden = True
        book.create_sheet("Prices").sheet_state = "hidden"
        sheet.merge_cells("D6:D7")
        sheet.merge_cells("G8:G9")
        sheet["G10"] = "=2+3"

    answer = desk.answer(mail("audit.xlsx", workbook(12, change)), AT)
    said = words(answer)
    assert "hidden rows are not counted: 5" in said
    assert "hidden columns were read too: Volts" in said
    assert 'hidden sheet "Prices" was not read' in said
    assert "9 (counted with the row above)" in said
    assert "10 (a cell without a value)" in said
    assert len(answer.reading.lines) == 12 - 3
    # The merged kind holds for the row below it too.
    assert answer.reading.lines[2].stated()["family"] == answer.reading.lines[1].stated()["family"]


@pytest.mark.parametrize(
    ("note", "heads", "language"),
    [
        ("", "es", "es"), ("Adjunto.\n", "es", "es"), ("See attached.\n", "es", "en"), ("-- \nAna Ríos\nBodega Sur\n", "es", "es"), ("", "en", "en"),
        ("Adjunto.\n", "en", "es"), ("Please quote the attached list for our plant, thanks.\n", "es", "en"),
    ],
)  # fmt: skip
def test_a_list_without_words_is_answered_in_the_language_of_its_heads(
    desk: MailDesk, note: str, heads: str, language: str
) -> None:
    spanish = "Ubicación,Cantidad,Tipo de luminaria,Potencia (W),Altura de montaje (pies)"
    rows = {"es": spanish, "en": "Location,Qty,Fixture type,Watts,Mounting height"}[heads]
    answer = desk.answer(mail("l.csv", f"{rows}\nA1,12,High bay MH,400,24\n".encode(), note), AT)

    assert answer.reading.language == language
    assert ("Saludos cordiales," if language == "es" else "Best regards,") in words(answer)


@pytest.mark.parametrize(("name", "kind"), [("l.xls", "xls"), ("l.ods", "ods")])
@pytest.mark.parametrize("note", ["Please quote the attached.\n", "Favor de cotizar la lista adjunta.\n"])
def test_an_old_or_another_format_is_asked_for_again_as_xlsx_or_csv(
    desk: MailDesk, name: str, kind: str, note: str
) -> None:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w") as out:
        out.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        out.writestr("content.xml", "<x/>")
    data = held.getvalue() if kind == "ods" else b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600)
    said = words(desk.answer(mail(name, data, note), AT))

    assert name in said
    assert "as XLSX or CSV" in said or "como XLSX o CSV" in said


def test_a_spanish_csv_with_semicolons(desk: MailDesk) -> None:
    data = (HERE / "audit.csv").read_text("utf-8").encode("cp1252")
    answer = desk.answer(mail("auditoria.csv", data, "Buen día, favor de cotizar la lista adjunta.\n"), AT)
    lines = [line.stated() for line in answer.reading.lines]
    assert [(line["qty"], line.get("source"), line.get("watts"), line.get("height_ft")) for line in lines] == [
        (12, "HPS", 250, 20.01), (8, "MH", 400, 24.93), (20, "MH", 400, 27.89),
    ]  # fmt: skip
    said = words(answer)
    assert "8 (no dice qué luminaria)" in said
    assert "renglones de totales omitidos: 9" in said
    assert "sin usar: Costo" in said


@pytest.mark.parametrize("codec", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_every_delimiter_and_charset(codec: str, delimiter: str) -> None:
    rows = [
        ["Qty", "Descripción", "Watts"],
        ["3", f"Wall pack{delimiter} HPS", "150"],
        ["4", 'high "bay"', "400"],
    ]
    text = "\r\n".join(delimiter.join('"' + cell.replace('"', '""') + '"' for cell in row) for row in rows)
    (grid,) = open_delimited(text.encode(codec)).grids
    assert grid.rows[:3] == [[" ".join(cell.split()) for cell in row] for row in rows]


def test_a_quote_that_never_closes_swallows_nothing() -> None:
    lines = ["Qty,Type,Watts"] + [f'{n},"8 inch can,26' if n == 2 else f"{n},can,26" for n in range(1, 40)]
    (grid,) = open_delimited("\n".join(lines).encode()).grids
    assert len([row for row in grid.rows if any(row)]) == 40


def test_groups_above_the_heads_part_what_is_there_from_what_is_proposed() -> None:
    grid = Grid(
        "",
        [
            ["", "", "Existing", "", "Proposed", ""],
            ["Room", "Qty", "Fixture", "Watts", "Fixture", "Watts"],
            ["Hall", "4", "2x4 troffer", "96", "LED flat panel", "40"],
        ],
        merged=[(1, 3, 1, 4), (1, 5, 1, 6)],
    )
    heads = heads_of(grid)
    assert heads is not None
    assert [column.role for column in heads.used] == ["place", "qty", "text", "watts", "wanted", "led_watts"]


def test_impossible_rows_are_left_out_and_the_others_quoted(desk: MailDesk) -> None:
    data = b"Qty,Type,Lamp,Watts,Height (ft)\n4,wall pack,HPS,150,15\n3,wall pack,HPS,150,900\n0,wall pack,HPS,70,10\n"
    answer = desk.answer(mail("list.csv", data), AT)
    assert [line.qty for line in answer.reading.lines] == [4]
    assert "3 (a figure that can't be), 4 (no count)" in words(answer)


# PDF

AUDIT = (
    ("Location", "Fixture type", "Lamp", "Watts", "Qty", "Mtg ht (ft)"),
    ("Dock wall", "Wall pack", "HPS", "150", "12", "15"),
    ("Lot A", "Shoebox area light", "MH", "400", "8", "25"),
    ("Hall", "2x4 troffer 3 lamp T8", "F32T8", "32", "40", "9"),
)


@pytest.mark.parametrize("lines", ["", "stroke: none,"])
def test_a_table_in_a_text_pdf(desk: MailDesk, lines: str) -> None:
    cells = ",".join(f"[{cell}]" for row in AUDIT for cell in row)
    page = typst.compile(
        f"= Audit\nRiverbend Farms, 14 Mill Road\n#table(columns: 6, {lines} {cells})".encode()
    )
    answer = desk.answer(mail("audit.pdf", page), AT)
    stated = [line.stated() for line in answer.reading.lines]
    assert [(line["qty"], line["family"], line["watts"], line["height_ft"]) for line in stated] == [
        (12, "wall_pack", 150, 15), (8, "area", 400, 25), (40, "troffer", 32, 9),
    ]  # fmt: skip


def test_a_scan_goes_to_a_person_and_is_never_guessed(desk: MailDesk) -> None:
    page = typst.compile(b"#rect(width: 3cm, height: 3cm, fill: red)")
    answer = desk.answer(mail("scan.pdf", page, "Please price the attached list.\n"), AT)
    assert answer.decision.reply == "human"
    assert answer.decision.kind == "picture"
    with_words = desk.answer(
        mail("scan.pdf", page, "Please quote 12 wall packs 150W HPS, list attached.\n"), AT
    )
    assert len(with_words.reading.lines) == 1
    assert "scan.pdf is a scan, a picture of a page; I can't read it. Please send the list" in words(
        with_words
    )


def test_a_schedule_without_a_word_beside_it(desk: MailDesk) -> None:
    answer = desk.answer(mail("audit.xlsx", workbook(8), "\n"), AT)
    assert answer.decision.reply == "draft"
    assert len(answer.reading.lines) == 8


# Hostile files


def bomb(part: bytes, times: int) -> bytes:
    held = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(workbook(1))) as source,
        zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as out,
    ):
        for name in source.namelist():
            if name.endswith("sheet1.xml"):
                with out.open(name, "w") as stream:
                    for _ in range(times):
                        stream.write(part)
            else:
                out.writestr(name, source.read(name))
    return held.getvalue()


def test_bombs_are_refused_before_a_reader_sees_them() -> None:
    assert refused(bomb(b"\0" * 1_000_000, MOST_PART_BYTES // 1_000_000 + 1)) == "bomb"
    assert refused(bomb(b'<row r="1"><c r="A1"><v>1</v></c></row>' * 10_000, 50)) == "bomb"
    assert refused(bomb(b"<c><v>1</v></c>" * 10_000, 60)) == "bomb"
    page = (
        b"%PDF-1.4\n1 0 obj\n<</Filter/FlateDecode>>stream\n"
        + zlib.compress(b"0" * (MOST_PART_BYTES + 1))
        + b"\nendstream\n"
    )
    assert refused(page, "bomb.pdf", "pdf") == "bomb"
    assert refused(bomb(b'<!DOCTYPE x [<!ENTITY a "aaaa">]><worksheet/>', 1)) == "bomb"
    many = io.BytesIO()
    with zipfile.ZipFile(many, "w") as out:
        for number in range(300):
            out.writestr(f"xl/workbook{number}.xml", b"")
    with pytest.raises(FileRefused, match="bomb"):
        guard(many.getvalue())


def test_two_cells_at_the_corners_of_a_sheet_cost_nothing(desk: MailDesk) -> None:
    def change(book: Any, sheet: Any) -> None:
        sheet["XFD1048576"] = 1

    answer = desk.answer(mail("corners.xlsx", workbook(8, change)), AT)
    assert len(answer.reading.lines) == 8


@pytest.mark.parametrize(
    ("data", "name", "why"),
    [
        (b"\xd0\xcf\x11\xe0" + b"\0" * 600, "old.xls", "old_format"),
        (b"PK\x03\x04" + b"\0" * 50, "cut.xlsx", "broken"),
        (b"<html><table><tr><td>1</td></tr></table>", "page.xls", "other_format"),
        (b"Dear all,\nsee you on Monday.\n", "letter.csv", "none"),
        (b"  ", "blank.csv", "empty"),
        (b"Qty,Type\n" + b"9,can\n" * 800_000, "long.csv", "too_big"),
    ],
)
def test_what_can_not_be_read_is_refused_with_a_reason(data: bytes, name: str, why: str) -> None:
    assert refused(data, name) == why


def test_a_broken_part_of_a_workbook_harms_nobody(desk: MailDesk) -> None:
    answer = desk.answer(mail("broken.xlsx", bomb(b"<worksheet><sheetData><row><c", 1)), AT)
    assert "I did not read broken.xlsx: it can't be opened" in words(answer)


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=30))
def test_no_cell_given_back_begins_a_formula(text: str) -> None:
    value = value_of(text)
    assert not isinstance(value, str) or value.lstrip()[:1] not in ("=", "+", "-", "@")


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.lists(st.text(max_size=12), max_size=6), max_size=8), st.binary(max_size=80))
def test_any_csv_is_read_or_refused(rows: list[list[str]], tail: bytes) -> None:
    text = "Qty,Type,Watts\n" + "\n".join(",".join(row) for row in rows)
    files = open_files([Attached("x.csv", "sheet", "text/csv", text.encode("utf-8", "replace") + tail)])
    for schedule in files.schedules:
        shown, places = schedule.text()
        assert shown.count("\n") == len(schedule.rows) == len(places)
        assert shown.isprintable() or set(shown) - {"\n", "\t"} == {c for c in shown if c.isprintable()}


def test_more_kinds_than_are_quoted_in_one_go_are_told_row_by_row(
    desk: MailDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(kinds, "MOST_KINDS", 5)
    monkeypatch.setattr(kinds, "MOST_LINES_APART", 6)
    rows = "".join(f"{20 if n % 3 else 1},Wall pack,MH,250,{10 + n}\n" for n in range(9))
    answer = desk.answer(mail("l.csv", f"Qty,Fixture,Lamp,Watts,Height\n{rows}".encode()), AT)
    assert answer.turn is not None
    assert answer.turn.quote is not None

    assert len(answer.reading.lines) == 9
    assert [line.stated.height_ft for line in answer.turn.quote.lines] == [11, 12, 14, 15, 17]
    assert "not quoted (4): 2, 5, 8, 10 (one kind of light too many to quote in one go)" in words(answer)
    held = list(given_back(answer).iter_rows(values_only=True))
    assert held[1][5] is None
    assert held[1][9] == "one kind of light too many to quote in one go"
    assert held[2][5]
