"""The rows of a table, each read as one luminaire type."""

import re
from dataclasses import replace
from typing import Any

from bot.reading.atoms import Atom, atomise
from bot.reading.clause import Work
from bot.reading.codes import lamp_code
from bot.reading.lines import Slots, groups_of, led_asked
from bot.reading.measures import FEET_PER_METRE
from bot.reading.mentions import Mention, Option
from bot.reading.message import Said
from bot.reading.roles import Roles
from bot.reading.strangers import strangers
from bot.reading.table import NUMBERS, Cell, Table, cell_families
from bot.reading.tokens import tokenise

_WORDS = re.compile(r"[a-z]+")
_METRES = frozenset({"m", "metres", "meters", "metros", "mts"})
_MOUNTING = re.compile(r"(?<![a-z])(?:mtg|mount|mounting|mounted|mt|montaje)(?![a-z])")
_MOUNTS = {
    "wall": "wall", "ceiling": "ceiling", "clg": "ceiling", "surface": "surface", "surf": "surface", "recessed": "recessed",
    "rec": "recessed", "pendant": "pendant", "stem": "pendant", "chain": "chain", "arm": "arm", "yoke": "yoke",
    "knuckle": "knuckle", "trunnion": "trunnion", "slip fitter": "slip_fitter", "tenon": "slip_fitter", "pared": "wall",
    "techo": "ceiling", "empotrado": "recessed", "colgante": "pendant", "cadena": "chain", "brazo": "arm",
    "sobrepuesto": "surface",
}  # fmt: skip
_DITTO = frozenset({'"', "''", "ditto", "do.", "same", "idem", '""'})
_YES = frozenset(
    {
        "y",
        "yes",
        "x",
        "si",
        "true",
        "em",
        "bbu",
        "battery",
        "1",
        "req",
        "required",
        "90 min",
        "battery backup",
        "eb",
    }
)
_CONTROL_HEADS = frozenset({"control", "controls", "ctrl", "ctrls", "sensor", "sensors", "controles"})
_WEATHER = {
    "wet": "wet",
    "damp": "damp",
    "wet location": "wet",
    "damp location": "damp",
    "wet loc": "wet",
    "damp loc": "damp",
}
_EMPTY = frozenset({"", "-", "--", "n/a", "na", "tbd", "?", "none", "x"})


_LAMPS_IN_CELL = frozenset(
    {"hps", "mh", "mv", "led", "cfl", "inc", "hal", "t8", "t12", "t5", "psmh", "halide", "sodium", "mercury"}
)
_TAG = re.compile(r"[a-z]{1,3}[- ]?\d{1,3}[a-z]?")
_ASKED_FOR = frozenset(
    {
        "cct_k",
        "cri",
        "optic",
        "finish",
        "controls",
        "led_watts",
        "led_lumens",
        "dark_sky",
        "emergency_backup",
        "keep_housing",
    }
)


def _asked_for(mention: Mention) -> list[Mention]:
    """What a cell under "proposed" says of the new luminaire; its watts are those of the LED, its name is none of what is there."""
    kept = []
    for option in mention.options[:1]:
        for slot, value in option.slots:
            name = "led_watts" if slot == "watts" else slot
            if name in _ASKED_FOR:
                kept.append(mention._replace(options=(Option(((name, value),), 0.0, "asked for"),)))
    return kept


