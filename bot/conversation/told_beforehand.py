"""A first message that tells of its types before it counts them, or of the places where they hang: "floods at 30 ft, packs at 12: 6 floods, 9 packs".

Such clauses speak of types as a later message would, so they are read as one: the description is read first, and what stands
before it (or behind, where only places are named) is folded as one more message of the conversation. Two things must be plain, else
the message is read in one piece: which types each part of the clauses is about, and that it counts and describes nothing new.
"""

import re
from typing import Final

from bot.conversation.description import FEWEST, LONGEST, described, with_clauses
from bot.conversation.known import known_of
from bot.conversation.state import State
from bot.reading import read_message
from bot.reading.message import Message, Passage
from bot.reading.spaced import as_sent
from bot.reading.table import find_tables
from bot.reading.words import words_of

_MARK: Final = re.compile(r"[.:;,\n!-] ?")
_SENTENCE: Final = re.compile(r"[.:;\n](?= |\n|$) ?")
_WORD: Final = re.compile(r"[a-z]+")
_PLACES: Final = words_of(
    "pole poles building bldg lot wall walls inside outside indoor indoors outdoor outdoors interior exterior shop office warehouse plant gym yard garage"
)
_BY_LAMP: Final = re.compile(
    r"(?<![a-z0-9])(?:\d{2,4}'?s|thousands?|hundreds|halides|sodiums|ones)(?![a-z0-9])"
)
_LONE_PLACE: Final = re.compile(
    r"(?:and |but |y )?(?:all )?(?:the |our |los |las |el )?(?:poles?|lot|parking lot|(?P<building>building|bldg)(?! [a-h\d]{1,2} )|(?:building|bldg|lot|wing|level|floor) [a-h\d]{1,2}|walls?|outside|inside|shop|office|warehouse|plant|gym|yard|garage"
    r"|postes?|annex|barn|church|school|lobby|kitchen|hall|dock|(?:north|south|east|west|front|back|rear|main|old|new) (?:building|bldg|lot|side|wing|shop|barn|wall))(?: ones| lights| heads)? (?:is|are|r|=|gets?|needs?|have|has|runs?|should be|at|son|es|estan) "
)
_HEADS: Final = frozenset({"area", "street", "post_top"})
_OTHERS: Final = words_of(
    "rest other others else remaining first second last former latter item items all both everything"
)
_ON_THE: Final = (" on the ", " for the ", " on those ")
_MOST_CUTS: Final = 3
_SCOPES: Final = frozenset({"family", "ordinal", "others", "all"})
_NEW: Final = frozenset({"qty", "family", "size"})
_LAMP: Final = frozenset({"source", "watts", "lamps", "lamp_feet", "input_watts", "price_now"})
_SHORTEST: Final = 12
_SHORT: Final = 2


def told_first(text: str, whole: Message, turn: int, max_bytes: int) -> tuple[State, Message] | None:
    """The state after a first message that tells of its types before or after their description, and the message.

    Args:
        text: as sent.
        whole: the message as it was read in one piece.
        turn: its number.
        max_bytes: the longest text that is read [bytes of UTF-8].

    Returns:
        ``None`` where the message is better read in one piece.
    """
    if not 20 <= len(text) <= LONGEST or not whole.passages or "\t" in text or "|" in text:
        return None
    counted = [passage for passage in whole.passages if "qty" in passage.slots]
    if not counted:
        return None
    lower = text.lower()
    if "\n" in text and find_tables(lower):
        return None
    cuts = _cuts(lower, min(passage.slots["qty"].start for passage in counted), whole)
    for cut in cuts:
        if not _several(counted, cut, len(text)):
            continue
        told = _folded(text, (cut, len(text)), (0, cut), turn, max_bytes)
        if told is not None and (_of_two(told[1], 0, cut) or _LAMP.isdisjoint(_told(told[1], 0, cut))):
            return told
    if cuts:
        return None
    counted = _named_once(counted)
    if len(counted) < FEWEST:
        return None
    for cut in _cuts_behind(lower, counted, whole):
        if not _several(counted, 0, cut):
            continue
        told = _folded(text, (0, cut), (cut, len(text)), turn, max_bytes)
        if told is None:
            continue
        slots = _told(told[1], cut, len(text))
        lone = _of_one_place(lower, cut, counted)
        if not _tells_no_less(told[0], counted, cut if lone else len(text)):
            continue
        if lone and _LAMP.isdisjoint(slots):
            return told
        two = _of_two(told[1], cut, len(text)) and len(set(slots)) < len(slots)
        if _LAMP.isdisjoint(slots) and (two or lower[cut] == " "):
            return told
    return None


def _several(counted: list[Passage], start: int, end: int) -> bool:
    """Whether types are counted from ``start`` to ``end``, so that reading these characters by themselves may find several."""
    return sum(start <= passage.slots["qty"].start < end for passage in counted) >= FEWEST


def _said_in(message: Message, start: int, end: int) -> list[Passage]:
    """The parts of a message that point at types from ``start`` to ``end``."""
    return [p for p in message.passages if p.scope is not None and p.slots and start <= p.scope.start < end]


def _told(message: Message, start: int, end: int) -> list[str]:
    return [slot for passage in _said_in(message, start, end) for slot in passage.slots]


def _of_two(message: Message, start: int, end: int) -> bool:
    """Whether clauses tell of more than one type, each by its name or place."""
    return len(_said_in(message, start, end)) >= FEWEST


