"""The lines of one job as rows that a message may write on: counts, controls, guesses, and what finds no place."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final

from bot.conversation.checked import NoSuchValue, checked
from bot.conversation.scope import lines_named, value_of
from bot.conversation.state import MOST_LINES, Held, JobState, Line, held
from bot.reading.fitting import makes_sense
from bot.reading.message import Passage, Said, Scope
from bot.reading.shape import Span

WHICH_LINE: Final = "the count was given without saying for which type"
_OF_THE_LAMP: Final = frozenset({"source", "watts", "lamps", "lamp_feet"})
COUNT_ADDED: Final = "taken as that many more of the same"


@dataclass(slots=True, eq=False)
class Row:
    """A line being written on; ``old`` where it was there before the message."""

    slots: dict[str, Held] = field(default_factory=dict)
    labels: tuple[str, ...] = ()
    old: bool = True

    def values(self) -> dict[str, Any]:
        """The values alone."""
        return {slot: held.value for slot, held in self.slots.items()}


class Rows:
    """All rows of the job.

    Attributes:
        all: in order.
        old: those that were there before the message.
        unplaced: text that is about no row, or says what no slot can hold.
        written: slots that were set so far, as (row, slot).
    """

    def __init__(self, job: JobState, turn: int) -> None:
        self.turn = turn
        self.all = [Row(dict(line.slots), line.labels) for line in job.lines]
        self.old = list(self.all)
        self.unplaced: list[Span] = []
        self.written: set[tuple[int, str]] = set()
        self._lines = job.lines
        self._here: dict[int, Row] = {}
        self._gone: list[Row] = []  # kept, so that no new row gets the identity of one that went
        self._touched = [self.all[i] for i in job.touched if i < len(self.all)]
        self._last = self.all[job.last] if job.last is not None and job.last < len(self.all) else None

    @property
    def touched(self) -> list[Row]:
        """Those last spoken of: by this message if it did, else by the one before."""
        return list(self._here.values()) or self._touched

    def lines(self) -> tuple[tuple[Line, ...], tuple[int, ...], int | None]:
        """The lines as they have become, which were touched, and the last mentioned."""
        number = {id(row): i for i, row in enumerate(self.all)}
        touched = tuple(sorted({number[id(row)] for row in self.touched if id(row) in number}))
        last = number.get(id(self._last)) if self._last is not None else None
        lines = tuple(
            self._lines[i]
            if row.old
            and i < len(self._lines)
            and (row.slots, row.labels) == (self._lines[i].slots, self._lines[i].labels)
            else Line(row.slots, row.labels)
            for i, row in enumerate(self.all)
        )
        return lines, touched, last

    def named(self, scope: Scope) -> list[Row]:
        """The rows that ``scope`` is about."""
        number = {id(row): i for i, row in enumerate(self.all)}
        found = lines_named(
            scope,
            self.all,
            touched=[number[id(row)] for row in self.touched if id(row) in number],
            last=number.get(id(self._last)) if self._last is not None else None,
            here=[number[key] for key in self._here if key in number],
        )
        return [self.all[i] for i in found]

    def latest(self, rows: Sequence[Row]) -> Row:
        """The one of ``rows`` that was mentioned last."""
        return self._last if self._last is not None and self._last in rows else rows[-1]

    def touch(self, rows: Sequence[Row]) -> None:
        """Remember what was spoken of."""
        if rows:
            self._here.update((id(row), row) for row in rows)
            self._last = rows[-1]

    def lose(self, scope: Scope | None, passage: Passage) -> None:
        """Nothing of the passage found a place: its words are handed back as not understood."""
        if scope is not None and scope.end > scope.start:
            self.unplaced.append((self.turn, scope.start, scope.end))
        self.unplaced += [(self.turn, said.start, said.end) for said in passage.slots.values()]

    def append(self, passage: Passage, scope: Scope | None = None) -> None:
        """A new row of what the passage says."""
        row = Row(labels=passage.labels or (scope.labels if scope else ()), old=False)
        self._take_same([row], passage)
        if scope is not None and len(scope.families) == 1 and "family" not in passage.slots:
            row.slots["family"] = Held(scope.families[0], (self.turn, scope.start, scope.end))
        self.extend([row], passage)

    def extend(self, rows: list[Row], passage: Passage) -> None:
        """New rows, with the passage written on each."""
        if len(self.all) + len(rows) > MOST_LINES:
            self.lose(None, passage)
            return
        for slot, said in passage.slots.items():
            self.write(rows, slot, said)
        if all(row.slots for row in rows):
            self.all += rows
            self.touch(rows)

    def insert(self, number: int, row: Row) -> None:
        """A row comes back where it stood."""
        self.all.insert(min(number, len(self.all)), row)
        self.touch([row])

    def swap(self, one: Row, two: Row, slot: str) -> None:
        """Two rows have each other's value of a slot."""
        first, second = one.slots.pop(slot, None), two.slots.pop(slot, None)
        if second is not None:
            one.slots[slot] = second.sure
        if first is not None:
            two.slots[slot] = first.sure
        self.touch([one, two])

    def remove(self, rows: Sequence[Row]) -> None:
        """Rows go; the last mentioned is then the last that is left."""
        self._gone += rows
        gone = {id(row) for row in rows}
        self.all = [row for row in self.all if id(row) not in gone]
        self.old = [row for row in self.old if id(row) not in gone]
        self._here = {key: row for key, row in self._here.items() if key not in gone}
        self._touched = [row for row in self._touched if id(row) not in gone]
        if self._last is not None and id(self._last) in gone:
            self._last = self.all[-1] if self.all else None

    def name(self, rows: Sequence[Row], scope: Scope) -> None:
        """A row that no family was said of has the one that the writer calls it by: "16 400w halides", then "high bay type"."""
        if (
            len(rows) == 1
            and len(scope.families) == 1
            and "family" not in rows[0].slots
            and scope.end > scope.start
        ):
            rows[0].slots["family"] = Held(scope.families[0], (self.turn, scope.start, scope.end))

    def leave(self, row: Row) -> None:
        """A row that a part was taken from is not what is spoken of: "the rest" are those that stay on it."""
        self._here.pop(id(row), None)

    def went(self, count: int) -> bool:
        """Whether a row of this count went by this message: "annex is off, drop those 16"."""
        return any(value_of(row, "qty") == count for row in self._gone)

    def change(
        self, rows: list[Row], passage: Passage, *, explicit: bool = False, scoped: bool = False
    ) -> None:
        """Write a passage on rows: each slot where it makes sense, a count on one of them.

        Args:
            rows: that the passage is about.
            passage: what it says.
            explicit: "all of them": a count too is meant of each.
            scoped: the writer said which; ``False`` where the passage is about whatever it makes sense of.
        """
        written: list[Row] = []
        for slot, said in passage.slots.items():
            targets = self._targets(slot, said, rows, explicit=explicit, scoped=scoped)
            told_by_value = (
                bool(targets)
                and said.instead_of is not None
                and value_of(targets[0], slot) == said.instead_of
            )
            if slot == "qty" and len(rows) > 1 and len(targets) == 1 and not told_by_value:
                self._guess_count(targets[0], said)
            else:
                self.write(targets, slot, said)
            written += targets
        self._take_same(rows, passage)
        labels = passage.labels or (passage.scope.labels if passage.scope is not None else ())
        if labels and scoped and len(rows) == 1 and not rows[0].labels:
            rows[0].labels = labels
        self.touch(rows if scoped or not written else [row for row in rows if row in written])

    def _targets(self, slot: str, said: Said, rows: list[Row], *, explicit: bool, scoped: bool) -> list[Row]:
        if len(rows) < 2:
            return rows
        if said.instead_of is not None:
            meant = [row for row in rows if value_of(row, slot) == said.instead_of]
            if meant:
                return meant
        if slot == "qty":
            return rows if explicit else [self.latest(rows)]
        if scoped and not explicit:
            return rows
        if said.value is None:
            return [row for row in rows if slot in row.slots]
        if (
            slot in _OF_THE_LAMP
            and self._last in rows
            and slot not in self._last.slots
            and any(slot in row.slots for row in rows)
        ):
            return [self._last]  # "and the post tops too", then "100w halide"
        if said.without and (
            having := [row for row in rows if set(said.without) & set(value_of(row, slot) or ())]
        ):
            return having
        return [row for row in rows if makes_sense(slot, said.value, row.values())] or rows

    def _take_same(self, rows: Sequence[Row], passage: Passage) -> None:
        """What is as on the line spoken of before: "same voltage"."""
        like = self._last
        if passage.same == ("finish",) and not any("finish" in row.slots for row in self.old):
            passage = replace(passage, same=("cct_k",))  # "same color", where nothing was said of the paint
        if like is not None and passage.same and not any(slot in like.slots for slot in passage.same):
            # "same lamp as the wall packs", said while the floods were last
            having = [row for row in self.old if any(slot in row.slots for slot in passage.same)]
            like = having[-1] if having else like
        for slot in passage.same:
            if like is not None and slot in like.slots:
                for row in rows:
                    row.slots[slot] = like.slots[slot].sure

    def carry_over(self, rows: Sequence[Row]) -> None:
        """What was said last, of the lines spoken of then, holds for these rows too: "the cans too"."""
        apart = [row for row in self._touched if row not in rows]
        turns = [held.span[0] for row in apart for held in row.slots.values() if held.span is not None]
        if turns:
            latest = max(turns)
            for slot, held in apart[-1].slots.items():
                if slot not in ("qty", "family") and held.span is not None and held.span[0] == latest:
                    for row in rows:
                        row.slots[slot] = held.sure
        self.touch(rows)

    def count_up(self, rows: Sequence[Row], said: Said, *, sure: bool) -> None:
        """So many more on the last mentioned of ``rows``; in doubt where the writer may have meant them apart."""
        row = self.latest(rows)
        more = self.held("line", "qty", said, said.value)
        total = (
            None if more is None else self.held("line", "qty", said, more.value + (value_of(row, "qty") or 0))
        )
        if more is None or total is None:
            return
        if not sure:
            total = Held(total.value, total.span, (more.value,), COUNT_ADDED, total.margin, total.rule)
        row.slots["qty"] = total
        self.touch([row])

    def count_down(self, row: Row, said: Said) -> bool:
        """So many fewer; ``False`` where it would leave none."""
        there = value_of(row, "qty")
        if there is None or not isinstance(said.value, int) or not 0 < said.value < there:
            return False
        left = self.held("line", "qty", said, there - said.value)
        if left is not None:
            row.slots["qty"] = left
            self.touch([row])
        return True

    def _guess_count(self, row: Row, said: Said) -> None:
        """A count that does not say of which line: the last mentioned, in doubt."""
        before = row.slots.get("qty")
        new = self.held("line", "qty", said, said.value)
        if new is None or (before is not None and before.value == new.value):
            return
        was = before.sure if before is not None else Held(None)
        others = (was.value, *[other for other in new.others if other != was.value])
        row.slots["qty"] = Held(new.value, new.span, others, WHICH_LINE, new.margin, new.rule, was)

    def settle_guess(self, rows: Sequence[Row], passage: Passage) -> None:
        """A count that was set on a guess stays, or moves to the line now named ("the cans, I mean")."""
        said = passage.slots.get("qty")
        for row in self.all:
            guess = row.slots.get("qty")
            if guess is None or guess.before is None:
                continue
            if row in rows:
                if not passage.slots:
                    row.slots["qty"] = guess.sure
                continue
            moves = not passage.slots and len(rows) == 1
            if moves or (said is not None and said.value == guess.value):
                if guess.before.value is None:
                    del row.slots["qty"]
                else:
                    row.slots["qty"] = guess.before
                if moves:
                    rows[0].slots["qty"] = guess.sure

    def write(self, rows: Sequence[Row], slot: str, said: Said) -> None:
        """One slot of each row: set, taken back, or for controls joined with what was there."""
        if slot == "controls":
            for row in rows:
                self._write_controls(row, said)
        elif said.value is None:
            for row in rows:
                if said.instead_of is None or value_of(row, slot) == said.instead_of:
                    row.slots.pop(slot, None)
        elif (new := self.held("line", slot, said, said.value)) is not None:
            for row in rows:
                there = row.slots.get(slot)
                # Said again without doubt it keeps the place where it was said first.
                if there is None or there.others or new.others or there.value != new.value:
                    row.slots[slot] = new
                self.written.add((id(row), slot))

    def _write_controls(self, row: Row, said: Said) -> None:
        """What is stated joins the row's controls, what is denied leaves them; with no value, none may be left."""
        there = value_of(row, "controls") or ()
        stated = (said.value,) if isinstance(said.value, str) else tuple(said.value or ())
        kept = [control for control in there if control != "none" and control not in said.without]
        if not said.without and stated in ((), ("none",)):
            kept = []
        joined = tuple(dict.fromkeys([*kept, *[control for control in stated if control != "none"]]))
        if not joined and not stated:
            row.slots.pop("controls", None)
            return
        new = self.held("line", "controls", said, joined or ("none",))
        if new is not None and (stated or joined != there):
            row.slots["controls"] = new
            self.written.add((id(row), "controls"))

    def held(self, part: str, slot: str, said: Said, value: Any) -> Held | None:
        """What is to be held of ``said``; ``None``, and the text unplaced, where the slot can't hold it."""
        try:
            return held(said, checked(part, slot, value), self.turn)
        except NoSuchValue:
            self.unplaced.append((self.turn, said.start, said.end))
            return None
