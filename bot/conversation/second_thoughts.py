"""A first message that takes back what it said: "6 wallpacks, 2 floods. Scratch the floods", "5 packs and 4 floods, I have that backwards".

What is taken back is said of types that stand already, as in a later message: the opening is cut where a clause of second thoughts
begins, and the clause is read and folded as one more message of the conversation. Three things must be plain, else the message is read
in one piece: that something is taken back (a cue), what it is (every part of it finds its type), and what stands instead.
"""

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final, final

from bot.conversation.fold import fold
from bot.conversation.known import known_of
from bot.conversation.scope import lines_named, value_of
from bot.conversation.state import EMPTY, Held, JobState, Line, State
from bot.reading import read_message
from bot.reading.message import Message, Passage, Said, Scope
from bot.reading.said_instead import said_instead
from bot.reading.spaced import as_sent
from bot.reading.taking_back import BY_NAME, CLAUSE, CUT, INSTEAD, NOTHING_INSTEAD, STRONG

_LONGEST: Final = 700
"""The longest text that is cut [characters]: a long one is a description with its own order."""
_MOST_CUTS: Final = 4
_KIND: Final = ("source", "watts", "size", "lamp_feet", "height_ft", "lamps")
_LIKE: Final = 0.5
"""How far the logarithms of a figure and of the one that it takes the place of may lie apart, where it has no unit."""
_AGAIN: Final = 3.0
"""How many times as many, or as few, a type may count that is counted again."""
_ACTIONS: Final = frozenset({"change", "remove", "split", "swap", "move", "state"})


@final
class Opening:
    """A first message, and where it may be cut.

    Attributes:
        text: as sent.
        turn: its number.
        max_bytes: the longest text that is read [bytes of UTF-8].
        lower: the text in small letters.
        cuts: where clauses of second thoughts may begin.
    """

    def __init__(self, text: str, turn: int, max_bytes: int) -> None:
        self.text = text
        self.turn = turn
        self.max_bytes = max_bytes
        self.lower = text.lower()
        self.cuts: list[int] = []
        self._begun: dict[int, tuple[State, Message] | None] = {}
        if 12 <= len(text) <= _LONGEST and len(self.lower) == len(text):
            self.cuts = [match.end() for match in CUT.finditer(self.lower) if match.end() >= 8]

    def begun(self, end: int) -> tuple[State, Message] | None:
        """What the text up to a cut asks for; ``None`` where it does not stand on its own."""
        if end not in self._begun:
            self._begun[end] = _begun(self.text[:end], self.turn, self.max_bytes)
        return self._begun[end]


def opening(first: Opening) -> tuple[State, Message] | None:
    """The state after a first message that takes back what it said, and the message; ``None`` where it is read in one piece."""
    if not 0 < len(first.cuts) <= _MOST_CUTS or said_instead(first.text, first.lower) is not None:
        return None
    return _cut_at(first.cuts, first)


def told_again(first: Opening, whole: Message) -> tuple[State, Message] | None:
    """The same where no words of correction stand, but a type that is described has a piece more at the end: "..., bollards black instead".

    Args:
        first: the message as sent.
        whole: the message as it was read in one piece.
    """
    text = first.text
    if len(text) > _LONGEST or not 2 <= len(whole.passages) <= 12:
        return None
    last = whole.passages[-1]
    family = last.slots.get("family")
    if family is None or last.action != "state" or last.labels or len(last.slots) > 3:
        return None
    there = [passage for passage in whole.passages[:-1] if "family" in passage.slots]
    same = [
        passage
        for passage in there
        if passage.slots["family"].value == family.value and len(passage.slots) > 2
    ]
    if len(same) != 1 or not _TOLD.isdisjoint(last.slots):
        return None
    start = min(said.start for said in last.slots.values())
    ends = [match.end() for match in CLAUSE.finditer(text[:start])]
    return _cut_at(ends[-1:], first) if ends and ends[-1] >= 8 else None


def unsettled(first: Opening, state: State) -> State:
    """The state with a doubt where a clause of second thoughts says something that came to nothing: what it takes back is open."""
    if not first.cuts or not state.lines:
        return state
    text = first.text
    cuts = [cut for cut in first.cuts if STRONG.match(first.lower, cut)]
    begun = first.begun(cuts[-1]) if 0 < len(cuts) <= _MOST_CUTS else None
    if begun is None or not begun[0].job.same_as(state.job):
        return state
    clause = read_message(text[cuts[-1] :], in_conversation=True, known=known_of(state))
    said = {slot: one.value for passage in clause.passages for slot, one in passage.slots.items()}
    removed = [passage.scope for passage in clause.passages if passage.action == "remove" and passage.scope]
    gone = {number for scope in removed for number in lines_named(scope, state.lines)}
    if gone:
        lines = tuple([_all_doubted(line) if n in gone else line for n, line in enumerate(state.lines)])
        return replace(state, now=state.now.with_job(replace(state.job, lines=lines)))
    number = len(state.lines) - 1
    slots = dict(state.lines[number].slots)
    open_to = [
        slot
        for slot, value in said.items()
        if slot in slots and value is not None and value != slots[slot].value
    ]
    if not open_to:
        return state
    for slot in open_to:
        slots[slot] = replace(slots[slot], others=(said[slot],), why=_OPEN, margin=1.0)
    lines = (*state.lines[:number], replace(state.lines[number], slots=slots))
    return replace(state, now=state.now.with_job(replace(state.job, lines=lines)))


