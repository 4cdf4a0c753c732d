"""Messages whose job is in a file: CSV, XLSX, PDF; with gold by hand. Heights in metres are given in feet (1 m = 3.28084 ft)."""

from typing import Any, Protocol

from tests.corpus.mail import files
from tests.corpus.mail import forms as f

Piece = tuple[str, str | bytes, list[str]]
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
HEADS = ["Location", "Qty", "Fixture", "Lamp", "Watts", "Mtg Ht", "Volts"]
ROWS: list[list[Any]] = [
    ["North wall", 12, "Wall pack", "MH", 250, 20, 277],
    ["Lot", 8, "Shoebox area light", "HPS", 400, 25, 480],
    ["Warehouse", 20, "High bay", "MH", 400, 24, 277],
]
LINES: list[dict[str, Any]] = [
    {"qty": 12, "family": "wall_pack", "source": "MH", "watts": 250, "height_ft": 20, "voltage": 277},
    {"qty": 8, "family": "area", "source": "HPS", "watts": 400, "height_ft": 25, "voltage": 480},
    {"qty": 20, "family": "high_bay", "source": "MH", "watts": 400, "height_ft": 24, "voltage": 277},
]
RATE = {"rate_per_kwh": 0.12}
ASKED = "Please quote LED for the attached list. We pay 12 cents per kWh.\n\nThanks,\nDan"


class Add(Protocol):
    """Takes a message with its gold."""

    def __call__(
        self, name: str, data: bytes, reply: str, *, slots: dict[str, Any] | None = None, lines: list[dict[str, Any]] | None = None, why: str = ""
    ) -> None: ...  # fmt: skip


def text(words: str) -> Piece:
    return "text/plain; charset=utf-8", words, []


def file(name: str, data: bytes, kind: str = XLSX) -> Piece:
    return f'{kind}; name="{name}"', data, [f'Content-Disposition: attachment; filename="{name}"']


def csv(rows: list[list[Any]], between: str = ",") -> bytes:
    return "".join(
        between.join("" if cell is None else str(cell) for cell in row) + "\r\n" for row in rows
    ).encode("utf-8")