def _named_once(counted: list[Passage]) -> list[Passage]:
    """The types counted, without what has no name of its own behind them: "12 heads and 6 packs, 480 in the lot" counts two."""
    out: list[Passage] = []
    seen: set[int] = set()
    for passage in counted:
        family = passage.slots.get("family")
        if family is not None:
            if family.start in seen and passage.slots["qty"].start > family.end:
                continue
            seen.add(family.start)
        out.append(passage)
    return out


def _tells_no_less(state: State, counted: list[Passage], end: int) -> bool:
    """Whether the types are told as much of, up to ``end``, as where the message was read in one piece."""
    before = sum(said.start < end for passage in counted for said in passage.slots.values())
    return sum(len(line.slots) for line in state.lines) >= before


def _cuts(lower: str, first: int, whole: Message) -> list[int]:
    """Where the description may begin: before the first count, or at the end of a sentence whose types are named again behind it."""
    marks = [match.end() for match in _MARK.finditer(lower, 0, first)] if first > _SHORTEST else []
    cuts = {marks[-1]} if marks else set()
    if (again := _named_again(whole)) and (end := _SENTENCE.search(lower, _SHORTEST, again)) is not None:
        cuts.add(end.end())
    return sorted(cut for cut in cuts if _tells(lower[:cut], whole))


def _named_again(whole: Message) -> int:
    """Where the first type stands that is described a second time; 0 where there is none."""
    seen: set[str] = set()
    for passage in whole.passages:
        if (family := passage.slots.get("family")) is None:
            continue
        if family.value in seen:
            return min(said.start for said in passage.slots.values())
        seen.add(family.value)
    return 0


def _tells(before: str, whole: Message) -> bool:
    """Whether what stands before a description may tell of its types: a type or a place is named there, and a value."""
    slots = [
        slot for passage in whole.passages for slot, said in passage.slots.items() if said.start < len(before)
    ]
    told = any(char.isdigit() for char in before) or any(slot not in _NEW for slot in slots)
    return told and ("family" in slots or not _PLACES.isdisjoint(_WORD.findall(before)))


def _cuts_behind(lower: str, types: list[Passage], whole: Message) -> list[int]:
    """Where clauses may begin that tell of the types again behind their description: by name, by place, or as the rest."""
    counted = max(
        max(passage.slots[slot].end for slot in ("qty", "family") if slot in passage.slots)
        for passage in types
    )
    names = {
        lower[said.start : said.end].split()[-1].rstrip("s")
        for passage in whole.passages
        for slot, said in passage.slots.items()
        if slot == "family"
    }
    cuts = _run_on(lower, counted, names, whole)
    for mark in _MARK.finditer(lower, counted):
        behind = lower[mark.end() :]
        if not any(char.isalpha() for char in behind) or len(cuts) == _MOST_CUTS:
            break
        said = frozenset(_WORD.findall(behind))
        meant = len(said & _PLACES) + len(said & _OTHERS)
        meant += sum([name in behind for name in names if len(name) > _SHORT])
        meant += _BY_LAMP.search(behind) is not None
        if meant < FEWEST and not _of_one_place(lower, mark.end(), types):
            break  # further on there are no more
        cuts.append(mark.end())
    return cuts


def _of_one_place(lower: str, at: int, types: list[Passage]) -> bool:
    """Whether a clause tells of what hangs in one place; a building where nothing hangs on poles is the whole job."""
    match = _LONE_PLACE.match(lower, at)
    if match is None:
        return False
    heads = any(passage.slots["family"].value in _HEADS for passage in types if "family" in passage.slots)
    return heads or match["building"] is None


def _run_on(lower: str, counted: int, names: set[str], whole: Message) -> list[int]:
    """Where the description ends, if no mark parts it from what is said on one of its types: "6 floods 400 mh dimming on the cans"."""
    pointed = min(
        (at for name in names for lead in _ON_THE if (at := lower.find(lead + name, counted)) > 0),
        default=0,
    )
    if not pointed:
        return []
    ends = [
        said.end
        for passage in whole.passages
        for slot, said in passage.slots.items()
        if (slot in _LAMP or slot in _NEW) and said.end <= pointed
    ]
    cut = max(ends, default=0)
    return [cut] if cut > counted - 1 and lower[cut : cut + 1] == " " else []


def _folded(
    text: str, span: tuple[int, int], aside: tuple[int, int], turn: int, max_bytes: int
) -> tuple[State, Message] | None:
    first, last = span
    told = described(text[first:last], range(first, last), last, turn, max_bytes)
    if told is None:
        return None
    state, message = told
    clause = read_message(text[aside[0] : aside[1]], in_conversation=True, known=known_of(state))
    if not _points_only(clause, text[aside[0] : aside[1]]):
        return None
    return with_clauses(state, message, as_sent(clause, list(range(*aside)), aside[1]), turn)


def _points_only(clause: Message, text: str) -> bool:
    """Whether clauses only tell of types that they name, leave no figure unread and describe nothing new."""
    if clause.command is not None or clause.reply is not None or clause.intent not in ("revise", "quote"):
        return False
    if any(char.isdigit() for start, end in clause.unread for char in text[start:end]):
        return False
    for passage in clause.passages:
        if passage.action != "change" or passage.scope is None or passage.scope.kind not in _SCOPES:
            return False
        if not passage.slots or not _NEW.isdisjoint(passage.slots) or passage.more or passage.same:
            return False
    return any(passage.scope is not None and passage.scope.kind != "all" for passage in clause.passages)
