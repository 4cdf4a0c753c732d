"""Counts over places whose type is told behind them: "9 on the north wall, 5 on the south, all 250 W wall packs", "10 in the shop and 6 in the barn, 400 MH high bays".

Spots of one building are added up; each building, or room of its own, is a line.
"""

from bot.reading.clause import Work
from bot.reading.heads import Product
from bot.reading.holders import PREPOSITIONS, noun
from bot.reading.places_behind import PLACES, kinds_of_place
from bot.reading.shares import bare, result_stands, stop
from bot.reading.wholes import only_placed
from bot.reading.words import words_of

_THERE = words_of("upstairs downstairs outside inside outdoors indoors arriba abajo afuera adentro")
"""Places in one word: "5 upstairs 7 downstairs"."""
_LEADING = words_of("they are they're theyre these all both every everything todos todas son ambos ambas of")
"""Words between the last place and what is told of all of them."""
_NAMED = PLACES | words_of("house church school plant sides")
_REACH = 7
_FIXES = frozenset({"w", "lamps", "ft", "volts", "v"})


def _placed(work: Work, at: int) -> bool:
    """Whether a bare number with a place behind it stands here: "9 on the north wall"."""
    after = work.text_at(at + 1)
    return bare(work, at) and (after in _THERE or (after in PREPOSITIONS and not work.is_number(at + 2)))


def placed_counts(work: Work, numbers: list[int]) -> list[Product]:
    """The counts of such places: their sum, or each as a line of its own."""
    run: list[int] = []
    for at in numbers:
        if _placed(work, at) and not any(
            noun(work, n) or stop(work, n) for n in range(run[-1] if run else at, at)
        ):
            run.append(at)
        elif len(run) >= 2:
            break
        else:
            run = [at] if _placed(work, at) else []
    if len(run) < 2:
        run = _beside_places(work, numbers)
        if len(run) < 2 or not (end := _described(work, run[-1])):
            return []
        named = [work.text_at(n) for n in range(max(0, run[0] - 1), end) if work.text_at(n) in _NAMED]
        apart = kinds_of_place(word for word in named if word != "sides") != {"side"}
        return _counted(work, run, end, apart)
    if any(noun(work, n) for n in range(max(0, run[0] - 6), run[-1])):
        return _all_of_a_kind(work, run)
    end = _described(work, run[-1])
    if not end:
        return _all_of_a_kind(work, run)
    ends = [*run[1:], end]
    spots = only_placed(work, [(at + 1, after) for at, after in zip(run, ends, strict=True)])
    return _counted(work, run, end, not spots)


def _beside_places(work: Work, numbers: list[int]) -> list[int]:
    """Counts with nothing but a place's name beside each: "barn 10, shop 6, house 3, ...", "4 north 4 south 2 east ..."."""
    best: list[int] = []
    for before in (True, False):
        run: list[int] = []
        for at in numbers:
            beside = at - 1 if before else at + 1
            if work.text_at(beside) not in _NAMED or not bare(work, at):
                if len(run) > 1:
                    break
                run = []
                continue
            if run:
                between = range(run[-1] + 1, beside) if before else range(run[-1] + 2, at)
                if any(work.text_at(n) != "," and "join" not in work.atoms[n].mean for n in between):
                    if len(run) > 1:
                        break
                    run = []
            elif any(noun(work, n) for n in range(max(0, at - 8), at)) or work.text_at(at - 2) in (
                "each",
                "per",
            ):
                continue
            run.append(at)
        if len(run) > max(1, len(best)):
            best = run
    return best


def _counted(work: Work, run: list[int], end: int, apart: bool) -> list[Product]:
    """The counts of such places, each as a line where buildings are ``apart``; the type is told from ``end`` on."""
    total = sum(int(work.atoms[at].value) for at in run)
    stands = result_stands(work, total, tuple(run))
    for at in run:
        work.use(at, at)
    if stands:
        return []
    if not apart:
        return [Product(run[0], run[-1], total)]
    for index in range(max(0, run[0] - 1), end):
        if "pointer" in work.atoms[index].mean:  # "in the barn" names no barn light
            work.atoms[index] = work.atoms[index]._replace(kind="w", mean={})
    return [Product(at, at, int(work.atoms[at].value), part=number) for number, at in enumerate(run)]


def _described(work: Work, last: int) -> int:
    """The atom where the type of all places begins, told behind the last of them without a count of its own; 0 where none is."""
    count = len(work.atoms)
    start = last + 1
    while start < min(last + _REACH, count):
        atom = work.atoms[start]
        if atom.kind == "n" or "source" in atom.mean or "family" in atom.mean or "size" in atom.mean:
            break
        if atom.kind == "b" or (atom.kind == "s" and atom.text not in ",:-.") or "join" in atom.mean:
            return 0
        start += 1
    for index in range(start, min(start + _REACH, count)):
        atom = work.atoms[index]
        if "family" in atom.mean or "size" in atom.mean:
            return start
        if stop(work, index) or (atom.kind == "n" and bare(work, index) and not _measured(work, index)):
            return 0
    return 0


def _measured(work: Work, at: int) -> bool:
    """Whether the number is of the lamp or of the luminaire, and counts nothing."""
    return work.unit(at + 1) in _FIXES or (
        work.atoms[at].value >= 30 and work.has(at + 1, "source") is not None
    )


def _all_of_a_kind(work: Work, run: list[int]) -> list[Product]:
    """The sum where only a word says that all are of one kind: "9 on the north wall, 5 on the south, the same all"."""
    for index in range(run[-1] + 1, min(run[-1] + 12, len(work.atoms))):
        if work.has(index, "scope") in ("all", "same") or work.text_at(index) in ("all", "todas", "todos"):
            total = sum(int(work.atoms[at].value) for at in run)
            low = run[0]
            while low > 0 and not stop(work, low - 1):
                low -= 1
            if any(noun(work, n) for n in range(low, run[0])):
                return []  # "6 wall packs on the north side and 6 on the south plus 3 by the gate": each place is a line
            if not any(noun(work, n) for n in range(run[0], index)):
                for at in run:
                    work.use(at, at)
                for n in range(index, min(index + 3, len(work.atoms))):
                    if work.has(n, "scope") is not None:
                        work.use(n, n)
                return [] if result_stands(work, total, tuple(run)) else [Product(run[0], run[-1], total)]
            return []
    return []