def _all_doubted(line: Line) -> Line:
    """The line with a doubt on everything: it may not be wanted."""
    slots = {
        slot: one if one.others else replace(one, others=(None,), why=_OPEN, margin=1.0)
        for slot, one in line.slots.items()
    }
    return replace(line, slots=slots)


_OPEN: Final = "something is taken back, and what is not plain"
_TOLD: Final = frozenset({"source", "watts", "lamps", "size", "lamp_feet"})


def _cut_at(cuts: list[int], first: Opening) -> tuple[State, Message] | None:
    told: tuple[State, Message] | None = None
    if not cuts:
        return None
    text, at = first.text, cuts[0]
    for end in (*cuts[1:], len(text)):
        begun = told or first.begun(at)
        further = _taken_back(begun[0], begun[1], text, at, end, first.turn) if begun is not None else None
        if further is None and told is not None:
            return None
        told = further
        at = end
    return told


def _begun(text: str, turn: int, max_bytes: int) -> tuple[State, Message] | None:
    message = read_message(text, max_bytes=max_bytes)
    state = fold(EMPTY, message, turn)
    if message.intent != "quote" or message.command is not None or state.empty:
        return None
    if any("qty" not in line.slots for line in state.lines):
        return None  # the types are told in full later
    return state, message


def _taken_back(
    state: State, before: Message, text: str, at: int, end: int, turn: int
) -> tuple[State, Message] | None:
    """The state and the message with the clause from ``at`` to ``end``; ``None`` where it doesn't plainly take something back."""
    clause = _anew(read_message(text[at:end], in_conversation=True, known=known_of(state)), state)
    if not clause.passages and not clause.job and NOTHING_INSTEAD.match(text[at:end].lower()):
        clause = _without_last(clause, state, at, end - at)
    if INSTEAD.search(text[at:end].lower()):
        clause = _in_place_of_last(clause, state)
    if clause.command == "undo" and clause.passages:
        clause = replace(clause, command=None)  # "I take that back, it's 480"
    if clause.intent != "revise" or clause.command is not None:
        return None
    if any(char.isdigit() for start, stop in clause.unread for char in text[at + start : at + stop]):
        return None
    if (clause.reply is not None and clause.reply.kind != "no") or not (clause.passages or clause.job):
        return None
    spanish = "es" in (before.language, clause.language)
    if spanish and text[at : at + 3].lower() == "no " and text[at + 3 : at + 4].isdigit():
        return None  # "14 reflectores, no 12" denies the second
    if not all(_plain(passage, state) for passage in clause.passages):
        return None
    placed = as_sent(clause, list(range(at, end)), end)
    after = fold(state, placed, turn)
    if after.unplaced or (state.lines and not after.lines):
        return None
    if any(passage.action == "state" for passage in clause.passages) and not _restated(state, after, clause):
        return None
    if not _takes_back(state.job, after.job) and not (
        BY_NAME.match(text[at:end].lower()) and _only_denies(clause)
    ):
        return None
    after = replace(after, history=state.history)
    return after, _together(before, placed)


_NEAR: Final = 40
_OF_THE_KIND: Final = frozenset({"qty", "family", "source", "watts", "size", "lamps", "lamp_feet"})


def _without_last(clause: Message, state: State, at: int, length: int) -> Message:
    """The clause as one that takes back what was said last, a figure of the job or what a type should have: "..., scratch that"."""
    places = [(one.span[2], slot, -1) for slot, one in state.job.slots.items() if one.span is not None]
    for number, line in enumerate(state.lines):
        places += [(one.span[2], slot, number) for slot, one in line.slots.items() if one.span is not None]
    end, slot, number = max(places)
    if at - end > _NEAR or slot in _OF_THE_KIND:
        return clause
    nothing = {slot: Said(None, 0, length, rule="taken back")}
    if number < 0:
        return replace(clause, intent="revise", job=nothing, unread=())
    scope = Scope("ordinal", 0, length, ordinal=number)
    return replace(clause, intent="revise", passages=(Passage("change", nothing, scope),), unread=())


def _in_place_of_last(clause: Message, state: State) -> Message:
    """The clause with the type described last gone, where another stands instead: "no you know what, 10 sconces instead"."""
    families = {value_of(line, "family") for line in state.lines}
    told = [passage for passage in clause.passages if passage.action == "state"]
    if len(told) != 1 or len(clause.passages) != 1 or clause.intent != "quote":
        return clause
    slots = told[0].slots
    if not {"family", "qty"} <= slots.keys() or slots["family"].value in families or told[0].labels:
        return clause
    start = slots["family"].start
    gone = Passage("remove", {}, Scope("ordinal", start, start, ordinal=len(state.lines) - 1))
    return replace(clause, intent="revise", passages=(gone, told[0]))


