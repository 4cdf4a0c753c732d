"""Lines pointed at by their place: "the second one", "line 2", "the first two", "the other two"."""

from collections.abc import Iterator

from bot.reading.clause import Work
from bot.reading.late import Late
from bot.reading.message import Scope

ORDINALS = {
    "first": 0, "1st": 0, "second": 1, "2nd": 1, "third": 2, "3rd": 2, "fourth": 3, "4th": 3, "fifth": 4, "last": -1,
    "primero": 0, "primera": 0, "segundo": 1, "segunda": 1, "tercero": 2, "tercera": 2, "ultimo": -1, "ultima": -1, "primer": 0, "tercer": 2,
}  # fmt: skip
_NAMES = r"first|1st|second|2nd|third|3rd|fourth|4th|fifth|last|primer[oa]?|segund[oa]|tercer[oa]?|ultim[oa]"
_ORDINAL = Late(
    rf"\b(?:the |el |la |los |las |on |that |those )?({_NAMES})"
    r"(?: one's| ones?| line| type| item| set| group| batch| fixture| linea| renglon|(?=[ .!]*$)"
    rf"|(?= (?:is|are|r|should|at|to|gets?|needs?|has|es|son|a|en|con|de|lleva|va|debe)(?![a-z])(?! (?:the|all|that|same)))|(?= \d)|(?= (?:and|&|y) (?:the |el |la )?(?:{_NAMES})))(?![a-z])"
    r"|\b(?:line|item|linea|number|renglon) ?(?:#|no\.? ?)?([1-9])\b"
)
_PAIR = Late(
    r"(?<![a-z])(?P<which>first|last|primer[oa]s|ultim[oa]s) (?:two|2|dos)(?![a-z])|(?:l[oa]s )?dos (?:primer[oa]s|(?P<es>ultim[oa]s))(?![a-z])"
)
_FORMER = Late(r"(?<![a-z])(?:the )?(?:(?P<first>former)|latter)(?: ones?| type)?(?![a-z])")
_MIDDLE = Late(r"(?<![a-z])(?:the middle one|el de en medio|la de en medio)(?![a-z])")
_OTHER = Late(
    r"(?<![a-z])(?:the|l[oa]s) (?:other|remaining|otr[oa]s) (?:two|three|four|[2-6]|dos|tres|cuatro)(?= |$|[,.])"
)


def ordinals_of(folded: str, lines: int) -> Iterator[tuple[int, int, dict[str, object]]]:
    """(start, end, what it tells of a scope) of every ordinal that points at lines; ``lines`` is how many there are."""
    for match in _ORDINAL.finditer(folded):
        number = ORDINALS[match[1]] if match[1] else int(match[2]) - 1
        yield match.start(), match.end(), {"kind": "ordinal", "ordinal": number}
    if lines == 2:
        for match in _FORMER.finditer(folded):
            yield match.start(), match.end(), {"kind": "ordinal", "ordinal": 0 if match["first"] else 1}
    if lines == 3 and (middle := _MIDDLE.search(folded)):
        yield middle.start(), middle.end(), {"kind": "ordinal", "ordinal": 1}
    if lines > 2:
        for match in _OTHER.finditer(folded):
            yield match.start(), match.end(), {"kind": "others"}


def ordinal_scope(work: Work) -> Scope | None:
    """As in "the second one", "line 2", "the first two" (the first of them)."""
    pair = _PAIR.search(work.folded)
    if pair is not None:
        last = (pair["which"] or "").startswith(("last", "ultim")) or bool(pair["es"])
        return Scope("ordinal", pair.start(), pair.end(), ordinal=-1 if last else 0)
    match = _ORDINAL.search(work.folded)
    if match is None:
        return None
    number = ORDINALS[match[1]] if match[1] else int(match[2]) - 1
    return Scope("ordinal", match.start(), match.end(), ordinal=number)


def second_ordinal(work: Work, first: Scope) -> Scope | None:
    """The other one of "the first two" or "the last two"."""
    match = _PAIR.search(work.folded)
    if match is None or first.ordinal is None:
        return None
    return Scope("ordinal", first.start, first.end, ordinal=1 if first.ordinal == 0 else -2)


def use_ordinals(work: Work) -> None:
    """Numbers inside "the second one" or "the first two" count nothing."""
    spans = [match.span() for pattern in (_ORDINAL, _PAIR, _OTHER) for match in pattern.finditer(work.folded)]
    if not spans:
        return
    spans.sort()
    at = 0
    for index, atom in enumerate(work.atoms):
        while at < len(spans) and spans[at][1] <= atom.start:
            at += 1
        if at < len(spans) and atom.kind == "n" and spans[at][0] <= atom.start:
            work.used[index] = 1
