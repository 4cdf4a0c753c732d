"""The one luminaire that stands for all of them: "one troffer caught fire, so we want to swap all 60", "metered one of the floods ... 20 like it"."""

from bot.reading.clause import Work
from bot.reading.words import words_of

_TROUBLE = words_of(
    """caught fire fell falling sparking sparked smoking smoked died dead out broke broken burned burnt quit failed failing popped
    blew blown exploded buzzing flickering melted shorted quemo quemado quemada fundio fundido fundida cayo murio exploto trono
    chispas humo"""
)
_LIKE = ("like it", "like th", "just like ", "exactly like ")
_FAR = 40
_ALL = words_of("all todos todas los las")
_KINDS = frozenset({"family", "size", "family_weak"})


def singled_out(work: Work) -> None:
    """Let the count behind "all" be that of the type of which one gave trouble; the "one" then counts nothing."""
    if len(work.numbers) < 2:
        return
    for at in work.numbers[:2]:
        atom = work.atoms[at]
        if atom.value == 1 and work.is_number(at) and _counted_like_it(work, at):
            work.use(at, at)
            return
        if atom.value != 1 or not work.is_number(at) or _KINDS.isdisjoint(_mean(work, at + 1)):
            continue
        family = work.has(at + 1, "family")
        trouble = False
        for index in range(at + 2, min(at + 22, len(work.atoms))):
            text = work.text_at(index)
            trouble = trouble or not _TROUBLE.isdisjoint(text.split())
            if work.is_number(index) and (
                work.text_at(index - 1) in _ALL or work.has(index - 1, "scope") == "all"
            ):
                named = next(
                    (work.has(n, "family") for n in (index + 1, index + 2) if work.has(n, "family")), family
                )
                if trouble and work.atoms[index].value > 1 and not work.unit(index + 1) and named == family:
                    work.use(at, at)
                    work.atoms[index - 1] = work.atoms[index - 1]._replace(kind="w", mean={})
                return
            if "family" in work.atoms[index].mean and work.has(index, "family") != family:
                return


def _counted_like_it(work: Work, at: int) -> bool:
    """Whether those of which the one is an example are counted behind: "took one flood down, its a 400 MH. we have 9 like that"."""
    if not any("family" in _mean(work, n) for n in range(at + 1, at + 4)):
        return False
    for n in work.numbers:
        if at < n < at + _FAR and work.text_at(n + 1).startswith(_LIKE):
            return not any("family" in work.atoms[k].mean for k in range(at + 4, n))
    return False


def _mean(work: Work, at: int) -> frozenset[str]:
    return frozenset(work.atoms[at].mean) if at < len(work.atoms) else frozenset()
