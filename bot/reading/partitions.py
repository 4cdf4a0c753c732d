"""Counts that are parts of one given before: "20 floods, 14 of them 250 W and the other 6 400 W", "half on 25 ft poles, the rest on 30".

The whole is set aside and each part becomes a count of its own; where only one part is told apart ("batteries in 6 of
them") what is left of the whole is the other. Parts that nothing tells apart are left as they are.
"""

from typing import NamedTuple

from bot.reading.bare_numbers import known_watts
from bot.reading.clause import Work
from bot.reading.foreign import take
from bot.reading.heads import Product
from bot.reading.places_behind import beside_each_other
from bot.reading.wholes import only_placed
from bot.reading.words import words_of

_REACH = 48
"""How many atoms behind the whole its parts are looked for."""
_RESULT = words_of(
    "so total totals totaling = equals thats altogether use leaves leaving really actually make makes quote say"
)
_OUTSIDE = words_of("front back side there along by near west east north south")
_ALL_TOLD = words_of("total totals altogether")
GONE = words_of(
    "dummies dummy dead broken out gone already done replaced changed pulled removed missing spare spares extra led burnt burned flicker"
)
_BROKEN = words_of("out broken dead burnt burned flicker flickering bad")
_ATTRIBUTES = (
    "size",
    "source",
    "optic",
    "finish",
    "mount",
    "controls",
    "damp_or_wet",
    "flag",
    "colour",
    "voltage",
)
_UNITS = frozenset({"w", "v", "ft", "m", "lamps", "kelvin", "storey", "cri"})
_PLACES = words_of(
    "in on at over by along around behind outside inside near above under upstairs downstairs en sobre atras east west north south"
)
_OF_THEM = words_of("them those these which em the our my ellos ellas cuales")
_REST = frozenset({"rest", "remaining", "remainder", "balance", "others", "ones", "one", "resto", "demas"})


class Part(NamedTuple):
    """A part of a whole: its first and last atom, its count (0: what is left), and whether its words say that it is a part."""

    first: int
    last: int
    many: int
    marked: bool


def _bare(work: Work, at: int) -> bool:
    if not work.is_number(at):
        return False
    value = work.atoms[at].value
    unit = work.count_unit(at + 1)
    if (
        value != int(value)
        or value < 1
        or unit in _UNITS
        or work.has(at + 1, "source")
        or unit
        in ("hours", "days", "cents", "dollars", "percent", "kwh", "week", "year", "inch", "other", "lumens")
    ):
        return False
    if work.text_at(at - 1) in ("$", "at", "@", "#", "type", "/") or work.unit(at - 1) in ("cri",):
        return False
    nxt = work.text_at(at + 1)
    if nxt == "x" and _noun(work, at + 2, at + 3) is not None:
        return True  # "20 x high bays"
    return not (nxt in ("'", '"', "/", "k", "x", "%", "-", "s") and work.atoms[at + 1].glued) and nxt not in (
        "c",
        "x",
    )


def _noun(work: Work, low: int, high: int) -> str | None:
    """The family or size word between two atoms."""
    for index in range(low, min(high, len(work.atoms))):
        mean = work.atoms[index].mean
        if "family" in mean:
            return str(mean["family"])
        if "size" in mean:
            return "troffer"
        if work.atoms[index].kind in ("s", "b") and work.atoms[index].text not in ("-", '"', "'", "("):
            return None
        if "join" in mean:
            return None
    return None


_FRACTIONS = {
    "third": 3,
    "thirds": 3,
    "tercio": 3,
    "tercios": 3,
    "tercera": 3,
    "quarter": 4,
    "quarters": 4,
    "fourth": 4,
    "mitad": 2,
}
_NUMERATORS = {
    "a": 1,
    "one": 1,
    "1": 1,
    "la": 1,
    "un": 1,
    "una": 1,
    "two": 2,
    "dos": 2,
    "2": 2,
    "three": 3,
    "tres": 3,
    "other": 1,
    "otra": 1,
}
_MOSTLY = words_of("mostly mainly mayoria majority most")


