"""Counts of rooms, poles and doors, times what each of them holds."""

from bisect import bisect_left
from collections.abc import Collection

from bot.reading.clause import Work
from bot.reading.heads import Product
from bot.reading.holders import EACH, HAVING, HOLDERS, PREPOSITIONS, is_sign, noun, off_poles, shared
from bot.reading.places_behind import PLACES, place_behind
from bot.reading.words import words_of

_NO_COUNT = frozenset({"w", "v", "ft", "m", "lamps", "hours", "days", "year", "kelvin", "lumens", "inch", "percent", "cents",
                       "dollars", "kwh", "kw", "cri", "other", "storey", "shifts", "week"})  # fmt: skip


def bare(work: Work, at: int) -> bool:
    """Whether a whole number without a unit stands at ``at``."""
    if not work.is_number(at):
        return False
    value = work.atoms[at].value
    if value != int(value) or value < 1 or work.count_unit(at + 1) in _NO_COUNT:
        return False
    if value >= 30 and work.has(at + 1, "source"):
        return False  # "400 MH" are watts
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


def stop(work: Work, index: int, marks: str = ".;!?") -> bool:
    atom = work.atoms[index]
    return atom.kind == "b" or (atom.kind == "s" and atom.text in marks)


def holder_counts(work: Work) -> list[tuple[int, int, int]]:
    """Numbers that count rooms, poles, doors: (first atom, last atom, how many)."""
    out = []
    count = len(work.atoms)
    for at, atom in enumerate(work.atoms):
        if "holders" in atom.mean:
            out.append((at, at, int(atom.mean["holders"])))
            continue
        if atom.kind != "n" or not _holder_number(work, at) or place_behind(work, at):
            continue
        if work.text_at(at - 1) == "(" and work.text_at(at + 1) == ")" and work.text_at(at - 2) in HOLDERS:
            out.append((at, at + 1, int(atom.value)))  # "stairwells (4) have 5 wraps each"
            continue
        for index in range(at + 1, min(at + 5, count)):
            text = work.text_at(index)
            if text in HOLDERS and _says_which(work, index):
                break
            if index == at + 1 and text in _KINDS_TOO and _lamp_behind(work, index + 1):
                break  # "35 bays 400 MH", "100 garage 150 W HPS"
            if (
                text in HOLDERS
                or "poles" in work.cue(index)
                or (is_sign(work, index) and work.has(index + 1, "join") is None)
            ):
                out.append((at, index, int(work.atoms[at].value)))
                break
            nxt = work.atoms[index]
            if nxt.kind == "n" and work.unit(index + 1) == "ft":
                continue
            if nxt.kind in ("s", "b", "n", "c") and text not in ("'", "-"):
                break
            if "source" in nxt.mean or "family" in nxt.mean or "join" in nxt.mean or text in PREPOSITIONS:
                break
            if "size" in nxt.mean or ("generic" in nxt.mean and "poles" not in work.cue(index + 1)):
                break  # "6 fixtures 2x2 kitchen"
            if text in ("for", "para", "pa"):
                break  # "6 lights for spray booth", "12 packs for the building"
            if text.split(" ", 1)[0] in EACH or text in ("per", "in each", "on each", "a", "an"):
                break
    return out


_KINDS_TOO = words_of("bay bays garage garages")
"""Places that kinds of luminaires are called by."""


def _lamp_behind(work: Work, at: int) -> bool:
    """Whether a lamp stands right here: "400 MH", "150 W HPS", ", 400 W"."""
    if work.text_at(at) in (",", "-"):
        at += 1
    if at >= len(work.atoms):
        return False
    if work.atoms[at].kind == "c" or work.has(at, "source") is not None:
        return True
    return work.is_number(at) and (work.unit(at + 1) == "w" or work.has(at + 1, "source") is not None)


def _says_which(work: Work, at: int) -> bool:
    """Whether a place in the singular only says which luminaires are counted: "6 dock lights", "10 apartment porch lights"."""
    for index in (at, at + 1):
        text = work.text_at(index)
        if index > at and text not in HOLDERS and work.atoms[index].kind != "w":
            return False
        if text.endswith("s"):
            return False
        if noun(work, index + 1):
            return True
        if index + 1 >= len(work.atoms):
            return False
    return False


_LABELS = words_of("at @ on $ # bldg building floor room qty quantity cant cantidad")


