"""Counts that the writer leaves to be worked out: so many rooms with so many each, sums over places, what is left of a count.

Each finder uses up the numbers that it takes. Where the writer gives the result too ("so 48"), that stands and the
parts are set aside.
"""

from bisect import bisect_left

from bot.reading.clause import Work
from bot.reading.foreign import take
from bot.reading.heads import HOLDERS, Product
from bot.reading.words import words_of

_EACH = words_of("each ea apiece every cada")
_VOLTS = frozenset({120, 208, 240, 277, 347, 480})
_NO_COUNT = frozenset({"w", "v", "ft", "m", "lamps", "hours", "days", "year", "kelvin", "lumens", "inch", "percent", "cents",
                       "dollars", "kwh", "kw", "cri", "other", "storey", "shifts", "week"})  # fmt: skip
_HAVING = words_of(
    "has have with gets get had w w/ of : con tiene tienen lleva llevan hay there got contains takes needs"
)
_PREPOSITIONS = words_of("on in at over by along around behind outside inside near above en sobre atras por")
_NOUNS = ("family", "size", "family_weak", "generic")
_SPARE = words_of("spare spares extra extras repuesto backup")
_FEWER = ("only want", "only need", "only do", "only doing", "just do", "just want", "just need", "want to do", "wanna do", "need to do", "going to do", "gonna do",
          "the other", "leaves", "leaving", "left with", "so quote", "so just", "down to", "only replac", "only chang", "solo quier", "quedan", "so use", "so do", "so really", "so its", "so it's", "so that's")  # fmt: skip
_DONE = words_of(
    "already gone dead done changed replaced swapped burnt burned converted updated upgraded ya removed"
)


def tallies(work: Work) -> list[Product]:
    """All counts that are worked out here, in the order found."""
    written = [at for at, atom in enumerate(work.atoms) if atom.kind == "n"]
    if not written:
        return []
    numbers = [at for at in written if _bare(work, at)]
    left: list[Product] = []
    holders = _holder_counts(work)
    if len(numbers) > 1:
        left = _stated_result(work, numbers) or _less(work, numbers)
        _already(work, numbers)
        left = left or _fewer(work, numbers)
    found = [*left, *_shares(work, holders), *_sums(work, numbers), *_spares(work, numbers)]
    for first, last, _ in holders:
        # "4 hallways, 7 wraps": rooms are no luminaires
        if work.is_number(first) and work.text_at(last) in HOLDERS and not work.unit(first + 1):
            if work.atoms[first].value in _VOLTS and not work.text_at(last).endswith("s"):
                continue  # "480 in the plant, 277 office"
            take(work, first)
    return found


def _bare(work: Work, at: int) -> bool:
    """Whether a whole number without a unit stands at ``at``."""
    if not work.is_number(at):
        return False
    value = work.atoms[at].value
    if value != int(value) or value < 1 or work.unit(at + 1) in _NO_COUNT:
        return False
    after = work.text_at(at + 1)
    if (
        after in ("-", "/", "x", "'", '"', ".", "%")
        and work.atoms[at + 1].glued
        and work.unit(at + 2) in _NO_COUNT
    ):
        return False
    return not (after in ("'", '"', "/", "x", "k", "%") and work.atoms[at + 1].glued) and _free(work, at)


def _free(work: Work, at: int) -> bool:
    """Whether no mark before the number makes it money or the second of a pair."""
    before = work.text_at(at - 1)
    return before != "$" and not (before == "/" and at >= 2 and work.atoms[at - 2].kind == "n")


def _noun(work: Work, index: int) -> bool:
    return 0 <= index < len(work.atoms) and any(kind in work.atoms[index].mean for kind in _NOUNS)


def _stop(work: Work, index: int, marks: str = ".;!?") -> bool:
    atom = work.atoms[index]
    return atom.kind == "b" or (atom.kind == "s" and atom.text in marks)


# --- so many holders with so many each ----------------------------------------------------------------------------


