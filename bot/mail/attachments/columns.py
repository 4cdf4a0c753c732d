"""Which column says what: the row of heads is found, and each head is taken for a slot or for none."""

import re
from dataclasses import dataclass
from typing import Final

from bot.mail.attachments.grid import Grid
from bot.reading.table import NUMBERS, role_of
from bot.reading.text import fold

_WORD: Final = re.compile(r"[a-z]+|[#%$]")
_SEARCHED: Final = 40
"""Rows in which the heads are looked for."""
_PLACE_WORDS: Final = frozenset(
    [
        "location",
        "loc",
        "room",
        "rm",
        "area",
        "building",
        "bldg",
        "zone",
        "floor",
        "level",
        "space",
        "where",
        "site",
        "ubicacion",
        "edificio",
        "salon",
        "piso",
        "lugar",
        "place",
    ]
)
_WANTED_WORDS: Final = frozenset(
    [
        "proposed",
        "prop",
        "new",
        "led",
        "replacement",
        "retrofit",
        "suggested",
        "propuesto",
        "propuesta",
        "nuevo",
        "nueva",
        "reemplazo",
    ]
)
_PRESENT_WORDS: Final = frozenset(
    ["existing", "exist", "exst", "ex", "current", "present", "existente", "actual"]
)
_EXTENDED_WORDS: Final = frozenset(["total", "ext", "extended", "totals", "annual", "yearly", "anual"])
CANONICAL: Final = {
    "qty": "Qty",
    "watts": "Watts",
    "input_watts": "Input watts",
    "height_ft": "Height",
    "voltage": "Volts",
    "lamps": "Lamps",
    "heads_per_pole": "Heads/pole",
    "poles": "Poles",
    "cct_k": "CCT",
    "lamp_feet": "Lamp length",
    "hours_per_year": "Hours/yr",
    "hours_per_day": "Hours/day",
    "days_per_week": "Days/week",
    "spacing_ft": "Spacing",
    "price_now": "Price now",
    "led_watts": "LED watts",
    "led_lumens": "LED lumens",
    "cri": "CRI",
    "text": "Description",
    "wanted": "Proposed",
    "emergency": "Emergency",
    "place": "Location",
}
"""A head that the reader of tables takes for the role."""
_MORE: Final = {
    "no of fixtures": "qty",
    "no. of fixtures": "qty",
    "numero": "qty",
    "num": "qty",
    "cantidad de luminarias": "qty",
    "no de luminarias": "qty",
    "tipo de luminaria": "text",
    "tipo de lampara": "text",
    "luminaria existente": "text",
    "watts por lampara": "watts",
    "potencia (w)": "watts",
    "potencia": "watts",
    "altura de montaje": "height_ft",
    "horas por ano": "hours_per_year",
    "horas al ano": "hours_per_year",
    "horas/ano": "hours_per_year",
    "horas por dia": "hours_per_day",
    "horas al dia": "hours_per_day",
    "horas/dia": "hours_per_day",
    "dias por semana": "days_per_week",
    "lamparas por luminaria": "lamps",
    "tubos por luminaria": "lamps",
    "tension": "voltage",
    "lugar": "place",
}


@dataclass(frozen=True, slots=True)
class Column:
    """One column that is used.

    Attributes:
        index: 0 the first.
        head: as its writer wrote it.
        role: what its cells say; "place" is shown and read only where no other cell names the luminaire.
        unit: "m" where the head says metres, "" otherwise.
    """

    index: int
    head: str
    role: str
    unit: str = ""

    @property
    def table_head(self) -> str:
        """A head that the reader of tables takes for the role, the writer's own where it does."""
        folded = fold(self.head)
        if self.role in ("text", "wanted", "emergency", *NUMBERS) and role_of(folded) == self.role:
            return self.head
        return CANONICAL[self.role] + (" (m)" if self.unit == "m" else "")


@dataclass(frozen=True, slots=True)
class Heads:
    """A row of heads.

    Attributes:
        first, last: its rows, 0 the first; two where a row of groups stands above ("Existing", "Proposed").
        used: the columns that are read.
        unused: heads of the others.
    """

    first: int
    last: int
    used: tuple[Column, ...]
    unused: tuple[str, ...]

    def of(self, role: str) -> Column | None:
        """The column of a role."""
        return next((column for column in self.used if column.role == role), None)