def _holder_number(work: Work, at: int) -> bool:
    """Whether a whole number from 2 to 999 stands here that measures nothing."""
    if not work.is_number(at):
        return False
    value = work.atoms[at].value
    return (
        value == int(value)
        and 2 <= value < 1000
        and work.unit(at + 1) in (None, "other", "each")
        and work.text_at(at - 1) not in _LABELS
    )


def _of_lamps(work: Work, at: int) -> bool:
    """Whether lamps follow: "each with a 60 watt incandescent", "each has 4 tubes"."""
    if work.text_at(at) not in ("with", "has", "having", "w", "w/", "con", "holds", "uses", "takes"):
        return False
    for index in range(at + 1, min(at + 5, len(work.atoms))):
        if work.unit(index) in ("w", "lamps") or work.has(index, "source"):
            return True
        if stop(work, index) or "family" in work.atoms[index].mean:
            return False
    return False


def _shared_out(work: Work, at: int, holders: set[int]) -> int | None:
    """The atom that says that the number at ``at`` is at each holder ("9 per room", "each has 9"); ``None`` if none does."""
    count = len(work.atoms)
    seen_noun = False
    over = shared(work, at)
    if over is not None:
        return at + 1 if over else None
    for index in range(at + 1, min(at + 11, count)):
        if stop(work, index, ".;!?:"):
            break
        text = work.text_at(index)
        first = text.split(" ", 1)[0]
        distributes = (
            first in EACH
            or first == "per"
            or (
                text in ("a", "an", "to a", "to the", "por", "x")
                and work.text_at(index + 1) in HOLDERS
                and not work.text_at(index + 1).endswith("s")
            )
            or "per_pole" in work.cue(index)
            or text
            in ("in each", "in each one", "in every one", "each one", "every one", "on each pole", "in ea")
        )
        if distributes and first in EACH and text.split()[-1] == first and _of_lamps(work, index + 1):
            return None  # "72 jelly jars, each with a 60 watt incandescent"
        if distributes:
            if (
                noun(work, index + 1)
                and work.text_at(index + 1) not in HOLDERS
                and not (seen_noun and "size" in work.atoms[index + 1].mean)
            ):
                return None
            if "per_head" in work.cue(index) and text.split(" ")[-1] in (
                "fixture", "head", "light", "lamp", "luminaire", "can", "troffer", "strip", "wrap", "unit"):  # fmt: skip
                return None
            seen_noun = seen_noun or text.startswith(
                ("heads", "lights", "fixtures")
            )  # "heads each" is one phrase
            before = index - 1
            while before > at and work.text_at(before) in ("in", "on", "at", "to", "for", "en", "a"):
                before -= 1
            if before == at or (
                (seen_noun or noun(work, before)) and not work.unit(before) and work.atoms[before].kind != "n"
            ):
                return index
            return None
        if (
            work.atoms[index].kind == "n"
            and work.unit(index + 1) not in ("w", "lamps", "ft")
            and work.text_at(index + 1) != "-"
        ):
            break
        seen_noun = seen_noun or noun(work, index)
    # before it: "each room has 9", "every one of the 6 bays with 10"
    having = False
    for index in range(at - 1, max(at - 9, -1), -1):
        if stop(work, index) or (index not in holders and bare(work, index) and near_noun(work, index)):
            break
        text = work.text_at(index)
        if text in HAVING and not (text == "w" and work.unit(index) == "w" and work.is_number(index - 1)):
            having = True
        first = text.split(" ", 1)[0]
        if (first in EACH or text == "in each") and work.text_at(index + 1) in (",", ")"):
            break  # "classrooms (20) 9 troffers each, hallways 30": of what is before it
        if (
            first in EACH
            and work.text_at(index + 2) in (",", "and", "y")
            and _another_place(work, index + 3, at)
        ):
            break  # "levels 1-3 have 48 each level, roof has 10"
        if (
            first in EACH
            or text == "in each"
            # also "per room: 9" and "per floor 18 cans, 12 wraps"
            or (
                text == "per"
                and index + 2 <= at
                and (work.atoms[index + 2].kind == "n" or work.text_at(index + 2) == ":")
            )
        ):
            near = any(work.text_at(n) in HOLDERS or "poles" in work.cue(n) for n in range(index + 1, at))
            return index if having or near or index == at - 1 else None
    return None


def _another_place(work: Work, index: int, at: int) -> bool:
    """Whether a place of its own begins at ``index``, before the number at ``at``."""
    while work.text_at(index) in ("the", "and", "our", "y", "el", "la", "los", "las"):
        index += 1
    return index < at and (work.text_at(index) in PLACES or work.text_at(index) in HOLDERS)


