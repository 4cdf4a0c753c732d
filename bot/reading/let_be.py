"""Types that a clause of a first message lets be: "the sconces we skip", "wall packs stay as they are", "12 pendants no leave those out"."""

from bot.reading.clause import Work
from bot.reading.dealing import best
from bot.reading.late import Late
from bot.reading.mentions import Mention
from bot.reading.scopes import segments_of

_NAMES = frozenset({"family", "size", "mount", "_noun", "_point", "source"})
_LET_BE = Late(
    r"[ ,.]{0,3}(?:(?:lights?|fixtures?|ones) )?(?:no[ ,]{1,2}|nah[ ,]{1,2}|but |actually |wait[ ,]{1,2}|those |these |they |that )*(?:please |pls |just )?"
    r"(?:(?:we|i|you|u)(?: can| will|ll|'ll| are|re|'re| just| already| wont| won't| dont| don't| do not| want to| can just)*"
    r" (?:skip|skipping|skipped|leave|leaving|ignore|keep|keeping|touch|need|want|did|done|replaced|changed|swapped|ordered|bought|have covered|quote|count)"
    r"|skip|skipping|skipped|leave|leaving|omit|ignore|exclude|forget|stay|stays|staying|(?:are|is|r) (?:staying|fine|good|ok|okay|not included|not part|out|excluded|already done|already led|done|done already)"
    r"|(?:dont|don't|do not|doesnt|doesn't|wont|won't) (?:count|need|include|quote|matter|change|get changed)|not included|no los cotices|se quedan|esos no|esas no)"
    r"(?: (?:those|these|them|it|that|this|alone|out|off|be|as they are|as is|as-is|as it is|for now|there|where they are|already|this time|of it|of this|in place|put|last year|anymore|changing|any|como estan|asi))*[ .!]{0,3}"
)


def let_be(work: Work, mentions: list[Mention]) -> list[Mention]:
    """The mentions without those of clauses that let their type be; all of them where no type would be left."""
    if len(mentions) < 3:
        return mentions
    gone: set[int] = set()
    cursor = 0
    for segment in segments_of(work):
        held: list[int] = []
        while cursor < len(mentions) and mentions[cursor].first <= segment.last:
            if mentions[cursor].first >= segment.first:
                held.append(cursor)
            cursor += 1
        if not held or len(held) > 4:
            continue
        last = mentions[held[-1]]
        if not last.slots & _NAMES or len(last.options) != 1:
            continue
        end = work.atoms[segment.last].end
        match = _LET_BE.match(work.folded[last.end : end])
        if match is not None and last.end + match.end() >= end > last.end:
            gone.update(held)
    left = [mention for number, mention in enumerate(mentions) if number not in gone]
    if not gone or not any(best(mention) == "qty" for mention in left):
        return mentions
    for number in gone:
        work.use(mentions[number].first, mentions[number].last)
    return left