def _share(work: Work, at: int, whole: int) -> Part | None:
    """As in "a third of them", "la mitad", "mostly 2x4", "all but 6 of them": a part told by its share of the whole."""
    text = work.text_at(at)
    if (
        work.text_at(at + 1) in _FRACTIONS
        and text in _NUMERATORS
        and text not in ("a", "la", "un", "una", "other")
    ):
        return _share(work, at + 1, whole)  # "two thirds"
    if text in _FRACTIONS and work.text_at(at - 1) in _NUMERATORS:
        many = whole * _NUMERATORS[work.text_at(at - 1)] / _FRACTIONS[text]
        last = at + 1 if work.text_at(at + 1) in ("of them", "of those", "of em", "parte") else at
        return Part(at - 1, last, int(many), True) if many == int(many) > 0 else None
    if text.split(" ")[0] in _MOSTLY:
        last = at + 1 if work.text_at(at + 1) in ("of them", "of those", "of em", "of the", "are") else at
        return Part(at, last, 0, True)
    if (text == "all" and work.text_at(at + 1) == "but") or text == "all but":
        step = at + 1 if text == "all but" else at + 2
        step += work.text_at(step) in ("the", "about")
        if _bare(work, step) and 0 < (few := int(work.atoms[step].value)) < whole:
            again = any(
                _bare(work, n) and work.atoms[n].value == few
                for n in range(step + 1, min(len(work.atoms), step + _REACH))
            )
            return Part(at, step, whole - few, True) if again else None
    return None


