"""A first message that takes back what it said: "6 wallpacks, 2 floods. Scratch the floods", "5 packs and 4 floods, I have that backwards".

What is taken back is said of types that stand already, as in a later message: the opening is cut where a clause of second thoughts
begins, and the clause is read and folded as one more message of the conversation. Three things must be plain, else the message is read
in one piece: that something is taken back (a cue), what it is (every part of it finds its type), and what stands instead.
"""

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Final

from bot.conversation.fold import fold
from bot.conversation.known import known_of
from bot.conversation.scope import value_of
from bot.conversation.state import EMPTY, Held, JobState, State
from bot.reading import read_message
from bot.reading.late import Late
from bot.reading.message import Message, Passage, Scope
from bot.reading.said_instead import said_instead
from bot.reading.spaced import as_sent

_LONGEST: Final = 700
"""The longest text that is cut [characters]: a long one is a description with its own order."""
_MOST_CUTS: Final = 4
_LEAD = r"(?:(?:oh|and|ok|okay|but|well|so|hmm+|also|ah|eh|uh|um|y|o|pero|bueno|oye)[ ,]+){0,3}"
_THOSE = r"(?:those|them|em|'em|it|that|these|eso|esos|esas)"
_GOES = r"(?:forget(?: about)?|drop|skip|ignore|disregard|lose|cancel|remove|delete|scrap|omit|exclude|nix|dont do|don't do|dont price|don't price|dont quote|don't quote)"
_DROPS = (
    rf"(?:{_GOES} {_THOSE}|(?:leave|take|pull|keep) {_THOSE} (?:off|out|fuera))(?![a-z])(?! (?:alone|be))"
)
_CUE: Final = (
    rf"(?!{_DROPS})"
    r"(?:no|nope|nah|wait|actually|sorry|i (?:mean|meant|lied|take)|meant|scratch|strike|oops|whoops|correction|rather|perdon|digo|mejor|miento|hold on|hang on|"
    r"forget|never ?mind|nvm|nix|drop|skip|ignore|disregard|lose|cancel|remove|delete|scrap|omit|exclude|leave (?:out|off)|take (?:out|off)|"
    r"(?:only|just)(?= (?:do |price |quote |need |want )?(?:the |those |\d))|(?:price|quote|do|keep|bid) (?:only|just)(?= (?:the |those ))|make (?:it|that|them|the)|everything (?:but|except)|all (?:but|except)|except|"
    r"(?:don'?t|do not|not) (?:need|want|do|price|quote|include|count|bother|the)|"
    r"(?:bump|raise|lower|change|up|set|put|reduce|increase|cut) the|"
    r"i (?:have|had|got) (?:that|those|it|them)|(?:other way|swap|switch|flip|reverse)|on second thought|my bad|excuse me|edit|recount|turns out|(?:its|it's|they'?re|that'?s|thats|it is|they are|there'?s|theyre) (?:really|actually|wrong|only|more like|not)|"
    r"(?:the |our |los |las |el |la )?[a-z0-9][a-z0-9 ]{2,28} (?:stay|stays|belongs?|(?:is|are) (?:out|off|staying|gone|really|actually|not|wrong|more like|only)|aren'?t|isn'?t|can wait|should be|should have been|ya no|no van|miscounted)|theres? really|that should|(?:take|knock|add|minus|less) (?=\d|one|two|three|four|the )|don'?t (?:worry|bother)|[a-z ]{3,24} (?:got|was|were|has been) (?:cut|cancel+ed|pulled)|"
    r"quita\w{0,3}|olvida\w{0,3}|borra\w{0,3}|saca\w{0,3}|solo|nomas|solamente|ya no|siempre no|menos|wrong|take (?:that|it) back|without)(?![a-z])"
)
_CUT = Late(
    rf"[.;!\n][.;!\n ]*(?=[^.;!?\n]{{4,60}}?(?:,| so| and|y)? {_DROPS})"
    rf"|(?:[.;!\n][.;!\n ]*(?![0-9])|, ?| ?-+>? | ?\( ?)(?={_LEAD}(?:{_CUE}|[^.;!?\n,]{{4,40}} (?:actually|instead|sorry|my mistake|my bad|after all)[ .!)]*(?:$|[.;,!\n])))"
)
_BY_NAME = Late(rf"{_LEAD}(?:forget|never ?mind|nvm|scratch|strike|ignore|disregard|olvida)")
_KIND: Final = ("source", "watts", "size", "lamp_feet", "height_ft", "lamps")
_LIKE: Final = 0.5
"""How far the logarithms of a figure and of the one that it takes the place of may lie apart, where it has no unit."""
_AGAIN: Final = 3.0
"""How many times as many, or as few, a type may count that is counted again."""
_ACTIONS: Final = frozenset({"change", "remove", "split", "swap", "move", "state"})


def opening(text: str, turn: int, max_bytes: int) -> tuple[State, Message] | None:
    """The state after a first message that takes back what it said, and the message; ``None`` where it is read in one piece."""
    if not 12 <= len(text) <= _LONGEST or said_instead(text, text.lower()) is not None:
        return None
    cuts = [match.end() for match in _CUT.finditer(text.lower()) if match.end() >= 8]
    if not cuts or len(cuts) > _MOST_CUTS or len(text.lower()) != len(text):
        return None
    told: tuple[State, Message] | None = None
    at = cuts[0]
    for end in (*cuts[1:], len(text)):
        begun = told or _begun(text[:at], turn, max_bytes)
        further = _taken_back(*begun, text, at, end, turn) if begun is not None else None
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
    if clause.command == "undo" and clause.passages:
        clause = replace(clause, command=None)  # "I take that back, it's 480"
    if clause.intent != "revise" or clause.command is not None or clause.unread:
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
        _BY_NAME.match(text[at:end].lower()) and _only_denies(clause)
    ):
        return None
    after = replace(after, history=state.history)
    return after, _together(before, placed)


def _plain(passage: Passage, state: State) -> bool:
    """Whether a part of the clause says which types it is about, and what becomes of them."""
    if passage.action not in _ACTIONS or passage.more or passage.same or passage.too:
        return False
    if passage.action == "state":
        return "family" in passage.slots and "qty" in passage.slots
    if passage.scope is not None:
        return True
    if len(state.lines) > 1:
        return False
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
    return slot in far and far[slot] < _LIKE and far[slot] == min(far.values())


def _anew(clause: Message, state: State) -> Message:
    """The clause with a type that it counts again as a change of it: "sorry, 15 wall packs"; what is said again needs no swap."""
    out = []
    for passage in clause.passages:
        said = passage.slots
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
    if all(one is two for one, two in zip(out, clause.passages, strict=True)):
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