def _holder_counts(work: Work) -> list[tuple[int, int, int]]:
    """Numbers that count rooms, poles, doors: (first atom, last atom, how many)."""
    out = []
    count = len(work.atoms)
    for at, atom in enumerate(work.atoms):
        if "holders" in atom.mean:
            out.append((at, at, int(atom.mean["holders"])))
            continue
        if atom.kind != "n" or not _holder_number(work, at):
            continue
        for index in range(at + 1, min(at + 5, count)):
            text = work.text_at(index)
            if text in HOLDERS or "poles" in work.cue(index):
                out.append((at, index, int(work.atoms[at].value)))
                break
            nxt = work.atoms[index]
            if nxt.kind == "n" and work.unit(index + 1) == "ft":
                continue
            if nxt.kind in ("s", "b", "n", "c") and text not in ("'", "-"):
                break
            if "source" in nxt.mean or "family" in nxt.mean or "join" in nxt.mean or text in _PREPOSITIONS:
                break
            if text.split(" ", 1)[0] in _EACH or text in ("per", "in each", "on each"):
                break
    return out


def _holder_number(work: Work, at: int) -> bool:
    """Whether a whole number from 2 to 999 stands here that measures nothing."""
    if not work.is_number(at):
        return False
    value = work.atoms[at].value
    return (
        value == int(value)
        and 2 <= value < 1000
        and work.unit(at + 1) in (None, "other", "each")
        and work.text_at(at - 1) not in ("at", "@", "on", "$", "#", "bldg", "building", "floor", "room")
    )


def _shared_out(work: Work, at: int) -> int | None:
    """The atom that says that the number at ``at`` is at each holder ("9 per room", "each has 9"); ``None`` if none does."""
    count = len(work.atoms)
    seen_noun = False
    for index in range(at + 1, min(at + 11, count)):
        if _stop(work, index, ".;!?:"):
            break
        text = work.text_at(index)
        first = text.split(" ", 1)[0]
        distributes = (
            first in _EACH
            or first == "per"
            or "per_pole" in work.cue(index)
            or text
            in ("in each", "in each one", "in every one", "each one", "every one", "on each pole", "in ea")
        )
        if distributes:
            if _noun(work, index + 1) and work.text_at(index + 1) not in HOLDERS:
                return None
            if "per_head" in work.cue(index) and text.split(" ")[-1] in (
                "fixture", "head", "light", "lamp", "luminaire", "can", "troffer", "strip", "wrap", "unit"):  # fmt: skip
                return None
            before = index - 1
            while before > at and work.text_at(before) in ("in", "on", "at", "to", "for", "en", "a"):
                before -= 1
            if before == at or (
                (seen_noun or _noun(work, before))
                and not work.unit(before)
                and work.atoms[before].kind != "n"
            ):
                return index
            return None
        if (
            work.atoms[index].kind == "n"
            and work.unit(index + 1) not in ("w", "lamps", "ft")
            and work.text_at(index + 1) != "-"
        ):
            break
        seen_noun = seen_noun or _noun(work, index)
    # before it: "each room has 9", "every one of the 6 bays with 10"
    having = False
    for index in range(at - 1, max(at - 9, -1), -1):
        if _stop(work, index):
            break
        text = work.text_at(index)
        if text in _HAVING:
            having = True
        first = text.split(" ", 1)[0]
        if (
            first in _EACH
            or text == "in each"
            or (text == "per" and ":" in (work.text_at(at - 1), work.text_at(at - 2)))
        ):
            near = any(work.text_at(n) in HOLDERS or "poles" in work.cue(n) for n in range(index + 1, at))
            return index if having or near or index == at - 1 else None
    return None


def _shares(work: Work, holders: list[tuple[int, int, int]]) -> list[Product]:
    if not holders:
        return []
    out: list[Product] = []
    taken = {first for first, _, _ in holders}
    last_share: tuple[int, tuple[int, int, int]] | None = None
    used: list[tuple[int, int]] = []
    for at in range(len(work.atoms)):
        pair = work.unit(at) == "pair" and not work.used[at] and not work.is_number(at - 1)
        if at in taken or not (_bare(work, at) or pair):
            continue
        value = 2 if pair else int(work.atoms[at].value)
        if value > 200:
            continue
        mark = _shared_out(work, at)
        holder = None
        if mark is not None:
            near = bisect_left(holders, (at, 0, 0))
            close = [item for item in holders[max(0, near - 2) : near + 2] if abs(item[0] - at) <= 24]
            holder = min(close, key=lambda item: (abs(item[0] - at), item[0]), default=None)
        elif (
            last_share is not None
            and "join" in work.atoms[at - 1].mean
            and _near_noun(work, at)
            and not _stopped(work, last_share[0], at)
        ):
            # "each room has 9 troffers and 2 wraps"
            holder = last_share[1]
        if holder is None:
            last_share = None if mark is None else last_share
            continue
        if len(used) > 30:
            break  # no message counts so many rooms
        last_share = (at, holder)
        used.append((holder[0], at))
        total = holder[2] * value
        if _result_stands(work, total, (holder[0], at)):
            work.use(at, at)
            continue
        work.use(at, at)
        out.append(Product(at, at, total))
    for holder_at, _ in used:
        work.use(holder_at, holder_at)
    return out


