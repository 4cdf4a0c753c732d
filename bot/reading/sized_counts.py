"""Counts that are told apart by the length of the tubes alone: "100 4 ft LED tubes and 20 8 ft", "also 3 8 footers"."""

from bot.reading.clause import Work
from bot.reading.dealing import best
from bot.reading.mentions import Mention, Option
from bot.reading.neighbours import LINEAR_FAMILIES
from bot.reading.words import words_of

BY_LENGTH = "length"
_LENGTHS = frozenset({2.0, 3.0, 4.0, 5.0, 6.0, 8.0})
_BETWEEN = words_of("of pcs pc pieces ea each - x the")
_FOOTERS = frozenset({"footers", "footer"})


def _length(mention: Mention) -> Option | None:
    for option in mention.options:
        if option.slots[:1] and option.slots[0][0] == "lamp_feet" and option.slots[0][1] in _LENGTHS:
            return option
    return None


def _named(mentions: list[Mention], at: int) -> str | None:
    """The family that is named in the same breath behind a length; empty where none is."""
    for mention in mentions[at + 1 :][:4]:
        if mention.gap > 0 or best(mention) == "qty":
            return ""
        if best(mention) == "family":
            return str(mention.options[0].slots[0][1])
    return ""


def sized_counts(work: Work, mentions: list[Mention]) -> list[Mention]:
    """The mentions of a first message with such counts and lengths taken for nothing else."""
    if not work.speaks_of("unit:ft"):
        return mentions
    pairs: list[tuple[int, Option, str]] = []
    sure = False
    for at in range(len(mentions) - 1):
        count, size = mentions[at], mentions[at + 1]
        if not count.bare or best(count) != "qty" or size.gap:
            continue
        if any(work.text_at(n) not in _BETWEEN for n in range(count.last + 1, size.first)):
            continue
        option = _length(size)
        named = _named(mentions, at + 1) if option is not None else None
        if option is None or (named and named not in LINEAR_FAMILIES):
            continue
        pairs.append((at, option, named or ""))
        sure = sure or (work.text_at(size.last) in _FOOTERS and option.slots[0][1] in (4.0, 8.0))
    if not pairs or (len(pairs) < 2 and not sure):
        return mentions
    out = list(mentions)
    for at, option, named in pairs:
        many = out[at].options[0].slots[0]
        apart = (("_placed", BY_LENGTH),) if at and not named else ()
        out[at] = out[at]._replace(options=(Option((many, *apart), 4.0, "bare count"),))
        out[at + 1] = out[at + 1]._replace(options=(option._replace(score=2.0),))
    return out
