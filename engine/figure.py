"""A number with its past: every figure that a reply shows can be walked back to what was said, assumed or looked up.

A `Figure` has either an `Origin` (a leaf) or a formula with the figures it came from. A number without a past can't be made.
"""

from collections.abc import Callable, ItemsView, Iterable, Iterator, Mapping, Sequence, ValuesView
from decimal import Decimal
from itertools import islice
from typing import Any, Final, Literal

from engine.formula import FigureWork, ValueKind, add_up, working_on_figures
from engine.record import record

Number = int | float | Decimal
Kind = Literal["stated", "assumed", "table", "catalogue", "definition"]
SUM = "sum"
MONEY_UNIT = "USD"
_AMOUNTS = frozenset({MONEY_UNIT, f"{MONEY_UNIT}/yr", f"{MONEY_UNIT}/month"})


@record
class Origin:
    """Where a leaf figure comes from.

    Attributes:
        kind: ``stated`` by the writer; ``assumed`` by us; a ``table`` row; the ``catalogue``; a ``definition`` (12 months).
        source: in words, with the published name where there is one ("state average commercial rate, EIA 2024").
        reference: what a program follows: a slot path ("lines.0.watts"), a table row, a part number.
        low, high: how far it could honestly be off; both ``None`` where the value is not in question.
    """

    kind: Kind
    source: str
    reference: str = ""
    low: Number | None = None
    high: Number | None = None


class Figure:
    """One quantity with its unit and its past. Compared by identity: two figures may share a value and not a past.

    Never changed once it is made. A quote makes some two hundred: a class of its own, since a frozen dataclass costs three
    times as much to make.

    Attributes:
        name: what it is, unique among the inputs of one formula ("input_watts_before").
        value: float for physics, Decimal for money, int for counts.
        unit: "W", "h/yr", "kWh/yr", "USD", "USD/kWh", "lm", "1" for a ratio, ...
        origin: set on leaves only.
        formula: set on derived figures only; `SUM` adds its inputs up.
        inputs: the figures that the formula names.
        words: the name in plain words, for people.
        key: what makes two leaves the same uncertainty, the row or slot that they refer to and what they are; "" until it
            is asked for with `leaf_key`.
        written: what whoever writes figures down keeps of this one for the next time; nothing here looks at it.
    """

    __slots__ = ("formula", "inputs", "key", "name", "origin", "unit", "value", "words", "written")

    def __init__(
        self,
        name: str,
        value: Any,
        unit: str,
        origin: Origin | None = None,
        formula: str | None = None,
        inputs: tuple["Figure", ...] = (),
        words: str = "",
    ) -> None:
        if (origin is None) == (formula is None):
            raise ValueError(f"figure {name}: needs an origin or a formula, not both and not neither")
        self.name = name
        self.value = value
        self.unit = unit
        self.origin = origin
        self.formula = formula
        self.inputs = inputs
        self.words = words
        self.key = ""
        self.written: Any = None

    def __repr__(self) -> str:
        return f"Figure({self.name!r}, {self.value!r}, {self.unit!r})"

    @property
    def is_ranged(self) -> bool:
        """True for a leaf whose value could honestly be another."""
        o = self.origin
        return o is not None and o.low is not None and o.high is not None and o.low != o.high


class LaterFigures(Mapping[str, Figure]):
    """Figures by name that are only worked out when somebody looks: an audit of thousands of lines offers three options each."""

    __slots__ = ("_made", "_make")

    def __init__(self, make: Callable[[], Mapping[str, Figure]]) -> None:
        self._make = make
        self._made: Mapping[str, Figure] | None = None

    def _figures(self) -> Mapping[str, Figure]:
        if self._made is None:
            self._made = self._make()
        return self._made

    def __getitem__(self, name: str) -> Figure:
        return self._figures()[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._figures())

    def __len__(self) -> int:
        return len(self._figures())

    # what a mapping makes of the three above asks for each figure by itself
    def items(self) -> ItemsView[str, Figure]:
        """As of any mapping."""
        return self._figures().items()

    def values(self) -> ValuesView[Figure]:
        """As of any mapping."""
        return self._figures().values()


def leaf_key(figure: Figure) -> str:
    """The key of a leaf; kept, since most leaves are of tables and the catalogue, the same ones from quote to quote."""
    if not figure.key:
        origin = figure.origin
        reference = "" if origin is None else origin.reference
        figure.key = f"{figure.name} @ {reference}" if reference else figure.name
    return figure.key


