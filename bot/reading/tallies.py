"""Counts that the writer leaves to be worked out: so many rooms with so many each, sums over places, what is left of a count.

Each finder uses up the numbers that it takes. Where the writer gives the result too ("so 48"), that stands and the
parts are set aside.
"""

from bot.reading.clause import Work
from bot.reading.foreign import take
from bot.reading.heads import Product
from bot.reading.holders import HOLDERS
from bot.reading.placed_counts import placed_counts
from bot.reading.shares import bare, holder_counts, near_noun, shares, stop
from bot.reading.supply import VOLTS
from bot.reading.told_totals import rates_beside_totals
from bot.reading.words import words_of

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
    numbers = [at for at in written if bare(work, at)]
    left: list[Product] = []
    holders = holder_counts(work)
    if len(numbers) > 1:
        if rates_beside_totals(work, numbers):
            numbers = [at for at in numbers if bare(work, at)]
        left = _stated_result(work, numbers) or _less(work, numbers)
        _already(work, numbers)
        left = left or _fewer(work, numbers)
    found = [
        *left,
        *_times(work, numbers),
        *shares(work, holders),
        *placed_counts(work, numbers),
        *_spares(work, numbers),
    ]
    for first, last, _ in holders:
        # "4 hallways, 7 wraps": rooms are no luminaires
        if work.is_number(first) and work.text_at(last) in HOLDERS and not work.unit(first + 1):
            if work.atoms[first].value in VOLTS and not work.text_at(last).endswith("s"):
                continue  # "480 in the plant, 277 office"
            take(work, first)
    return found


# --- sums, spares, and what is left -------------------------------------------------------------------------------


def _times(work: Work, numbers: list[int]) -> list[Product]:
    """Counts written as a product: "3*8 high bays"."""
    out: list[Product] = []
    for at in numbers:
        if (
            work.text_at(at + 1) == "*"
            and work.atoms[at + 1].glued
            and bare(work, at + 2)
            and near_noun(work, at + 2)
        ):
            total = int(work.atoms[at].value * work.atoms[at + 2].value)
            work.use(at, at + 2)
            out.append(Product(at, at + 2, total, part=0))
    return out


def _spares(work: Work, numbers: list[int]) -> list[Product]:
    """Add spares to the count before them; the count without them is the doubt."""
    for at in numbers:
        if not bare(work, at):
            continue
        word = next(
            (n for n in range(at + 1, min(at + 4, len(work.atoms))) if work.text_at(n) in _SPARE), None
        )
        if word is None or any(
            work.atoms[n].kind in ("n", "s", "b") or "controls" in work.atoms[n].mean
            for n in range(at + 1, word)
        ):
            continue
        if not any(
            work.text_at(n) in ("plus", "+", "and", "add", "with", "y", "mas", "also", "n", "&")
            for n in range(max(0, at - 3), at)
        ):
            continue
        base = next((n for n in range(at - 1, max(at - 15, -1), -1) if bare(work, n)), None)
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
    return [at for at in range(low, high) if bare(work, at)]


