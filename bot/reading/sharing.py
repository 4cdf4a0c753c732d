"""Types named in one breath share what is said of them: "the floods and the canopies are 480", "forget the floods and the bollards"."""

from bot.reading.late import Late
from bot.reading.scopes import Stretch

_JOINED = Late(
    r"[ ,&+/]{0,4}(?:(?:and|n|plus|also|as well as|y|e|or|con) ?)?(?:also )?(?:(?:on|for|in|of|about|to|en|para) )?(?:the |those |all the |los |las |el |la |my |our )?"
)

_ALONE = Late(
    r"(?: (?:lights|heads|ones))? (?:only|alone|stays?|remains?|solamente|nada mas|nomas|solo)(?![a-z])"
)
"""Behind a type: it is what is left, and does not go with the one before it."""

_MEANT = Late(r"(?<![a-z])(?:meant|mean|quise decir|digo)(?: the| those| los| las| on the| for the)? $")

_JUST = Late(r"(?<![a-z])(?:just|only|solo|nomas)(?: the| los| las| on the| for the)? $")
"""Before a type that what was said before holds for: "oops just the wallpacks, floods are at 22"."""


def share(stretches: list[Stretch], folded: str) -> list[Stretch]:
    """Give what is said of one of several joined scopes to all of them; where one goes, all go.

    Args:
        stretches: in text order.
        folded: the text.
    """
    out = [
        stretch
        for number, stretch in enumerate(stretches)
        if stretch.mentions
        or stretch.remove
        or stretch.scope is None
        or number + 1 >= len(stretches)
        or stretches[number + 1].scope != stretch.scope
    ]
    for number in range(1, len(out)):
        before, after = out[number - 1], out[number]
        if (
            before.remove
            and not after.remove
            and not after.mentions
            and not after.negative
            and after.scope is not None
            and _ALONE.match(folded, after.scope.end) is None
            and _side_by_side(before, after, folded)
            and before.scope is not None
            and not folded[: before.scope.start].endswith(("not ", "not the ", "no "))
        ):
            out[number] = after._replace(remove=True)
        elif before.mentions and not after.mentions and not after.remove and _follows(before, after, folded):
            out[number] = after._replace(mentions=list(before.mentions))
    for number in range(len(out) - 2, -1, -1):
        before, after = out[number], out[number + 1]
        if (
            after.mentions
            and not before.mentions
            and not before.remove
            and not before.negative
            and _side_by_side(before, after, folded)
            and not (
                before.scope is not None
                and after.scope is not None
                and (
                    _MEANT.search(folded[: before.scope.start])
                    or (
                        _JUST.search(folded[: before.scope.start])
                        and folded[before.scope.end : after.scope.start].lstrip().startswith(",")
                    )
                )
            )
        ):
            out[number] = before._replace(mentions=list(after.mentions))
    return out


def _side_by_side(before: Stretch, after: Stretch, folded: str) -> bool:
    """Whether nothing but a joining word stands between two scopes of named types."""
    one, two = before.scope, after.scope
    if (
        one is None
        or two is None
        or one.kind not in ("family", "ordinal")
        or two.kind not in ("family", "ordinal")
    ):
        return False
    between = folded[one.end : two.start]
    return 0 < len(between) <= 24 and between.strip() != "" and _JOINED.fullmatch(between) is not None


def _follows(before: Stretch, after: Stretch, folded: str) -> bool:
    """Whether the values stand before both scopes: "photocells on the floods and the packs"."""
    if not _side_by_side(before, after, folded) or before.scope is None:
        return False
    return all(mention.start < before.scope.start for mention in before.mentions)