def _plain(passage: Passage, state: State) -> bool:
    """Whether a part of the clause says which types it is about, and what becomes of them."""
    if passage.action == "add" and passage.more and passage.scope is not None:
        return passage.slots.keys() == {"qty"}  # "add 2 to the bollards"
    if passage.action not in _ACTIONS or passage.more or passage.same or passage.too:
        return False
    if passage.action == "state":
        return "family" in passage.slots and "qty" in passage.slots
    if passage.scope is not None:
        return True
    if len(state.lines) > 1:
        return all(said.instead_of is not None for said in passage.slots.values())
    there = state.lines[0].slots if state.lines else {}
    return all(
        not said.rule.startswith("bare") or slot not in there or _nearest(there, slot, said.value)
        for slot, said in passage.slots.items()
    )


def _nearest(there: Mapping[str, Held], slot: str, value: Any) -> bool:
    """Whether of all figures that stand a bare one is nearest in size to the one whose place it takes."""
    far = {
        name: abs(math.log(value / held.value))
        for name, held in there.items()
        if isinstance(held.value, (int, float)) and held.value > 0 < value
    }
    if slot == "qty" and sorted(str(value)) == sorted(str(there[slot].value)):
        return True  # two figures changed places
    return slot in far and far[slot] < _LIKE and far[slot] == min(far.values())


def _anew(clause: Message, state: State) -> Message:
    """The clause with a type that it counts again as a change of it: "sorry, 15 wall packs"; what is said again needs no swap."""
    out = []
    grown = False
    for passage in clause.passages:
        said = passage.slots
        more = [
            line
            for line in state.lines
            if "family" in said and value_of(line, "family") == said["family"].value
        ]
        if (
            passage.action == "add"
            and said.keys() == {"family", "qty"}
            and len(more) == 1
            and not passage.labels
        ):
            scope = Scope(
                "family", said["family"].start, said["family"].end, families=(said["family"].value,)
            )
            out.append(Passage("add", {"qty": said["qty"]}, scope, more=True))
            grown = True
            continue
        family = (
            said["family"].value if passage.action == "state" and {"family", "qty"} <= said.keys() else None
        )
        lines = [line for line in state.lines if family and value_of(line, "family") == family]
        if len(lines) == 1 and not passage.labels and passage.scope is None and not passage.more:
            there = lines[0].slots
            other = any(
                slot in said and slot in there and said[slot].value != there[slot].value for slot in _KIND
            )
            was, now = value_of(lines[0], "qty"), said["qty"].value
            alike = was is not None and 1 / _AGAIN <= now / was <= _AGAIN
            if alike and (not other or was == now):
                scope = Scope(
                    "family", said["family"].start, said["family"].end, families=(said["family"].value,)
                )
                rest = {slot: one for slot, one in said.items() if slot != "family"}
                passage = Passage("change", rest, scope)
        out.append(passage)
    if not grown and all(one is two for one, two in zip(out, clause.passages, strict=True)):
        return clause
    kept = [passage for passage in out if passage.action != "swap"]
    return replace(
        clause, intent="revise" if clause.intent == "quote" else clause.intent, passages=tuple(kept)
    )


def _restated(old: State, new: State, clause: Message) -> bool:
    """Whether the types that the clause describes are said again, or are of families that were not spoken of before."""
    families = {line.slots["family"].value for line in old.lines if "family" in line.slots}
    fresh = sum(
        passage.action == "state" and passage.slots["family"].value not in families
        for passage in clause.passages
    )
    gone = sum(passage.action == "remove" and "qty" not in passage.slots for passage in clause.passages)
    return len(new.lines) + gone == len(old.lines) + fresh


def _only_denies(clause: Message) -> bool:
    """Whether the clause says of nothing but what is not wanted, which may never have been said: "never mind the motion sensors"."""
    said = [*clause.job.values(), *[said for passage in clause.passages for said in passage.slots.values()]]
    return bool(said) and all(one.value is None for one in said)


def _takes_back(old: JobState, new: JobState) -> bool:
    """Whether something that was said before does not stand any more."""
    if len(new.lines) < len(old.lines):
        return True
    pairs = zip(
        [old.slots, *[line.slots for line in old.lines]],
        [new.slots, *[line.slots for line in new.lines]],
        strict=False,
    )
    return any(
        slot not in after or after[slot].value != held.value
        for before, after in pairs
        for slot, held in before.items()
    )


def _together(first: Message, clause: Message) -> Message:
    return replace(
        first,
        passages=(*first.passages, *clause.passages),
        job={**first.job, **clause.job},
        unread=(*first.unread, *clause.unread),
        faults=(*first.faults, *clause.faults),
        risk=first.risk + clause.risk,
    )
