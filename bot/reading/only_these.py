"""What is said of some types alone, told behind it: "dimming, but only the cans"; and what was said of the wrong ones: "no i meant the sconces"."""

from dataclasses import replace

from bot.reading.late import Late
from bot.reading.message import Known, Passage, Scope

_ONLY = Late(
    r"(?<![a-z])(?:only|just|solo|nomas|solamente|nada mas) (?:(?:on|for|in|en|para|a|con) )?(?:the |those |los |las |el |la )?$"
)
_WRONG_ONES = Late(
    r"(?:^|[.;!\n] ?) *(?:(?:no|nope|oops|sorry|wait|actually|ah|not?,? ?(?:on )?(?:those|these|them|that one|the other ones)|wrong (?:ones?|type|line)|i mean|i meant|meant|quise decir|digo|esos no|no,? ?esos|no,? ?esas|perdon|its|it's|make that|that's|thats|that was)[ ,.;-]{1,3}){1,4}"
    r"(?:(?:i )?(?:meant|mean|was (?:about|for|talking about)|is for|quise decir) )?(?:for |on |about )?(?:the |those |los |las |el |la )?$"
)


def only_these(folded: str, passages: list[Passage], known: Known | None) -> list[Passage]:
    """The passages where what was said of no type is said of the one that "only" names behind it."""
    if known is None or len(known.lines) < 2:
        return passages
    named = [n for n, one in enumerate(passages) if _points(one)]
    if len(named) != 1:
        return passages
    scope = passages[named[0]].scope
    if scope is None:
        return passages
    before = folded[max(0, scope.start - 70) : scope.start]
    told = [one for one in passages if one.slots]
    if told and len(told) + 1 == len(passages):
        said_before = all(
            one.action == "change"
            and one.scope is None
            and all(said.end <= scope.start for said in one.slots.values())
            for one in told
        )
        if said_before and _ONLY.search(before):
            return [replace(one, scope=scope) for one in told]
        return passages
    if len(passages) == 1 and known.latest.keys() - {"qty", "family"} and not known.joined:
        if _WRONG_ONES.search(before) is None or folded[scope.end :].strip(" .!"):
            return passages
        # what was said last goes over to these, and is no more of those that it was said of
        return [
            Passage("change", {}, scope, too=True),
            Passage("revert", {}, Scope("others", scope.start, scope.end)),
        ]
    return passages


def _points(passage: Passage) -> bool:
    return (
        passage.action == "change"
        and not passage.slots
        and not passage.times
        and passage.scope is not None
        and passage.scope.kind in ("family", "ordinal")
    )
