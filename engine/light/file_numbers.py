"""Numbers in free flow, as LM-63 writes them: spaces, commas, tabs and line ends divide them, lines wrap anywhere."""

import math
import re
from array import array
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Final

from engine.light.file_text import FileText, printable
from engine.light.photometry import PhotometryFault

LARGEST: Final = 1e12
"""No measure in a photometric file comes near it; a product of four such numbers is still a number."""

_LONG_LINE: Final = 10_000
_BATCH: Final = 2_000
_TOKEN: Final = re.compile(r"[^\s,]+")


def plain_number(token: str) -> float | None:
    """The number that ``token`` writes in plain digits; ``None`` for words, NaN, infinity, 1_000 and what is too large."""
    if not token.isascii() or "_" in token:
        return None
    try:
        value = float(token)
    except ValueError:
        return None
    return value if -LARGEST <= value <= LARGEST else None


def why_not(token: str) -> str:
    """What is wrong with a token that ``plain_number`` does not take."""
    shown = printable(token)
    try:
        value = float(token)
    except ValueError:
        return f"{shown!r} is not a number"
    if math.isfinite(value) and abs(value) > LARGEST:
        return f"{shown} is too large for any photometric figure"
    return f"{shown!r} is not a finite number in plain digits"


@dataclass(frozen=True, slots=True)
class Run:
    """Numbers that stand one after the other, each with the line it stands on."""

    values: Sequence[float]
    lines: Sequence[int]

    def __len__(self) -> int:
        return len(self.values)


class NumberScan:
    """Takes numbers off the lines of a text, no line sooner than it is needed."""

    def __init__(self, text: FileText, after_line: int) -> None:
        self.text = text
        self._next_line = after_line
        self._found = array("d")
        self._taken = 0
        self._starts: list[int] = []
        self._start_lines: list[int] = []
        self._odd: tuple[int, str] | None = None

    def take(self, count: int, *names: str) -> Run:
        """The next ``count`` numbers. ``names`` say what each is, or, where there is one only, what all are.

        Raises:
            PhotometryFault: something that is no number stands among them, or the file ends before the last.
        """
        first, last = self._taken, self._taken + count
        self._fill(last)
        got = len(self._found) - first
        if got < count:
            # one name for all is a plural; several are one each
            missing = names[got] if len(names) > 1 else names[0]
            if self._odd is not None:
                line, token = self._odd
                wanted = (
                    f"the {missing} should stand here" if len(names) > 1 else f"only {missing} may stand here"
                )
                raise self.text.fault(line, f"{why_not(token)}: {wanted}, in plain digits")
            if len(names) > 1:
                what = f"the file ends before the {missing}"
            else:
                what = f"the file ends after {got} of {count} {missing}"
            raise self.text.fault(
                self.text.last_line, f"{what}: it is cut short, or its counts are wrong; get it again"
            )
        self._taken = last
        return Run(self._found[first:last], _Lines(self, first, count))

    def at_hand(self, count: int) -> int:
        """How many of the next ``count`` numbers are there."""
        self._fill(self._taken + count)
        return min(count, len(self._found) - self._taken)

    def most_left(self) -> int:
        """How many more numbers the rest of the file could hold at the very most."""
        rest = self.text.lines[self._next_line :]
        return len(self._found) - self._taken + sum((len(line) + 1) // 2 for line in rest)

    def line_of(self, index: int) -> int:
        """The line on which the number ``index`` (from 0, of all that were found) stands."""
        return self._start_lines[bisect_right(self._starts, index) - 1]

    def finish(self, last_of: str) -> bool:
        """Whether words follow the last number taken.

        Raises:
            PhotometryFault: numbers follow.
        """
        self._fill(self._taken + 1)
        line = None
        if len(self._found) > self._taken:
            line = self.line_of(self._taken)
        elif self._odd is not None:
            first = self._odd[0]
            for at in range(first, len(self.text.lines) + 1):
                if any(any(map(looks_numeric, batch)) for batch in _batches(self.text.lines[at - 1])):
                    line = at
                    break
        if line is not None:
            raise self.text.fault(
                line, f"more numbers follow the last {last_of}: there are too many, or the counts are wrong"
            )
        return self._odd is not None

    def _fill(self, upto: int) -> None:
        lines = self.text.lines
        while len(self._found) < upto and self._odd is None and self._next_line < len(lines):
            line = lines[self._next_line]
            self._next_line += 1
            started = len(self._found)
            self._odd = self._read_line(line)
            if len(self._found) > started:
                self._starts.append(started)
                self._start_lines.append(self._next_line)

    def _read_line(self, line: str) -> tuple[int, str] | None:
        """Adds the numbers of ``line``; the first token that is none ends them, and is handed back with the line's number."""
        for tokens in _batches(line):
            values = _all_plain(tokens)
            if values is not None:
                self._found.extend(values)
                continue
            for token in tokens:
                value = plain_number(token)
                if value is None:
                    return self._next_line, token
                self._found.append(value)
        return None


class _Lines(Sequence[int]):
    """The line of each number of a run, looked up when asked."""

    def __init__(self, scan: NumberScan, first: int, count: int) -> None:
        self._scan = scan
        self._first = first
        self._count = count

    def __len__(self) -> int:
        return self._count

    def __getitem__(self, index: int) -> int:  # type: ignore[override]
        if not -self._count <= index < self._count:
            raise IndexError(index)
        return self._scan.line_of(self._first + index % self._count)


def _batches(line: str) -> Iterator[list[str]]:
    """The tokens of a line; of a very long one a part at a time, so that memory stays near what the numbers need."""
    if len(line) <= _LONG_LINE:
        yield line.replace(",", " ").split()
        return
    tokens = (match[0] for match in _TOKEN.finditer(line))
    while batch := list(islice(tokens, _BATCH)):
        yield batch


def _all_plain(tokens: list[str]) -> list[float] | None:
    """The numbers of a line where all is well, fast; ``None`` where a token needs a closer look."""
    joined = "".join(tokens)
    if not joined.isascii() or "_" in joined:
        return None
    try:
        values = [float(token) for token in tokens]
    except ValueError:
        return None
    return values if all(-LARGEST <= value <= LARGEST for value in values) else None


def looks_numeric(token: str) -> bool:
    """Whether a token is meant as a number, be it NaN or infinity."""
    try:
        float(token)
    except ValueError:
        return False
    return True


def whole(run: Run, index: int, what: str, text: FileText, least: int, most: int | None = None) -> int:
    """Number ``index`` of ``run`` as a whole number; ``1.0`` is one.

    Raises:
        PhotometryFault: it is not whole, or out of bounds.
    """
    value = run.values[index]
    if not value.is_integer() or value < least or (most is not None and value > most):
        bounds = f"from {least} to {most}" if most is not None else f"of at least {least}"
        raise fault_at(text, run, index, f"the {what} is {value:g}: it must be a whole number {bounds}")
    return int(value)


def fault_at(text: FileText, run: Run, index: int, what: str) -> PhotometryFault:
    """The fault of number ``index`` of ``run``."""
    return text.fault(run.lines[index], what)
