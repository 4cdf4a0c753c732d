"""A first message with a stretch that deals values to the types that the rest of it describes: "6 floods, 9 packs. floods 480, packs 277".

The rest is read as if the stretch were not there, and the stretch as one more message of the conversation. It is read so strictly
(`bot.reading.by_turns`) that nothing else need be looked at: each of its words is a subject, a value or a word between the two.
"""

from dataclasses import replace
from typing import Final

from bot.conversation.fold import fold
from bot.conversation.known import known_of
from bot.conversation.state import EMPTY, State
from bot.reading import read_message
from bot.reading.message import Message
from bot.reading.reader import dealing_asides, dealt_by_turns
from bot.reading.spaced import as_sent

_NAMES: Final = frozenset({"family", "size"})
_FEWEST: Final = 2
_SHORTEST: Final = 20
_LONGEST: Final = 700
"""The longest text that is cut [characters]: a long one is a description with its own order."""


def dealt_aside(
    text: str, whole: Message, read: State, turn: int, max_bytes: int
) -> tuple[State, Message] | None:
    """The state after the message, and the message; ``None`` where no stretch of it plainly deals.

    Args:
        text: as sent.
        whole: the message as it was read in one piece.
        read: the state after it.
        turn: its number.
        max_bytes: the longest text that is read [bytes of UTF-8].
    """
    if not _SHORTEST <= len(text) <= _LONGEST or "\t" in text or "|" in text:
        return None
    if len(whole.passages) < _FEWEST or not any("qty" in passage.slots for passage in whole.passages):
        return None
    known = None if _left_out(text, whole) else known_of(read)
    for start, end, least in dealing_asides(text):
        if known is not None and dealt_by_turns(text[start:end], known, least) is None:
            continue  # the types are known by now: the rest need not be read to see that nothing is dealt to them
        told = _without(text, start, end, least, turn, max_bytes)
        if told is not None:
            return told
    return None


def _left_out(text: str, whole: Message) -> bool:
    """Whether the message read in one piece left something out: a type without its count, or a figure."""
    return any("qty" not in passage.slots for passage in whole.passages) or any(
        char.isdigit() for start, end in whole.unread for char in text[start:end]
    )


def _without(
    text: str, start: int, end: int, least: int, turn: int, max_bytes: int
) -> tuple[State, Message] | None:
    before = text[:start].rstrip(" -:,\n") if start else ""
    behind = end + len(text[end:]) - len(text[end:].lstrip(" -:,.;\n"))
    joint = "\n" if before and behind < len(text) else ""
    kept = [*range(len(before)), *([len(before)] if joint else []), *range(behind, len(text))]
    described = read_message(before + joint + text[behind:], max_bytes=max_bytes)
    if described.intent != "quote" or described.command is not None:
        return None
    described = as_sent(described, kept, len(text))
    state = fold(EMPTY, described, turn)
    if len(state.lines) < _FEWEST or any(
        "qty" not in line.slots or _NAMES.isdisjoint(line.slots) for line in state.lines
    ):
        return None
    if text[len(before) : start] == " " and _share_a_name(state):
        return None  # the name at the end may have been cut off
    clause = dealt_by_turns(text[start:end], known_of(state), least)
    if clause is None:
        return None
    clause = as_sent(clause, list(range(start, end)), end)
    after = fold(state, clause, turn)
    if after.unplaced or len(after.lines) != len(state.lines):
        return None
    for old, new in zip(state.lines, after.lines, strict=True):
        if any(
            slot not in new.slots or new.slots[slot].value != held.value for slot, held in old.slots.items()
        ):
            return None  # the clauses only add to what is described
    both = replace(described, passages=(*described.passages, *clause.passages))
    return replace(after, history=state.history), both


def _share_a_name(state: State) -> bool:
    """Whether one luminaire word names two types."""
    spans = [line.slots["family"].span for line in state.lines if "family" in line.slots]
    return len(set(spans)) < len(spans)
