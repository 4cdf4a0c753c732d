"""Counts of a talk that are told with what they come to: "6 more by the pond, so 12", "found two more, 14 now", "lost 3, 9 left"."""

from bot.reading.clause import Work
from bot.reading.message import Known, Passage, Said, Scope
from bot.reading.words import words_of

_MORE = words_of("more extra additional others other another mas added add plus")
_FEWER = words_of("lost less fewer minus gone dead took broke removed demoed menos")
_SO = words_of(
    "so makes making thats that's total totals altogether now leaves leaving left = its it's son quedan or call make be"
)
_NEAR = 4
"""Atoms between a number and the word that tells what it is, at most."""
_FAR = 14
"""Atoms between the two numbers at most."""


def comes_to(work: Work, passages: list[Passage], known: Known | None) -> list[Passage]:
    """The passages with two counts that add up to what is there told as what it comes to."""
    if known is None or len(work.numbers) < 2 or len(work.numbers) > 8:
        return passages
    counts = [n for n in work.numbers if _counts(work, n)]
    if len(counts) != 2 or counts[1] - counts[0] > _FAR:
        return passages
    part, total = counts
    words = _words(work, part, total)
    if _MORE.isdisjoint(words) and _FEWER.isdisjoint(words):
        return passages
    if work.atoms[part].value > work.atoms[total].value and _FEWER.isdisjoint(words):
        return passages
    if work.has(total + 1, "family") is not None or _SO.isdisjoint(_words(work, part, len(work.atoms))):
        return passages
    by = int(work.atoms[part].value) * (-1 if _MORE.isdisjoint(words) else 1)
    now = int(work.atoms[total].value)
    fitting = [number for number, line in enumerate(known.lines) if line.get("qty") == now - by]
    if len(fitting) > 1 and (named := _named(passages)) is not None:
        fitting = [number for number in fitting if known.lines[number].get("family") == named]
    if len(fitting) != 1 or by == 0:
        return passages
    atom = work.atoms[total]
    count = Said(now, atom.start, atom.end, rule="what it comes to")
    scope = Scope("ordinal", atom.start, atom.end, ordinal=fitting[0])
    there = known.lines[fitting[0]].get("family")
    kept = [
        one
        for one in passages
        if "qty" not in one.slots
        and not (not one.slots and one.scope is not None and there in one.scope.families)
    ]
    return [*kept, Passage("change", {"qty": count}, scope)]


def _counts(work: Work, index: int) -> bool:
    """Whether a number may be a count: a small whole one, used or not, that no unit follows."""
    return (
        work.is_bare_count(index) and work.unit(index + 1) in (None, "each") and work.atoms[index].value > 0
    )


def _words(work: Work, first: int, last: int) -> set[str]:
    """The words around the first of two numbers, up to the second."""
    return {
        word
        for n in range(max(first - _NEAR, 0), min(last, len(work.atoms)))
        for word in work.text_at(n).split()
    }


def _named(passages: list[Passage]) -> str | None:
    """The one family that the passages name."""
    families: set[str] = set()
    for one in passages:
        if "family" in one.slots:
            families.add(str(one.slots["family"].value))
        if one.scope is not None:
            families.update(one.scope.families)
    return families.pop() if len(families) == 1 else None
