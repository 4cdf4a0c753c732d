"""What a stretch says of luminaires, mention by mention, each with the slots it may fill and how likely."""

from typing import Any, NamedTuple

from bot.reading.clause import Work

Slots = tuple[tuple[str, Any], ...]


class Option(NamedTuple):
    """One way to take a mention: the slots it fills, the score, and the rule that says so."""

    slots: Slots
    score: float
    rule: str


class _Mention(NamedTuple):
    first: int
    last: int
    start: int
    end: int
    options: tuple[Option, ...]
    gap: int = 0
    bare: bool = False
    others: tuple[Any, ...] = ()


class Mention(_Mention):
    """A word or number that states something of a luminaire.

    Attributes:
        first, last: its atoms.
        start, end: its characters.
        options: the ways to take it, best first; one way where nothing is open.
        gap: what separates it from the mention before: 0 nothing, 1 a joining word, 2 a comma, 3 a sentence,
            4 a line break, 5 a list item.
        bare: a number without a unit.
        others: other values that the number could have, as said ("10-12").
    """

    @property
    def slots(self) -> frozenset[str]:
        """Every slot that some option fills."""
        kept: frozenset[str] | None = self.__dict__.get("kept")
        if kept is None:
            # asked for many times: kept beside the fields
            kept = self.__dict__["kept"] = frozenset(
                [slot for option in self.options for slot, _ in option.slots]
            )
        return kept


def gap_between(work: Work, last: int, first: int) -> int:
    """How strongly the atoms strictly between two mentions separate them."""
    # "10 ft. strips: 96": the stop may end the sentence
    gap = (
        2
        if first == last + 1
        and last >= 0
        and work.atoms[last].text.endswith(" .")
        and work.has(first, "family")
        else 0
    )
    for index in range(last + 1, first):
        atom = work.atoms[index]
        if atom.kind == "b":
            gap = 5 if gap == 4 else max(gap, 4)
        elif atom.kind == "s":
            if atom.text in ".;!?":
                gap = max(gap, 3)
            elif atom.text in ",/|" or (atom.text == "-" and not atom.glued):
                gap = max(gap, 2)
            elif atom.text == ":":
                gap = max(gap, 1)
            elif atom.text == "*" and gap >= 4:
                gap = 5
        elif atom.mean.get("join"):
            gap = max(gap, 1)
        elif atom.mean.get("bullet"):
            gap = 5
    return gap
