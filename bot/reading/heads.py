"""Counts that are products: poles times heads, rows times luminaires, doors with a pair each."""

from typing import Final, NamedTuple

from bot.reading.clause import Work
from bot.reading.holders import shared
from bot.reading.words import words_of

_HEADS = {"single": 1, "twin": 2, "triple": 3, "quad": 4}
_STYLES = tuple([f"cue:{name}" for name in _HEADS])
_HUNG = frozenset({"MH", "PSMH", "CMH", "HPS", "LPS", "MV", "LED", "INC", "HAL"})
"""Lamps of what hangs on poles."""
_TIMES = frozenset({"x", "*", "times"})
_EACH = frozenset({"each", "apiece", "ea", "c/u"})


WORKED_OUT: Final = "worked out"
ADDS_UP: Final = "adds up"
OF_EACH: Final = "of each"
"""The rules of counts that are worked out; of parts of a count given before, all told, that come to the whole; of each of a list."""


class Product(NamedTuple):
    """A count that is worked out.

    Attributes:
        first, last: atoms it came from.
        qty: the count.
        others: what else it could be.
        part: not 0 where it opens a type of its own: the second and later parts of a whole, numbered.
        same: the type is the one before in all that is not said of it.
        lead: the atom from which words before the count tell of it ("batteries in 6 of them"); -1 where none do.
        adds_up: it is a part of a whole, and all parts are told and come to that.
    """

    first: int
    last: int
    qty: int
    others: tuple[int, ...] = ()
    part: int = 0
    same: bool = False
    lead: int = -1
    adds_up: bool = False


def _style(work: Work, index: int) -> int | None:
    cues = work.cue(index)
    for name, factor in _HEADS.items():
        if name in cues:
            return factor
    return None


def _is_pole(work: Work, index: int) -> bool:
    return "poles" in work.cue(index)


def _pole_counts(work: Work) -> list[tuple[int, int, float]]:
    """Numbers that count poles: (number atom, pole atom, count)."""
    out = []
    for at in work.numbers:
        if not work.is_number(at) or work.atoms[at].value != int(work.atoms[at].value):
            continue
        if "at" in work.cue(at - 1) and work.text_at(at - 1) in ("at", "@", "on"):
            continue
        index = at + 1
        if work.text_at(at - 1) == "(" and work.text_at(index) == ")":
            if work.text_at(at - 2) in ("on", "w", "with"):
                continue
            index += 1
        steps = 0
        while index < len(work.atoms) and steps < 4:
            atom = work.atoms[index]
            if _is_pole(work, index):
                if work.unit(index - 1) in ("ft", "m") and index - 1 == at + 1:
                    break
                out.append((at, index, atom.value or work.atoms[at].value))
                break
            if atom.kind in ("b",) or (atom.kind == "s" and atom.text in ".,;:()"):
                break
            if atom.kind == "n":
                # "10 25' poles": a height may stand between
                if work.unit(index + 1) in ("ft", "m"):
                    index += 2
                    steps += 1
                    continue
                break
            if atom.mean.get("unit") or atom.mean.get("family") or atom.mean.get("source"):
                break
            if atom.mean.get("generic") == "light" and work.text_at(index + 1) in ("en", "on", "sobre"):
                break  # "6 lamparas en postes de 10 metros"
            index += 1
            steps += 1
    if not out:
        # "dbl head poles x 6"
        out = [
            (pole + 2, pole, work.atoms[pole + 2].value)
            for pole in range(len(work.atoms) - 2)
            if _is_pole(work, pole)
            and work.text_at(pole + 1) in ("x", ":", "=", "qty")
            and work.is_number(pole + 2)
            and work.unit(pole + 3) not in ("ft", "m", "w", "v")
        ]
    return [(at, pole, work.atoms[at].value) for at, pole, _ in out]


_ON_POLES = frozenset({"area", "street", "flood", "post_top", "security"})


