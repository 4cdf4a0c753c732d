"""Counts said again with an article: "10 high bays and 6 strips. The 6 are T12", "those 4 need motion", "the two in back are at 12 ft".

Such a number counts nothing new: it means the type that was counted with it before, if there is just one. It becomes a word
that points there, before anything else takes it for a part, a sum or a type of its own.
"""

from bot.reading.clause import Work, ends_clause
from bot.reading.message import Scope
from bot.reading.shares import bare
from bot.reading.words import words_of

_THE = words_of("the those these los las esos esas estos estas")
_SIDES = words_of("front back rear side upper lower left right inside outside")
_GOING_ON = words_of(
    "are is r were need needs get gets have has should want take hang sit go run stay at on in by over with out up son van estan llevan tienen necesitan en"
) | {"need to be", "should be", "have to be", "get to be", "to be", "hang at", "are at", "mounted at"}
_UPON = words_of("on for to en para with")
_NOUNS = ("family", "size")
_REACH = 5
"""How many atoms behind a count its luminaire word may stand."""


def _noun(work: Work, at: int) -> object:
    """The family or size counted at a number, its lamp between; ``None`` where none is."""
    for index in range(at + 1, min(at + 1 + _REACH, len(work.atoms))):
        atom = work.atoms[index]
        for kind in _NOUNS:
            if kind in atom.mean:
                return atom.mean[kind]
        if ends_clause(atom) or atom.text == "," or "join" in atom.mean:
            return None
    return None


def _told(work: Work, at: int) -> bool:
    """Whether the number counts a type: a luminaire word or a place follows it, or it stands by itself in a list."""
    after = work.text_at(at + 1)
    return _noun(work, at) is not None or after in (
        "in",
        "on",
        "at",
        "by",
        "over",
        "upstairs",
        "downstairs",
        "en",
        "outside",
        "inside",
    )


def _goes_on(work: Work, at: int) -> bool:
    """Whether what stands behind a definite number speaks of it: a verb, a place, or the clause's end behind "for the"."""
    if at >= len(work.atoms) or work.atoms[at].kind in ("s", "b"):
        return True
    return work.text_at(at) in _GOING_ON or (work.text_at(at) == "de" and work.is_number(at + 1))


def counted_again(work: Work) -> None:
    """Make counts that are said again with an article words that point at their types."""
    counts: dict[float, list[int]] = {}
    for at in work.numbers:
        if not work.is_number(at) or not bare(work, at):
            continue
        value = work.atoms[at].value
        lead = work.text_at(at - 1)
        earlier = counts.get(value, [])
        if lead in _THE and value >= 2:
            if len(earlier) > 1:
                earlier = _at_its_place(work, at, earlier)
            if len(earlier) == 1:
                _point(work, at, earlier[0], at - 1)
            continue
        if lead == "other" and work.text_at(at - 2) in _THE and len(earlier) > 1:
            work.atoms[at - 1] = work.atoms[at - 1]._replace(kind="w", mean={})
            work.atoms[at] = work.atoms[at]._replace(kind="p", mean={"scope": "others"})
            continue
        if lead in _SIDES and len(earlier) == 1 and _beside(work, earlier[0], lead):
            _point(work, at, earlier[0], at - 1)
            continue
        if _told(work, at):
            counts.setdefault(value, []).append(at)


def _beside(work: Work, count: int, side: str) -> bool:
    """Whether a count has a side named right behind it: "two in back"."""
    return any(work.text_at(n) == side for n in range(count + 1, count + _REACH))


def _places(work: Work, low: int, high: int) -> set[str]:
    """The plain words in a stretch, up to its end of a clause."""
    out: set[str] = set()
    for index in range(max(low, 0), min(high, len(work.atoms))):
        atom = work.atoms[index]
        if ends_clause(atom) or atom.text == ",":
            break
        if (
            atom.kind in ("w", "p")
            and len(atom.text) > 3
            and not atom.mean.keys() & {"family", "source", "unit"}
        ):
            out.add(atom.text)
    return out


def _at_its_place(work: Work, at: int, earlier: list[int]) -> list[int]:
    """Of counts with one number those whose place is named behind it: "the 12 on the north"."""
    words = _places(work, at + 1, at + 5)
    return [count for count in earlier[-4:] if words & _places(work, count + 1, count + 9)]


def _point(work: Work, at: int, earlier: int, lead: int) -> None:
    if not any(ends_clause(work.atoms[n]) or work.text_at(n) == "," for n in range(earlier + 1, lead)):
        return  # in one breath with its type: nothing parts what is said of it
    last = at
    noun = next((n for n in (at + 1, at + 2) if any(work.has(n, kind) for kind in _NOUNS)), None)
    if noun is not None:
        said = work.has(noun, "family") or work.has(noun, "size")
        if said != _noun(work, earlier):
            return
        last = noun
    if not _goes_on(work, last + 1):
        return
    closes = last + 1 >= len(work.atoms) or work.atoms[last + 1].kind in ("s", "b")
    if closes and work.text_at(lead - 1) not in _UPON:
        return
    start = work.atoms[earlier].start
    scope = Scope("family", work.atoms[at].start, work.atoms[last].end, spots=(start,))
    work.atoms[at] = work.atoms[at]._replace(kind="p", mean={"again": scope})
    work.use(at + 1, last)