def _goes_on(work: Work, before: int, at: int) -> bool:
    """Whether a count goes on with the list of the count before it: nothing but a luminaire's words, a comma or "and" between."""
    named = False
    for index in range(before + 1, at):
        atom = work.atoms[index]
        if noun(work, index):
            named = True
        elif (
            atom.text != ","
            and "join" not in atom.mean
            and "unit" not in atom.mean
            and "source" not in atom.mean
        ):
            return False
    return named and at - before <= 8


def _at_each(work: Work, at: int) -> bool:
    """Whether one hangs at each of so many holders: "a wall pack over each of the eleven doors"."""
    for index in range(at + 1, min(at + 9, len(work.atoms))):
        if stop(work, index, ".;!?,") or work.unit(index) == "pair":
            return False
        if bare(work, index) and work.unit(index + 1) not in ("w", "ft"):
            return False
        if work.text_at(index).split(" ", 1)[0] in EACH:
            return (work.text_at(index - 1) in PREPOSITIONS or work.text_at(index - 1) == "by") and any(
                _holder_number(work, n) for n in range(index + 1, index + 4)
            )
    return False


def _each_has(work: Work, at: int) -> bool:
    """Whether each of several holders has one: "docks 1-12 each have a 150w wall pack"."""
    return _at_each(work, at) or (
        work.text_at(at - 1) in HAVING
        and any(work.text_at(n).split(" ", 1)[0] in EACH for n in range(max(0, at - 4), at - 1))
        and any(
            noun(work, n) and _unbroken(work, at + 1, n) for n in range(at + 1, min(at + 6, len(work.atoms)))
        )
    )


def _unbroken(work: Work, low: int, high: int) -> bool:
    """Whether nothing that counts stands between two atoms: "a 150w wall pack", not "a row of seven wraps"."""
    return not any(
        "rows" in work.cue(n) or work.text_at(n) == "row" or bare(work, n) for n in range(low, high)
    )


def _nested(work: Work, holders: list[tuple[int, int, int]]) -> list[tuple[int, int, int]]:
    """Holders within holders counted through: "8 courts, 4 poles per court" are 32 poles."""
    out: list[tuple[int, int, int]] = []
    for first, last, many in holders:
        if out:
            outer = out[-1]
            if (
                first - outer[1] <= 6
                and many * outer[2] <= 2000
                and work.text_at(last) != work.text_at(outer[1])
                and (_per_holder(work, last, outer) or _of_each(work, outer, first))
            ):
                work.use(outer[0], outer[0])
                if work.atoms[first].kind == "n":
                    work.atoms[first] = work.atoms[first]._replace(value=float(many * outer[2]))
                out[-1] = (first, last, many * outer[2])
                continue
        out.append((first, last, many))
    return out


def _per_holder(work: Work, last: int, outer: tuple[int, int, int]) -> bool:
    """Whether words behind a holder share it out over an outer one: "4 poles per court", "10 poles each, ..."."""
    behind = work.text_at(last + 1)
    if behind in EACH:
        after = work.text_at(last + 2)
        return after in (",", ".", ";", "with", "w/", "and", "con", "y")
    if behind.split(" ")[-1] not in ("per", "each", "every", "a", "cada", "por"):
        return False
    named, whole = work.text_at(last + 2), work.text_at(outer[1])
    return bool(named) and named.rstrip("s") == whole.split(" ")[-1].rstrip("s")


def _of_each(work: Work, outer: tuple[int, int, int], first: int) -> bool:
    """Whether the outer ones are said to have so many each: "each of our 8 courts has 4 poles", "3 wings, each with 10 rooms"."""
    near = (*range(max(0, outer[0] - 3), outer[0]), *range(outer[1] + 1, first))
    told = {word for n in near for word in work.text_at(n).split()}
    return not EACH.isdisjoint(told) and work.text_at(first - 1) in HAVING


