"""What a stretch says of luminaires, mention by mention, each with the slots it may fill and how likely."""

from typing import Any, final

from bot.reading.clause import Work

Slots = tuple[tuple[str, Any], ...]


@final
class Option:
    """One way to take a mention: the slots it fills, the score, and the rule that says so. Never changed once it is made.

    Options and mentions are made by the hundred: classes of their own, since compiled ones cost a tenth of a named tuple.
    """

    __slots__ = ("rule", "score", "slots")

    def __init__(self, slots: Slots, score: float, rule: str) -> None:
        self.slots = slots
        self.score = score
        self.rule = rule

    def _replace(
        self, slots: Slots | None = None, score: float | None = None, rule: str | None = None
    ) -> "Option":
        """The option with some fields otherwise."""
        return Option(
            self.slots if slots is None else slots,
            self.score if score is None else score,
            self.rule if rule is None else rule,
        )


@final
class Mention:
    """A word or number that states something of a luminaire. Never changed once it is made.

    Attributes:
        first, last: its atoms.
        start, end: its characters.
        options: the ways to take it, best first; one way where nothing is open.
        gap: what separates it from the mention before: 0 nothing, 1 a joining word, 2 a comma, 3 a sentence,
            4 a line break, 5 a list item.
        bare: a number without a unit.
        others: other values that the number could have, as said ("10-12").
    """

    __slots__ = ("_slots", "bare", "end", "first", "gap", "last", "options", "others", "start")

    def __init__(
        self,
        first: int,
        last: int,
        start: int,
        end: int,
        options: tuple[Option, ...],
        gap: int = 0,
        bare: bool = False,
        others: tuple[Any, ...] = (),
    ) -> None:
        self.first = first
        self.last = last
        self.start = start
        self.end = end
        self.options = options
        self.gap = gap
        self.bare = bare
        self.others = others
        self._slots: frozenset[str] | None = None

    @property
    def slots(self) -> frozenset[str]:
        """Every slot that some option fills."""
        kept = self._slots
        if kept is None:
            # asked for many times: kept beside the fields
            kept = self._slots = frozenset([slot for option in self.options for slot, _ in option.slots])
        return kept

    def _replace(
        self,
        first: int | None = None,
        last: int | None = None,
        start: int | None = None,
        end: int | None = None,
        options: tuple[Option, ...] | None = None,
        gap: int | None = None,
        bare: bool | None = None,
        others: tuple[Any, ...] | None = None,
    ) -> "Mention":
        """The mention with some fields otherwise."""
        return Mention(
            self.first if first is None else first,
            self.last if last is None else last,
            self.start if start is None else start,
            self.end if end is None else end,
            self.options if options is None else options,
            self.gap if gap is None else gap,
            self.bare if bare is None else bare,
            self.others if others is None else others,
        )


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
