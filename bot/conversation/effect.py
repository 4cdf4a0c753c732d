"""What a message turned out to want, told by what it did: a type that joined the job is quoted, a change of what was there revises."""

from bot.conversation.short_answers import Asked
from bot.conversation.state import JobState, State
from bot.reading.message import Message
from engine.vocabulary import Intent


def intent_by_effect(before: State, after: State, message: Message) -> Intent:
    """The intent of a message in a conversation: the reader's own, but quote or revise by what the fold made of it.

    Args:
        before: the state that the message met.
        after: the state that it left.
        message: as read, with the slot that had been asked about.
    """
    if message.intent not in ("quote", "revise") or message.command is not None or before.empty:
        return message.intent
    if _answers(message):
        return "quote"
    old, new = before.job, after.job
    if new.same_as(old):
        return message.intent
    back = any(passage.action == "restore" for passage in message.passages)
    return "quote" if _only_grew(old, new) and not back else "revise"


def _answers(message: Message) -> bool:
    """Whether the message gives what was asked for."""
    asked = Asked.of(message.asked)
    if not asked.part:
        return False
    if message.reply is not None and message.reply.kind != "unknown":
        return True
    if asked.part == "job":
        return asked.slot in message.job
    return any(asked.slot in passage.slots for passage in message.passages)


def _only_grew(old: JobState, new: JobState) -> bool:
    """Whether types joined and those that were there say what they said."""
    count = len(old.lines)
    if len(new.lines) <= count:
        return False
    return JobState(new.slots, new.lines[:count], new.context).same_as(
        JobState(new.slots, old.lines, new.context)
    )