def shares(work: Work, holders: list[tuple[int, int, int]]) -> list[Product]:
    if not holders:
        return []
    if len(holders) > 1:
        holders = _nested(work, holders)
    out: list[Product] = []
    taken = {first for first, _, _ in holders}
    last_share: tuple[int, tuple[int, int, int]] | None = None
    used: list[tuple[int, int]] = []
    run: list[int] = []
    for at in range(len(work.atoms)):
        pair = work.unit(at) == "pair" and not work.used[at] and not work.is_number(at - 1)
        one = work.text_at(at) in ("a", "an", "un", "una") and _each_has(work, at)
        if at in taken or not (bare(work, at) or pair or one):
            continue
        if run and not _goes_on(work, run[-1], at):
            run = []
        if bare(work, at):
            run.append(at)
        value = 2 if pair else 1 if one else int(work.atoms[at].value)
        if value > 200:
            continue
        mark = _shared_out(work, at, taken) if work.text_at(at - 1) not in ("another", "other") else None
        if mark is None and work.text_at(at - 1) in ("x", "*") and work.text_at(at - 2) in HOLDERS:
            mark = at - 1  # "24 rooms x 9 wraps"
        holder = None
        if mark is not None:
            near = bisect_left(holders, (at, 0, 0))
            close = [item for item in holders[max(0, near - 2) : near + 2] if abs(item[0] - at) <= 24]
            holder = min(close, key=lambda item: (abs(item[0] - at), item[0]), default=None)
        elif (
            last_share is not None
            and "join" in work.atoms[at - 1].mean
            and work.text_at(at - 1)
            not in ("another", "other", "plus", "+", "also", "as well as", "then", "along with")
            and not ("poles" in work.cue(last_share[1][1]) and off_poles(work, at))
            and near_noun(work, at)
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
        if is_sign(work, holder[1]):
            work.use(holder[1], holder[1])
        used.append((holder[0], at))
        if not out and "poles" in work.cue(holder[1]):
            # "14 poles in front and 6 poles in back, 2 heads each"
            for first, last, many in holders:
                if (
                    last < holder[0]
                    and "poles" in work.cue(last)
                    and work.is_number(first)
                    and not _stopped(work, last, at)
                ):
                    work.use(first, first)
                    out.append(Product(first, first, many * value, part=len(out)))
        if value == holder[2] and work.text_at(at - 1) in (
            "thats",
            "that's",
            "so",
            "=",
            "that is",
            "makes",
            "thats like",
        ):
            # "units 101-124 have one sconce each, thats 24 sconces"
            work.use(holder[0], holder[0])
            continue
        if mark is not None and mark > at + 1 and work.text_at(mark).split(" ", 1)[0] == "per":
            for other in run[:-1]:
                # "6 wall packs and 2 floods per building": the first may be of all of them together
                if work.is_number(other) and not ("poles" in work.cue(holder[1]) and off_poles(work, other)):
                    each = int(work.atoms[other].value)
                    work.use(other, other)
                    out.append(Product(other, other, holder[2] * each, (each,)))
        total = holder[2] * value
        # "12 poles w/ 4 heads each ... 6 poles w/ 2 heads each": what counts holders is no result
        if result_stands(work, total, taken | {at}):
            work.use(at, at)
            continue
        work.use(at, at)
        out.append(
            Product(
                at, at, total, part=0 if near_noun(work, at) and not _poles_alone(work, holder) else len(out)
            )
        )
    for holder_at, _ in used:
        work.use(holder_at, holder_at)
    return out


def _poles_alone(work: Work, holder: tuple[int, int, int]) -> bool:
    """Whether the holder is a pole: what hangs on it needs no name."""
    return "poles" in work.cue(holder[1])


def near_noun(work: Work, at: int) -> bool:
    return any(noun(work, index) for index in range(at + 1, min(at + 5, len(work.atoms))))


def _stopped(work: Work, low: int, high: int) -> bool:
    return any(stop(work, index) for index in range(low, high))


def result_stands(work: Work, total: int, parts: Collection[int]) -> bool:
    return any(
        index not in parts
        and work.is_number(index)
        and work.atoms[index].value == total
        and work.unit(index + 1) not in _NO_COUNT
        and not _of_another_kind(work, index, parts)
        for index in work.numbers
    )


def _of_another_kind(work: Work, at: int, parts: Collection[int]) -> bool:
    """Whether the number at ``at`` counts a kind that hangs on no pole, and what is multiplied has no such name: "8 wall packs, 4 poles with 2 lights each"."""
    family = _kind(work, at)
    return family is not None and off_poles(work, at) and all(_kind(work, part) != family for part in parts)


def _kind(work: Work, at: int) -> str | None:
    """The family named within a few words behind a number."""
    for atom in work.atoms[at + 1 : at + 6]:
        if "family" in atom.mean:
            family: str = atom.mean["family"]
            return family
        if "join" in atom.mean or atom.kind == "b" or (atom.kind == "s" and atom.text not in ("-", "'", '"')):
            return None
    return None
