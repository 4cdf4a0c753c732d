"""Types that each of two places has: "church and school have 6 packs each", "8 packs at bldg 1 and bldg 2, same deal each".

What is described once is a line for each place.
"""

from dataclasses import replace

from bot.reading.clause import Work, ends_clause
from bot.reading.heads import OF_EACH
from bot.reading.holders import HOLDERS, PREPOSITIONS
from bot.reading.message import Passage
from bot.reading.places_behind import PLACES
from bot.reading.words import words_of

_NAMED = (
    PLACES
    | HOLDERS
    | words_of("church school house hospital clinic plant factory motel hotel bank library club")
)
_NUMBERED = words_of(
    "building bldg lot level floor wing unit dock bay barn gate room zone phase edificio nave piso"
)
_ARTICLES = words_of("the our my el la")
_EACH = words_of("each ea apiece")
_NEVER = frozenset({"family", "family_weak", "source", "size", "voltage", "finish", "controls", "optic", "colour", "mount", "led", "generic", "unit"})  # fmt: skip
_HAVE = words_of("have has got get need needs gets : -")
_LONGEST = 3
_FAR = 6


def at_each_place(work: Work, passages: list[Passage]) -> list[Passage]:
    """The lines of a first message with those that each of two places has told twice."""
    if not passages or not work.speaks_of("unit:each", "scope"):
        return passages
    for join in range(1, len(work.atoms) - 1):
        if "join" not in work.atoms[join].mean or not _ends_in_place(work, join - 1):
            continue
        last = _place_from(work, join + 1)
        if last and (told := _told_of_each(work, passages, join, last)):
            low, high = told
            each = [_of_each(passage) for passage in passages[low:high]]
            return [*passages[:low], *each, *each, *passages[high:]]
    return passages


def _of_each(passage: Passage) -> Passage:
    return passage.with_slots({**passage.slots, "qty": replace(passage.slots["qty"], rule=OF_EACH)})


def _ends_in_place(work: Work, at: int) -> bool:
    """Whether the name of a place ends at an atom: "the north building", "bldg A", "lot 4"."""
    atom = work.atoms[at]
    if atom.mean.get("unit") != "other" and not _NEVER.isdisjoint(atom.mean):
        return False
    if atom.text.rpartition(" ")[2] in _NAMED or (
        atom.kind == "x" and atom.text.partition(" ")[0] in _NUMBERED
    ):
        return True
    return work.text_at(at - 1) in _NUMBERED and (len(atom.text) == 1 or atom.kind == "x")


def _place_from(work: Work, at: int) -> int:
    """The last atom of the place whose name begins at an atom; 0 where none does."""
    first = at + (work.text_at(at) in _ARTICLES)
    last = 0
    for index in range(first, min(first + _LONGEST, len(work.atoms))):
        atom = work.atoms[index]
        if ends_clause(atom) or atom.text == "," or atom.kind == "n" or "join" in atom.mean:
            break
        if _ends_in_place(work, index):
            last = index
    return last


def _told_of_each(work: Work, passages: list[Passage], join: int, last: int) -> tuple[int, int] | None:
    """The first of the lines that each of the two places has, and the one past the last; ``None`` where they share what is told."""
    start = join
    while start > 0 and not ends_clause(work.atoms[start - 1]):
        start -= 1
    after = last + 1 + (work.text_at(last + 1) in (",", "-"))
    same = work.has(after, "scope") == "same"
    if same and (
        work.text_at(after + 1) in _EACH
        or any(work.has(n, "scope") == "both" for n in range(after + 1, after + 3))
    ):
        behind = _between(work, passages, after, len(work.atoms))
        ahead = _between(work, passages, start, join)
        return ahead if ahead is not None else behind
    if work.text_at(last + 1) in _EACH:
        return _between(work, passages, last + 1, len(work.atoms))
    if work.text_at(last + 1) in _HAVE:
        told = _between(work, passages, last + 1, len(work.atoms))
        return told if told is not None and _shared_out(work, passages[told[1] - 1], last + 1) else None
    lead = next(
        (n for n in range(join - 1, max(start, join - _FAR), -1) if work.text_at(n) in PREPOSITIONS), 0
    )
    if lead:
        told = _between(work, passages, start, join)
        if told is not None and (
            work.text_at(lead - 1) in _EACH or _shared_out(work, passages[told[1] - 1], start)
        ):
            return told
    return None


def _between(work: Work, passages: list[Passage], low: int, high: int) -> tuple[int, int] | None:
    """The lines counted from one atom to another, up to the end of the sentence."""
    past = low
    while past < high and not (
        work.atoms[past].kind == "b" or (work.atoms[past].kind == "s" and work.atoms[past].text in ".;!?")
    ):
        past += 1
    if past <= low:
        return None
    first, end = work.atoms[low].start, work.atoms[past - 1].end
    inside = [
        n
        for n, passage in enumerate(passages)
        if "qty" in passage.slots
        and first <= passage.slots["qty"].start < end
        and "_placed" not in passage.slots
    ]
    if not inside or inside[-1] - inside[0] + 1 != len(inside):
        return None
    return inside[0], inside[-1] + 1


def _shared_out(work: Work, passage: Passage, low: int) -> bool:
    """Whether "each" stands behind the count and the name of a type: "8 vapor tights each", "6 packs each on ..."."""
    count, name = passage.slots.get("qty"), passage.slots.get("family")
    if count is None or name is None or name.start < count.start:
        return False
    for index in range(low, len(work.atoms)):
        if work.atoms[index].start >= name.end:
            return work.text_at(index) in _EACH
    return False