def _family_of(work: Work, count: int) -> str | None:
    """The luminaire word behind a count, before the sentence ends and before another count."""
    for index in range(count + 1, min(count + 12, len(work.atoms))):
        atom = work.atoms[index]
        if atom.kind == "b" or atom.text in (".", ";") or _is_pole(work, index):
            return None
        family: str | None = atom.mean.get("family")
        if family is not None:
            return family
    return None


def _poles_of_heads(work: Work, counts: list[tuple[int, int, float]]) -> list[tuple[int, int, float]]:
    """The counts of poles without that of poles on which heads hang that are counted themselves: "10 floods 1000 MH, 4 poles 70 ft".

    Their clause names no lamp and no heads: then they would be heads themselves.
    """
    if len(counts) != 1:
        return counts
    at, pole, many = counts[0]
    heads = [
        n
        for n in work.numbers
        if n != at
        and work.is_number(n)
        and work.atoms[n].value >= many
        and work.unit(n + 1) is None
        and _family_of(work, n) in _ON_POLES
    ]
    if not heads or not work.is_number(at) or any(work.text_at(n) == "on" for n in range(at, pole)):
        return counts
    for index in range(pole + 1, len(work.atoms)):
        atom = work.atoms[index]
        if atom.kind == "b" or atom.text in (".", ";") or index in heads or "family" in atom.mean:
            break
        if "source" in atom.mean or atom.mean.get("unit") in ("w", "each") or "per_pole" in work.cue(index):
            return counts
    between = range(min(heads[0], at), max(heads[0], at))
    if not any(work.atoms[n].kind == "b" or work.text_at(n) in (",", ".", ";", "-", "(") for n in between):
        return counts
    work.use(at, at)
    return []


def _on_poles(work: Work) -> None:
    """Set aside on how many poles the heads hang that are counted themselves: "12 shoebox heads on (6) poles"."""
    heads = [
        at
        for at in work.numbers
        if any("family" in work.atoms[n].mean for n in range(at + 1, min(at + 5, len(work.atoms))))
    ]
    if not heads:
        return
    for at in work.numbers:
        if (
            heads[0] < at - 3
            and _is_pole(work, at - 1)
            and work.text_at(at - 3) == "on"
            and work.is_number(at)
            and work.atoms[at].value <= 4
            and work.text_at(at + 1) in _EACH
        ):
            work.use(at, at + 1)  # "24 shoeboxes on 12 poles two each"
            continue
        open_mark = work.text_at(at - 1) == "("
        lead = at - 2 if open_mark else at - 1
        pole = at + 2 if open_mark else at + 1
        if (
            work.is_number(at)
            and work.text_at(lead) == "on"
            and _is_pole(work, pole)
            and heads[0] < lead
            and work.unit(at + 1) is None
        ):
            work.use(at, at)


def _by_group(
    work: Work, counts: list[tuple[int, int, float]], styles: list[tuple[int, int]], taken: set[int]
) -> list[Product]:
    """Several kinds of poles, each with its heads: "20 poles with two heads each, and 5 poles with one"."""
    out: list[Product] = []
    told = 0
    shared = _per_pole(work, taken, counts[-1][0])
    if len(counts) > 12:
        return []
    ends = [first for first, _, _ in counts[1:]] + [len(work.atoms)]
    for (at, pole, value), end in zip(counts, ends, strict=True):
        per = _per_pole(work, taken, at, end)
        style = next(((index, factor) for index, factor in styles if at < index < end), None)
        factor, last = (
            (per[2], per[1]) if per is not None else (style[1], style[0]) if style is not None else (1, pole)
        )
        if per is None and style is None and shared is not None:
            # "14 poles in front and 6 in back, 2 heads each"
            factor, told = shared[2], told + 1
        told += per is not None or style is not None
        out.append(Product(at, max(pole, last), int(value) * factor, part=len(out)))
    if told < len(counts):
        return []
    for product, (at, _, _), end in zip(out, counts, ends, strict=True):
        per = _per_pole(work, taken, at, end)
        work.use(at, at)
        if per is not None:
            work.use(per[0], per[1])
        for index, _ in styles:
            if at < index < product.last + 1:
                work.use(index, index)
    return out


