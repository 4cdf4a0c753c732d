"""What a first message describes, read apart from clauses of it that only add to what is described.

Both ways of finding such clauses (`dealt_aside`, `told_beforehand`) read the description by itself and fold the clauses as one more message.
"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from bot.conversation.fold import fold
from bot.conversation.state import EMPTY, State
from bot.reading import read_message
from bot.reading.message import Message, Said
from bot.reading.spaced import as_sent

LONGEST: Final = 700
"""The longest text that is cut [characters]: a long one is a description with its own order."""
FEWEST: Final = 2
"""Types that are described at least."""
_NAMES: Final = frozenset({"family", "size"})


def described(
    text: str, kept: Sequence[int], length: int, turn: int, max_bytes: int
) -> tuple[State, Message] | None:
    """The state after a description, and its message; ``None`` where not every one of several types has its count and its name.

    Args:
        text: the description alone.
        kept: for each of its characters the place in the text as sent.
        length: of the text as sent.
        turn: the message's number.
        max_bytes: the longest text that is read [bytes of UTF-8].
    """
    message = read_message(text, max_bytes=max_bytes)
    if message.intent != "quote" or message.command is not None:
        return None
    message = as_sent(message, list(kept), length)
    state = fold(EMPTY, message, turn)
    if len(state.lines) < FEWEST:
        return None
    if any("qty" not in line.slots or _NAMES.isdisjoint(line.slots) for line in state.lines):
        return None
    return state, message


def with_clauses(state: State, message: Message, clauses: Message, turn: int) -> tuple[State, Message] | None:
    """The state and the message with the clauses, placed in the text as sent; ``None`` where they do more than add to the description."""
    after = fold(state, clauses, turn)
    if after.unplaced or len(after.lines) != len(state.lines) or not _stands(state, after):
        return None
    both = joined(message, message, clauses, {**clauses.job, **message.job})
    return replace(after, history=state.history), both


def joined(of: Message, first: Message, then: Message, job: dict[str, Said]) -> Message:
    """One of two parts of a text with all that both say; ``job`` is what they say of the job together."""
    return replace(
        of,
        passages=(*first.passages, *then.passages),
        job=job,
        unread=tuple(sorted((*first.unread, *then.unread))),
        faults=(*first.faults, *then.faults),
        risk=first.risk + then.risk,
    )


def _stands(before: State, after: State) -> bool:
    """Whether all that the description says still stands."""
    return all(
        slot in new.slots and new.slots[slot].value == held.value
        for old, new in zip(before.lines, after.lines, strict=True)
        for slot, held in old.slots.items()
    )
