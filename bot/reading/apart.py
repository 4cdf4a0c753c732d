"""A message about a job that says two things of two types: each is read for itself, so that neither colours the other.

"mounting height on the packs is 18 ft and make the floods 7": as two messages both are plain, as one the 7 could be a height.
The message is cut only where every part names what it is about and nothing in it points across ("both", "the same", "sorry").
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import NamedTuple

from bot.reading.late import Late
from bot.reading.message import Message, Passage
from bot.reading.spaced import as_sent

_MOST = 400
"""The longest text that is cut [characters]: a talk's messages are short, and a long one is a description."""
_CUT = Late(
    r"(?P<sentence>[.;!?](?![0-9])[.!? ]*(?:(?:and|but|also|then|oh|plus|y|pero)(?: also)? (?=[a-z0-9]))?|\n+)"
    r"|,? (?:and|but|also|then|plus|y|pero)(?: also| then)? (?=[a-z0-9])|, (?=[a-z0-9])"
)
_ACROSS = Late(
    r"(?<![a-z])(?:each|respectively|same|too|as well|likewise|ditto|former|latter|every|either|neither|not the|except|but not|"
    r"mism[oa]s?|igual|tambien)(?![a-z])"
)
_CORRECTS = Late(
    r"[ ,]*(?:(?:oh|and|ok|but)[ ,]+)?(?:no|nope|wait|actually|sorry|i mean|i meant|meant|make (?:it|that|them)|scratch (?:that|it)|strike (?:that|it)|oops|correction|rather|perdon|digo|mejor|or|maybe|hold on|hmm|not)(?![a-z])"
)


class Part(NamedTuple):
    """A stretch of the text, and whether a sentence ends on both its sides."""

    start: int
    end: int
    sentence: bool


def parts_of(
    folded: str, read: Callable[[int, int], Message], named: Callable[[Passage], bool]
) -> Message | None:
    """What the message says, its parts read each for itself; ``None`` where it is read as a whole.

    Args:
        folded: the folded text.
        read: reads the characters from, to.
        named: whether a passage names the types that it is about.
    """
    if len(folded) > _MOST or _ACROSS.search(folded):
        return None
    spans = _spans(folded)
    if not 2 <= len(spans) <= 6:
        return None
    heard: dict[tuple[int, int], Message] = {}

    def alone(part: Part) -> Message | None:
        place = part.start, part.end
        if place not in heard:
            heard[place] = read(*place)
        return heard[place] if _stands_alone(heard[place], named, part.sentence) else None

    parts: list[Part] = []
    at = 0
    while at < len(spans):
        # the shortest stretch from here that stands alone; what stands alone with nothing belongs to what stood before it
        for last in range(at, min(at + 3, len(spans))):
            part = Part(spans[at].start, spans[last].end, spans[at].sentence and spans[last].sentence)
            here = alone(part)
            if here is None:
                continue
            before = alone(parts[-1]) if parts else None
            if not parts or (
                before is not None
                and not _takes_up(folded, part, before, here)
                and not _goes_on(folded, part, before, here)
            ):
                parts.append(part)
                at = last + 1
                break
        else:
            if not parts:
                if at + 1 == len(spans):
                    return None
                spans[at + 1] = Part(
                    spans[at].start, spans[at + 1].end, spans[at].sentence and spans[at + 1].sentence
                )
            else:
                before_it = parts[-1]
                parts[-1] = Part(before_it.start, spans[at].end, before_it.sentence and spans[at].sentence)
            at += 1
    if len(parts) < 2:
        return None
    messages = [alone(part) for part in parts]
    said = [message for message in messages if message is not None]
    if len(said) < len(messages) or not _of_several(said) or not _said_of_all_alone(said):
        return None
    return together(said, [(part.start, part.end) for part in parts])


_FURTHER = Late(
    r"(?P<sentence>[.;!?](?![0-9])[.!? ]*(?:(?:and|but|also|then|oh|plus|y|pero)(?: also| and)? (?=[a-z0-9$]))?|\n+)"
    r"|,? (?:also|plus|oh and|and also|tambien|ademas)(?: also)? (?=[a-z0-9$])"
)


def parts_of_one(folded: str, read: Callable[[int, int], Message]) -> Message | None:
    """What a message says of a job of one type, where its parts say different things of it; ``None`` where it is read as a whole."""
    if len(folded) > _MOST or _ACROSS.search(folded):
        return None
    spans = _spans(folded, _FURTHER)
    if not 2 <= len(spans) <= 6 or any(_CORRECTS.match(folded[part.start : part.end]) for part in spans[1:]):
        return None
    messages = [read(part.start, part.end) for part in spans]
    told: set[str] = set()
    for message in messages:
        if (
            message.command is not None
            or message.reply is not None
            or message.intent not in ("quote", "revise")
        ):
            return None
        here = set(message.job)
        for passage in message.passages:
            if (
                passage.action != "change"
                or passage.times
                or passage.too
                or passage.same
                or not passage.slots
                or "family" in passage.slots
                or any(said.value is None or said.instead_of is not None for said in passage.slots.values())
            ):
                return None
            here.update(passage.slots)
        if not here or not told.isdisjoint(here):
            return None
        told |= here
    return together(messages, [(part.start, part.end) for part in spans])


