"""What is left of a count when some are gone: "we had 36, 3 were replaced, quote the remaining 33" is 33 of them.

The figures must agree: whole less part is what is said to be left. Where the part has a lamp of its own it is a type, and all stays.
"""

from bot.reading.clause import Work
from bot.reading.foreign import take
from bot.reading.heads import HEAD_WORDS, Product
from bot.reading.partitions import GONE, told_apart
from bot.reading.shares import bare, stop
from bot.reading.words import words_of

_BEFORE = words_of("remaining other others otros otras restantes left")
_LEFT = words_of("left others remaining quedan restantes remain")
_EARLIER = 5
"""How many counts before it a remainder may come from."""
_REACH = 60


def remainders(work: Work) -> list[Product]:
    """The counts that are what is left of one before; the figures they came from are set aside."""
    if len(work.numbers) < 3:
        return []
    counts: list[int] = []
    out: list[Product] = []
    for at in work.numbers:
        if not bare(work, at):
            continue
        if len(counts) > 1 and _said_left(work, at) and not _gone(work, at):
            pair = _pair(work, counts[-_EARLIER:], at)
            if pair is not None:
                for n in pair:
                    take(work, n)
                    _set_aside(work, n)
                for n in range(max(0, at - 2), min(at + 4, len(work.atoms))):
                    if work.has(n, "scope") == "others":
                        # "the 38 others": they are what is spoken of, and nothing is told of others
                        work.atoms[n] = work.atoms[n]._replace(kind="w", mean={})
                work.use(at, at)
                out.append(Product(at, at, int(work.atoms[at].value)))
                counts = []
                continue
        counts.append(at)
    return out


def _said_left(work: Work, at: int) -> bool:
    """Whether words beside a count say that it is what is left."""
    if not _BEFORE.isdisjoint(work.text_at(at - 1).split(" ")):
        return True
    for index in range(at + 1, min(at + 6, len(work.atoms))):
        words = work.text_at(index).split(" ")
        if not _LEFT.isdisjoint(words) and "-" not in words:
            return True
        if stop(work, index, ".;!?,") or work.atoms[index].kind in ("n", "c"):
            return False
    return False


def _gone(work: Work, at: int) -> bool:
    """Whether it is these that are gone, or a type of their own: "eighty, the other ten were done in spring"."""
    for index in range(at + 1, min(at + 7, len(work.atoms))):
        if stop(work, index, ".;!?,"):
            return False
        if not GONE.isdisjoint(work.text_at(index).split(" ")):
            return True
    return False


def _pair(work: Work, counts: list[int], at: int) -> tuple[int, int] | None:
    """The whole and the part whose difference stands at ``at``."""
    left = work.atoms[at].value
    for whole in counts:
        for part in counts:
            if (
                part != whole
                and at - min(part, whole) <= _REACH
                and work.atoms[whole].value - work.atoms[part].value == left
                and not _heads_counted(work, whole, at)
                and not _told(work, max(part, whole) + 1, _end(work, max(part, whole), at))
                and len({work.has(n, "family") for n in range(min(part, whole), at + 6)} - {None})
                < 2  # types of their own
            ):
                return whole, part
    return None


def _heads_counted(work: Work, whole: int, at: int) -> bool:
    """Whether the whole counts poles, and heads on some of them are counted behind: "9 poles, 2 heads on 6, 4 heads on the other 3"."""
    return "poles" in work.cue(whole + 1) and any(
        work.atoms[n].kind == "n" and work.text_at(n + 1) in HEAD_WORDS for n in range(whole + 1, at)
    )


def _told(work: Work, low: int, high: int) -> bool:
    """Whether something other than an LED tells apart what is spoken of between two atoms."""
    return any(
        work.has(index, "source") != "LED" and told_apart(work, index, index + 1)
        for index in range(low, high)
    )


def _end(work: Work, low: int, high: int) -> int:
    """Where the sentence of an atom ends, at most ``high``."""
    for index in range(low + 1, high):
        if stop(work, index):
            return index
    return high


def _set_aside(work: Work, at: int) -> None:
    """What is told of those that are gone is no lamp of what is left: "two are already LED"."""
    for index in range(at + 1, min(at + 9, len(work.atoms))):
        if stop(work, index, ".;!?,"):
            break
        if "led" in work.atoms[index].mean or work.has(index, "source") == "LED":
            work.use(index, index)
            work.atoms[index] = work.atoms[index]._replace(kind="w", mean={})
