"""The rows of a table, each read as one luminaire type."""

from typing import Any

from bot.reading.atoms import Atom, atomise
from bot.reading.clause import Work
from bot.reading.lines import Slots, groups_of, led_asked
from bot.reading.mentions import Mention, Option
from bot.reading.message import Said
from bot.reading.roles import Roles
from bot.reading.strangers import strangers
from bot.reading.table import NUMBERS, Cell, Table, cell_families
from bot.reading.tokens import tokenise

_DITTO = frozenset({'"', "''", "ditto", "do.", "same", "idem", '""'})
_EMPTY = frozenset({"", "-", "--", "n/a", "na", "tbd", "?", "none", "x"})


class RowReader:
    """Reads the rows of one table."""

    def __init__(self, text: str, folded: str, table: Table) -> None:
        self.text = text
        self.folded = folded
        self.table = table
        self.shared: Slots = {}
        self.job: dict[str, Said] = {}
        self.metric: tuple[int, int] | None = None

    def work(self, cell: Cell) -> Work:
        """A desk for one cell."""
        part = self.folded[cell.start : cell.end]
        atoms = atomise(tokenise(part), strangers(part))
        moved = [atom._replace(start=atom.start + cell.start, end=atom.end + cell.start) for atom in atoms]
        return Work(self.text, self.folded, moved, bytearray(len(moved)))

    def heads(self) -> None:
        """What the heads themselves state: "poles (25 ft)" gives every row a height."""
        for cell in self.table.head_cells:
            head = self.folded[cell.start : cell.end]
            if "(" not in head or not any(char.isdigit() for char in head):
                continue
            for mention in Roles(self.work(cell), cell=True).run():
                for slot, value in mention.options[0].slots:
                    if slot == "height_ft":
                        self.shared[slot] = Said(value, mention.start, mention.end, rule="head of column")

    def read(self) -> list[Slots]:
        """All rows, in order."""
        self.heads()
        out: list[Slots] = []
        above: tuple[Cell, ...] | None = None
        for row in self.table.rows:
            whole = self.folded[row[0].start : row[-1].end]
            if "total" in whole.split() or "totals" in whole.split() or "subtotal" in whole:
                continue
            cells = row
            if above is not None and len(above) == len(row):
                cells = tuple(
                    up if self.folded[cell.start : cell.end].strip() in _DITTO else cell
                    for cell, up in zip(row, above, strict=True)
                )
            above = cells
            slots = self.row(cells)
            if slots:
                for slot, said in self.shared.items():
                    slots.setdefault(slot, said)
                out.append(slots)
        return out

    def inside(self, cell: Cell, mention: Mention) -> bool:
        """Whether a count inside a cell is followed by a tube, and so counts lamps: "(3) F32T8"."""
        rest = self.folded[mention.end : cell.end]
        return any(code in rest for code in ("t8", "t12", "t5", "cfl", "pl", "lamp"))

    def number(self, work: Work) -> tuple[float, Atom] | None:
        """The lone number of a cell that should hold one."""
        numbers = [atom for atom in work.atoms if atom.kind == "n"]
        return (numbers[0].value, numbers[0]) if numbers else None

    def row(self, cells: tuple[Cell, ...]) -> Slots:
        """One row."""
        heads = self.table.heads
        slots: Slots = {}
        parts: list[tuple[Cell, str]] = []
        poles: float | None = None
        per_pole: float | None = None
        for index, cell in enumerate(cells):
            raw = self.folded[cell.start : cell.end].strip()
            role = heads[index] if heads and index < len(heads) else "text"
            if raw in _EMPTY:
                continue
            if role not in NUMBERS:
                parts.append((cell, role))
                continue
            work = self.work(cell)
            found = self.number(work)
            if found is None or (
                role in ("watts", "lamps", "height_ft", "voltage")
                and any(a.mean for a in work.atoms if a.kind == "c")
            ):
                parts.append((cell, "text"))
                continue
            value, atom = found
            rich = sum(1 for a in work.atoms if a.kind in ("p", "c", "n"))
            if role == "poles":
                poles = value
            elif role == "heads_per_pole":
                per_pole = value
            elif role in ("hours_per_year", "hours_per_day"):
                self.job["schedule"] = Said({role: value}, atom.start, atom.end, rule="column")
            elif (
                role == "voltage" and rich > 1 and not any(a.mean.get("unit") == "v" for a in work.atoms)
            ) or (
                role in ("watts", "lamps", "qty")
                and any("source" in a.mean or "family" in a.mean for a in work.atoms)
            ):
                parts.append((cell, "text"))
            elif role == "height_ft":
                metric = any(a.mean.get("unit") == "m" for a in work.atoms)
                mention = next((m for m in Roles(work).run() if "height_ft" in m.slots), None)
                options = (
                    {o.slots[0][1] for o in mention.options if o.slots and o.slots[0][0] == "height_ft"}
                    if mention
                    else set()
                )
                slots[role] = Said(options.pop() if options else value, atom.start, atom.end, rule="column")
                if metric:
                    self.metric = (atom.start, atom.end)
            elif value > 0:
                whole: Any = int(value) if role in ("qty", "lamps", "voltage", "cct_k") else value
                slots[role] = Said(whole, atom.start, atom.end, rule="column")
        if poles is not None and per_pole is not None:
            slots["qty"] = Said(
                int(poles * per_pole), cells[0].start, cells[-1].end, rule="poles times heads"
            )
        elif poles is not None and "qty" not in slots:
            slots["qty"] = Said(int(poles), cells[0].start, cells[-1].end, rule="poles")
        return self.parts(parts, slots)

    def parts(self, parts: list[tuple[Cell, str]], slots: Slots) -> Slots:
        """What the cells of free text add."""
        mentions: list[Mention] = []
        places: list[Mention] = []
        for cell, role in parts:
            headed = role == "text" and self.table.heads is not None
            named = cell_families().get(self.folded[cell.start : cell.end]) if headed else None
            if named is not None:
                option = Option((("family", named),), 0.0, "whole cell")
                mentions.append(Mention(0, 0, cell.start, cell.end, (option,), 1))
                continue
            for mention in Roles(self.work(cell), cell=True).run():
                mention = mention._replace(gap=1)
                if role == "ignore":
                    if "family" in mention.slots and len(mention.options) == 1:
                        places.append(mention)
                    continue
                kept = []
                for option in mention.options:
                    name = option.slots[0][0] if option.slots else ""
                    if role in ("qty",) and name != "qty":
                        continue
                    if name == "qty" and (
                        "qty" in slots or (self.table.heads is not None and "qty" in self.table.heads)
                    ):
                        if (
                            option.rule not in ("counted", "bare count")
                            and "lamps" not in slots
                            and option.slots[0][1] <= 8
                        ) or self.inside(cell, mention):
                            kept.append(
                                Option(
                                    (("lamps", option.slots[0][1]),), option.score - 1.0, "lamps in a cell"
                                )
                            )
                        continue
                    if name in slots and name != "controls":
                        continue
                    kept.append(option)
                if kept and kept[0].slots:
                    mentions.append(mention._replace(options=tuple(kept)))
        if not any("family" in mention.slots or "size" in mention.slots for mention in mentions):
            mentions = places + mentions
        out = dict(slots)
        for group in groups_of(mentions):
            for slot, said in group.items():
                out.setdefault(slot, said)
        if "source" not in out:
            # a table of what hangs there names its lamps: LED alone in a cell is what is there now
            lone = next(
                (
                    cell
                    for cell, role in parts
                    if role == "text" and self.folded[cell.start : cell.end].strip() in ("led", "leds")
                ),
                None,
            )
            if lone is not None:
                out["source"] = Said("LED", lone.start, lone.end, rule="column")
        led_asked(out)
        return {slot: said for slot, said in out.items() if not slot.startswith("_")}
