"""Values one a line, as EULUMDAT writes them: words, or a number with its decimals after a point or a comma."""

from array import array
from typing import Final

from engine.light.file_numbers import Run, plain_number, why_not
from engine.light.file_text import FileText
from engine.light.photometry import PhotometryFault

CUT_SHORT: Final = "it is cut short, or its counts are wrong; get it again"


def value_of(line: str) -> float | None:
    """The one number on a line, its decimals after a point or a comma; ``None`` for anything else."""
    written = line.strip()
    if written.count(",") == 1 and "." not in written:
        written = written.replace(",", ".")
    return plain_number(written)


class ValueLines:
    """Takes one line after the other off a text; every method raises PhotometryFault for what can't stand on its line."""

    def __init__(self, text: FileText) -> None:
        self.text = text
        self.line = 0

    def words(self, what: str) -> str:
        if self.line >= len(self.text.lines):
            raise self.text.fault(
                self.text.last_line, f"the file ends before the {what}: it is cut short; get it again"
            )
        self.line += 1
        return self.text.lines[self.line - 1]

    def number(self, what: str, *, blank: float | None = None) -> float:
        """The number on the next line; ``blank`` is what an empty line stands for, where it may stand for something."""
        written = self.words(what).strip()
        if not written and blank is not None:
            return blank
        value = value_of(written)
        if value is None:
            wrong = why_not(written) if written else "the line is empty"
            raise self.fault(f"{wrong}: the {what} should stand here, alone")
        return value

    def whole(self, what: str, least: int, most: int | None = None) -> int:
        value = self.number(what)
        if not value.is_integer() or value < least or (most is not None and value > most):
            bounds = f"from {least} to {most}" if most is not None else f"of at least {least}"
            raise self.fault(f"the {what} is {value:g}: it must be a whole number {bounds}")
        return int(value)

    def positive(self, what: str) -> float:
        value = self.number(what)
        if value <= 0.0:
            raise self.fault(f"the {what} is {value:g}: it must be more than 0")
        return value

    def run(self, count: int, what: str) -> Run:
        first = self.line + 1
        values = array("d", (self.number(what) for _ in range(min(count, self.left))))
        if len(values) < count:
            raise self.text.fault(
                self.text.last_line,
                f"the file ends after {len(values)} of {count} {what} lines: {CUT_SHORT}",
            )
        return Run(values, range(first, first + count))

    @property
    def left(self) -> int:
        """How many lines are left."""
        return len(self.text.lines) - self.line

    def fault(self, what: str) -> PhotometryFault:
        return self.text.fault(self.line, what)