class RowReader:
    """Reads the rows of one table."""

    def __init__(self, text: str, folded: str, table: Table) -> None:
        self.text = text
        self.folded = folded
        self.table = table
        self.shared: Slots = {}
        self.job: dict[str, Said] = {}
        self.cut: dict[str, list[Atom]] = {}
        """The atoms of cells by their text: the rows of a table say much the same."""
        self.known: dict[str, tuple[int, Slots]] = {}
        """Where a row of that text began, and what it says."""
        self.kind: tuple[int | None, Slots] = None, {}
        """The column that named the kind of the last row that had one, and what it said."""
        first = [folded[row[0].start : row[0].end].strip() for row in table.rows if row]
        self.tagged = table.heads is None and all(
            _TAG.fullmatch(cell) and lamp_code(cell) is None for cell in first
        )
        """The first cells are tags: "HB-1"."""

    def work(self, cell: Cell) -> Work:
        """A desk for one cell."""
        part = self.folded[cell.start : cell.end]
        atoms = self.cut.get(part)
        if atoms is None:
            atoms = self.cut[part] = atomise(tokenise(part), strangers(part))
        moved = [atom.moved(cell.start) for atom in atoms]
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

    def unnumber(self) -> None:
        """A column headed "#" or "no" that only runs 1, 2, 3 numbers the rows and counts nothing."""
        heads = self.table.heads
        if heads is None and len(self.table.rows) >= 2:
            self.number_rows()
            return
        if heads is None or len(self.table.rows) < 2:
            return
        for index, role in enumerate(heads):
            if role != "qty" or index >= len(self.table.head_cells):
                continue
            head = self.table.head_cells[index]
            if self.folded[head.start : head.end].strip(" .") not in ("#", "no", "num", "number", "nbr"):
                continue
            cells = [
                self.folded[row[index].start : row[index].end].strip()
                for row in self.table.rows
                if index < len(row)
            ]
            running = all(cell.rstrip(".)") == str(number) for number, cell in enumerate(cells, 1))
            if running and (len(cells) >= 3 or cells[0].endswith((".", ")")) or heads.count("qty") > 1):
                roles = tuple("ignore" if n == index else one for n, one in enumerate(heads))
                self.table = self.table._replace(heads=roles)

    def number_rows(self) -> None:
        """Leave out a first column without a head that only numbers the rows, where another holds a count."""
        rows = self.table.rows
        first = [self.folded[row[0].start : row[0].end].strip() for row in rows]
        running = all(cell.rstrip(".)") == str(number) for number, cell in enumerate(first, 1))
        counted = all(
            any(self.folded[cell.start : cell.end].strip().isdigit() for cell in row[1:]) for row in rows
        )
        if running and counted:
            self.table = self.table._replace(rows=tuple(row[1:] for row in rows))

    def read(self) -> list[Slots]:
        """All rows, in order."""
        self.heads()
        self.unnumber()
        out: list[Slots] = []
        above: tuple[Cell, ...] | None = None
        for row in self.table.rows:
            whole = self.folded[min(cell.start for cell in row) : max(cell.end for cell in row)]
            if not {"total", "totals", "subtotal", "totales", "sum", "suma", "ttl", "tot"}.isdisjoint(
                _WORDS.findall(whole)
            ):
                continue
            cells = row
            if above is not None and len(above) == len(row):
                cells = tuple(
                    up if self.folded[cell.start : cell.end].strip() in _DITTO else cell
                    for cell, up in zip(row, above, strict=True)
                )
            above = cells
            slots = self.row(cells) if cells != row else self.same_row(row, whole)
            if slots:
                self.blank_kind(cells, slots)
                for slot, said in self.shared.items():
                    slots.setdefault(slot, said)
                out.append(slots)
        return out

    def blank_kind(self, cells: tuple[Cell, ...], slots: Slots) -> None:
        """Give a row whose cell for the kind is left blank the kind of the row above it."""
        named: Slots = {slot: slots[slot] for slot in ("family", "size") if slot in slots}
        if named:
            place = next(iter(named.values()))
            column = next(
                (n for n, cell in enumerate(cells) if cell.start <= place.start and place.end <= cell.end),
                None,
            )
            self.kind = column, named
            return
        column, known = self.kind
        if column is not None and column < len(cells) and cells[column].start == cells[column].end:
            slots.update(known)

    def same_row(self, row: tuple[Cell, ...], whole: str) -> Slots:
        """One row; one that says the same as a row before is not read again."""
        start = row[0].start
        if whole not in self.known:
            self.known[whole] = start, self.row(row)
            return dict(self.known[whole][1])
        before, slots = self.known[whole]
        by = start - before
        return {slot: replace(said, start=said.start + by, end=said.end + by) for slot, said in slots.items()}

    def head(self, index: int) -> str:
        """The head of a column, as written; empty where there is none."""
        cells = self.table.head_cells
        return self.folded[cells[index].start : cells[index].end] if index < len(cells) else ""

    def is_mounting(self, index: int) -> bool:
        """Whether a column's head speaks of the mounting."""
        head = self.table.head_cells[index] if index < len(self.table.head_cells) else None
        return head is not None and bool(_MOUNTING.search(self.folded[head.start : head.end]))

    def in_metres(self, index: int) -> bool:
        """Whether the head of a column says that it counts metres: "Ht (m)", "altura en metros"."""
        head = self.table.head_cells[index] if index < len(self.table.head_cells) else None
        words = _WORDS.findall(self.folded[head.start : head.end]) if head is not None else []
        return not _METRES.isdisjoint(words)

    def hours(self, role: str, value: float, atom: Atom) -> None:
        """A cell of hours or days: one schedule for the job; where rows differ the first stands, the others are in doubt."""
        said = self.job.get("schedule")
        known: dict[str, float] = dict(said.value) if said is not None else {}
        if role in known and said is not None:
            if known[role] != value:
                other = {**known, role: value}
                others = said.others if other in said.others else (*said.others, other)
                self.job["schedule"] = replace(said, others=others, why="rows differ", margin=1.0)
            return
        if role == "days_per_week" and not 1 <= value <= 7:
            return
        known[role] = value
        self.job["schedule"] = Said(known, atom.start, atom.end, rule="column")

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
            role = (
                heads[index]
                if heads and index < len(heads)
                else "ignore"
                if index == 0 and self.tagged
                else "text"
            )
            if role == "emergency":
                if raw in _YES:
                    slots["emergency_backup"] = Said(True, cell.start, cell.end, rule="column")
                continue
            head = self.head(index)
            if raw == "none" and head in _CONTROL_HEADS:
                slots["controls"] = Said(["none"], cell.start, cell.end, rule="column")
                continue
            if raw in ("pc", "p.c.", "p/c") and head in _CONTROL_HEADS:
                slots["controls"] = Said(["photocell"], cell.start, cell.end, rule="column")
                continue
            if raw in _EMPTY:
                continue
            if raw in _WEATHER and role in ("text", "ignore") and heads is not None:
                slots["damp_or_wet"] = Said(_WEATHER[raw], cell.start, cell.end, rule="column")
                continue
            if role not in NUMBERS:
                parts.append((cell, "mounting" if role == "text" and self.is_mounting(index) else role))
                continue
            work = self.work(cell)
            found = self.number(work)
            if found is None or (
                role in ("watts", "lamps", "height_ft", "voltage")
                and any(a.mean for a in work.atoms if a.kind == "c")
            ):
                parts.append(
                    (cell, "mounting" if role == "height_ft" and self.is_mounting(index) else "text")
                )
                continue
            value, atom = found
            numbers = [a.value for a in work.atoms if a.kind == "n"]
            if role == "watts" and len(numbers) == 2 and 1 <= numbers[0] <= 8 < numbers[1]:
                # "3x32", "2-26": lamps and the watts of each
                slots["lamps"] = Said(int(numbers[0]), atom.start, atom.end, rule="column")
                slots["watts"] = Said(numbers[1], cell.start, cell.end, rule="column")
                continue
            if len(numbers) > 1 and role in ("voltage", "watts"):
                parts.append((cell, "text"))
                continue
            if role == "qty" and any(a.mean.get("unit") == "dozen" for a in work.atoms):
                value *= 12
            rich = sum(1 for a in work.atoms if a.kind in ("p", "c", "n"))
            if role == "poles":
                poles = value
            elif role == "heads_per_pole":
                per_pole = value
            elif role in ("hours_per_year", "hours_per_day", "days_per_week"):
                self.hours(role, value, atom)
            elif (
                role == "voltage" and rich > 1 and not any(a.mean.get("unit") == "v" for a in work.atoms)
            ) or (
                role in ("watts", "lamps", "qty")
                and any("source" in a.mean or "family" in a.mean for a in work.atoms)
            ):
                parts.append((cell, "text"))
            elif role == "height_ft":
                metric = any(a.mean.get("unit") == "m" for a in work.atoms)
                if not metric and len(work.atoms) == 1 and self.in_metres(index):
                    metric, value = True, round(value * FEET_PER_METRE, 2)
                mention = next((m for m in Roles(work).run() if "height_ft" in m.slots), None)
                options = (
                    {o.slots[0][1] for o in mention.options if o.slots and o.slots[0][0] == "height_ft"}
                    if mention
                    else set()
                )
                slots[role] = Said(options.pop() if options else value, atom.start, atom.end, rule="column")
                if metric:
                    self.job["metric"] = Said(True, atom.start, atom.end, rule="metres")
            elif value > 0:
                whole: Any = int(value) if role in ("qty", "lamps", "voltage", "cct_k", "cri") else value
                slots[role] = Said(whole, atom.start, atom.end, rule="column")
        if poles is not None and per_pole is not None:
            slots["qty"] = Said(
                int(poles * per_pole), cells[0].start, cells[-1].end, rule="poles times heads"
            )
        elif poles is not None and "qty" not in slots:
            slots["qty"] = Said(int(poles), cells[0].start, cells[-1].end, rule="poles")
        out = self.parts(parts, slots)
        if per_pole is not None and "family" not in out and "size" not in out:
            # what is counted by the pole and named nowhere are pole heads
            out["family"] = Said("area", cells[0].start, cells[-1].end, rule="heads on poles")
        return out

    def named_in(self, parts: list[tuple[Cell, str]]) -> Mention | None:
        """The luminaire that a short cell of a column of kinds names beside its lamp: "HPS area", "MH wall"."""
        for cell, role in parts:
            words = self.folded[cell.start : cell.end].split()
            if role != "text" or not 2 <= len(words) <= 3:
                continue
            families = cell_families()
            family = families.get(words[-1]) or families.get(words[0])
            others = [word for word in words if word not in families]
            if (
                family is not None
                and others
                and all(word in _LAMPS_IN_CELL or word.rstrip("w").isdigit() for word in others)
            ):
                return Mention(0, 0, cell.start, cell.end, (Option((("family", family),), 0.0, "cell"),), 1)
        return None

    def parts(self, parts: list[tuple[Cell, str]], slots: Slots) -> Slots:
        """What the cells of free text add."""
        mentions: list[Mention] = []
        places: list[Mention] = []
        for cell, role in parts:
            headed = role == "text" and self.table.heads is not None
            mount = _MOUNTS.get(self.folded[cell.start : cell.end]) if role == "mounting" else None
            if mount is not None:
                mentions.append(
                    Mention(0, 0, cell.start, cell.end, (Option((("mount", mount),), 0.0, "whole cell"),), 1)
                )
                continue
            named = cell_families().get(self.folded[cell.start : cell.end]) if headed else None
            if named is not None:
                option = Option((("family", named),), 0.0, "whole cell")
                mentions.append(Mention(0, 0, cell.start, cell.end, (option,), 1))
                continue
            for mention in Roles(self.work(cell), cell=True).run():
                mention = mention._replace(gap=1)
                if role == "wanted":
                    mentions.extend(_asked_for(mention))
                    continue
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
            if self.table.heads is not None and not places and (lead := self.named_in(parts)) is not None:
                mentions.insert(0, lead)
            if self.table.heads is None and not places:
                for cell, _ in parts[:2]:
                    family = cell_families().get(self.folded[cell.start : cell.end])
                    if family is not None:
                        option = Option((("family", family),), 0.0, "whole cell")
                        mentions.insert(0, Mention(0, 0, cell.start, cell.end, (option,), 1))
                        break
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
