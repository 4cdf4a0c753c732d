"""Workbooks made up at random with what must be read of them; and broken ones, which are read or refused and nothing else."""

import contextlib
import io
import zipfile
from dataclasses import dataclass, field
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from bot.mail.arrived import Attached
from bot.mail.attachments import open_files
from bot.mail.attachments.container import guard
from bot.mail.attachments.grid import FileRefused
from bot.mail.attachments.schedule import schedule_of
from bot.mail.attachments.workbook import open_workbook
from bot.mail.desk import MailDesk
from tests.corpus.mail.files import workbook
from tests.examples import tried
from tests.unit.mail.attachments.test_schedules import AT, mail

HEADS = {
    "qty": ["Qty", "Quantity", "# Fixt", "Count", "Cantidad", "No. of fixtures"], "text": ["Fixture", "Fixture type", "Type", "Tipo de luminaria"],
    "lamp": ["Lamp", "Lamp type", "Source"], "watts": ["Watts", "Lamp W", "Lamp Watts"], "height": ["Mtg Ht", "Height (ft)", "Mounting height"],
    "volts": ["Volts", "Voltage"], "place": ["Location", "Room", "Area", "Ubicación"], "circuit": ["Circuit", "Panel", "Tag"],
}  # fmt: skip
KINDS = [
    ("Wall pack", "wall_pack", "MH", 250), ("Wall pack", "wall_pack", "HPS", 150), ("Shoebox area light", "area", "MH", 400), ("High bay", "high_bay", "MH", 400),
    ("Canopy light", "canopy", "MH", 175), ("Floodlight", "flood", "HPS", 400), ("Street light", "street", "HPS", 250),
]  # fmt: skip


@dataclass
class Made:
    """A workbook and what it says."""

    data: bytes
    rows: list[tuple[int, dict[str, Any]]] = field(default_factory=list)
    hidden: list[int] = field(default_factory=list)
    totals: list[int] = field(default_factory=list)


@st.composite
def workbooks(draw: st.DrawFn) -> Made:
    wanted = [
        "qty",
        "text",
        "watts",
        *(key for key in ("lamp", "height", "volts", "place", "circuit") if draw(st.booleans())),
    ]
    order = draw(st.permutations(wanted))
    if "lamp" not in order:
        order = [*order, "lamp"]
    title = draw(
        st.sampled_from([[], [["Lighting audit"]], [["Lighting audit"], [], ["Building 4", None, "2026"]]])
    )
    sheet: list[list[Any]] = [*title, [draw(st.sampled_from(HEADS[key])) for key in order]]
    made, total = Made(b""), 0
    for number in range(draw(st.integers(1, 12))):
        kind, family, source, watts = draw(st.sampled_from(KINDS))
        qty, height, volts = (
            draw(st.integers(1, 400)),
            draw(st.integers(8, 40)),
            draw(st.sampled_from([120, 208, 277, 480])),
        )
        cells = {
            "qty": qty,
            "text": kind,
            "lamp": source,
            "watts": watts,
            "height": height,
            "volts": volts,
            "place": f"Bay {number}",
            "circuit": f"LP-{number}",
        }
        sheet.append([cells[key] for key in order])
        row = len(sheet)
        if draw(st.integers(0, 5)) == 0:
            made.hidden.append(row)
            continue
        total += qty
        said = {"qty": qty, "family": family, "source": source, "watts": watts}
        if "height" in order:
            said["height_ft"] = height
        if "volts" in order:
            said["voltage"] = volts
        made.rows.append((row, said))
    if draw(st.booleans()) and made.rows:
        sheet.append(
            [
                total if key == "qty" else "Total" if index == (1 if order[0] == "qty" else 0) else None
                for index, key in enumerate(order)
            ]
        )
        made.totals.append(len(sheet))
    made.data = workbook(
        [(draw(st.sampled_from(["Audit", "Hoja1", "L & M <x>"])), sheet)], hidden_rows=set(made.hidden)
    )
    return made


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(workbooks())
def test_every_row_that_is_shown_goes_to_the_reader_and_no_other(made: Made) -> None:
    guard(made.data)
    (grid,) = open_workbook(made.data).grids
    schedule = schedule_of(grid, "x.xlsx")
    if not made.rows:
        assert schedule is None or not schedule.rows
        return

    assert schedule is not None
    assert [row.number for row in schedule.rows] == [number for number, _ in made.rows]
    assert schedule.hidden == made.hidden
    assert schedule.totals == made.totals
    assert not schedule.left


@settings(
    max_examples=10,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(made=workbooks())
def test_what_a_workbook_says_is_what_is_read(desk: MailDesk, made: Made) -> None:
    if not made.rows:
        return
    answer = desk.answer(mail("x.xlsx", made.data), AT, composing=False)
    read = [line.stated() for line in answer.reading.lines]

    assert [
        {slot: line.get(slot) for slot in said} for line, (_, said) in zip(read, made.rows, strict=True)
    ] == [said for _, said in made.rows]


EDITS = st.lists(
    st.tuples(
        st.integers(0, 10**6),
        st.integers(0, 40),
        st.sampled_from(
            [
                b"",
                b"\xff\xff\xff\xff",
                b"\0\0",
                b"<c/>",
                b'r="Z',
                b"&#x0;",
                b"&x;",
                b"PK\x01\x02",
                b"</row>",
                b'<row r="99999999">',
                b"]]>",
                b"1e999",
            ]
        ),
    ),
    min_size=1,
    max_size=6,
)


def spoiled(data: bytes, edits: list[tuple[int, int, bytes]]) -> bytes:
    """Bytes taken out and others put in, at places of the whole."""
    for at, length, put in edits:
        at %= max(1, len(data))
        data = data[:at] + put + data[at + length :]
    return data


def with_part(data: bytes, part: str, edits: list[tuple[int, int, bytes]]) -> bytes:
    """A sound archive with one part spoiled."""
    held = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as source, zipfile.ZipFile(held, "w") as out:
        for name in source.namelist():
            out.writestr(name, spoiled(source.read(name), edits) if name == part else source.read(name))
    return held.getvalue()


@pytest.fixture(scope="module")
def sound() -> bytes:
    rows = [["Qty", "Fixture", "Watts"], *([n, "Wall pack", 250] for n in range(1, 30))]
    return workbook(
        [("Audit", rows), ("More", rows)], merged=["A3:A5"], hidden_rows={4}, formulas={"A9": ("1+1", "2")}
    )


@settings(
    max_examples=tried(50, 150), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(edits=EDITS)
def test_a_spoiled_archive_is_refused_or_counted(sound: bytes, edits: list[tuple[int, int, bytes]]) -> None:
    with contextlib.suppress(FileRefused):  # the only fault that may leave it
        guard(b"PK\x03\x04" + spoiled(sound, edits)[4:])


@settings(
    max_examples=15,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
@given(
    edits=EDITS,
    part=st.sampled_from(["xl/worksheets/sheet1.xml", "xl/workbook.xml", "xl/_rels/workbook.xml.rels"]),
)
def test_a_spoiled_part_is_read_or_refused_by_the_process_of_its_own(
    sound: bytes, edits: list[tuple[int, int, bytes]], part: str
) -> None:
    files = open_files([Attached("x.xlsx", "sheet", "", with_part(sound, part, edits))])

    assert len(files.schedules) + len(files.refused) >= 1
    assert all(len(schedule.rows) < 100 for schedule in files.schedules)
