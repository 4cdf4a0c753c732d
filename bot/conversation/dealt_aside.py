"""A first message with a stretch that deals values to the types that the rest of it describes: "6 floods, 9 packs. floods 480, packs 277".

The rest is read as if the stretch were not there, and the stretch as one more message of the conversation. It is read so strictly
(`bot.reading.by_turns`) that nothing else need be looked at: each of its words is a subject, a value or a word between the two.
"""

from typing import Final

from bot.conversation.description import FEWEST, LONGEST, described, with_clauses
from bot.conversation.known import known_of
from bot.conversation.state import State
from bot.reading.message import Message
from bot.reading.reader import dealing_asides, dealt_by_turns
from bot.reading.spaced import as_sent

_SHORTEST: Final = 20


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
    if not _SHORTEST <= len(text) <= LONGEST or "\t" in text or "|" in text:
        return None
    if len(whole.passages) < FEWEST or not any("qty" in passage.slots for passage in whole.passages):
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
    told = described(before + joint + text[behind:], kept, len(text), turn, max_bytes)
    if told is None:
        return None
    state, message = told
    if text[len(before) : start] == " " and _share_a_name(state):
        return None  # the name at the end may have been cut off
    clause = dealt_by_turns(text[start:end], known_of(state), least)
    if clause is None:
        return None
    return with_clauses(state, message, as_sent(clause, list(range(start, end)), end), turn)


def _share_a_name(state: State) -> bool:
    """Whether one luminaire word names two types."""
    spans = [line.slots["family"].span for line in state.lines if "family" in line.slots]
    return len(set(spans)) < len(spans)
