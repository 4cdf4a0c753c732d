"""Short answers to what was asked: which slot a path means, and what a bare yes, no or "the second" does to it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from bot.conversation.checked import checked
from bot.conversation.state import Held
from engine.request import JOB_SLOTS, LINE_SLOTS

if TYPE_CHECKING:
    from bot.conversation.desk import Desk
    from bot.conversation.line_rows import Row

YES_NO_SLOTS: Final = frozenset({"dark_sky", "emergency_backup", "keep_housing", "metric"})


@dataclass(frozen=True, slots=True)
class Asked:
    """The slot that was asked about.

    Attributes:
        path: as handed in; empty where nothing, or nothing that exists, was asked.
        part: "job", "line" or empty.
        slot: its name.
        line: the line's number; ``None`` for every line.
    """

    path: str = ""
    part: str = ""
    slot: str = ""
    line: int | None = None

    @classmethod
    def of(cls, path: str | None) -> "Asked":
        """From ``lines.0.voltage``, ``lines.*.voltage``, ``job.schedule``, or the bare name of a slot."""
        if not path:
            return cls()
        head, _, rest = path.partition(".")
        number, _, slot = rest.partition(".")
        if head == "lines" and slot in LINE_SLOTS:
            if number == "*":
                return cls(path, "line", slot)
            if number.isascii() and number.isdigit() and len(number) < 7:
                return cls(path, "line", slot, int(number))
        name = rest if head == "job" else path
        if name in JOB_SLOTS:
            return cls(path, "job", name)
        return cls(path, "line", name) if name in LINE_SLOTS and head != "job" else cls()

    def rows(self, rows: Sequence["Row"]) -> list["Row"]:
        """The rows that were asked about."""
        if self.part != "line":
            return []
        if self.line is None:
            return list(rows)
        return [rows[self.line]] if self.line < len(rows) else []


def take_reply(desk: "Desk") -> None:
    """A bare answer, where the asked slot was not stated in so many words."""
    reply, asked = desk.message.reply, desk.asked
    if reply is None or reply.kind == "unknown":
        return
    rows = asked.rows(desk.rows.all)
    if not asked.part:
        if reply.kind == "yes":
            for row in desk.rows.all:
                _confirm_guess(row.slots)
        return
    if asked.slot in desk.stated or any((id(row), asked.slot) in desk.rows.written for row in rows):
        return
    span = (desk.rows.turn, reply.start, reply.end)
    for slots in [desk.slots] if asked.part == "job" else [row.slots for row in rows]:
        there = slots.get(asked.slot)
        if reply.kind == "nth":
            choices = [] if there is None or not there.others else [there.value, *there.others]
            if reply.nth < len(choices):
                _choose(slots, asked, choices[reply.nth], span)
        elif asked.slot in YES_NO_SLOTS:
            if reply.kind == "yes":
                slots[asked.slot] = Held(True, span)
            else:
                slots.pop(asked.slot, None)
        elif asked.slot == "controls" and reply.kind == "no":
            slots["controls"] = Held(("none",), span)
        elif there is not None and reply.kind == "yes":
            slots[asked.slot] = there.sure
    desk.rows.touch(rows)


def _choose(slots: dict[str, Held], asked: Asked, value: Any, span: tuple[int, int, int]) -> None:
    if value is None:
        slots.pop(asked.slot, None)
    else:
        slots[asked.slot] = Held(checked(asked.part, asked.slot, value), span)


def _confirm_guess(slots: dict[str, Held]) -> None:
    count = slots.get("qty")
    if count is not None and count.before is not None:
        slots["qty"] = count.sure
