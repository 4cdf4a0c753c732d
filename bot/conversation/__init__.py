"""The conversation as a fold: state' = fold(state, message). Undo is the state before."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from bot.conversation.dealt_aside import dealt_aside
from bot.conversation.description import joined
from bot.conversation.effect import intent_by_effect
from bot.conversation.fold import fold
from bot.conversation.in_place import in_place
from bot.conversation.known import known_of
from bot.conversation.second_thoughts import Opening, opening, told_again, unsettled
from bot.conversation.state import EMPTY, State
from bot.conversation.told_beforehand import told_first
from bot.conversation.whole import reading_of
from bot.reading import read_message
from bot.reading.message import Message
from bot.reading.shape import Reading
from bot.reading.text import MAX_BYTES
from bot.reading.to_the_question import answer_in

__all__ = ["EMPTY", "State", "fold", "read_turn", "read_turns", "reading_of"]


def read_turn(
    state: State, text: str, turn: int, asked: str | None = None, max_bytes: int = MAX_BYTES
) -> tuple[State, Reading]:
    """Reads one more message: the state after it, and the whole of it as a reading.

    Args:
        state: before the message; `EMPTY` before the first.
        text: as sent.
        turn: its number, 0 for the first.
        asked: the slot that our question before was about, if we asked one.
        max_bytes: the longest text that is read [bytes of UTF-8].
    """
    after, message = _taken(state, text, turn, asked, max_bytes)
    return after, reading_of(after, message, turn)


def _taken(state: State, text: str, turn: int, asked: str | None, max_bytes: int) -> tuple[State, Message]:
    """The state after a message, and the message as it was read."""
    first = Opening(text, turn, max_bytes) if state.empty and asked is None else None
    if first is not None and (told := opening(first)) is not None:
        return told
    known = known_of(state)
    if asked is not None:
        end = answer_in(text, asked, known, max_bytes)
        if not end:
            asked = None
        elif (
            end < len(text)
            and (both := _answer_and_more(state, text, turn, asked, end, max_bytes)) is not None
        ):
            return both
    message = read_message(
        text, asked=asked, in_conversation=not state.empty, known=known, max_bytes=max_bytes
    )
    if first is None and asked is None:
        message = in_place(text, message, state)
    if message.asked != asked:
        message = replace(message, asked=asked)
    after = fold(state, message, turn)
    if first is not None and message.intent == "quote":
        told = (
            dealt_aside(text, message, after, turn, max_bytes)
            or told_again(first, message)
            or told_first(text, message, turn, max_bytes)
        )
        if told is not None:
            return told
        after = unsettled(first, after)
    intent = intent_by_effect(state, after, message)
    if intent != message.intent:
        message = replace(message, intent=intent)
    return after, message


def _answer_and_more(
    state: State, text: str, turn: int, asked: str, end: int, max_bytes: int
) -> tuple[State, Message] | None:
    """An answer with more behind it ("277. also 4 floods"), taken as two messages; ``None`` where the second is a command.

    Args:
        state: before the message.
        text: as sent.
        turn: its number.
        asked: the slot that the question was about.
        end: where the answer ends [characters].
        max_bytes: the longest text that is read [bytes of UTF-8].
    """
    between, answer = _taken(state, text[:end], turn, asked, max_bytes)
    # blanks in its place, so that what is behind it stays where it was sent
    after, more = _taken(between, " " * end + text[end:], turn, None, max_bytes)
    if more.command not in (None, "new_job"):
        return None
    whole = joined(more, answer, more, {**answer.job, **more.job})
    if more.intent in _SAYS_LITTLE or answer.intent == "quote":
        whole = replace(whole, intent=answer.intent)
    # one message is one step for whoever undoes it
    steps = tuple([step for step in after.history if step is not between.now or step is state.now])
    return replace(after, history=steps), whole


_SAYS_LITTLE: Final = frozenset({"other", "greet", "accept"})


def read_turns(turns: Sequence[tuple[str, str | None]]) -> list[Reading]:
    """The readings of a conversation: one a turn, each the whole state after it.

    Args:
        turns: (text, the slot that had been asked about or ``None``).
    """
    state, readings = EMPTY, []
    for number, (text, asked) in enumerate(turns):
        state, reading = read_turn(state, text, number, asked)
        readings.append(reading)
    return readings
