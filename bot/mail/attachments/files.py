"""The files of a message opened: schedules, what could not be read and why, and the text that the reader gets."""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Final

from bot.mail.arrived import Attached
from bot.mail.attachments.confined import open_confined
from bot.mail.attachments.container import guard, guard_pages
from bot.mail.attachments.delimited import open_delimited
from bot.mail.attachments.grid import MOST_FILE_BYTES, MOST_ROWS, Book, FileRefused, Why
from bot.mail.attachments.schedule import Schedule, Trouble, schedule_of
from bot.reading.shape import Reading

MOST_FILES: Final = 4
"""Files that are opened; the rest of them are said."""
_OLE: Final = b"\xd0\xcf\x11\xe0"
_LIGHT: Final = frozenset(
    {"family", "source", "watts", "size", "led_watts", "led_lumens", "lamps", "input_watts"}
)


@dataclass(slots=True)
class Files:
    """What the attachments came to.

    Attributes:
        schedules: in order.
        refused: files that were not read, with the reason.
        hidden_sheets: (file, sheet) pairs that are hidden and were not read.
        unread_sheets: (file, sheet) pairs without a list of luminaires.
        opened: names of the files of which something was read.
        lines: number of a line of the job -> (schedule, number of the row); filled by `match`.
    """

    schedules: list[Schedule] = field(default_factory=list)
    refused: list[tuple[Attached, Why]] = field(default_factory=list)
    hidden_sheets: list[tuple[str, str]] = field(default_factory=list)
    unread_sheets: list[tuple[str, str]] = field(default_factory=list)
    opened: list[Attached] = field(default_factory=list)
    lines: dict[int, tuple[Schedule, int]] = field(default_factory=dict)
    _places: list[tuple[int, int, Schedule, int]] = field(default_factory=list)

    @property
    def only_scans(self) -> bool:
        """Whether files came and all of them are scans."""
        return bool(self.refused) and not self.opened and all(why == "scan" for _, why in self.refused)

    def text(self, body: str) -> str:
        """The body and every schedule under it, as the reader gets them."""
        self._places, out = [], body.rstrip()
        for schedule in self.schedules:
            if not schedule.rows:
                continue
            shown, places = schedule.text()
            out += "\n\n" if out else ""
            at = len(out)
            self._places += [(at + start, at + end, schedule, number) for start, end, number in places]
            out += shown
        return out

    def match(self, reading: Reading) -> bool:
        """Find the row that each line of the job came from, and the rows that gave none.

        Returns:
            Whether rows were taken out since they state what can't be: the text must be read again.
        """
        starts = [place[0] for place in self._places]

        def place_of(at: int) -> tuple[int, int, Schedule, int] | None:
            index = bisect_right(starts, at) - 1
            return self._places[index] if index >= 0 and at < self._places[index][1] else None

        bad: dict[int, set[int]] = {}
        for fault in reading.faults:
            if (place := place_of(fault.span[1])) is not None:
                bad.setdefault(id(place[2]), set()).add(place[3])
        if bad:
            for schedule in self.schedules:
                impossible: dict[int, Trouble] = dict.fromkeys(bad.get(id(schedule), ()), "impossible")
                self._take_out(schedule, impossible)
            return True
        slots: dict[int, set[str]] = {}
        spots: dict[int, tuple[Schedule, int]] = {}
        for path, (_, start, _end) in reading.spans.items():
            kind, _, rest = path.partition(".")
            if kind != "lines":
                continue
            index, _, slot = rest.partition(".")
            slots.setdefault(int(index), set()).add(slot)
            if (place := place_of(start)) is not None:
                spots[int(index)] = (place[2], place[3])
        self.lines = spots
        read = {(id(schedule), number) for schedule, number in spots.values()}
        unknown = {
            (id(schedule), number) for index, (schedule, number) in spots.items() if not slots[index] & _LIGHT
        }
        again = False
        for schedule in self.schedules:
            gone: dict[int, Trouble] = {}
            for row in schedule.rows:
                key = (id(schedule), row.number)
                if key not in read:
                    gone[row.number] = "not_read"
                elif key in unknown:
                    gone[row.number] = "unknown_light"
                    again = True
            self._take_out(schedule, gone)
        return again

    def leave(self, lines: Iterable[int]) -> None:
        """Takes the rows out whose lines are not quoted, since there are too many kinds."""
        for index in lines:
            if index in self.lines:
                schedule, number = self.lines[index]
                schedule.left[number] = "too_many"

    def spoiled(self) -> None:
        """Takes the schedules back: the reader refuses their text."""
        self.refused += [(each, "broken") for each in self.opened]
        self.schedules, self.opened, self.lines = [], [], {}

    def _take_out(self, schedule: Schedule, gone: dict[int, Trouble]) -> None:
        schedule.left.update(gone)
        schedule.rows = [row for row in schedule.rows if row.number not in gone]


def open_files(attached: Sequence[Attached]) -> Files:
    """Opens the sheets and PDFs of a message. Pictures are not opened: what they show is asked for."""
    out = Files()
    wanted = [each for each in attached if each.kind in ("sheet", "pdf")]
    room = MOST_ROWS
    for each in wanted[:MOST_FILES]:
        try:
            book = _book(each)
        except FileRefused as refused:
            out.refused.append((each, refused.why))
            continue
        name = each.name or each.content_type
        out.hidden_sheets += [(name, sheet) for sheet in book.hidden_sheets]
        found = []
        for grid in book.grids:
            schedule = schedule_of(grid, name)
            if schedule is None:
                out.unread_sheets.append((name, grid.name))
                continue
            if len(schedule.rows) > room:
                schedule.rows, schedule.cut = schedule.rows[:room], True
            room -= len(schedule.rows)
            found.append(schedule)
        if found:
            out.opened.append(each)
            out.schedules += found
        else:
            out.unread_sheets = [pair for pair in out.unread_sheets if pair[0] != name]
            out.refused.append((each, "none" if book.grids or each.kind == "pdf" else "empty"))
    out.refused += [(each, "none") for each in wanted[MOST_FILES:]]
    return out


def _book(each: Attached) -> Book:
    data = each.data
    if len(data) > MOST_FILE_BYTES:
        raise FileRefused("too_big")
    if not data.strip():
        raise FileRefused("empty")
    # What a file is, its first bytes say; its name may say anything.
    if data.startswith(_OLE):
        raise FileRefused("old_format")
    if data.startswith(b"PK\x03\x04"):
        guard(data)
        return open_confined("xlsx", data)
    if b"%PDF-" in data[:1024]:
        guard_pages(data)
        return open_confined("pdf", data)
    if each.kind == "pdf" or data[:4] in (b"\x89PNG", b"\xff\xd8\xff\xe0", b"GIF8"):
        raise FileRefused("broken")
    return open_delimited(data)
