"""What one message says, before it is folded into the conversation: the reader's own result.

The reader fills it from the text alone (and the slot that we asked about); `bot.conversation` turns a state
and a `Message` into the next state. A message that opens a conversation is the case where every passage states a line.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Literal

from bot.reading.shape import Fault
from engine.vocabulary import Family, Intent, LampSource

ASKED_OF_LIGHT: Final = "light."
"""How the path of a question of ours about light begins."""
Command = Literal["undo", "start_over", "new_job", "previous_job"]
Action = Literal["state", "change", "add", "remove", "copy", "split", "swap", "move", "restore", "revert"]


@dataclass(slots=True, unsafe_hash=True)
class Said:
    """One slot's value with its place in the text (code points of the text as sent). Never changed once it is made.

    Attributes:
        value: in the public shape's form; ``None`` takes the slot back ("forget the rebate", "no bronze after all").
            Of ``schedule`` in a conversation also ``{"days_per_week": 6}`` alone: it joins the hours said before.
        start, end: characters it came from.
        others: what else it could honestly be; empty when nothing.
        why: the reason of the doubt, one short sentence.
        margin: score distance to the best reading that gives this slot another value.
        rule: the lexicon entry or rule that gave it ("fuzzy" hits say so).
        instead_of: the value that the writer says it is not ("28 not 25": 25); it tells which line is meant.
        without: of ``controls``, the members denied: "skip the motion, keep the dimming" has value ``("dimming",)`` without
            ``("motion",)``; "no photocell" has value ``("none",)`` without ``("photocell",)``. What is stated joins the line's
            controls, what is denied leaves them.
    """

    value: Any
    start: int
    end: int
    others: tuple[Any, ...] = ()
    why: str = ""
    margin: float = 9.0
    rule: str = ""
    instead_of: Any = None
    without: tuple[str, ...] = ()

    def __init__(
        self,
        value: Any,
        start: int,
        end: int,
        others: tuple[Any, ...] = (),
        why: str = "",
        margin: float = 9.0,
        rule: str = "",
        instead_of: Any = None,
        without: tuple[str, ...] = (),
    ) -> None:
        # written out, and not frozen: the one that is made for it runs interpreted, at forty times the price
        self.value = value
        self.start = start
        self.end = end
        self.others = others
        self.why = why
        self.margin = margin
        self.rule = rule
        self.instead_of = instead_of
        self.without = without

    def doubted(self, others: tuple[Any, ...], why: str, margin: float | None = None) -> "Said":
        """The same with a doubt: what else it could be and why."""
        return Said(
            self.value,
            self.start,
            self.end,
            others,
            why,
            self.margin if margin is None else margin,
            self.rule,
            self.instead_of,
            self.without,
        )


@dataclass(frozen=True, slots=True)
class Scope:
    """Which lines of the job so far a passage is about: "the poles", "second one", "the other ones", "all of them".

    Attributes:
        kind: ``family`` (any of ``families``; or the lamp ``source`` / ``watts``), ``ordinal`` (0-based, -1 the last),
            ``all``, ``others`` (those that the passage before did not touch), ``that`` (the one last spoken of).
        labels, height_ft, size, lowest, highest: more that ``family`` may tell lines apart by; all that is given must hold.
            ``labels``: place words, folded ("back", "north lot", "level 2"). ``lowest``/``highest``: the slot whose least or
            greatest value is meant: "the low ones", "the short poles" (height_ft), "the big ones" (watts).
        singular: "that one", "it" and not "those": the last line alone.
        spots: in a first message, where the types meant are described: the first characters of their counts or luminaire words.
        having: (slot, value) pairs that a line must have; a tuple of values is any of them: "the bronze ones", "the 277 ones".
    """

    kind: Literal["family", "ordinal", "all", "others", "that"]
    start: int
    end: int
    families: tuple[Family, ...] = ()
    source: LampSource | None = None
    watts: float | None = None
    ordinal: int | None = None
    labels: tuple[str, ...] = ()
    height_ft: float | None = None
    size: str | None = None
    lowest: str = ""
    highest: str = ""
    singular: bool = False
    having: tuple[tuple[str, Any], ...] = ()
    spots: tuple[int, ...] = ()


@dataclass(slots=True, unsafe_hash=True)
class Passage:
    """A stretch of the message about one luminaire type. Never changed once it is made.

    Attributes:
        action: ``state`` (describes a luminaire type: a new line, unless the scope or likeness says which line),
            ``change``, ``add``, ``remove``, ``copy`` ("same for the back building but 8": ``slots`` are the differences), or
            ``split`` ("4 of them are 480": so many become a type of their own, ``slots`` are the differences),
            ``swap`` (the types in ``scope`` and ``other`` have each other's values of ``slots``), ``move`` (``qty`` of those in
            ``scope`` are counted with ``other``), ``restore`` (a type that had gone comes back as it was), or
            ``revert`` (what was said last does not hold for the types in ``scope``).
        scope: which lines; ``None`` where the passage does not say.
        slots: line slots. Of ``remove``, ``qty`` is how many of them go ("4 of the high bays are done, take those off").
        labels: what the writer calls the place of this type, folded: "north lot", "back building", "level 2", "stairs".
        more: the count is on top of what is there: "3 more troffers", "otros 3".
        same: slots that the writer says are as on the line spoken of before: "same voltage", "same lamp" (source and watts).
        too: what was said last of other lines holds for these as well: "the cans too".
        times: not 0 where the count there is multiplied by it ("double the floods"); of ``split`` the share that goes.
        other: of ``swap`` and ``move`` the types on the other side.
    """

    action: Action
    slots: dict[str, Said] = field(default_factory=dict)
    scope: Scope | None = None
    labels: tuple[str, ...] = ()
    more: bool = False
    same: tuple[str, ...] = ()
    too: bool = False
    times: float = 0.0
    other: Scope | None = None

    def __init__(
        self,
        action: Action,
        slots: dict[str, Said] | None = None,
        scope: Scope | None = None,
        labels: tuple[str, ...] = (),
        more: bool = False,
        same: tuple[str, ...] = (),
        too: bool = False,
        times: float = 0.0,
        other: Scope | None = None,
    ) -> None:
        self.action = action
        self.slots = {} if slots is None else slots
        self.scope = scope
        self.labels = labels
        self.more = more
        self.same = same
        self.too = too
        self.times = times
        self.other = other

    def labelled(self, labels: tuple[str, ...]) -> "Passage":
        """The same by other place words."""
        return Passage(
            self.action, self.slots, self.scope, labels, self.more, self.same, self.too, self.times, self.other
        )  # fmt: skip

    def with_slots(self, slots: dict[str, Said]) -> "Passage":
        """The same with other slots."""
        return Passage(
            self.action,
            slots,
            self.scope,
            self.labels,
            self.more,
            self.same,
            self.too,
            self.times,
            self.other,
        )


@dataclass(frozen=True, slots=True)
class Reply:
    """A bare answer: yes, no, not known, the first or the second of what was offered (``nth``, 0-based)."""

    kind: Literal["yes", "no", "unknown", "nth"]
    start: int
    end: int
    nth: int = 0


@dataclass(frozen=True, slots=True)
class Known:
    """What the job says already, as far as it helps to understand what is said of it.

    Attributes:
        lines: of each luminaire type the values of its slots.
        labels: of each the place words that it goes by.
        job: the values of the job's slots.
        earlier: (slot, value) of the numbers that its lines had before the last changes and have no more.
        words: what the job may be called by: families, building, place, customer and site, in lower case.
        jobs: of every other job of the conversation its number and the same words.
        latest: the slots that the last change set, with their values; those set to more than one value left out.
        joined: how many types the last change brought to those that were there.
        gone: how many types the last change took away.
    """

    lines: tuple[Mapping[str, Any], ...] = ()
    labels: tuple[tuple[str, ...], ...] = ()
    job: Mapping[str, Any] = field(default_factory=dict)
    earlier: frozenset[tuple[str, float]] = frozenset()
    words: frozenset[str] = frozenset()
    jobs: tuple[tuple[int, frozenset[str]], ...] = ()
    latest: Mapping[str, Any] = field(default_factory=dict)
    joined: int = 0
    gone: int = 0

    @property
    def families(self) -> frozenset[str]:
        """The families on the job."""
        return frozenset(str(line["family"]) for line in self.lines if "family" in line)


@dataclass(slots=True, unsafe_hash=True)
class Message:
    """All that one text says. Never changed once it is made."""

    intent: Intent
    passages: tuple[Passage, ...] = ()
    job: dict[str, Said] = field(default_factory=dict)
    command: Command | None = None
    unread: tuple[tuple[int, int], ...] = ()
    faults: tuple[Fault, ...] = ()
    building: str | None = None
    """The kind of building that is spoken of: key of a building type in the operating-hours table."""
    language: Literal["en", "es"] = "en"
    language_shown: bool = True
    """Whether some word shows the language; "277" shows none, and the conversation goes on in the one it was in."""
    reason: str = ""
    """Of a handoff: "person_wanted", "danger", "hazardous_location", "over_600_volts" or "live_work"."""
    asked: str | None = None
    """The slot that our question before was about, as handed in: a passage without scope that states this slot fills it there."""
    reply: Reply | None = None
    """A bare "yes", "no", "not sure", "the second" in answer to what was asked; the slot itself need not be filled then."""
    which_job: int | None = None
    """Of ``previous_job``: 0 for "the first one", -1 for the latest; ``None`` is the one before this."""
    risk: float = 0.0
    """How many of the slots said are expected to be wrong."""

    def __init__(
        self,
        intent: Intent,
        passages: tuple[Passage, ...] = (),
        job: dict[str, Said] | None = None,
        command: Command | None = None,
        unread: tuple[tuple[int, int], ...] = (),
        faults: tuple[Fault, ...] = (),
        building: str | None = None,
        language: Literal["en", "es"] = "en",
        language_shown: bool = True,
        reason: str = "",
        asked: str | None = None,
        reply: Reply | None = None,
        which_job: int | None = None,
        risk: float = 0.0,
    ) -> None:
        self.intent = intent
        self.passages = passages
        self.job = {} if job is None else job
        self.command = command
        self.unread = unread
        self.faults = faults
        self.building = building
        self.language = language
        self.language_shown = language_shown
        self.reason = reason
        self.asked = asked
        self.reply = reply
        self.which_job = which_job
        self.risk = risk
