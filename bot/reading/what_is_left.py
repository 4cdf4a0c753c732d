"""What a count comes to, told beside what goes or joins: "5 of those are the county's, leaves 10", "3 more by the pond, so 15".

The sum proves it: the count that stands, less or plus the first figure, is the second.
"""

from typing import Any, Final

from bot.reading.clause import Work
from bot.reading.message import Known, Passage, Said, Scope
from bot.reading.words import words_of

_SO: Final = words_of(
    """so leaves leaving left makes making thats that's total now remain remaining quedan queda serian entonces therefore
    making_it makes_it down_to we're were"""
)
"""What leads to the figure that it comes to."""
_BEHIND: Final = words_of("left total remaining altogether now then quedan restantes for") | {
    "of those",
    "of them",
}
_MOST: Final = 40


def what_is_left(work: Work, passages: list[Passage], known: Known | None) -> list[Passage]:
    """The passages of a talk with the count that is told beside what goes from it as the only one."""
    if known is None or len(work.atoms) > _MOST:
        return passages
    counts = [
        index
        for index in work.numbers
        if work.atoms[index].kind == "n"
        and work.atoms[index].value >= 1
        and work.atoms[index].value == int(work.atoms[index].value)
        and work.unit(index + 1) in (None, "each")
    ]
    if len(counts) != 2 or any(
        slot not in ("qty", "family") and not slot.startswith("_")
        for passage in passages
        for slot in passage.slots
    ):
        return passages
    first, last = counts
    part, whole = int(work.atoms[first].value), int(work.atoms[last].value)
    lines = [number for number, line in enumerate(known.lines) if _comes_to(line.get("qty"), part, whole)]
    named = {str(passage.slots["family"].value) for passage in passages if "family" in passage.slots}
    named.update(family for passage in passages if passage.scope for family in passage.scope.families)
    if named:
        # "add 5 wallpacks so 20 total" beside 15 cobra heads is said of no cobra heads
        lines = [number for number in lines if known.lines[number].get("family") in named]
    if len(lines) != 1 or not _told(work, first, last):
        return passages
    for index in counts:
        work.used[index] = 1
    start, end = work.atoms[last].start, work.atoms[last].end
    said = Said(whole, start, end, rule="what it comes to")
    return [Passage("change", {"qty": said}, Scope("ordinal", start, end, ordinal=lines[0]))]


def _comes_to(held: Any, part: int, whole: int) -> bool:
    return isinstance(held, int) and held != whole and whole in (held - part, held + part)


def _told(work: Work, first: int, last: int) -> bool:
    """Whether a word says that the second figure is what it comes to."""
    behind = work.text_at(last + 1)
    ends = last + 1 >= len(work.atoms) or work.atoms[last + 1].kind in ("s", "b") or behind in _BEHIND
    if not ends:
        return False
    return behind in _BEHIND or any(
        not _SO.isdisjoint(work.text_at(index).split()) for index in range(max(first + 1, last - 4), last)
    )