def add_schedules(add: Add, first: int) -> None:
    """All of them; ``first`` is the number of the first message."""
    numbers = iter(range(first, first + 100))

    def send(
        name: str,
        pieces: list[Piece],
        reply: str = "draft",
        *,
        slots: dict[str, Any] | None = None,
        lines: list[dict[str, Any]] | None = None,
        why: str = "",
        **more: Any,
    ) -> None:
        add(
            f"schedule_{name}",
            f.parts(next(numbers), list(pieces), **more),
            reply,
            slots=slots,
            lines=lines,
            why=why,
        )

    send(
        "csv",
        [
            text(ASKED),
            file("lights.csv", csv([HEADS, *ROWS, ["Total", 40, None, None, None, None, None]]), "text/csv"),
        ],
        slots=RATE,
        lines=LINES,
        why="the total is no row",
    )
    send(
        "csv_as_octets",
        [text(ASKED), file("lights.csv", csv([HEADS, *ROWS]), "application/octet-stream")],
        slots=RATE,
        lines=LINES,
    )
    send(
        "csv_tabs",
        [text(ASKED), file("lights.txt.csv", csv([HEADS, *ROWS], "\t"), "text/csv")],
        slots=RATE,
        lines=LINES,
    )
    send(
        "xlsx",
        [
            text(ASKED),
            file("audit.xlsx", files.workbook([("Audit", [["Lighting audit", None], [], HEADS, *ROWS])])),
        ],
        slots=RATE,
        lines=LINES,
        why="heads are not in the first row",
    )
    send(
        "xlsx_order", [text(ASKED), file("a.xlsx", files.workbook([("List", [[row[n] for n in (4, 3, 1, 2, 6, 5)] for row in (["", "Count", "Type of fixture", "Lamp type", "Lamp W", "Height (ft)", "Voltage"], *ROWS)])]))],
        slots=RATE, lines=LINES, why="other heads in another order",
    )  # fmt: skip
    metres = [[*row[:5], height, row[6]] for row, height in zip(ROWS, (6, 8, 7.5), strict=True)]
    send(
        "xlsx_metres", [text(ASKED), file("audit.xlsx", files.workbook([("Audit", [[*HEADS[:5], "Mtg Ht (m)", "Volts"], *metres])]))],
        slots={**RATE, "metric": True}, lines=[{**line, "height_ft": height} for line, height in zip(LINES, (19.69, 26.25, 24.61), strict=True)],
    )  # fmt: skip
    hidden = [ROWS[0], ["Closed annex", 99, "Wall pack", "MH", 175, 12, 277], *ROWS[1:]]
    send(
        "xlsx_hidden",
        [text(ASKED), file("audit.xlsx", files.workbook([("Audit", [HEADS, *hidden]), ("Old", [HEADS, ["x", 70, "Flood", "HPS", 400, 20, 277]])], hidden_rows={3}, hidden_sheets={"Old"}))],
        slots=RATE, lines=LINES, why="hidden rows and sheets are not counted",
    )  # fmt: skip
    send(
        "xlsx_formulas",
        [text(ASKED), file("audit.xlsx", files.workbook([("Audit", [HEADS, *ROWS, ["Total", 40]])], formulas={"B2": ("6*2", "12"), "B5": ("SUM(B2:B4)", "40")}))],
        slots=RATE, lines=LINES, why="what a formula came to is stored beside it",
    )  # fmt: skip
    send(
        "xlsx_merged",
        [text(ASKED), file("audit.xlsx", files.workbook([("Audit", [HEADS, ROWS[0], ["South wall", 6, None, "MH", 175, 15, 277], ROWS[1]])], merged=["C2:C3"]))],
        slots=RATE, lines=[LINES[0], {"qty": 6, "family": "wall_pack", "source": "MH", "watts": 175, "height_ft": 15, "voltage": 277}, LINES[1]],
        why="a merged name holds for both rows",
    )  # fmt: skip
    spanish = [
        [
            "Ubicación",
            "Cantidad",
            "Tipo de luminaria",
            "Lámpara",
            "Potencia (W)",
            "Altura de montaje (pies)",
            "Tensión",
        ],
        ["Muro norte", 12, "Wall pack", "HPS", 250, 20, 277],
        ["Bodega", 20, "Campana", "MH", 400, 24, 277],
    ]
    send(
        "xlsx_es_no_words", [text(""), file("lista.xlsx", files.workbook([("Hoja1", spanish)]))], sender=f.ANA, subject="Lista",
        slots={}, lines=[{**LINES[0], "source": "HPS"}, LINES[2]], why="the heads alone show the language",
    )  # fmt: skip
    send(
        "csv_es", [text("Buen día, favor de cotizar la lista adjunta. Pagamos 14 centavos el kWh.\n\nSaludos,\nAna"), file("lista.csv", csv(spanish, ";").decode().encode("cp1252"), "text/csv")],
        sender=f.ANA, subject="Cotización", slots={"rate_per_kwh": 0.14}, lines=[{**LINES[0], "source": "HPS"}, LINES[2]],
    )  # fmt: skip
    columns = [40, 140, 180, 330, 390, 450, 510]
    send(
        "pdf",
        [
            text(ASKED),
            file(
                "schedule.pdf",
                files.page([[str(cell) for cell in row] for row in (HEADS, *ROWS)], columns),
                "application/pdf",
            ),
        ],
        slots=RATE,
        lines=LINES,
    )
    send(
        "csv_bad_rows",
        [text(ASKED), file("lights.csv", csv([HEADS, *ROWS, ["Attic", "", "Strip", "T8", 32, 9, 120], ["Dock", 4, "=cmd|' /C calc'!A0", "", "", "", ""]]), "text/csv")],
        slots=RATE, lines=LINES, why="a row without a count, and one that is no light but a formula, are left out",
    )  # fmt: skip
    send(
        "two_files",
        [
            text(ASKED),
            file("out.csv", csv([HEADS, *ROWS[:2]]), "text/csv"),
            file("in.xlsx", files.workbook([("In", [HEADS, ROWS[2]])])),
        ],
        slots=RATE,
        lines=LINES,
    )
    send(
        "beside_words", [text("Please add the list to these: 6 175W MH floods at 18 ft. 12 cents per kWh.\n\nThanks,\nDan"), file("lights.csv", csv([HEADS, ROWS[0]]), "text/csv")],
        slots=RATE, lines=[LINES[0], {"qty": 6, "family": "flood", "source": "MH", "watts": 175, "height_ft": 18}],
    )  # fmt: skip
    inner = f.parts(900, [text(ASKED), file("lights.csv", csv([HEADS, *ROWS]), "text/csv")])
    send(
        "forwarded",
        [
            text("Can you work this out?\n\nTom"),
            ("message/rfc822", inner, ["Content-Disposition: attachment"]),
        ],
        subject="Fwd: list",
        sender="Tom Brandt <tom.brandt@example.org>",
        slots=RATE,
        lines=LINES,
    )
    send(
        "old_format",
        [
            text(ASKED),
            file("lights.xls", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600), "application/vnd.ms-excel"),
        ],
        slots=RATE,
        lines=[],
        why="asked for again as XLSX or CSV",
    )
    send(
        "scan",
        [
            text("Please quote the attached.\n\nThanks,\nDan"),
            file("scan.pdf", files.scan(), "application/pdf"),
        ],
        "human",
        why="a picture of a page",
    )