def _spans(folded: str, pattern: Late = _CUT) -> list[Part]:
    spans = []
    start, opened = 0, True
    for match in pattern.finditer(folded):
        ended = match["sentence"] is not None
        if any(char.isalnum() for char in folded[start : match.start()]):
            spans.append(Part(start, match.start(), opened and ended))
        start, opened = match.end(), ended
    if any(char.isalnum() for char in folded[start:]):
        spans.append(Part(start, len(folded), opened))
    return spans


def _takes_up(folded: str, part: Part, before: Message, here: Message) -> bool:
    """Whether a part corrects the one before: "480 on the floods, no, on the packs"."""
    if not _CORRECTS.match(folded[part.start : part.end]):
        return False
    if not part.sentence:
        return True
    told = [_told(message) for message in (before, here)]
    families = [_families(message) for message in (before, here)]
    return not told[0].isdisjoint(told[1]) or not families[0].isdisjoint(families[1])


_DOES = Late(
    r"(?<![a-z])(?:make|making|change|bump|set|put|need|want|got|have|should be|should have|its|it's|there|we|i|count|qty|go with|only|just|add|drop|take|up|cut|lower|raise|are|is|knock|lose|remove|correction|miscounted|meant|fewer|more|less|haz|son|pon|cambia)(?![a-z])"
)


def _goes_on(folded: str, part: Part, before: Message, here: Message) -> bool:
    """Whether a bare number goes on with what the part before gave: "front ones are 28 ft, back ones 16"."""
    given = {
        slot for passage in before.passages for slot, said in passage.slots.items() if _numeric(said.value)
    }
    if not given - {"qty"} or _DOES.search(folded[part.start : part.end]):
        return False
    return any(
        _numeric(said.value) and said.rule.startswith(("bare", "instead", "height by", "nothing"))
        for passage in here.passages
        if "family" not in passage.slots
        for slot, said in passage.slots.items()
        if slot not in given
    )


def _numeric(value: object) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def _said_of_all_alone(messages: Sequence[Message]) -> bool:
    """Whether what is said of all types is said of none of them by name: "bronze on the floods, all at 277"."""
    passages = [passage for message in messages for passage in message.passages]
    whole = [slot for passage in passages if _of_all(passage) for slot in passage.slots]
    named = {slot for passage in passages if not _of_all(passage) for slot in passage.slots}
    return named.isdisjoint(whole) and len(set(whole)) == len(whole)


def _of_all(passage: Passage) -> bool:
    return passage.scope is not None and passage.scope.kind == "all"


def _told(message: Message) -> set[tuple[str, str]]:
    return {
        (slot, str(said.value))
        for passage in message.passages
        for slot, said in passage.slots.items()
        if slot != "family"
    }


def _families(message: Message) -> set[str]:
    found: set[str] = set()
    for passage in message.passages:
        if passage.scope is not None:
            found.update(passage.scope.families)
        if "family" in passage.slots:
            found.add(str(passage.slots["family"].value))
    return found


def _stands_alone(message: Message, named: Callable[[Passage], bool], sentence: bool) -> bool:
    """Whether a part says something of types that it names, and nothing else."""
    if message.command is not None or message.reply is not None or message.intent not in ("quote", "revise"):
        return False
    told = [passage for passage in message.passages if not _says_nothing(passage)]
    if not told:
        return sentence and bool(message.job) and not message.passages
    return all(
        named(passage)
        and (sentence or passage.action not in ("state", "copy"))
        and not passage.too
        and not passage.same
        for passage in told
    )


def _says_nothing(passage: Passage) -> bool:
    """Whether a passage only points: "posts" in "acorns on 14 ft posts"."""
    return (
        passage.action == "change"
        and not passage.slots
        and not passage.times
        and not passage.too
        and not passage.same
    )


def _of_several(messages: Sequence[Message]) -> bool:
    return sum(bool(message.passages) for message in messages) > 1


def together(messages: Sequence[Message], spans: Sequence[tuple[int, int]]) -> Message:
    """One message of its parts, which stood at ``spans`` of the text."""
    placed = [
        as_sent(message, list(range(start, end)), end)
        for message, (start, end) in zip(messages, spans, strict=True)
    ]
    first = next((message for message in placed if message.language_shown), placed[0])
    job = {}
    for message in placed:
        job.update(message.job)
    return replace(
        first,
        intent="revise" if any(message.intent == "revise" for message in placed) else "quote",
        passages=tuple([passage for message in placed for passage in message.passages]),
        job=job,
        unread=tuple([span for message in placed for span in message.unread]),
        faults=tuple([fault for message in placed for fault in message.faults]),
        building=next((message.building for message in placed if message.building is not None), None),
        risk=sum(message.risk for message in placed),
    )