def _per_pole(
    work: Work, taken: set[int], low: int = 0, high: int = 1_000_000
) -> tuple[int, int, int] | None:
    """As in "2 heads per pole", "12 per pole", "two heads each": (first, last, factor)."""
    for at in work.numbers:
        if not low <= at < high or not work.is_number(at) or at in taken or shared(work, at) is False:
            continue
        value = work.atoms[at].value
        if not (1 <= value <= 16 and value == int(value)):
            continue
        lead = at - 2 if work.text_at(at - 1) == "/" and work.text_at(at - 2) == "w" else at - 1
        if (
            work.text_at(lead)
            in (
                "w",
                "with",
                "w/",
                "has",
                "have",
                "having",
                "holding",
                "carrying",
                "con",
                "x",
                "*",
                "times",
                "by",
                "por",
            )
            and any("poles" in work.cue(n) for n in range(max(0, lead - 3), lead))
            and (
                work.text_at(at + 1)
                in ("heads", "head", "cabezas", "luminarias", "luminarios", "lamparas", "fixtures", "lights")
                or (
                    work.text_at(lead) in _TIMES and work.has(at + 1, "family") in ("area", "street", "flood")
                )
            )
            and (value <= 4 or work.text_at(lead) in _TIMES)
        ):
            # "5 poles w 4 heads": on each pole, which carries no more
            return at, at if "family" in work.atoms[at + 1].mean else at + 1, int(value)
        lamp = False
        for index in range(at + 1, min(at + 7, len(work.atoms))):
            if "per_pole" in work.cue(index):
                return at, at if lamp else index, int(value)
            atom = work.atoms[index]
            if work.text_at(index) in _EACH or "per_head" in work.cue(index):
                return at, at if lamp else index, int(value)
            if (
                (value <= 6 and atom.kind == "n" and work.unit(index + 1) == "w")
                or (work.unit(index) == "w" and work.atoms[index - 1].kind == "n")
                or (lamp and atom.mean.get("source") in _HUNG)
            ):
                lamp = True  # "12 poles, two 400 W halides each"
                continue
            if index >= at + 5 or (
                atom.kind in ("n", "b")
                or (atom.kind == "s" and atom.text in ".,;:")
                or atom.mean.get("source")
                or work.unit(index) in ("ft", "w", "lamps")
            ):
                break
    return None


_RESTATES = frozenset(
    {"thats", "that's", "that is", "so", "=", "meaning", "ie", "i.e.", "aka", "so thats", "which is"}
)


def restated(work: Work, products: list[Product]) -> list[Product]:
    """The products without those that only say the one before again: "five quads, thats 5 poles with 4 apiece"."""
    out: list[Product] = []
    for product in products:
        if (
            out
            and product.qty == out[-1].qty
            and any(work.text_at(n) in _RESTATES for n in range(out[-1].last + 1, product.first + 1))
        ):
            work.use(product.first, product.first)
            for n in range(out[-1].last + 1, product.first):
                if _is_pole(work, n):
                    work.use(n, n)
            continue
        out.append(product)
    return out


