"""The places that the types of a first message go by from then on: "north lot", "building A", or whatever heads each of them."""

import re
from bisect import bisect_left
from dataclasses import replace
from typing import Final

from bot.reading.labels import Label, called_so, labels_of
from bot.reading.message import Passage
from bot.reading.words import lexicon, words_of

_VERB: Final = r"(?:has|have|had|is|are|gets?|needs?|uses|got|tiene|tienen|lleva|llevan|son|hay|con)"
_HAS: Final = rf"(?: ?[:-]| {_VERB}(?: (?:got|all|about|like|unas?|unos))?)?"
_LEADS_ON: Final = re.compile(rf"{_HAS} ?[(]?")
_HEAD: Final = re.compile(
    r"(?:^|[.,;:\n/)] ?|(?<![a-z])(?:and|y|plus|&) )(?:(?:the|in|at|for|on|our|my|en|el|la|los|las|de|del|para) ){0,2}"
    rf"(?P<name>[a-z][a-z'&]{{2,14}}(?: (?!{_VERB}(?![a-z]))[a-z][a-z'&]{{1,14}})?(?: (?:[a-h]|\d{{1,2}}))?){_HAS} ?[(]?$"
)
_NO_NAMES: Final = words_of(
    """need needs want wants quote quoting price pricing have has got get gets looking replace replacing replacement hi hello hey yo please pls also plus
    and about roughly maybe currently existing there theres are is was were we they you this that these those here its cotiza cotizame cotizar necesito
    tengo tenemos ocupo quiero hola buenas buenos dias tardes morning afternoon thanks thx ok okay so then first second third next last new old another
    more extra approx around total qty quantity count just only bid like all both each some other others same with for from need like help job quote
    order project customer client site send can could would will should our his her their my me us total total item items line type types fixture
    fixtures light lights lamp lamps head heads bulb bulbs luminaires luminarias lamparas luces focos not without but except wait sorry actually
    include including counted counting swap swapping change changing remove removing do doing"""
)
"""Words before a count that name no place."""
_LETTERED: Final = re.compile(
    r"(?:^|[.,;!\n] ?|(?<![a-z])(?:and|y|but|wait|no|ok|so|oh|sorry) )(?P<name>[a-h]|[1-9]\d?)"
    r"(?= (?:is|are|has|have|gets?|needs?|ones?|should|goes|at|on|es|son|esta|estan|lleva|ocupa)(?![a-z])| ?[:=])"
)


def with_labels(passages: list[Passage], folded: str) -> list[Passage]:
    """The passages of a first message with the places that the writer names near them."""
    if not passages:
        return passages
    labels = labels_of(folded)
    if not labels and len(passages) < 2:
        return passages
    counts = [_first(passage) for passage in passages]
    out = []
    starts = [label.start for label in labels]
    taken: Label | None = None
    for number, passage in enumerate(passages) if labels else ():
        start = counts[number]
        floor = _last(passages[number - 1], start) if number else 0
        ceiling = counts[number + 1] if number + 1 < len(counts) else len(folded)
        end = _last(passage, ceiling)
        here = bisect_left(starts, start)
        before = labels[here - 1] if here and labels[here - 1].start >= floor else None
        after = labels[here] if here < len(labels) and labels[here].start < ceiling else None
        if after is not None and (
            folded[after.end : after.end + 2].lstrip(" ")[:1] in (":", "-")
            or any(mark in folded[end : after.start] for mark in (". ", ";", "\n"))
            or _heads_next(folded, after, ceiling)
        ):
            after = None  # "6 floods. hall: 10 cans"
        if before is taken:
            before = None  # "6 on the front and 8 on the back"
        label = taken = before or after
        if label is not None and label.start < start < label.end:
            label = None  # "body shop 9 high bays"
        if label is not None or passage.labels:
            passage = passage.labelled((label.words,) if label else ())
        out.append(passage)
    return _headed(out or passages, counts, folded)


def _first(passage: Passage) -> int:
    """Where a passage begins: its count is its own, what is shared may stand far before it."""
    if "qty" in passage.slots:
        return passage.slots["qty"].start
    return min((said.start for said in passage.slots.values()), default=0)


def _last(passage: Passage, before: int) -> int:
    """Where a passage ends; what is said of all behind the next type is not its own."""
    return max((said.end for said in passage.slots.values() if said.end <= before), default=0)


def _heads_next(folded: str, label: Label, ceiling: int) -> bool:
    """Whether a place opens a clause and the next count follows at once: "..., freezer 9 vapor tights"."""
    if ceiling >= len(folded) or _LEADS_ON.fullmatch(folded, label.end, ceiling) is None:
        return False
    before = folded[: label.start].rstrip(" ")
    for word in (" the", " our", " in", " my", " en", " el", " la"):
        before = before.removesuffix(word).rstrip(" ")
    return before[-1:] in (",", ";", ".", "\n", "/") or before.endswith((" and", " y", "&"))


def _headed(passages: list[Passage], counts: list[int], folded: str) -> list[Passage]:
    """The passages with the names that head them, where at least two types have one of their own: "bindery: 10 strips, press room: 8"."""
    if len(passages) < 2:
        return passages
    names: list[str] = []
    for count in counts:
        match = _HEAD.search(folded, max(0, count - 48), count)
        name = match["name"] if match is not None else ""
        names.append(name if name and _may_name(name) else "")
    told = [
        name if name and (not passage.labels or name[-1].isdigit() or name[-2:-1] == " ") else ""
        for name, passage in zip(names, passages, strict=True)
    ]
    called = [name or " ".join(passage.labels) for name, passage in zip(told, passages, strict=True)]
    if not any(told) or len({name for name in called if name}) < 2:
        return passages
    return [
        replace(passage, labels=(called_so(name),)) if name else passage
        for name, passage in zip(told, passages, strict=True)
    ]


def _may_name(name: str) -> bool:
    """Whether words that head a count may be the name of a place: none of them is of the trade, or leads up to a count."""
    phrases, plain = lexicon().phrases, _NO_NAMES
    for word in name.split():
        if len(word) == 1 or word.isdigit():
            continue
        if word in plain:
            return False
        if any(not rest and not meanings.keys() <= _PLACES for rest, meanings in phrases.get(word, ())):
            return False
    return len(name) > 2


_PLACES: Final = frozenset({"en", "es", "building", "join"})


def lettered(folded: str, labels: tuple[tuple[str, ...], ...]) -> list[tuple[int, int, str]]:
    """Where a place is called by its whole name, or by its letter or figure alone: "body shop", "A is 120", "2 gets bronze"."""
    whole = sorted({words for one in labels for words in one if " " in words})
    if not whole:
        return []
    known = {last: words for words in whole if len(last := words.rpartition(" ")[2]) == 1 or last.isdigit()}
    out = [
        (*match.span("name"), known[match["name"]])
        for match in (_LETTERED.finditer(folded) if known else ())
        if match["name"] in known
    ]
    for words in whole:
        at = folded.find(words)
        if at >= 0 and not folded[at - 1 : at].isalnum() and not folded[at + len(words) :][:1].isalnum():
            out.append((at, at + len(words), words))
    return out