def heads_of(grid: Grid) -> Heads | None:
    """The heads of a sheet; ``None`` where no row of it can be one."""
    best: tuple[float, int] | None = None
    for number, row in enumerate(grid.rows[:_SEARCHED]):
        filled = [cell for cell in row if cell]
        if len(filled) < 2:
            continue
        roles = [_role(cell) for cell in filled]
        known = [role for role in roles if role is not None]
        useful = {role for role in known if role not in ("ignore", "place")}
        if len(known) < 2 or len(known) * 2 < len(filled) or not useful:
            continue
        if not useful & {"qty", "text", "watts", "poles", "wanted", "input_watts", "lamps"}:
            continue
        score = len(known) + len(useful) - 0.01 * number
        if best is None or score > best[0]:
            best = (score, number)
    if best is None:
        return None
    number = best[1]
    groups = _groups(grid, number)
    return _mapped(grid.rows[number], groups, number - 1 if any(groups) else number, number)


def _role(head: str) -> str | None:
    folded = " ".join(fold(head).split()).strip(' *:."')
    if not folded or len(folded) > 60:
        return None
    words = frozenset(_WORD.findall(folded))
    if folded in _MORE:
        return _MORE[folded]
    bare = folded.split("(")[0].strip()
    if bare in _MORE:
        return _MORE[bare]
    role = role_of(folded)
    if role in (None, "ignore") and words & _PLACE_WORDS and not words & {"qty", "watts", "no", "#"}:
        return "place"
    return role


def _groups(grid: Grid, number: int) -> list[str]:
    """For each column what the row above the heads says of it, where that row groups columns: "Existing", "Proposed"."""
    if number == 0:
        return []
    above = grid.rows[number - 1]
    filled = [index for index, cell in enumerate(above) if cell]
    words = [frozenset(_WORD.findall(fold(above[index]))) for index in filled]
    if not filled or not any(each & (_WANTED_WORDS | _PRESENT_WORDS) and len(each) <= 4 for each in words):
        return []
    out = [""] * max(len(above), len(grid.rows[number]))
    spans = {
        first_column - 1: last_column - 1
        for first, first_column, last, last_column in grid.merged
        if first <= number <= last and first_column < last_column
    }
    for place, index in enumerate(filled):
        # A group reaches as far as its merged cells, else to the next group.
        stop = spans.get(index, (filled[place + 1] - 1) if place + 1 < len(filled) else len(out) - 1)
        for column in range(index, min(stop, len(out) - 1) + 1):
            out[column] = above[index]
    return out


def _mapped(row: list[str], groups: list[str], first: int, last: int) -> Heads:
    hidden_words = [frozenset(_WORD.findall(fold(cell))) for cell in row]
    roles: list[str | None] = []
    for index, cell in enumerate(row):
        role = _role(cell) if cell else None
        group = frozenset(_WORD.findall(fold(groups[index]))) if index < len(groups) else frozenset()
        if group & _WANTED_WORDS and not group & _PRESENT_WORDS and role is not None:
            # What is under "Proposed" is asked for, and none of what hangs there.
            role = {"watts": "led_watts", "input_watts": "led_watts", "text": "wanted"}.get(
                role, role if role in ("led_watts", "led_lumens", "cct_k", "cri", "wanted") else "ignore"
            )
        roles.append(role)
    _settle(roles, hidden_words)
    used, unused, seen = [], [], set()
    for index, (cell, role) in enumerate(zip(row, roles, strict=True)):
        if not cell:
            continue
        if role is None:
            # A head that nobody knows: its cells may still name the luminaire.
            role = "text" if "text" not in roles else "ignore"
        if role == "ignore" or role not in CANONICAL or (role in NUMBERS and role in seen):
            unused.append(cell)
            continue
        seen.add(role)
        words = hidden_words[index]
        metres = role in ("height_ft", "spacing_ft") and bool(
            words & {"m", "metres", "meters", "metros", "mts"}
        )
        used.append(Column(index, cell, role, "m" if metres else ""))
    return Heads(first, last, tuple(used), tuple(unused))


def _settle(roles: list[str | None], words: list[frozenset[str]]) -> None:
    """Where several columns could be one slot, keep that of what hangs there, each, and not the sums."""
    for role in ("watts", "input_watts", "qty"):
        same = [index for index, each in enumerate(roles) if each == role]
        for index in list(same):
            # "Proposed qty", "New watts"
            if words[index] & _WANTED_WORDS and not words[index] & _PRESENT_WORDS:
                roles[index] = "ignore" if role == "qty" else "led_watts"
                same.remove(index)
        if len(same) > 1:
            for index in list(same):
                if words[index] & _EXTENDED_WORDS and len(same) > 1:
                    roles[index] = "ignore"
                    same.remove(index)
        if role == "watts" and len(same) == 2 and "led_watts" not in roles:
            roles[same[1]] = "led_watts"
    watts = [index for index, each in enumerate(roles) if each in ("watts", "input_watts")]
    for index in watts:
        # "Total watts" beside watts of one is the sum of a row.
        if len(watts) > 1 and words[index] & _EXTENDED_WORDS:
            roles[index] = "ignore"