def read_products(work: Work) -> list[Product]:
    """Every worked-out count of the stretch; the numbers it came from are used up."""
    rows = _rows(work) if work.speaks_of("cue:rows") else []
    if rows:
        return rows
    poles = work.speaks_of("cue:poles")
    counts = _pole_counts(work) if poles else []
    styles = (
        [(index, factor) for index in range(len(work.atoms)) if (factor := _style(work, index)) is not None]
        if work.speaks_of(*_STYLES)
        else []
    )
    if not (poles or styles):
        return []
    numbered = [
        (index - 1, index, int(work.atoms[index - 1].value) * factor)
        for index, factor in styles
        if work.is_number(index - 1) and not work.has(index + 1, "family")
    ]
    numbered += [
        (index - 3, index, int(work.atoms[index - 3].value) * factor)
        for index, factor in styles
        if work.is_number(index - 3) and work.text_at(index - 2) == "of them"
    ]
    numbered += [
        (index - 2, index, int(work.atoms[index - 2].value) * factor)
        for index, factor in styles
        if work.is_number(index - 2) and work.text_at(index - 1) in ("sets of", "set of", "pairs of")
    ]
    if len(numbered) < 2:
        numbered += [
            (index - 2, index, int(work.atoms[index - 2].value) * factor)
            for index, factor in styles
            if work.is_number(index - 2)
            and work.unit(index - 1) == "each"
            and not any(n[1] == index for n in numbered)
        ]
    if len(numbered) >= 2 and (apart := _apart(work, numbered)):
        for at, pole, _ in counts:
            work.use(at, pole)
        return apart
    if len(numbered) >= 2:
        # "5 quads and 3 singles", "four of them twin head, three single"
        total = sum(product for _, _, product in numbered)
        first, last = numbered[0][0], numbered[-1][1]
        for low, high, _ in numbered:
            work.use(low, high)
        for at, pole, _ in counts:
            work.use(at, pole)
        stated = _stated_heads(work)
        if stated is not None:
            total = int(work.atoms[stated].value)
            work.use(stated, stated)
        return [Product(min(first, *(c[0] for c in counts)) if counts else first, last, total)]
    taken = {at for at, _, _ in counts}
    if counts and (mixed := _mixed(work, counts[0])) is not None:
        return [mixed]
    _on_poles(work)
    if not styles and counts and _per_pole(work, taken) is None:
        counts = _poles_of_heads(work, counts)
    if len(counts) > 1 and (several := _by_group(work, counts, styles, taken)):
        return several
    per = _per_pole(work, taken)
    if counts and per is None and not styles:
        at, pole, value = counts[0]
        heads = next(
            (
                n
                for n in work.numbers
                if pole < n <= pole + 8
                and work.is_number(n)
                and 2 <= work.atoms[n].value <= 4
                and work.atoms[n].value < value
                and work.text_at(n + 1) in ("heads", "cabezas")
            ),
            None,
        )
        if heads is not None:
            # "6 poles 25', 2 heads": on each, most likely
            many = int(work.atoms[heads].value)
            work.use(at, at)
            work.use(heads, heads + 1)
            return [Product(at, heads + 1, int(value) * many, (many,))]
    if (
        counts
        and per is None
        and len(styles) != 1
        and (stated := _stated_heads(work)) is not None
        and stated not in taken
    ):
        # "12 poles, mix of single and twin, 20 heads total"
        work.use(counts[0][0], counts[0][0])
        return []
    if counts:
        at, pole, value = counts[0]
        if per is not None:
            work.use(at, at)
            work.use(per[0], per[1])
            return [Product(at, max(pole, per[1]), int(value) * per[2])]
        if styles:
            index, factor = styles[0]
            work.use(at, at)
            work.use(index, index)
            again = _stated_heads(work)
            if again is not None and work.atoms[again].value == int(value) * factor:
                work.use(again, again)  # "dbl head poles x 6 (12 heads)"
            return [Product(min(at, index), max(at, index), int(value) * factor)]
        return []
    if numbered:
        low, high, product = numbered[0]
        if work.text_at(low + 1) in ("sets of", "set of", "pairs of"):
            many = int(work.atoms[low].value)
            work.use(low, high)
            return [Product(low, high, product, (many,))]
        if _is_pole(work, high + 1) or work.text_at(high).endswith("s"):
            work.use(low, high)
            return [Product(low, high, product)]
    return []


def _apart(work: Work, numbered: list[tuple[int, int, int]]) -> list[Product]:
    """The counts as types of their own, where each says its own lamp: "20 twin head 250 W, 4 quads 400 W"."""
    ordered = sorted(numbered)
    ends = [low for low, _, _ in ordered[1:]] + [len(work.atoms)]
    lamps = []
    for (_, high, _), end in zip(ordered, ends, strict=True):
        watts = [
            work.atoms[n].value
            for n in range(high + 1, end)
            if work.is_number(n) and (work.unit(n + 1) == "w" or work.has(n + 1, "source"))
        ]
        lamps.append(watts[0] if watts else None)
    if None in lamps or len(set(lamps)) < 2:
        return []
    for low, high, _ in ordered:
        work.use(low, high)
    return [Product(low, high, many, part=number) for number, (low, high, many) in enumerate(ordered)]


