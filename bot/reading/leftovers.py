"""What is left when the slots are read: text used for nothing, the building, the language."""

from bisect import bisect_left
from typing import Final, Literal

from bot.reading.atoms import is_trade
from bot.reading.clause import Work
from bot.reading.mentions import Mention
from bot.reading.message import Passage
from bot.reading.words import words_of

WHO_CAN = words_of(
    "you u ya yall y'all we i they it he she someone somebody anyone anybody this these that those the your"
)
"""Before one of these "can" is no luminaire: "Can you quote ..." opens a line of many a mail."""
_SPANISH = frozenset(
    [
        "de",
        "en",
        "la",
        "el",
        "los",
        "las",
        "por",
        "para",
        "con",
        "una",
        "un",
        "son",
        "que",
        "y",
        "del",
        "al",
        "cuanto",
        "cuesta",
        "tengo",
        "tenemos",
        "necesito",
        "quiero",
        "hola",
        "gracias",
        "luz",
        "pies",
        "metros",
        "sodio",
        "mercurio",
        "es",
        "lo",
        "se",
        "nos",
        "mi",
        "le",
        "pa",
        "oye",
        "somos",
        "estan",
        "buenos",
        "dias",
        "como",
        "donde",
        "ya",
        "si",
        "su",
        "q",
    ]
)
_ENGLISH = frozenset(
    [
        "the",
        "of",
        "and",
        "for",
        "with",
        "we",
        "need",
        "have",
        "to",
        "is",
        "are",
        "at",
        "on",
        "in",
        "it",
        "our",
        "you",
        "what",
        "how",
        "my",
        "us",
        "out",
        "they",
        "that",
        "please",
        "i",
        "do",
        "would",
        "price",
        "quote",
        "got",
        "can",
        "from",
        "be",
    ]
)


def free_lost(work: Work, mentions: list[Mention], passages: list[Passage]) -> None:
    """Free the numbers of mentions that came into no line, so that they are said to be unread."""
    if not mentions:
        return
    said = [one for passage in passages for one in passage.slots.values()]
    spans = sorted({(one.start, one.end) for one in (*said, *work.job.values())})
    told = {said.value for passage in passages for slot, said in passage.slots.items() if slot in _NEVER_LOST}
    ends: list[int] = []
    furthest = -1
    for _, end in spans:
        furthest = max(furthest, end)
        ends.append(furthest)
    for mention in mentions:
        if work.atoms[mention.first].kind != "n" or not mention.options[0].slots:
            continue
        slot, value = mention.options[0].slots[0]
        if slot not in _NEVER_LOST or value in told:
            continue  # "forty (40) wraps", "M132, 320 W": told twice
        before = bisect_left(spans, (mention.end, -1))
        if before and ends[before - 1] > mention.start:
            continue
        for index in range(mention.first, mention.last + 1):
            if work.atoms[index].kind == "n":
                work.used[index] = 0


_NEVER_LOST = frozenset({"qty", "watts"})
"""What is told of must come into a line or be said to be unread."""


def unread(work: Work) -> tuple[tuple[int, int], ...]:
    """Stretches with a number or a trade word that gave nothing."""
    out: list[tuple[int, int]] = []
    for index, atom in enumerate(work.atoms):
        if work.used[index]:
            continue
        if atom.text == "can" and work.text_at(index + 1).partition(" ")[0] in WHO_CAN:
            continue
        if atom.kind == "n" or "foreign" in atom.mean or is_trade(atom):
            out.append((atom.start, atom.end))
    return tuple(out)


SHORT: Final = 24
"""Atoms of a message that is looked through for amounts: a long one may tell of a quarrel about prices."""


def unused_amounts(work: Work, passages: list[Passage]) -> list[tuple[int, int]]:
    """Amounts of money that came into no slot: nobody said what "$65 a light" is for."""
    used = [said for passage in passages for said in passage.slots.values()]
    used += work.job.values()
    out: list[tuple[int, int]] = []
    for at in work.numbers:
        sign = work.text_at(at - 1) == "$"
        unit = work.unit(at + 1) in ("dollars", "grand")
        if sign or unit:
            start, end = work.atoms[at - sign].start, work.atoms[at + unit].end
            if not any(said.start < end and start < said.end for said in used):
                out.append((start, end))
    return out


def building(work: Work) -> str | None:
    """The kind of building that is spoken of, if one."""
    for atom in work.atoms:
        kind = atom.mean.get("building")
        if kind is not None:
            return str(kind)
    return None


def language(work: Work) -> Literal["en", "es"] | None:
    """The language that most of the small words are of; ``None`` where they tell none: "277", "no"."""
    spanish = english = 0
    for atom in work.atoms:
        if atom.kind not in ("w", "p"):
            continue
        text = atom.text
        for word in text.split() if " " in text else (text,):
            if word in _SPANISH:
                spanish += 1
            if word in _ENGLISH:
                english += 1
        # A single letter tells nothing: "a" stands in both.
        if atom.kind == "p" and len(text) > 1 and ("es" in atom.mean) != ("en" in atom.mean):
            if "es" in atom.mean:
                spanish += 1
            else:
                english += 1
    if spanish == english:
        return None
    return "es" if spanish > english else "en"
