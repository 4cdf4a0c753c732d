"""Which lines of the job a scope names: "the poles", "second one", "the other ones", "the 400s", "those up north"."""

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any, Final, Protocol

from bot.conversation.state import Held
from bot.reading.fitting import near_families, same_source
from bot.reading.message import Scope

_OPPOSITES: Final = (
    ("front", "back"), ("north", "south"), ("east", "west"), ("inside", "outside"), ("indoor", "outdoor"),
    ("upper", "lower"), ("upstairs", "downstairs"), ("left", "right"), ("main", "back"), ("old", "new"),
    ("frente", "atras"), ("norte", "sur"), ("este", "oeste"), ("adentro", "afuera"), ("arriba", "abajo"),
)  # fmt: skip
_GENERIC: Final = frozenset([
    "the", "a", "of", "in", "at", "on", "for", "building", "bldg", "lot", "area", "room", "side", "level", "floor",
    "section", "part", "one", "ones", "house", "zone", "el", "la", "los", "las", "de", "del", "edificio", "lado",
    "piso", "nivel",
])  # fmt: skip
_SAME_WORD: Final = {"rear": "back", "bldg": "building", "trasero": "atras", "delantero": "frente"}


_POLE_HEADS: Final = frozenset({"area", "street", "post_top"})
_ON_POLES_TOO: Final = frozenset({"flood", "security"})


class Named(Protocol):
    """What a scope looks at of a line."""

    @property
    def slots(self) -> Mapping[str, Held]:
        """What is held of its slots."""

    @property
    def labels(self) -> tuple[str, ...]:
        """The place words that it goes by."""


def value_of(line: Named, slot: str) -> Any:
    """The value held in ``slot``; ``None`` where nothing is."""
    held = line.slots.get(slot)
    return None if held is None else held.value


def lines_named(
    scope: Scope,
    lines: Sequence[Named],
    *,
    touched: Iterable[int] = (),
    last: int | None = None,
    here: Iterable[int] = (),
) -> list[int]:
    """The numbers of the lines that ``scope`` is about, ascending; empty where it names none of them.

    Args:
        scope: as read.
        lines: of the job so far.
        touched: lines that the last message (or this one so far) was about.
        last: the line mentioned last.
        here: lines that this message was about so far.
    """
    every = list(range(len(lines)))
    if scope.kind == "all":
        return every
    if scope.kind == "ordinal":
        number = scope.ordinal or 0
        return [every[number]] if -len(every) <= number < len(every) else []
    spoken_of = sorted({i for i in touched if i < len(lines)})
    if scope.kind == "that":
        if scope.singular and last is not None and last < len(lines):
            return [last]
        return spoken_of or every
    if scope.kind == "others":
        apart = set(here) or set(spoken_of)
        return [i for i in every if i not in apart] if apart else []
    return _described(scope, lines)


def _described(scope: Scope, lines: Sequence[Named]) -> list[int]:
    labelled = with_labels(scope.labels, lines)
    told_apart = bool(
        scope.families
        or scope.source
        or scope.watts
        or scope.height_ft
        or scope.size
        or scope.lowest
        or scope.highest
        or scope.having
    )
    fitting = [i for i, line in enumerate(lines) if _fits(scope, line, frozenset(scope.families))]
    if not fitting and scope.families:
        near = near_families(scope.families)
        fitting = [i for i, line in enumerate(lines) if _fits(scope, line, near)]
        if not fitting and len(lines) == 1 and frozenset(scope.families) == _POLE_HEADS:
            # "40 ft poles": of floods, where nothing else is there
            fitting = [i for i, line in enumerate(lines) if _fits(scope, line, _ON_POLES_TOO)]
        if not fitting:
            unnamed = [
                i for i, line in enumerate(lines) if "family" not in line.slots and _fits(scope, line, None)
            ]
            fitting = unnamed if len(unnamed) == 1 else []
    if scope.source:
        fitting = [i for i in fitting if value_of(lines[i], "source") == scope.source] or fitting
    if scope.labels:
        if not told_apart:
            # A place that no line goes by: of a single line it is still plain what is meant.
            fitting = labelled or (fitting if len(lines) == 1 else [])
        elif labelled:
            # "the floods out back": both must hold, unless no flood goes by that place.
            fitting = [i for i in fitting if i in labelled] or fitting
    return _extreme(scope, lines, fitting)


def _fits(scope: Scope, line: Named, families: frozenset[str] | None) -> bool:
    if families and value_of(line, "family") not in families:
        return False
    if scope.source and not same_source(scope.source, value_of(line, "source")):
        return False
    if scope.watts and scope.watts not in [value_of(line, s) for s in ("watts", "led_watts", "input_watts")]:
        return False
    if scope.height_ft and not math.isclose(
        scope.height_ft, value_of(line, "height_ft") or 0.0, abs_tol=0.02
    ):
        return False
    if any(
        value_of(line, slot) not in (wanted if isinstance(wanted, tuple) else (wanted,))
        for slot, wanted in scope.having
    ):
        return False
    return not scope.size or value_of(line, "size") == scope.size


def _extreme(scope: Scope, lines: Sequence[Named], fitting: list[int]) -> list[int]:
    slot = scope.lowest or scope.highest
    if not slot or len(fitting) < 2:
        return fitting
    known = [
        (value_of(lines[i], slot), i) for i in fitting if isinstance(value_of(lines[i], slot), int | float)
    ]
    if len({value for value, _ in known}) < 2:
        return []
    end = min(known)[0] if scope.lowest else max(known)[0]
    return [i for value, i in known if value == end]


def with_labels(labels: tuple[str, ...], lines: Sequence[Named]) -> list[int]:
    """The lines that go by these place words; "front" also names those beside a line that goes by "back"."""
    wanted = label_words(labels)
    if not wanted:
        return []
    shared = [len(wanted & label_words(line.labels)) for line in lines]
    most = max(shared, default=0)
    if most:
        return [i for i, count in enumerate(shared) if count == most]
    opposite = {b for pair in _OPPOSITES for a, b in (pair, pair[::-1]) if a in wanted}
    against = [bool(opposite & label_words(line.labels)) for line in lines]
    return [i for i, is_against in enumerate(against) if not is_against] if any(against) else []


def label_words(labels: tuple[str, ...]) -> frozenset[str]:
    """The words that tell places apart; the general ones only where there are no others."""
    words = [_SAME_WORD.get(word, word) for label in labels for word in label.split()]
    return frozenset([word for word in words if word not in _GENERIC]) or frozenset(words)
