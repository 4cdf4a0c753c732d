"""Lists whose counts stand behind their types: "high bay 400 MH - 12, strip 2L T8 - 40", "flood 400 hps x6 wall pack 150 hps x14".

One item alone leaves open what a number at its end measures ("strip T8 - 40"), and where the next begins ("x6 2x4 troffer ...").
The list as a whole tells: each type has one number at its end, and none before it.
"""

from bot.reading.clause import Work
from bot.reading.dealing import best
from bot.reading.mentions import Mention, Option
from bot.reading.supply import VOLTS

_MARKS = frozenset({"-", ":", "=", "x", ".", ">"})
_NAMES = frozenset({"family", "size"})
_SURE = frozenset({"x N", "counted"})


def _names(mentions: list[Mention]) -> list[tuple[int, int]]:
    """First and last mention of every name of a type: "2x4 troffers" is one."""
    out: list[tuple[int, int]] = []
    for n, mention in enumerate(mentions):
        if best(mention) not in _NAMES:
            continue
        if out and out[-1][1] == n - 1 and mention.gap == 0 and best(mentions[n - 1]) != best(mention):
            out[-1] = out[-1][0], n
        else:
            out.append((n, n))
    return out


def _count(mention: Mention) -> Option | None:
    for option in mention.options:
        if option.slots and option.slots[0][0] == "qty":
            return option
    return None


def _tail(work: Work, mentions: list[Mention], at: int) -> bool:
    """Whether a number may count what stands before it: a dash, "x" or "qty" leads to it, or a word for pieces follows."""
    mention = mentions[at]
    option = _count(mention)
    if option is None:
        return False
    if option.rule in _SURE:
        return True
    if at + 1 < len(mentions) and mentions[at + 1].gap == 0 and best(mentions[at + 1]) in ("source", "watts"):
        return False  # "floods (42): 250 mercury vapor"
    before = work.atoms[mention.first - 1] if mention.first else None
    if before is None:
        return False
    if "qty" in work.cue(mention.first - 1):
        return True
    return before.text in _MARKS and not (
        before.text == "-" and before.glued and work.atoms[mention.first].glued
    )


def counts_behind(work: Work, mentions: list[Mention]) -> list[Mention]:
    """The mentions with the numbers at the items' ends taken as counts, where every type of the message has one there."""
    names = _names(mentions)
    if not 2 <= len(names) <= 60:
        return mentions
    counts: list[int] = []
    for number, (_, last) in enumerate(names):
        stop = names[number + 1][0] if number + 1 < len(names) else len(mentions)
        inside = [n for n in range(last + 1, stop) if _tail(work, mentions, n)]
        if not inside:
            return mentions
        # what leads to the next name may stand between ("x6 400w flood"); what is shared stands behind the last
        count = inside[-1] if number + 1 < len(names) else inside[0]
        if number + 1 < len(names) and any(mention.gap for mention in mentions[count + 2 : stop + 1]):
            return mentions  # "bollards: 72, 400w halide, at 15 ft. wall packs: ...": more is said of the type behind its count
        counts.append(count)
    if any(best(mentions[n]) == "qty" for n in range(names[0][0])):
        return mentions
    values = [dict(option.slots)["qty"] for n in counts if (option := _count(mentions[n])) is not None]
    if all(value in VOLTS for value in values):
        return mentions
    if any("_scope" in m.slots or "_part" in m.slots for m in mentions[: counts[-1]]):
        return mentions
    others = {
        n
        for n, mention in enumerate(mentions[: counts[-1]])
        if n not in counts and best(mention) == "qty" and mention.options[0].rule in _SURE
    }
    if others:
        return mentions
    out = list(mentions)
    for n in counts:
        option = _count(mentions[n])
        if option is None:
            continue
        out[n] = mentions[n]._replace(options=(Option(option.slots, 5.0, "count behind"),), bare=False, gap=0)
        if n + 1 < len(out) and n != counts[-1]:
            out[n + 1] = out[n + 1]._replace(gap=max(out[n + 1].gap, 2))
    return out
