"""Lists under headings, a line each: "400 MH", then items, then "250 MH" and its items; or wall packs, then floods.

A heading holds for the items below it until the next. That lines are headings is told by the list as a whole: the first line
that says anything is one, each has items below it, and all say the same kind of thing, which no item says itself.
"""

from bot.reading.clause import Work
from bot.reading.dealing import best
from bot.reading.mentions import Mention

_HEADING = frozenset(
    {
        "source",
        "watts",
        "voltage",
        "finish",
        "family",
        "size",
        "cct_k",
        "controls",
        "height_ft",
        "lamps",
        "mount",
    }
)
_PLAIN_WORDS = 2
"""How many words a heading may have that say nothing: "the front ones"."""


def _lines(work: Work, mentions: list[Mention]) -> list[tuple[int, int, list[int]]]:
    """First and last atom of every line of text that says something, and its mentions."""
    out: list[tuple[int, int, list[int]]] = []
    start = 0
    cursor = 0
    count = len(work.atoms)
    for index in range(count + 1):
        if index < count and work.atoms[index].kind != "b":
            continue
        held: list[int] = []
        while cursor < len(mentions) and mentions[cursor].first < index:
            held.append(cursor)
            cursor += 1
        if held:
            out.append((start, index - 1, held))
        start = index + 1
    return out


def _slots(mention: Mention) -> set[str]:
    """What a mention says, taken the likeliest way."""
    return {slot for slot, _ in mention.options[0].slots if not slot.startswith("_")}


def _is_heading(work: Work, mentions: list[Mention], line: tuple[int, int, list[int]]) -> bool:
    first, last, held = line
    if any(not _slots(mentions[n]) or not _slots(mentions[n]) <= _HEADING for n in held):
        return False
    told = {index for n in held for index in range(mentions[n].first, mentions[n].last + 1)}
    others = [
        index
        for index in range(first, last + 1)
        if index not in told and work.atoms[index].kind != "s" and not work.atoms[index].mean.get("bullet")
    ]
    return len(others) <= _PLAIN_WORDS and not any(
        work.has(index, "scope") not in (None, "all") or work.atoms[index].kind == "n" for index in others
    )


def under_headings(work: Work, mentions: list[Mention]) -> list[Mention]:
    """The mentions of a first message with every heading's repeated for each item below it."""
    if len(mentions) > 400 or sum(atom.kind == "b" for atom in work.atoms) < 3:
        return mentions
    lines = _lines(work, mentions)
    blocks: list[tuple[list[int], list[int]]] = []
    for line in lines:
        held = line[2]
        counts = [n for n in held if best(mentions[n]) == "qty"]
        if counts and blocks:
            blocks[-1][1].extend(counts)
        elif not counts and _is_heading(work, mentions, line):
            if blocks and not blocks[-1][1]:
                return mentions  # two headings, one below the other
            blocks.append((held, []))
        elif not blocks or counts:
            return mentions
    if blocks and not blocks[-1][1]:
        return mentions
    if len(blocks) < 2:
        return mentions
    told = [set().union(*[_slots(mentions[n]) for n in held]) for held, _ in blocks]
    common = set.intersection(*told)
    if not common or (len({frozenset(one & {"family", "size"}) for one in told}) > 1):
        return mentions
    heads = {n for held, _ in blocks for n in held}
    items = range(blocks[0][0][0], len(mentions))
    if any(n not in heads and _slots(mentions[n]) & common and not mentions[n].bare for n in items):
        return mentions
    for first, last, held in lines:
        if held[0] in heads:
            for index in range(first, last + 1):
                if work.has(index, "scope") == "all":
                    work.use(index, index)  # "Inside, all T8" heads its own list
    out = list(mentions[: blocks[0][0][0]])
    below = {count: held for held, counts in blocks for count in counts}
    leading = {counts[0] for _, counts in blocks}
    for n in items:
        if n in heads:
            continue
        mention = mentions[n]
        out.append(mention._replace(gap=max(mention.gap, 4)) if n in leading else mention)
        if n in below:
            out.extend(mentions[head]._replace(gap=0) for head in below[n])
    return out