def _part(work: Work, at: int, whole: int, family: str | None) -> Part | None:
    """The part that begins at an atom; ``None`` where none does."""
    text = work.text_at(at)
    first = at
    if text == "half" and work.text_at(at + 1).split(" ")[0] in ("that", "as"):
        return None
    if (
        text == "half"
        and work.unit(at + 1) != "dozen"
        and work.text_at(at + 1) not in ("a", "dozen", "hour", "the", "price")
    ):
        while first > 0 and work.text_at(first - 1) in ("other", "the", "about"):
            first -= 1
        last = at + 1 if work.text_at(at + 1) in ("of them", "of those", "of em") else at
        return Part(first, last, whole // 2, True) if whole % 2 == 0 else None
    if text == "half" and work.text_at(at + 1) == "the" and whole % 2 == 0 and _noun(work, at + 2, at + 3):
        return Part(at, at + 2, whole // 2, True)
    if (share := _share(work, at, whole)) is not None:
        return share
    words = text.split()
    if (
        words
        and words[-1] in _REST
        and (
            work.has(at, "scope") == "others"
            or (words[-1] not in ("one", "ones") and work.text_at(at - 1) == "the")
        )
    ):
        return Part(at, at, 0, True)
    if not _bare(work, at) or work.atoms[at].value >= whole:
        return None
    value = int(work.atoms[at].value)
    after = work.text_at(at + 1).split()
    if (
        after[:1] == ["of"]
        and work.text_at(at - 1) in ("has", "have", "gets", "needs", "takes", "tiene")
        and work.text_at(at - 2) not in ("we", "i", "they", "you", "it", "which", "that", "who")
        and any(work.text_at(n) in ("has", "have", "gets") for n in range(max(0, at - 24), at - 2))
    ):
        return None  # "bldg A has 15 shoeboxes, bldg B has 11 of them": a count of its own
    if after[:1] == ["of"] and (
        work.has(at - 1, "scope") == "same"
        or (work.text_at(at - 1) in _MARKS and work.has(at - 2, "scope") == "same")
    ):
        return None  # "back lot ditto, 9 of them": as many more
    if after[:1] == ["of"] and work.text_at(at - 1) in _ROOMS:
        return None  # "the gym is 20 high bays, the weight room 6 of em"
    if after[:1] == ["of"] and ((after[1:2] and after[1] in _OF_THEM) or work.text_at(at + 2) in _OF_THEM):
        if work.text_at(at + 2) in ("same", "kind", "type") or "same" in after:
            return None
        if (
            work.is_number(at + 2)
            and work.unit(at + 3) is not None
            and (work.text_at(at + 4) in ("ones", "one") or _ends_item(work, at + 4))
        ):
            return None  # "12 wall packs 5000 lumen and 3 of the 3000 lumen ones"
        if _other_watts(work, at):
            return None
        named = _noun(work, at + 2, at + 5)
        if named is not None and named != family:
            return None
        last = at + 1 if len(after) > 1 and after[1] not in ("the", "our", "my") else at + 2
        if len(after) > 1 and after[1] in ("the", "our", "my"):
            last = at + 2 if _noun(work, at + 2, at + 3) else at + 1
        return Part(at, last, value, True)
    if _excepted(work, at):
        return Part(at, at, value, True)
    if work.text_at(at - 1) == "another":
        return None
    if after == ["others"]:
        return Part(at, at + 1, value, True)
    other = work.text_at(at - 1) in ("other", "remaining", "otros", "otras")
    return Part(at, at, value, other or _fitted(work, at))


def _other_watts(work: Work, at: int) -> bool:
    """Whether the watts behind "of the" are others than those told before: "12 cobra heads 250w and 5 of the 400w" are types of their own."""
    index = at + 2 if work.text_at(at + 1) != "of" else at + 3
    if not work.is_number(index) or work.unit(index + 1) != "w":
        return False
    value = work.atoms[index].value
    for n in range(at - 1, max(0, at - 14), -1):
        if work.atoms[n].kind == "n" and (work.unit(n + 1) == "w" or "source" in work.atoms[n + 1].mean):
            apart = work.text_at(n - 1) in ("of the", "the", "of")  # "12 of the 250w and 8 of the 100w"
            return work.atoms[n].value != value and not apart
    return False


_FITTED = words_of(
    "need needs with w/ w get gets want wants have has require con llevan necesitan ocupan quieren"
)
_FITTING_WORDS = words_of("backup backups pack packs ballast ballasts sensor sensors cell cells unit units")
_FITTINGS = ("controls", "flag")
"""What some of a type may be fitted with, and the others not."""


def _fitted(work: Work, at: int) -> bool:
    """Whether so many of a type are fitted with something: "batteries in 12", "photocells on 6", "8 with motion sensors"."""
    ends = work.text_at(at - 1) in ("on", "in", "for", "en")
    if ends and at + 1 < len(work.atoms):
        after = work.atoms[at + 1]
        ends = after.kind in ("s", "b") or "join" in after.mean
    if ends:
        return any(work.has(at - 2, kind) for kind in _FITTINGS)
    if work.text_at(at + 1) in _FITTED:
        ahead = range(at + 2, at + 5)
    elif work.text_at(at + 1).split(" ", 1)[0] in _FITTED:
        ahead = range(at + 1, at + 2)  # "con sensor"; "4 photocells" are counted for themselves
    else:
        return False
    return any(work.has(n, kind) for n in ahead for kind in _FITTINGS)


_MARKS = frozenset({",", "-", ":", "("})
_ROOMS = words_of(
    "room gym lobby hall hallway office shop warehouse dock kitchen cafeteria storage annex barn garage basement mezzanine library chapel locker"
)
_BUT = frozenset(
    {
        "except",
        "except for",
        "except the",
        "but",
        "but the",
        "excepto",
        "menos",
        "pero",
        "pero las",
        "pero los",
    }
)


def _ends_item(work: Work, at: int) -> bool:
    """Whether nothing or a mark stands at an atom."""
    return at >= len(work.atoms) or work.atoms[at].kind in ("s", "b")


def _excepted(work: Work, at: int) -> bool:
    """Whether the count is one that is told to be otherwise: "all 250 W except 4 that are 400", "... but the 6 in back are at 24 ft"."""
    lead = at - 2 if work.text_at(at - 1) in ("the", "las", "los") else at - 1
    if work.text_at(lead) not in _BUT and work.has(lead, "scope") != "except":
        return False
    end = _clause_end(work, at + 1, min(len(work.atoms), at + 12))
    plain = work.text_at(lead).startswith(("but", "pero"))
    return not plain or any(work.text_at(n) in _BEING for n in range(at + 1, end))


_BEING = frozenset({"are", "is", "r", "have", "get", "need", "sit", "hang", "estan", "son", "tienen"})


_WITHOUT = frozenset({"without", "w/o", "sin"})


def told_apart(work: Work, low: int, high: int) -> bool:
    """Whether something between two atoms tells a part apart."""
    if work.text_at(low) in _WITHOUT or (work.text_at(low) == "not" and _ends_item(work, low + 1)):
        return True  # "14 with photocells and 6 without"
    for index in range(low, high):
        atom = work.atoms[index]
        if any(kind in atom.mean for kind in _ATTRIBUTES) or atom.kind == "c":
            return True
        if atom.mean.get("unit") in _UNITS:
            return True
        if (
            atom.kind == "n"
            and work.text_at(index - 1) in ("at", "@", "are", "is", "r", "son")
            and not work.unit(index + 1)
        ):
            return True
        if atom.kind == "n" and work.text_at(index - 1) == "de" and atom.value in known_watts():
            return True
        if (
            atom.kind == "n"
            and atom.value in (208, 240, 277, 347, 480)
            and (index > low or work.atoms[low - 1].kind != "n")
        ):
            return True
        if (
            atom.kind == "n"
            and work.text_at(index - 1) == "on"
            and 8 <= atom.value <= 60
            and _ends_item(work, index + 1)
        ):
            return True  # "6 on 25 ft poles, 6 on 30"
    return False


def _volts_at(work: Work, at: int) -> bool:
    """Whether a bare voltage follows a part at once: "4 of em 277"."""
    return (
        work.is_number(at)
        and work.atoms[at].value in (120, 208, 240, 277, 347, 480)
        and _ends_item(work, at + 1)
    )


def _clause_end(work: Work, at: int, stop: int) -> int:
    for index in range(at, stop):
        if work.atoms[index].kind == "b" or work.text_at(index) in (".", ";", "!", "?"):
            return index
    return stop


def partitions(work: Work) -> list[Product]:
    """The parts of wholes, as counts that are worked out; the wholes are used up."""
    out: list[Product] = []
    at = 0
    while at < len(work.atoms):
        if (
            work.atoms[at].kind == "n"
            and _bare(work, at)
            and work.atoms[at].value >= 2
            and (
                (
                    (
                        _noun(work, at + 1, at + 6) is not None
                        or (at > 1 and "family" in work.atoms[at - 1].mean)
                    )
                    and work.text_at(at + 1).split(" ")[0] != "of"
                )
                or _of_them_all(work, at) is not None
            )
        ):
            found, past = _as_many(work, at) or _parts_of(work, at)
            if found:
                out.extend(found)
                at = past
                continue
        at += 1
    return out


def _of_them_all(work: Work, at: int) -> str | None:
    """The family whose count stands behind it: "wall packs all the way around, 18 of them, ..."; ``None`` where none is."""
    if work.text_at(at + 1) not in ("of them", "of em", "of those", "total", "in all", "altogether"):
        return None
    if work.text_at(at - 1) != "," and "family" not in work.atoms[at - 1].mean:
        return None
    for back in range(at - 1, max(at - 8, -1), -1):
        atom = work.atoms[back]
        if "family" in atom.mean:
            return str(atom.mean["family"]) if back == 0 or not work.is_bare_count(back - 1) else None
        if atom.kind in ("n", "b") or atom.text in (".", ";", ":"):
            return None
    return None


_AS_MANY = {
    "half": 0.5,
    "twice": 2.0,
    "double": 2.0,
    "the same number": 1.0,
    "same number": 1.0,
    "same amount": 1.0,
    "as many": 1.0,
    "triple": 3.0,
}


def _as_many(work: Work, at: int) -> tuple[list[Product], int] | None:
    """As in "sixty 2x4s and half that many 2x2s": a count told by the one before."""
    for index in range(at + 2, min(len(work.atoms), at + 14)):
        text = work.text_at(index)
        factor = _AS_MANY.get(text)
        if factor is None:
            continue
        ahead = " ".join(work.text_at(n) for n in range(index + 1, min(index + 4, len(work.atoms))))
        if not (ahead.startswith(("that many", "as many", "that number", "of ")) or text == "as many"):
            continue
        if text in ("same number", "same amount", "the same number") and not ahead.startswith("of "):
            continue
        last = index
        while last + 1 < len(work.atoms) and work.text_at(last + 1) in (
            "that",
            "many",
            "as",
            "that many",
            "as many",
            "number",
            "of",
        ):
            last += 1
        if _noun(work, last + 1, last + 5) is None:
            return None
        count = work.atoms[at].value * factor
        if count != int(count):
            return None
        work.use(index, last)
        return [Product(index, last, int(count))], last + 1
    return None


def _sized(work: Work, part: Part, family: str | None) -> bool:
    """Whether a part is told apart by its size: "40 troffers. 30 are 2x4 and 10 are 2x2"."""
    after = part.last + 1
    return family == "troffer" and work.text_at(after) in _BEING and work.has(after + 1, "size") is not None


def _parts_of(work: Work, at: int) -> tuple[list[Product], int]:
    whole = int(work.atoms[at].value)
    family = _of_them_all(work, at) or _noun(work, at + 1, at + 6)
    parts: list[Part] = []
    if work.text_at(at - 1) in ("of the", "of our", "of my", "of those", "of these", "of") and _bare(
        work, at - 2
    ):
        # "12 of the 30 high bays are 1000 W, the rest 400"
        parts.append(Part(at - 2, at - 1, int(work.atoms[at - 2].value), True))
    stop = min(len(work.atoms), at + _REACH)
    index = at + 1
    apart = False
    while index < stop:
        apart = apart or work.atoms[index].kind == "b"
        other = work.atoms[index].mean.get("family")
        if other is not None and family is not None and (other != family or apart) and not parts:
            break  # "ten floods. The wall packs: eight of them": those are wall packs
        part = _part(work, index, whole, family)
        if part is not None:
            named = _noun(work, part.last + 1, part.last + 8)
            if (
                named is not None
                and not part.marked
                and (named != family or not parts)
                and not _sized(work, part, family)
            ):
                break
            parts.append(part)
            index = part.last + 1
            continue
        if (
            work.is_number(index)
            and work.atoms[index].value >= whole
            and _bare(work, index)
            and _noun(work, index + 1, index + 5) is not None
        ):
            break
        index += 1
    return _settled(work, at, whole, parts, stop)


def _settled(work: Work, at: int, whole: int, parts: list[Part], stop: int) -> tuple[list[Product], int]:
    if not parts:
        return [], at
    total = 0
    taken: list[Part] = []
    given = sum(part.many for part in parts)
    if len(parts) > 1 and not parts[0].many and all(part.many for part in parts[1:]) and given < whole:
        # "mostly 2x4, 8 are 2x2": what is left stands first
        parts = [part if part.many else part._replace(many=whole - given) for part in parts]
    for number, part in enumerate(parts):
        before = {
            word for n in range(max(at, part.first - 2), part.first) for word in work.text_at(n).split()
        }
        end = _clause_end(work, part.last + 1, parts[number + 1].first if number + 1 < len(parts) else stop)
        words = {
            word for n in range(part.last + 1, min(end, part.last + 6)) for word in work.text_at(n).split()
        }
        if words & _OUTSIDE:
            words.discard("out")  # "18 out front" are not out
        if not number:
            before -= _ALL_TOLD  # "14 wall packs total, 8 front 6 back"
        if before & _RESULT or (
            words & GONE
            and not (part.marked and words & _BROKEN)
            and not _fitted(work, part.first)
            and not told_apart(work, part.last + 1, end)
        ):
            return [], at
        count = part.many or whole - total
        if total + count > whole or count <= 0:
            break
        taken.append(part._replace(many=count))
        total += count
        if total == whole:
            break
    if total == whole and len(taken) > 1:
        return _split(work, at, whole, taken, stop)
    marked = [part for part in parts if part.marked and part.many]
    if len(marked) == 1 and len(parts) == 1:
        return _one_part(work, at, whole, marked[0], stop)
    return [], at


def _split(work: Work, at: int, whole: int, parts: list[Part], stop: int) -> tuple[list[Product], int]:
    """The whole goes, the parts stay: each must be told apart by something or by its place."""
    marked = any(part.marked for part in parts)
    ends = [part.first for part in parts[1:]] + [_clause_end(work, parts[-1].last + 1, stop)]
    apart = [told_apart(work, part.last + 1, end) for part, end in zip(parts, ends, strict=True)]
    if any(
        work.text_at(part.last + 1) in _WITHOUT
        or (work.text_at(part.last + 1) == "not" and _ends_item(work, part.last + 2))
        for part in parts[1:]
    ):
        apart = [True] * len(parts)  # "12 with backup and 12 without"
    leads = [_lead(work, part, at) for part in parts]
    placed = [
        work.text_at(part.last + 1) in _PLACES or work.text_at(part.last + 1) in ("are", "is")
        for part in parts
    ]
    ahead = all(lead >= 0 for lead in leads)
    if not marked and not ahead and _beside_the_parts(work, at, parts, ends):
        return [], at
    if (
        not ahead
        and sum(apart) < (1 if marked else 2)
        and only_placed(work, [(p.last + 1, e) for p, e in zip(parts, ends, strict=True)])
    ):
        for part in parts:
            take(work, part.first)
            work.use(part.first, part.last)
        return [Product(at, at, whole)], parts[-1].last + 1
    if not (ahead or sum(apart) >= (1 if marked else 2) or all(placed)):
        return [], at
    work.use(at, at)
    out: list[Product] = []
    for part, lead in zip(parts, leads, strict=True):
        work.use(part.first, part.last)
        out.append(
            Product(part.first, part.last, part.many, part=len(out), lead=lead if ahead else -1, adds_up=True)
        )
    return out, parts[-1].last + 1


def _beside_the_parts(work: Work, at: int, parts: list[Part], ends: list[int]) -> bool:
    """Whether the count said first has a place beside those of the others: "20 in the shop, 12 in the warehouse and 8 in the dock"."""
    spans = [(at + 1, parts[0].first), *[(p.last + 1, end) for p, end in zip(parts, ends, strict=True)]]
    return beside_each_other(
        [[word for n in range(low, high) for word in work.text_at(n).split()] for low, high in spans]
    )


def _lead(work: Work, part: Part, at: int) -> int:
    """The atom from which words before a part tell of it ("type III on 10"); -1 where none do."""
    if work.text_at(part.first - 1) not in ("on", "in", "for", "to", "with"):
        return -1
    low = part.first
    while (
        low > at + 1
        and work.text_at(low - 1) not in (",", ".", ";", "(", ":")
        and not work.has(low - 1, "join")
        and work.atoms[low - 1].kind != "b"
    ):
        low -= 1
    return low if told_apart(work, low, part.first - 1) else -1


def _all_of(work: Work, at: int, whole: int) -> bool:
    """Whether the whole is named again with "all" behind it: all of them are wanted."""
    for index in range(at + 1, min(at + 24, len(work.atoms))):
        if work.atoms[index].kind == "n" and work.atoms[index].value == whole:
            before = work.text_at(index - 1).split(" ")
            return "all" in before or "todos" in before or "todas" in before
    return False


def _one_part(work: Work, at: int, whole: int, part: Part, stop: int) -> tuple[list[Product], int]:
    """As in "40 troffers, batteries in 6 of them": what is left is the other part."""
    low = part.first
    while low > at and work.text_at(low - 1) not in (",", ".", ";", "(") and work.atoms[low - 1].kind != "b":
        low -= 1
    led = work.text_at(part.first - 1) in _PLACES or work.text_at(part.first - 1) == "for"
    own = part.first - 2 if led else part.first
    own -= led and work.text_at(own) in _FITTING_WORDS
    fitted_before = any(work.has(n, kind) for n in range(at + 1, own) for kind in _FITTINGS)
    if fitted_before and part.first == part.last and _fitted(work, part.first):
        return [], at  # "14 wall packs w/ photocell, 6 w/ motion": types of their own
    if any(work.has(part.first - 2, kind) for kind in _FITTINGS):
        low = part.first - 2  # "high bays need sensors on 8 of them"
    elif work.text_at(part.first - 2) in _FITTING_WORDS and any(
        work.has(part.first - 3, kind) for kind in _FITTINGS
    ):
        low = part.first - 3  # "w/ em backup in 6 of them"
    end = _clause_end(work, part.last + 1, stop)
    goes_on = part.last + 1 < len(work.atoms) and work.text_at(part.last + 1) not in (",", "and", "&", "y")
    after = goes_on and (
        told_apart(work, part.last + 1, min(end, part.last + 9)) or _volts_at(work, part.last + 1)
    )
    ahead = (
        work.text_at(part.first - 1) in ("in", "on", "for", "to", "with")
        and low > at
        and told_apart(work, low, part.first)
    )
    words = {word for n in range(part.last + 1, min(end, part.last + 6)) for word in work.text_at(n).split()}
    if part.first < at and part.many < whole and _all_of(work, at, whole):
        take(work, part.first)  # "lost 3 of the 20 bollards, want all 20 done"
        return [Product(at, at, whole)], at + 1
    gone = bool(words & GONE) and not words & _BROKEN and not _fitted(work, part.first)
    if part.first < at or part.many >= whole or gone:
        return [], at
    if words & _BROKEN or not (after or ahead):
        # "seven of which are on poles" counts nothing of its own
        take(work, part.first)
        work.use(part.first + 1, part.last)
        return [], at
    work.use(at, at)
    work.use(part.first, part.last)
    for n in range(at + 1, part.first):
        if work.has(n, "scope") in ("all", "except"):
            # "all 250 W except 4 that are 400": what is said of all is said of the others
            work.atoms[n] = work.atoms[n]._replace(kind="w", mean={})
    return [
        Product(at, at, whole - part.many),
        Product(part.first, part.last, part.many, part=1, same=True, lead=low if ahead and not after else -1),
    ], part.last + 1