def _near_noun(work: Work, at: int) -> bool:
    return any(_noun(work, index) for index in range(at + 1, min(at + 5, len(work.atoms))))


def _stopped(work: Work, low: int, high: int) -> bool:
    return any(_stop(work, index) for index in range(low, high))


def _result_stands(work: Work, total: int, parts: tuple[int, ...]) -> bool:
    return any(
        index not in parts
        and work.is_number(index)
        and work.atoms[index].value == total
        and work.unit(index + 1) not in _NO_COUNT
        for index in range(len(work.atoms))
    )


# --- sums, spares, and what is left -------------------------------------------------------------------------------


def _placed(work: Work, at: int) -> bool:
    """Whether a bare number with a place behind it stands here: "9 on the north wall"."""
    return _bare(work, at) and work.text_at(at + 1) in _PREPOSITIONS and not work.is_number(at + 2)


def _sums(work: Work, numbers: list[int]) -> list[Product]:
    """Add counts over places that are said to be all of one kind: "9 on the north wall, 5 on the south, all 250w wall packs"."""
    run: list[int] = []
    for at in numbers:
        if _placed(work, at) and not any(
            _noun(work, n) or _stop(work, n) for n in range(run[-1] if run else at, at)
        ):
            run.append(at)
        elif len(run) >= 2:
            break
        else:
            run = [at] if _placed(work, at) else []
    if len(run) < 2:
        return []
    # what follows must say that they are of one kind
    for index in range(run[-1] + 1, min(run[-1] + 12, len(work.atoms))):
        if work.has(index, "scope") in ("all", "same") or work.text_at(index) in ("all", "todas", "todos"):
            total = sum(int(work.atoms[at].value) for at in run)
            if not any(_noun(work, n) for n in range(run[0], index)):
                for at in run:
                    work.use(at, at)
                for n in range(index, min(index + 3, len(work.atoms))):
                    if work.has(n, "scope") is not None:
                        work.use(n, n)
                return [] if _result_stands(work, total, tuple(run)) else [Product(run[0], run[-1], total)]
            return []
    return []


def _spares(work: Work, numbers: list[int]) -> list[Product]:
    """Add spares to the count before them; the count without them is the doubt."""
    for at in numbers:
        if not _bare(work, at):
            continue
        word = next(
            (n for n in range(at + 1, min(at + 4, len(work.atoms))) if work.text_at(n) in _SPARE), None
        )
        if word is None or any(work.atoms[n].kind in ("n", "s", "b") for n in range(at + 1, word)):
            continue
        if not any(
            work.text_at(n) in ("plus", "+", "and", "add", "with", "y", "mas", "also", "n", "&")
            for n in range(max(0, at - 3), at)
        ):
            continue
        base = next((n for n in range(at - 1, max(at - 15, -1), -1) if _bare(work, n)), None)
        if base is None:
            continue
        spare = int(work.atoms[at].value)
        whole = int(work.atoms[base].value)
        if spare > whole:
            continue
        work.use(base, base)
        for index in range(at, word + 1):
            work.use(index, index)
        return [Product(base, base, whole + spare, (whole,))]
    return []


def _counting(work: Work, low: int, high: int) -> list[int]:
    """The bare counts between two atoms."""
    return [at for at in range(low, high) if _bare(work, at)]


def _less(work: Work, numbers: list[int]) -> list[Product]:
    """Take away what is said to be less: "48 strips less 6 that are gone"; the whole is the doubt."""
    for number, at in enumerate(numbers[1:], 1):
        if work.text_at(at - 1) == "the" and at > 1:
            word = work.text_at(at - 2)
        else:
            word = work.text_at(at - 1)
        base = numbers[number - 1]
        if word not in ("less", "minus", "menos") or at - base > 8 or _near_noun(work, at):
            continue
        whole, part = int(work.atoms[base].value), int(work.atoms[at].value)
        if part >= whole:
            continue
        take(work, at)
        work.use(base, base)
        return [Product(base, base, whole - part, (whole,))]
    return []


