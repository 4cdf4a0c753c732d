"""A message being read: its atoms, which of them are used, and what has been found so far."""

from dataclasses import dataclass, field
from typing import Any, Final

from bot.reading.atoms import Atom
from bot.reading.message import Said
from bot.reading.shape import Fault

_EMPTY: frozenset[str] = frozenset()


_TALL: Final = frozenset({"tall", "high", "wide", "long", "deep", "dia", "diameter", "round"})


@dataclass(slots=True)
class Work:
    """The desk on which one stretch of text is read.

    Attributes:
        text: as sent (offsets point into it).
        folded: folded text.
        atoms: of the stretch.
        used: one flag an atom: it has given a slot, or is known to say nothing.
        job: job slots found.
        faults: what was said and can't be.
        flags: what was noticed on the way (``dunno``, ``revise`` ...).
    """

    text: str
    folded: str
    atoms: list[Atom]
    used: bytearray
    job: dict[str, Said] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    flags: dict[str, Any] = field(default_factory=dict)
    numbers: list[int] = field(init=False)
    """The atoms that are numbers as the text is cut; some are used or set aside later, so ask `is_number` too."""
    _kinds: set[str] | None = None
    cut: tuple[list[Atom], bool, list[Any]] | None = None
    """The clauses as they were cut last, see `scopes.segments_of`: of which atoms, and whether in a conversation."""

    def __init__(self, text: str, folded: str, atoms: list[Atom], used: bytearray) -> None:
        self.text = text
        self.folded = folded
        self.atoms = atoms
        self.used = used
        self.job = {}
        self.faults = []
        self.flags = {}
        self.numbers = [index for index, atom in enumerate(atoms) if atom.kind == "n"]
        self._kinds = None
        self.cut = None

    def speaks_of(self, *kinds: str) -> bool:
        """Whether any atom means something of these kinds ("days", "unit:hours", "cue:rows") as the text is cut.

        What looks for nothing else need not look at every atom.
        """
        if self._kinds is None:
            found: set[str] = set()
            for atom in self.atoms:
                mean = atom.mean
                if mean:
                    found.update(mean)
                    if "unit" in mean:
                        found.add("unit:" + mean["unit"])
                    for cue in mean.get("cue", ()):
                        found.add("cue:" + cue)
            self._kinds = found
        return not self._kinds.isdisjoint(kinds)

    def cue(self, index: int) -> frozenset[str]:
        """The cues of the atom at ``index``; none outside."""
        if index < 0 or index >= len(self.atoms):
            return _EMPTY
        cues: frozenset[str] = self.atoms[index].mean.get("cue", _EMPTY)
        return cues

    def unit(self, index: int) -> str | None:
        """The unit that the atom at ``index`` is, if any."""
        if index < 0 or index >= len(self.atoms):
            return None
        unit: str | None = self.atoms[index].mean.get("unit")
        return unit

    def is_bare_count(self, index: int) -> bool:
        """Whether a whole number below 1000 without a unit stands here, used or not."""
        atom = self.atoms[index]
        return atom.kind == "n" and atom.value == int(atom.value) and atom.value < 1000

    def count_unit(self, index: int) -> str | None:
        """The unit behind a number that may count: "in" set apart is where, not how long ("the 6 in back")."""
        unit = self.unit(index)
        return (
            None
            if unit == "inch"
            and self.atoms[index].text == "in"
            and not self.atoms[index].glued
            and self.text_at(index + 1) not in _TALL
            else unit
        )

    def has(self, index: int, kind: str) -> Any:
        """The value of ``kind`` of the atom at ``index``; ``None`` where it has none."""
        return self.atoms[index].mean.get(kind) if 0 <= index < len(self.atoms) else None

    def text_at(self, index: int) -> str:
        """The folded text of the atom at ``index``; empty outside."""
        return self.atoms[index].text if 0 <= index < len(self.atoms) else ""

    def is_number(self, index: int) -> bool:
        """Whether a number that is still free stands at ``index``."""
        return 0 <= index < len(self.atoms) and self.atoms[index].kind == "n" and not self.used[index]

    def use(self, first: int, last: int) -> None:
        """Mark atoms ``first`` to ``last`` as used."""
        for index in range(max(first, 0), min(last, len(self.atoms) - 1) + 1):
            self.used[index] = 1

    def say(self, slot: str, value: Any, first: int, last: int, rule: str, **more: Any) -> None:
        """Record a job slot that atoms ``first`` to ``last`` state; what is said later stands."""
        self.job[slot] = Said(value, self.atoms[first].start, self.atoms[last].end, rule=rule, **more)
        self.use(first, last)


def ends_clause(atom: Atom) -> bool:
    """Whether the atom ends a sentence or a list item."""
    return atom.kind == "b" or (atom.kind == "s" and atom.text in ".;:!?|")
