"""Texts with two or three blanks where one would do: read as if there were one, the places given in the text as sent."""

import re
from dataclasses import replace

from bot.reading.message import Message, Passage, Said, Scope
from bot.reading.shape import Fault

_WIDE = re.compile(r"(?<=[^ \n]) {2,3}(?=[^ \n])")
"""A wider gap sets columns apart, and blanks that begin a line indent it."""


def single_spaced(folded: str) -> list[int] | None:
    """Which characters stay where gaps are made single; ``None`` where all are.

    >>> single_spaced("9  a")
    [0, 1, 3]
    """
    if "\n" in folded and len(_WIDE.findall(folded)) < folded.count(" ") // 3:
        return None  # some gaps are wide in lines below one another: columns of a schedule
    kept: list[int] = []
    last = 0
    for gap in _WIDE.finditer(folded):
        kept.extend(range(last, gap.start() + 1))
        last = gap.end()
    if not last:
        return None
    kept.extend(range(last, len(folded)))
    return kept


def _end(kept: list[int], end: int) -> int:
    return kept[end - 1] + 1 if end else 0


def _said(kept: list[int], slots: dict[str, Said]) -> dict[str, Said]:
    return {
        slot: replace(said, start=kept[said.start], end=_end(kept, said.end)) for slot, said in slots.items()
    }


def _scope(kept: list[int], scope: Scope | None) -> Scope | None:
    if scope is None:
        return None
    spots = tuple([kept[spot] for spot in scope.spots])
    return replace(scope, start=kept[scope.start], end=_end(kept, scope.end), spots=spots)


def _passage(kept: list[int], passage: Passage) -> Passage:
    return replace(
        passage,
        slots=_said(kept, passage.slots),
        scope=_scope(kept, passage.scope),
        other=_scope(kept, passage.other),
    )


def _fault(kept: list[int], fault: Fault) -> Fault:
    turn, start, end = fault.span
    return replace(fault, span=(turn, kept[start], _end(kept, end)))


def as_sent(message: Message, kept: list[int], length: int) -> Message:
    """The message with its places in the text as sent.

    Args:
        message: what was read of the characters ``kept``.
        kept: as `single_spaced` gave them.
        length: of the text as sent.
    """
    places = [*kept, length]
    reply = message.reply
    if reply is not None:
        reply = replace(reply, start=places[reply.start], end=_end(places, reply.end))
    return replace(
        message,
        passages=tuple([_passage(places, passage) for passage in message.passages]),
        job=_said(places, message.job),
        unread=tuple([(places[start], _end(places, end)) for start, end in message.unread]),
        faults=tuple([_fault(places, fault) for fault in message.faults]),
        reply=reply,
    )
