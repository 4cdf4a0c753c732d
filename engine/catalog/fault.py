"""What can be wrong with a catalogue file, said so that the person who keeps the sheet can mend it."""

from dataclasses import dataclass
from typing import Final

from engine.errors import ConfigurationError

MAX_FAULTS: Final = 20
"""More than this at once is no help to anyone; mending the first ones usually mends the rest."""

_SHOWN_CHARACTERS: Final = 60


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong, and where.

    Attributes:
        file: name of the file, without its folder.
        row: as a spreadsheet counts, the header being row 1; ``None`` where the file as a whole is meant.
        column: name of the column; "" where the row or the file as a whole is meant.
        found: what is there. ``allowed``: what may be there.
    """

    file: str
    row: int | None
    column: str
    found: str
    allowed: str

    @property
    def line(self) -> str:
        """The fault as one plain line."""
        place = self.file
        if self.row is not None:
            place += f", row {self.row}"
        if self.column:
            place += f", column {self.column}"
        return f"{place}: found {self.found}; allowed is {self.allowed}"


class CatalogueFault(ConfigurationError):
    """A catalogue was refused as a whole: nothing of it is used until every fault is mended.

    The message is one line a fault. ``faults`` holds the first `MAX_FAULTS`.
    """

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        self.faults = faults
        super().__init__("\n".join(fault.line for fault in faults))


def quoted(text: str) -> str:
    """A cell's text as a fault shows it: in quotes, control characters escaped, cut to a readable length."""
    shown = text if len(text) <= _SHOWN_CHARACTERS else text[:_SHOWN_CHARACTERS] + "…"
    return repr(shown)