def _less(work: Work, numbers: list[int]) -> list[Product]:
    """Take away what is said to be less: "48 strips less 6 that are gone"; the whole is the doubt."""
    for number, at in enumerate(numbers[1:], 1):
        if work.text_at(at - 1) == "the" and at > 1:
            word = work.text_at(at - 2)
        else:
            word = work.text_at(at - 1)
        base = numbers[number - 1]
        if word not in ("less", "minus", "menos") or at - base > 8 or near_noun(work, at):
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
        if not bare(work, at) or at == 0:
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
        most = max(work.atoms[n].value for n in earlier)
        if most <= work.atoms[at].value:
            continue
        if "the other" in lead and not any(
            "foreign" in atom.mean and atom.value == most - work.atoms[at].value
            for atom in work.atoms[max(0, at - 40) : at]
        ):
            continue  # "thirty are 1000 W, the other ten 400 W" tells types apart
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
        if not bare(work, at):
            continue
        earlier, counted = counted, True
        if not earlier or near_noun(work, at):
            continue
        words = []
        for index in range(at + 1, min(at + 8, len(work.atoms))):
            if stop(work, index, ".;!?,)"):
                break
            words.append(index)
        texts = [work.text_at(index) for index in words]
        said = {word for text in texts for word in text.split()}
        out = bool(texts) and texts[-1] in _OUT and len(texts) <= 2
        verb = next((text for text in texts[:3] if text in _ARE), texts[-1] if out else None)
        matter = any(
            "source" in work.atoms[n].mean or work.unit(n) in ("w", "v", "ft") or work.is_number(n)
            for n in words
        )
        if verb is None or matter or (_DONE.isdisjoint(said) and texts[0] not in _ARE and not out):
            continue
        take(work, at)
        for index in words:
            if "led" in work.atoms[index].mean or work.has(index, "unit") == "each":
                work.use(index, index)


_ARE = frozenset({"are", "is", "were", "was", "got", "have been", "has been", "been", "have", "ya", "already", "estan", "dont", "don't",
                  "arent", "aren't", "went", "fell", "quit", "died", "wont"})  # fmt: skip
_OUT = frozenset({"are out", "r out", "out", "is out", "burned out", "burnt out", "not working", "out now"})
"""What is said of a part that does not burn: "18 wall packs, 5 are out"."""
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
        if (
            left != 0
            and "poles" in work.cue(at + 1)
            and value * work.atoms[one].value == work.atoms[two].value
        ):
            work.use(one, one)
            work.use(at, at + 1)  # "12 shoeboxes two per pole so six poles"
            return []
        if left == 0 and len(parts) >= 2 and _told_apart(work, parts) and _adds_up(work, at):
            take(work, at)  # "... 40 of 100 W ... 35 of 150 W. That makes 75 in all."
            continue
        if left == 0 and len(parts) >= 2 and not _told_apart(work, parts):
            for part in parts:
                take(work, part)
            work.use(at, at)
            return [Product(at, at, int(value))]
    return []


def _adds_up(work: Work, at: int) -> bool:
    """Whether words around a number say that it is a sum, and it has no luminaire of its own."""
    before = " ".join(work.text_at(n) for n in range(max(0, at - 4), at))
    after = " ".join(work.text_at(n) for n in range(at + 1, min(at + 4, len(work.atoms))))
    said = (
        "makes",
        "total",
        "comes to",
        "adds up",
        "altogether",
        "in all",
        "all told",
        "so that",
        "en total",
        "suman",
    )
    return (
        any(word in before for word in said)
        or after.startswith(("in all", "total", "altogether", "all told", "en total"))
        or (" " + after).endswith((" total", " altogether", " in all", " all told"))
    ) and not any(
        kind in work.atoms[n].mean
        for n in range(at + 1, min(at + 5, len(work.atoms)))
        for kind in ("family", "size", "family_weak")
    )


def _told_apart(work: Work, parts: list[int]) -> bool:
    """Whether the parts have watts or luminaires of their own."""
    low, high = max(0, min(parts) - 6), max(parts)
    watts = {
        work.atoms[n].value
        for n in range(low, min(high + 6, len(work.atoms)))
        if work.is_number(n)
        and (work.unit(n + 1) == "w" or (work.atoms[n].value >= 35 and work.has(n + 1, "source") is not None))
    }
    families = {work.has(n, "family") for n in range(low, min(high + 6, len(work.atoms)))} - {None}
    sizes = {work.has(n, "size") for n in range(low, min(high + 6, len(work.atoms)))} - {None}
    sources = {work.has(n, "source") for n in range(low, min(high + 6, len(work.atoms)))} - {None}
    return len(watts) > 1 or len(families) > 1 or len(sizes) > 1 or len(sources) > 1