def _fewer(work: Work, numbers: list[int]) -> list[Product]:
    """Set earlier counts aside where less is wanted: "of the 60 high bays we want to do 40"."""
    for at in numbers:
        if not _bare(work, at) or at == 0:
            continue
        start = work.atoms[max(0, at - 4)].start
        lead = work.folded[start : work.atoms[at].start]
        so = lead.rstrip().endswith((" so", "so", "asi que")) and work.text_at(at - 1) in ("so", "que")
        if not so and not any(cue in lead for cue in _FEWER):
            continue
        # a type of its own behind it makes it no remainder
        behind = [n for n in range(at + 1, min(at + 4, len(work.atoms))) if "family" in work.atoms[n].mean]
        earlier = _counting(work, max(0, at - 40), at)
        named = [n for n in range(max(0, at - 40), at) if "family" in work.atoms[n].mean]
        if not earlier or not (named or so):
            continue
        if behind and named and work.has(behind[0], "family") != work.has(named[-1], "family"):
            continue
        if max(work.atoms[n].value for n in earlier) <= work.atoms[at].value:
            continue
        for n in earlier:
            take(work, n)
            if work.unit(n + 1) == "each":
                work.use(n + 1, n + 1)
        work.use(at, at)
        return [Product(at, at, int(work.atoms[at].value))]
    return []


def _already(work: Work, numbers: list[int]) -> None:
    """Set aside what is said of a part of an earlier count: "two are already LED" is no type of its own."""
    counted = False
    for at in numbers:
        if not _bare(work, at):
            continue
        earlier, counted = counted, True
        if not earlier or _near_noun(work, at):
            continue
        words = []
        for index in range(at + 1, min(at + 8, len(work.atoms))):
            if _stop(work, index, ".;!?,"):
                break
            words.append(index)
        texts = [work.text_at(index) for index in words]
        said = {word for text in texts for word in text.split()}
        verb = next((text for text in texts[:3] if text in _ARE), None)
        matter = any(
            "source" in work.atoms[n].mean or work.unit(n) in ("w", "v", "ft") or work.is_number(n)
            for n in words
        )
        if verb is None or matter or (_DONE.isdisjoint(said) and texts[0] not in _ARE):
            continue
        take(work, at)
        for index in words:
            if "led" in work.atoms[index].mean or work.has(index, "unit") == "each":
                work.use(index, index)


_ARE = frozenset({"are", "is", "were", "was", "got", "have been", "has been", "been", "have", "ya", "already", "estan", "dont", "don't",
                  "arent", "aren't", "went", "fell", "quit", "died", "wont"})  # fmt: skip
_RESULT = words_of("so total totals totaling totalling = makes equals thats altogether adds comes")


def _stated_result(work: Work, numbers: list[int]) -> list[Product]:
    """Set the parts aside where their sum or product is stated: "20 in front and 12 in back, so 32"."""
    for number, at in enumerate(numbers):
        near = range(max(0, at - 3), min(len(work.atoms), at + 3))
        if number < 2 or _RESULT.isdisjoint(
            word for n in near if n != at for word in work.text_at(n).split()
        ):
            continue
        value = work.atoms[at].value
        back = numbers[max(0, number - 12) : number][::-1]
        parts: list[int] = []
        left = value
        for earlier in back:
            left -= work.atoms[earlier].value
            parts.append(earlier)
            if left <= 0:
                break
        one, two = back[0], back[1]
        if (
            left != 0
            and value >= 4
            and work.atoms[one].value * work.atoms[two].value == value
            and min(work.atoms[one].value, work.atoms[two].value) > 1
        ) or (left != 0 and work.atoms[two].value - work.atoms[one].value == value):
            parts, left = [one, two], 0.0
        if left == 0 and len(parts) >= 2 and not _told_apart(work, parts):
            for part in parts:
                take(work, part)
            work.use(at, at)
            return [Product(at, at, int(value))]
    return []


def _told_apart(work: Work, parts: list[int]) -> bool:
    """Whether the parts have watts or luminaires of their own."""
    low, high = min(parts), max(parts)
    watts = {
        work.atoms[n].value
        for n in range(low, min(high + 6, len(work.atoms)))
        if work.is_number(n) and work.unit(n + 1) == "w"
    }
    families = {work.has(n, "family") for n in range(low, min(high + 6, len(work.atoms)))} - {None}
    return len(watts) > 1 or len(families) > 1