def stated(name: str, value: Number, unit: str, reference: str, words: str = "") -> Figure:
    """A leaf the writer gave. A stated value has no range."""
    return Figure(name, value, unit, Origin("stated", "you said", reference), words=words)


def assumed(
    name: str,
    value: Number,
    unit: str,
    low: Number,
    high: Number,
    source: str,
    reference: str = "",
    words: str = "",
) -> Figure:
    """A leaf we had to assume, with its honest range."""
    return Figure(name, value, unit, Origin("assumed", source, reference, low, high), words=words)


def looked_up(
    name: str,
    value: Number,
    unit: str,
    source: str,
    reference: str,
    low: Number | None = None,
    high: Number | None = None,
    words: str = "",
) -> Figure:
    """A leaf from a reference table, with the row's own spread where it has one."""
    return Figure(name, value, unit, Origin("table", source, reference, low, high), words=words)


def catalogued(name: str, value: Number, unit: str, part_number: str, words: str = "") -> Figure:
    """A leaf from the catalogue."""
    return Figure(
        name, value, unit, Origin("catalogue", f"catalogue, {part_number}", part_number), words=words
    )


def defined(name: str, value: Number, unit: str, source: str, words: str = "") -> Figure:
    """A leaf that holds by definition or by a rule of ours that is said."""
    return Figure(name, value, unit, Origin("definition", source, name), words=words)


def derive(name: str, unit: str, formula: str, *inputs: Figure, words: str = "") -> Figure:
    """The figure that ``formula`` gives on ``inputs`` (each named in it, no name twice).

    Money amounts (unit "USD", "USD/yr") are computed in Decimal and kept to the cent; other money (rates) stays exact.

    Raises:
        ValueError: the formula and the inputs don't match.
    """
    work = _works.get((formula, unit))
    value = None if work is None else work(inputs)
    if value is None:
        work = _work(formula, unit, inputs)
        if work is None:
            raise ValueError(
                f"figure {name}: formula {formula!r} does not match inputs {sorted(f.name for f in inputs)}"
            )
        value = work(inputs)
    return Figure(name, value, unit, None, formula, inputs, words)


MOST_WORKS: Final = 4096
_works: Final[dict[tuple[str, str], FigureWork]] = {}
"""How a formula was last worked out for a unit: nearly always on inputs of the same names in the same order."""


def _work(formula: str, unit: str, inputs: tuple[Figure, ...]) -> FigureWork | None:
    kind: ValueKind = "amount" if unit in _AMOUNTS else "exact" if unit.startswith(MONEY_UNIT) else "plain"
    work = working_on_figures(formula, tuple([f.name for f in inputs]), kind)
    if work is not None:
        if len(_works) >= MOST_WORKS:
            _works.clear()
        _works[(formula, unit)] = work
    return work


def total(name: str, unit: str, figures: Sequence[Figure], words: str = "") -> Figure:
    """The sum of like figures: lines into a total."""
    if not figures:
        raise ValueError(f"figure {name}: nothing to add up")
    return Figure(
        name, add_up([f.value for f in figures]), unit, formula=SUM, inputs=tuple(figures), words=words
    )


def is_amount(unit: str) -> bool:
    """True for units that are kept to the cent: an amount, or an amount a year."""
    return unit in _AMOUNTS


def leaves(roots: Iterable[Figure]) -> list[Figure]:
    """Every leaf below ``roots``, once each, in a fixed order (depth first)."""
    return [figure for figure in in_order(roots) if figure.origin is not None]


def in_order(roots: Iterable[Figure], place: dict[Figure, int] | None = None) -> list[Figure]:
    """All figures below ``roots``, once each, inputs before what they feed.

    Those that have a place in ``place`` are left out; the others are given the next places there.
    """
    if place is None:
        place = {}
    before = len(place)
    for root in roots:
        if root not in place:
            _visit(root, place)
    return list(islice(place, before, None)) if before else list(place)


def _visit(figure: Figure, place: dict[Figure, int]) -> None:
    # A graph without circles, and never deeper than its formulas are nested: recursion is safe, and twice as fast. Not a
    # function within `in_order`: one that calls itself stays, with all that it saw, until garbage is collected.
    for source in figure.inputs:
        if source not in place:
            if source.inputs:
                _visit(source, place)
            else:
                place[source] = len(place)
    place[figure] = len(place)
