"""Types that a clause of a first message lets be: "the sconces we skip", "wall packs stay as they are", "12 pendants no leave those out"."""

from collections import Counter

from bot.reading.clause import Work
from bot.reading.dealing import best
from bot.reading.late import Late
from bot.reading.mention_slots import value_of
from bot.reading.mentions import Mention
from bot.reading.scopes import Segment, segments_of
from bot.reading.words import words_of

_NAMES = frozenset({"family", "size", "mount", "_noun", "_point", "source"})
_TYPES = frozenset({"family", "size", "_noun", "_point"})
_LET_BE = Late(
    r"[ ,.]{0,3}(?:(?:lights?|fixtures?|ones) )?(?:no[ ,]{1,2}|nah[ ,]{1,2}|but |actually |wait[ ,]{1,2}|those |these |they |that )*(?:please |pls |just )?"
    r"(?:(?:we|i|you|u)(?: can| will|ll|'ll| are|re|'re| just| already| wont| won't| dont| don't| do not| want to| can just)*"
    r" (?:skip|skipping|skipped|leave|leaving|ignore|keep|keeping|touch|need|want|did|done|replaced|changed|swapped|ordered|bought|have covered|quote|count)"
    r"|skip|skipping|skipped|leave|leaving|omit|ignore|exclude|forget|stay|stays|staying|(?:are|is|r) (?:staying|fine|good|ok|okay|not included|not part|out|excluded|already done|already led|done|done already)"
    r"|(?:dont|don't|do not|doesnt|doesn't|wont|won't) (?:count|need|include|quote|matter|change|get changed)|not included|no los cotices|se quedan|esos no|esas no)"
    r"(?: (?:those|these|them|it|that|this|alone|out|off|be|as they are|as is|as-is|as it is|for now|there|where they are|already|this time|of it|of this|in place|put|last year|anymore|changing|any|como estan|asi))*[ .!]{0,3}"
)

_VERBS = words_of(
    """ignore skip forget disregard exclude leave omit touch count bother worry include quote price olvida ignora deja dejen not minus without
    did done replaced changed swapped converted finished hicimos cambiamos"""
)
_LEAVE = Late(
    r"[ ,.]{0,3}(?:(?:please|pls|just|but|and|so|you can|u can|we|we can|we'll|well|lets|let's|por favor) ){0,3}"
    r"(?:ignore|skip|forget(?: about)?|disregard|exclude|leave(?: out)?|omit|(?:dont|don't|do not) (?:touch|count|bother with|worry about|include|quote|price)"
    r"|(?:not(?: counting| including)?|minus|without)(?= (?:the|those|our|my|any|los|las)(?![a-z]))"
    r"|(?:we|i|they|we've|i've|weve|ive)(?: have)?(?: already| just)? (?:did|done|replaced|changed|swapped|converted|finished|took care of)(?= (?:the|those|our|all)(?![a-z]))|already (?:did|done|replaced|changed)(?= (?:the|those|our|all)(?![a-z]))"
    r"|ya (?:hicimos|cambiamos)(?= (?:los|las)(?![a-z]))"
    r"|olvidate de|olvida|ignora|deja|dejen|no (?:cuentes|cotices|toques)) (?:(?:the|those|these|all|our|my|any|of|last|remaining|los|las|el|la|esos|esas) ){0,3}(?:\d{1,4} )?"
)
_THEY = words_of("they theyre they're those these that thats it its esos esas")


def _verb_first(work: Work, segment: Segment, mention: Mention) -> bool:
    """As in "ignore the floods by the gate": the verb opens the clause, and the type stands right behind it."""
    if not any(
        not _VERBS.isdisjoint(work.atoms[n].text.split()) for n in range(segment.first, mention.first)
    ):
        return False
    match = _LEAVE.match(work.folded[work.atoms[segment.first].start : mention.start])
    return match is not None and work.atoms[segment.first].start + match.end() == mention.start


def let_be(work: Work, mentions: list[Mention]) -> list[Mention]:
    """The mentions without those of clauses that let their type be; all of them where no type would be left."""
    if len(mentions) < 3:
        return mentions
    gone: set[int] = set()
    cursor = 0
    spared = False
    families: Counter[object] | None = None
    for segment in segments_of(work):
        held: list[int] = []
        while cursor < len(mentions) and mentions[cursor].first <= segment.last:
            if mentions[cursor].first >= segment.first:
                held.append(cursor)
            cursor += 1
        if not held or len(held) > 4:
            spared = spared and not held
            continue
        if (
            spared
            and work.text_at(segment.first) in _THEY
            and not any(mentions[n].slots & {"family", "qty"} for n in held)
        ):
            gone.update(held)  # "skip the cans, they're LED already"
            continue
        spared = False
        lead = mentions[held[0]]
        counted = best(lead) == "qty" and len(held) > 1 and best(mentions[held[1]]) == "family"
        type_at = held[1] if counted else held[0]
        if (
            best(mentions[type_at]) == "family"
            and len(held) <= 2 + counted
            and _verb_first(work, segment, lead)
        ):
            named = value_of(mentions[type_at], "family")
            if families is None:
                families = Counter(value_of(mention, "family") for mention in mentions)
            if all(mentions[n].slots <= _NAMES for n in held[1:] if n != type_at or not counted) and families[
                named
            ] == sum(value_of(mentions[n], "family") == named for n in held):
                gone.update(held)
                spared = True
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
    if not any(mention.slots & _TYPES for mention in left):
        return mentions  # "two of our forty high bays are already LED. Figure the other 38"
    for number in gone:
        work.use(mentions[number].first, mentions[number].last)
    return left