HEAD_WORDS = words_of("heads head fixtures fixture lights light cabezas cabeza")
_THE_OTHER = words_of("the other about each of las los otros otras en")
_OTHERS = words_of("rest others remainder remaining resto demas")


def _heads_on(work: Work, poles: tuple[int, int, float]) -> list[tuple[int, int, int, int]]:
    """As in "9 poles, 2 heads on 6 of em and 4 heads on the other 3": (first atom, last atom, poles, heads each)."""
    found: list[tuple[int, int, int, int]] = []
    left = int(poles[2])
    for at in work.numbers:
        if at <= poles[1] or not work.is_number(at) or work.text_at(at + 1) not in HEAD_WORDS:
            continue
        if work.text_at(at + 2) not in ("on", "for", "at", "en"):
            continue
        step = at + 3
        while (words := work.text_at(step).split()) and _THE_OTHER.issuperset(words):
            step += 1
        if work.is_number(step):
            many = int(work.atoms[step].value)
        elif not _OTHERS.isdisjoint(work.text_at(step).split()):
            many = left
        else:
            continue
        left -= many
        found.append((at, step, many, int(work.atoms[at].value)))
    return found


def _mixed(work: Work, poles: tuple[int, int, float]) -> Product | None:
    """As in "12 poles: 8 w/ 2 heads, 4 w/ 1 head": so many poles with so many heads each, which make up all of them."""
    found: list[tuple[int, int, int, int]] = []
    for at in work.numbers:
        if at <= poles[1] or not work.is_number(at):
            continue
        step = at + 1
        while step < at + 4 and work.text_at(step) in (
            "w",
            "w/",
            "with",
            "have",
            "has",
            "carry",
            "/",
            "got",
            "are",
            "of",
            "them",
            "of them",
            "con",
            "tienen",
        ):
            step += 1
        if step == at + 1 or not work.is_number(step):
            continue
        if work.text_at(step + 1) in HEAD_WORDS:
            found.append((at, step + 1, int(work.atoms[at].value), int(work.atoms[step].value)))
    found = found or _heads_on(work, poles)
    if len(found) < 2 or sum(many for _, _, many, _ in found) != int(poles[2]):
        return None
    for first, last, _, _ in found:
        work.use(first, last)
    work.use(poles[0], poles[0])
    return Product(poles[0], found[-1][1], sum(many * heads for _, _, many, heads in found))


def _stated_heads(work: Work) -> int | None:
    """As in "so 23 heads": the total that the writer worked out."""
    for at in work.numbers:
        if work.is_number(at) and work.text_at(at + 1) in ("heads", "total", "fixtures", "altogether"):
            return at
    return None


def _rows(work: Work) -> list[Product]:
    """As in "6 rows of 9", "... and 2 rows of 5 in the annex"; a total said elsewhere stands."""
    out: list[Product] = []
    for at in work.numbers:
        if not work.is_number(at) or "rows" not in work.cue(at + 1):
            continue
        step = at + 2
        if work.text_at(step) in ("of", "with", "de", "w"):
            step += 1
        if not work.is_number(step) or work.unit(step + 1) in ("ft", "w", "v", "lamps"):
            continue
        qty = int(work.atoms[at].value * work.atoms[step].value)
        stated = any(
            index not in (at, step) and work.is_number(index) and work.atoms[index].value == qty
            for index in range(len(work.atoms))
        )
        work.use(at, step)
        if stated:
            return []
        own = any(
            "family" in work.atoms[n].mean or "size" in work.atoms[n].mean
            for n in range(step + 1, min(step + 5, len(work.atoms)))
        )
        out.append(Product(at, step, qty, part=0 if own else len(out)))
    return out
